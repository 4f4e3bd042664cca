package rig

import (
	"errors"
	"math"
)

// Settling is how a rig sinks from the cast to where it fishes.
type Settling struct {
	To80S, To95S   float64 // seconds until the hook is at 80 % and 95 % of the depth it ends at
	Over80M        float64 // metres of bed the float has passed over by then
	Over95M        float64
	Rest           Shape // at the end
	Path           []Moment
	BeadsFromHookM []float64 // where on the line the beads of a Moment are
}

// Moment is where the weights are at one time, as the float sees them.
type Moment struct {
	TimeS float64
	Beads []Point // in the order of BeadsFromHookM; the hook first
}

// ErrNoHook is a line that never sinks: there is no depth to come to.
var ErrNoHook = errors.New("the rig does not sink")

// Settle follows a line from the cast to rest for forS seconds: setM metres of line
// below a float that goes at floatMPS, laid out straight downstream on the surface,
// as a feathered cast lays it. The line is masses on stiff springs that pull and do
// not push, at least five between neighbouring weights (Model.Parts); each mass obeys
//
//	m·dv/dt = weight in water + drag by the water's speed there + pulls of its neighbours,
//
// the m of a sphere with half and of line with all the water it displaces added. Line drag is
// that of Steady, shared by a stretch's two ends. Each step is implicit and
// linearised in drag and springs, and steps grow from 0.01 s by a thirtieth to 0.5 s.
// The bed is a floor without friction. Arguments, and errors where they are out of
// range, are those of Steady (StepM counts nothing here); forS is from 1 to 3600 s; ErrNoHook where the hook ends
// within 5 cm of the surface.
func Settle(c Current, floatMPS, setM, forS float64, l Line, m Model) (Settling, error) {
	err := firstError(checkSteady(c, floatMPS, setM, l, m), inRange("time", forS, 1, 3600, "s"))
	if err != nil {
		return Settling{}, err
	}
	s := newSinker(c, floatMPS, setM, l, m)
	s.lay()
	return s.follow(forS)
}

// vec is metres, metres a second or newtons: downstream and down.
type vec struct{ x, z float64 }

func (a vec) plus(b vec, by float64) vec { return vec{a.x + by*b.x, a.z + by*b.z} }
func (a vec) dot(b vec) float64          { return a.x*b.x + a.z*b.z }

// sym is a symmetric 2 by 2 matrix.
type sym struct{ xx, xz, zz float64 }

func (m sym) plus(n sym, by float64) sym {
	return sym{m.xx + by*n.xx, m.xz + by*n.xz, m.zz + by*n.zz}
}

func (m sym) times(v vec) vec { return vec{m.xx*v.x + m.xz*v.z, m.xz*v.x + m.zz*v.z} }

// along is a·nnᵀ + b·(1 − nnᵀ) for a unit n.
func along(n vec, a, b float64) sym {
	return sym{b + (a-b)*n.x*n.x, (a - b) * n.x * n.z, b + (a-b)*n.z*n.z}
}

// knot is one mass of the line, and the stretch of line above it.
type knot struct {
	at, v  vec
	massKg float64
	sinkN  float64
	beads  []Bead // that hang here
	fromM  float64

	lengthM    float64 // of the stretch
	diameterM  float64
	pull, drag vec // the stretch's on this knot: of the spring, and half its drag
	k, d       sym // how they change: with place, and with speed
}

// The line's stiffness, N for doubling its length: so high that it gives no more than
// a millimetre, and the floor's, N/m.
const (
	stiffN   = 500.0
	floorNPM = 100.0
)

// sinker is a rig on its way down.
type sinker struct {
	current  Current
	floatMPS float64
	model    Model
	knots    []knot // from below the float to the hook
	setM     float64
	timeS    float64
	topSinkN float64 // the weight of the line that hangs on the float itself

	rows   []row
	before []knot
}

func newSinker(c Current, floatMPS, setM float64, l Line, m Model) *sinker {
	s := &sinker{current: c, floatMPS: floatMPS, setM: setM, model: m}
	stops := []float64{}
	add := func(at float64) {
		if at > 0 && at < setM && (len(stops) == 0 || at > stops[len(stops)-1]+1e-6) {
			stops = append(stops, at)
		}
	}
	loop := false
	for _, b := range l.Beads {
		if !loop && b.AtM >= l.HookLengthM {
			add(l.HookLengthM)
			loop = true
		}
		add(b.AtM)
	}
	if !loop {
		add(l.HookLengthM)
	}
	s.divide(stops, setM, l)
	s.rows = make([]row, len(s.knots))
	return s
}

// divide cuts the line between the stops, which are from the hook up, into knots from
// the float down, and hangs the beads on them.
func (s *sinker) divide(stops []float64, setM float64, l Line) {
	parts := s.model.Parts
	if parts == 0 {
		parts = leastParts
	}
	longest := 0.75 / float64(parts)
	top := setM
	for i := len(stops); i >= 0; i-- {
		bottom := 0.0
		if i > 0 {
			bottom = stops[i-1]
		}
		n := max(parts, int(math.Ceil((top-bottom)/longest*(1-1e-9))))
		for j := 1; j <= n; j++ {
			s.knots = append(s.knots, s.knotAt(top-(top-bottom)*float64(j)/float64(n), (top-bottom)/float64(n), l))
		}
		top = bottom
	}
	s.load(l)
}

