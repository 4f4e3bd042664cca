package rig

import "math"

// vec is a pair, x downstream and y down.
type vec struct{ x, y float64 }

func (a vec) plus(b vec) vec    { return vec{a.x + b.x, a.y + b.y} }
func (a vec) less(b vec) vec    { return vec{a.x - b.x, a.y - b.y} }
func (a vec) by(k float64) vec  { return vec{k * a.x, k * a.y} }
func (a vec) dot(b vec) float64 { return a.x*b.x + a.y*b.y }
func (a vec) long() float64     { return math.Sqrt(a.x*a.x + a.y*a.y) }
func (a vec) across() vec       { return vec{a.y, -a.x} }

// sym is a symmetric 2×2 matrix.
type sym struct{ xx, xy, yy float64 }

func (m sym) of(a vec) vec { return vec{m.xx*a.x + m.xy*a.y, m.xy*a.x + m.yy*a.y} }

// along is k along a unit vector and n across it.
func along(t vec, k, n float64) sym {
	return sym{k*t.x*t.x + n*t.y*t.y, (k - n) * t.x * t.y, k*t.y*t.y + n*t.x*t.x}
}

// length is a length of line between two masses.
type length struct {
	longM, diameterM float64
	stiffNPM         float64
	t                vec     // unit, from the upper mass to the lower
	pullN            float64 // last step
	drag             vec     // on all of it, last step
}

// fall is a line on its way down, in the frame of its float, which is mass 0 and
// stays where it is.
type fall struct {
	current  Current
	floatMPS float64
	model    Model
	fine     int // times as many lengths as there have to be; 0 is taken as 1
	setM     float64
	weightN  float64 // of all that sinks
	floorNPM float64
	timeS    float64
	tries    int

	pos, vel []vec
	wasPos   []vec // before the step, to take it back
	wasVel   []vec
	massKg   []float64 // with the water carried along
	sinkN    []float64
	lengths  []length // one fewer: i joins masses i and i+1
	beads    []Bead   // in order from the hook
	beadAt   []int    // their masses

	diag, down []full // of the system, and what couples i to i+1
	force      []vec
}

// mostNodes is the most masses a step asked for may ask for over the length.
const mostNodes = 500

// perSpan is the fewest lengths between neighbouring weights.
const perSpan = 5

// lay puts the line straight along the surface, downstream, with its beads.
func (f *fall) lay(l Line, setM float64) {
	f.setM = setM
	for _, b := range l.Beads {
		if b.AtM <= setM {
			f.beads = append(f.beads, b)
		}
	}
	marks := f.marks(l)
	step := f.model.StepM
	if step == 0 {
		step = min(setM/32, 0.15)
	}
	n := 1
	for i := 1; i < len(marks); i++ {
		n += f.pieces(marks[i]-marks[i-1], step)
	}
	f.make(n)
	f.place(l, marks, step)
	f.load(l)
}

// marks are the places from the hook up where lengths must end: the hook, the
// weights, the loop and the float. Places within a millimetre are one.
func (f *fall) marks(l Line) []float64 {
	out := make([]float64, 1, len(f.beads)+3)
	loop := l.HookLengthM
	add := func(at float64) {
		if at > out[len(out)-1]+sameM {
			out = append(out, at)
		}
	}
	for _, b := range f.beads {
		if loop < b.AtM {
			add(loop)
			loop = math.Inf(1)
		}
		add(b.AtM)
	}
	if loop < f.setM-sameM {
		add(loop)
	}
	if last := len(out) - 1; last > 0 && f.setM-out[last] <= sameM {
		out = out[:last]
	}
	return append(out, f.setM)
}

const sameM = 1e-3

// pieces is how many lengths a span is cut into.
func (f *fall) pieces(spanM, stepM float64) int {
	return max(f.fine, 1) * max(perSpan, int(math.Ceil(spanM/stepM-1e-9)))
}

func (f *fall) make(n int) {
	vecs := make([]vec, 5*n)
	f.pos, f.vel, f.force = vecs[:n:n], vecs[n:2*n:2*n], vecs[2*n:3*n]
	f.wasPos, f.wasVel = vecs[3*n:4*n], vecs[4*n:]
	floats := make([]float64, 2*n)
	f.massKg, f.sinkN = floats[:n:n], floats[n:]
	blocks := make([]full, 2*n)
	f.diag, f.down = blocks[:n:n], blocks[n:]
	f.lengths = make([]length, n-1)
	f.beadAt = make([]int, len(f.beads))
}

// place puts the masses along the surface and the lengths between them.
func (f *fall) place(l Line, marks []float64, step float64) {
	i := len(f.pos) - 1
	f.pos[i] = vec{f.setM, 0}
	for k := 1; k < len(marks); k++ {
		n := f.pieces(marks[k]-marks[k-1], step)
		mm := l.MainMM
		if (marks[k]+marks[k-1])/2 < l.HookLengthM {
			mm = l.HookLengthMM
		}
		for j := 1; j <= n; j++ {
			i--
			at := marks[k-1] + (marks[k]-marks[k-1])*float64(j)/float64(n)
			f.pos[i] = vec{f.setM - at, 0}
			f.lengths[i] = length{longM: f.pos[i+1].x - f.pos[i].x, diameterM: mm / 1000, t: vec{1, 0}}
		}
	}
	f.pos[0] = vec{}
}

// load gives the masses their weight and mass, and the springs and the floor a
// stiffness by the weight of all: at rest a spring gives a ten-thousandth and
// the floor a tenth of a millimetre.
func (f *fall) load(l Line) {
	const half = 0.5
	for i := range f.lengths {
		f.burden(i, f.lengths[i], l.SinkNPM*half)
		f.burden(i+1, f.lengths[i], l.SinkNPM*half)
	}
	node := len(f.pos) - 1
	for i, b := range f.beads {
		for node > 0 && f.setM-f.pos[node].x < b.AtM-sameM {
			node--
		}
		f.beadAt[i] = node
		n := float64(max(b.Count, 1))
		water := waterKgM3 * math.Pi / 6 * b.DiameterM * b.DiameterM * b.DiameterM
		f.massKg[node] += n * (max(b.SinkN/gravityMPS2+water, 0) + half*water)
		f.sinkN[node] += n * b.SinkN
	}
	for _, n := range f.sinkN[1:] {
		f.weightN += max(n, 0)
	}
	for i := range f.lengths {
		f.lengths[i].stiffNPM = 1e4 * f.weightN / f.lengths[i].longM
	}
	f.floorNPM = f.weightN / 1e-4
}

// burden gives a mass half of a length: its own mass and all the water it
// displaces, and next to nothing more so that nothing has none.
func (f *fall) burden(i int, seg length, halfNPM float64) {
	water := waterKgM3 * math.Pi / 4 * seg.diameterM * seg.diameterM
	f.massKg[i] += seg.longM * (max(halfNPM/gravityMPS2+water/2, 0) + water/2 + 1e-8)
	f.sinkN[i] += seg.longM * halfNPM
}