// leastParts is the fewest stretches between neighbouring weights where nothing is said.
const leastParts = 5

func (s *sinker) knotAt(fromM, lengthM float64, l Line) knot {
	mm := l.MainMM
	if fromM < l.HookLengthM-1e-9 {
		mm = l.HookLengthMM
	}
	return knot{fromM: fromM, lengthM: lengthM, diameterM: mm / 1000}
}

// load gives the knots the line's mass and weight and hangs the beads.
func (s *sinker) load(l Line) {
	for i := range s.knots {
		k := &s.knots[i]
		half := k.lengthM / 2
		mass := 2 * waterKgM3 * math.Pi / 4 * k.diameterM * k.diameterM * half
		k.massKg += mass
		k.sinkN += l.SinkNPM * half
		if i > 0 {
			s.knots[i-1].massKg += mass
			s.knots[i-1].sinkN += l.SinkNPM * half
		}
	}
	s.topSinkN = l.SinkNPM * s.knots[0].lengthM / 2
	for _, b := range l.Beads {
		k := s.nearest(b.AtM)
		n := float64(max(b.Count, 1))
		displaced := waterKgM3 * math.Pi / 6 * b.DiameterM * b.DiameterM * b.DiameterM
		k.massKg += n * (b.SinkN/gravityMPS2 + 1.5*displaced)
		k.sinkN += n * b.SinkN
		k.beads = append(k.beads, b)
	}
	for i := range s.knots {
		s.knots[i].massKg = max(s.knots[i].massKg, leastKg)
	}
}

// leastKg keeps a knot of no line and no weight from flying.
const leastKg = 1e-7

// nearest is the knot where a bead hangs. One above the float hangs at the top.
func (s *sinker) nearest(fromM float64) *knot {
	best := 0
	for i := range s.knots {
		if math.Abs(s.knots[i].fromM-fromM) < math.Abs(s.knots[best].fromM-fromM) {
			best = i
		}
	}
	return &s.knots[best]
}

// lay puts the line straight downstream on the surface, going with the float.
func (s *sinker) lay() {
	x := 0.0
	for i := range s.knots {
		x += s.knots[i].lengthM
		s.knots[i].at, s.knots[i].v = vec{x, 0}, vec{}
	}
}

// water is how fast the water goes past the float at a depth.
func (s *sinker) water(zM float64) vec { return vec{s.current.speed(zM) - s.floatMPS, 0} }

// above is the place and speed of the end above knot i; the float for the first.
func (s *sinker) above(i int) (at, v vec) {
	if i == 0 {
		return vec{}, vec{}
	}
	return s.knots[i-1].at, s.knots[i-1].v
}

// stretch works out the spring and the drag of the line above knot i.
func (s *sinker) stretch(i int) {
	k := &s.knots[i]
	up, upV := s.above(i)
	d := k.at.plus(up, -1)
	length := math.Sqrt(d.dot(d))
	n := vec{0, 1}
	if length > 1e-12 {
		n = vec{d.x / length, d.z / length}
	}
	tension := stiffN * (length/k.lengthM - 1)
	if tension > 0 {
		k.pull = vec{-tension * n.x, -tension * n.z}
		k.k = along(n, stiffN/k.lengthM, tension/length)
	} else {
		k.pull, k.k = vec{}, sym{}
	}
	mid, midV := vec{(k.at.x + up.x) / 2, (k.at.z + up.z) / 2}, vec{(k.v.x + upV.x) / 2, (k.v.z + upV.z) / 2}
	k.drag, k.d = s.lineDrag(k, s.water(mid.z).plus(midV, -1), n)
}

// lineDrag is half the drag of a stretch along n in water that goes past it at w, and
// how that changes with either end's speed.
func (s *sinker) lineDrag(k *knot, w, n vec) (vec, sym) {
	if k.diameterM == 0 {
		return vec{}, sym{}
	}
	alongN := w.dot(n)
	across := w.plus(n, -alongN)
	speed := math.Sqrt(across.dot(across))
	cross, tangent := 0.0, 0.0 // N for each m/s
	if speed > 1e-9 {
		cross = k.lengthM * lineDragNPM(speed, k.diameterM, s.model.LineCd) / speed
	}
	if !s.model.NoTangent {
		tangent = k.lengthM * alongNSPM2(speed, k.diameterM)
	}
	f := vec{across.x*cross + n.x*alongN*tangent, across.z*cross + n.z*alongN*tangent}
	e := n
	if speed > 1e-9 {
		e = vec{across.x / speed, across.z / speed}
	}
	// Drag across goes about as the square of the speed, so it changes twice as fast;
	// drag along goes as the speed. In the plane, across is either e or nothing.
	return vec{f.x / 2, f.z / 2}, along(n, tangent/4, 0).plus(sym{e.x * e.x, e.x * e.z, e.z * e.z}, 2*cross/4)
}

// own is the force on a knot beside the line's, and how it changes with speed and
// with place.
func (s *sinker) own(k *knot) (f vec, byV, byAt sym) {
	f = vec{0, k.sinkN}
	w := s.water(k.at.z).plus(k.v, -1)
	speed := math.Sqrt(w.dot(w))
	for _, b := range k.beads {
		if speed < 1e-9 || b.DiameterM == 0 {
			continue
		}
		each := float64(max(b.Count, 1)) * sphereDragN(speed, b.DiameterM, s.model.BeadCd) / speed
		f = f.plus(w, each)
		n := vec{w.x / speed, w.z / speed}
		byV = byV.plus(along(n, 2*each, each), 1)
	}
	if over := k.at.z - s.current.DepthM; over > 0 {
		f.z -= floorNPM * over
		byAt.zz = floorNPM
	} else if k.at.z < 0 {
		f.z -= floorNPM * k.at.z
		byAt.zz = floorNPM
	}
	return f, byV, byAt
}

// step moves everything on by dt seconds. With F the force on a knot, V and K its
// decrease with speed and place, it solves
//
//	(m + dt·V + dt²·K)·dv = dt·(F − dt·K·v)
//
// for all knots at once: each is tied to its neighbours alone, so one sweep down and
// one back up do it.
func (s *sinker) step(dt float64) {
	for i := range s.knots {
		s.stretch(i)
	}
	for i := range s.knots {
		k := &s.knots[i]
		f, byV, byAt := s.own(k)
		_, upV := s.above(i)
		f = f.plus(k.pull, 1).plus(k.drag, 1)
		f = f.plus(k.k.times(k.v.plus(upV, -1)), -dt).plus(byAt.times(k.v), -dt)
		diag := sym{k.massKg, 0, k.massKg}.plus(byV.plus(k.d, 1), dt).plus(byAt.plus(k.k, 1), dt*dt)
		if i+1 < len(s.knots) {
			b := &s.knots[i+1]
			f = f.plus(b.pull, -1).plus(b.drag, 1).plus(b.k.times(k.v.plus(b.v, -1)), -dt)
			diag = diag.plus(b.d, dt).plus(b.k, dt*dt)
		}
		s.sweep(i, diag, sym{}.plus(k.d, dt).plus(k.k, -dt*dt), vec{f.x * dt, f.z * dt})
	}
	s.back()
	for i := range s.knots {
		k := &s.knots[i]
		k.v = k.v.plus(s.rows[i].dv, 1)
		k.at = k.at.plus(k.v, dt)
	}
	s.timeS += dt
}

// stride steps by dt or by as small a part of it as keeps the line whole, and gives
// the part. A step linearised where the line comes taut can throw a knot far along
// it; such a step is taken back and halved.
func (s *sinker) stride(dt float64) float64 {
	s.before = append(s.before[:0], s.knots...)
	start := s.timeS
	for {
		s.step(dt)
		if s.whole() || dt < leastS {
			return dt
		}
		copy(s.knots, s.before)
		s.timeS = start
		dt /= 2
	}
}

// leastS is the smallest step, s, and strainMost how far a stretch may be drawn: more
// than any rig pulls it and less than a throw.
const (
	leastS     = 1e-5
	strainMost = 0.003
)

func (s *sinker) whole() bool {
	for i := range s.knots {
		k := &s.knots[i]
		up, _ := s.above(i)
		d := k.at.plus(up, -1)
		if !(math.Sqrt(d.dot(d)) < k.lengthM*(1+strainMost)) {
			return false
		}
	}
	return true
}

// row is a knot's line of the equations once those above are out of it: its own
// matrix inverted, its tie to the knot above, and what it comes to.
type row struct {
	inverse, tie sym
	dv           vec
}

// sweep takes the knot above out of knot i's row.
func (s *sinker) sweep(i int, diag, tie sym, right vec) {
	if i > 0 {
		up := &s.rows[i-1]
		right = right.plus(tie.times(up.inverse.times(up.dv)), -1)
		diag = diag.plus(tie.around(up.inverse), -1)
	}
	s.rows[i] = row{diag.inverse(), tie, right}
}

// back puts the knots' changes of speed in, from the hook up.
func (s *sinker) back() {
	for i := len(s.rows) - 1; i >= 0; i-- {
		r := &s.rows[i]
		if i+1 < len(s.rows) {
			down := &s.rows[i+1]
			r.dv = r.dv.plus(down.tie.times(down.dv), -1)
		}
		r.dv = r.inverse.times(r.dv)
	}
}

// around is m·n·m.
func (m sym) around(n sym) sym {
	a, b := n.xx*m.xx+n.xz*m.xz, n.xx*m.xz+n.xz*m.zz
	c, d := n.xz*m.xx+n.zz*m.xz, n.xz*m.xz+n.zz*m.zz
	return sym{m.xx*a + m.xz*c, m.xx*b + m.xz*d, m.xz*b + m.zz*d}
}

func (m sym) inverse() sym {
	det := m.xx*m.zz - m.xz*m.xz
	return sym{m.zz / det, -m.xz / det, m.xx / det}
}
