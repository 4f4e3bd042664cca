package rig

import (
	"errors"
	"math"
)

// Settling is a rig's way from the cast to its fishing depth.
type Settling struct {
	T80S, T95S float64 // time to 80 and 95 % of the final depth of the hook
	Run80M     float64 // how far the float has run over the bed by then
	Run95M     float64
	RestS      float64 // when it came to rest, or the end of the reckoning
	Rest       bool    // whether it came to rest
	TimesS     []float64
	Paths      [][]Point // where each bead was at those times, from the float
	Final      Shape
	FinalRunM  float64 // how far the float has run at the end
}

// SettleMostS is how long a settling is reckoned for at the most, s: rigs in 1.2 to
// 4 m at 0.3 to 1 m/s are at rest by then, nearly all; in slower water one may not
// be, though it is long where it will fish.
const SettleMostS = 300

// ErrUnsettled is a settling whose sums ran away; it is not known to happen.
var ErrUnsettled = errors.New("the settling of this rig cannot be reckoned")

// Settle reckons how setM metres of line with its beads sink from the cast to
// where they fish, below a float that runs at floatMPS from the start. The line
// starts straight along the surface, downstream of the float and at its speed: a
// cast is checked as it lands, so that the hook flies furthest, the line is laid
// out and nothing tangles, and on a river it is made downstream so that the water
// does not carry hook and line back into the float.
//
// The line is masses joined by stiff springs that pull and do not push, at least
// five between neighbouring weights; a sphere carries half the water it displaces
// along (added mass one half), the line all of it. Drag is that of [Steady], on
// each length between masses by the speed at its middle. A time step solves
// (M − dt·∂F/∂v − dt²·∂F/∂x)·Δv = dt·(F + dt·∂F/∂x·v) once, which is one block-
// tridiagonal system of 2×2 blocks (linearly implicit Euler), with steps of a
// fortieth of the time gone by, from 0.01 to 0.5 s, shorter where a mass would go
// over about 5 cm in one or a length be stretched by a tenth. The bed is a floor
// without friction, the surface holds nothing up.
//
// The reckoning ends at rest, every mass slower than 1e−5 m/s beside the float,
// or after SettleMostS, or, for a rig that keeps flying about in water no float is
// fished in, after 4,000 steps; Rest says which. The tilt is that of the force on
// the float: the top length's pull with half its drag and weight. Model.StepM is
// the longest length between masses here. Arguments and errors are those of
// [Steady]; a projected model is an error, and there must be a weight that sinks,
// or ErrSlack.
func Settle(c Current, floatMPS, setM float64, l Line, m Model) (Settling, error) {
	f, err := newFall(c, floatMPS, setM, l, m)
	if err != nil {
		return Settling{}, err
	}
	return f.settle(SettleMostS, restMPS)
}

// The steps in time, s, and the speed that counts as rest, m/s.
const (
	leastStepS = 0.01
	mostStepS  = 0.5
	stepShare  = 1.0 / 40
	restMPS    = 1e-5
	briefestS  = 5e-4
	mostStrain = 0.1 // of a length in a step; steps that would stretch one more are cut
	recoilMPS  = 0.1
	damping    = 0.3  // of slack line: this share of the weight at 1 m/s
	mostTries  = 4000 // steps, with those taken back; rigs in rivers take up to 1,100
	mostMPS    = 20   // faster than anything here goes
	strideM    = 0.05 // the fastest mass moves about so far in a step
	samples    = 60   // of the paths
)

// newFall checks the arguments and lays the line on the water.
func newFall(c Current, floatMPS, setM float64, l Line, m Model) (*fall, error) {
	if err := checkSteady(c, floatMPS, setM, l, m); err != nil {
		return nil, err
	}
	if m.Projected {
		return nil, errors.New("a settling is reckoned with drag on the line's own length, not on its projection")
	}
	if m.StepM > 0 {
		if err := inRange("step", m.StepM, setM/mostNodes, 20, "m"); err != nil {
			return nil, err
		}
	}
	f := &fall{current: c, floatMPS: floatMPS, model: m}
	f.lay(l, setM)
	if f.weightN <= 0 {
		return nil, ErrSlack
	}
	return f, nil
}

// settle runs for at most so many seconds or until all is slower than restMPS.
func (f *fall) settle(mostS, restMPS float64) (Settling, error) {
	r := newRecord(f, mostS)
	for dt, fastest := leastStepS, 0.0; f.timeS < mostS; {
		dt = min(max(leastStepS, min(f.timeS*stepShare, strideM/fastest)), 2*dt, mostStepS, mostS-f.timeS+1e-9)
		dt, fastest = f.stepWithin(dt)
		if f.tries > mostTries {
			break
		}
		r.note(f)
		if math.IsNaN(fastest) {
			return Settling{}, ErrUnsettled
		}
		if fastest < restMPS && f.timeS > 1 {
			r.rest = true
			break
		}
	}
	return r.settling(f), nil
}

// record is what is kept of a fall.
type record struct {
	timesS, hookM []float64 // every step
	keptS         []float64 // the samples
	kept          []Point   // bead by bead within each sample
	everyS        float64
	rest          bool
}

func newRecord(f *fall, mostS float64) *record {
	steps := 400 + int(mostS/mostStepS)
	r := &record{
		timesS: make([]float64, 0, steps), hookM: make([]float64, 0, steps),
		keptS: make([]float64, 0, samples+2), kept: make([]Point, 0, (samples+2)*len(f.beadAt)),
		everyS: mostS,
	}
	r.note(f)
	r.keep(f)
	return r
}

// note keeps the hook's depth, and the beads' places where a sample is due: the
// nth at (n/samples)² of the longest time, closest together at the start.
func (r *record) note(f *fall) {
	r.timesS = append(r.timesS, f.timeS)
	r.hookM = append(r.hookM, f.pos[len(f.pos)-1].y)
	due := float64(len(r.keptS)) / samples
	if len(r.keptS) > 0 && f.timeS >= r.everyS*due*due {
		r.keep(f)
	}
}

func (r *record) keep(f *fall) {
	r.keptS = append(r.keptS, f.timeS)
	for _, node := range f.beadAt {
		r.kept = append(r.kept, Point{XM: f.pos[node].x, ZM: f.pos[node].y})
	}
}

// settling sums a finished fall up.
func (r *record) settling(f *fall) Settling {
	if r.keptS[len(r.keptS)-1] < f.timeS {
		r.keep(f)
	}
	s := Settling{RestS: f.timeS, Rest: r.rest, TimesS: r.keptS, Final: f.shape(), FinalRunM: f.floatMPS * f.timeS}
	s.T80S, s.T95S = r.reached(0.8*s.Final.HookDepthM), r.reached(0.95*s.Final.HookDepthM)
	s.Run80M, s.Run95M = f.floatMPS*s.T80S, f.floatMPS*s.T95S
	n := len(f.beadAt)
	s.Paths = make([][]Point, n)
	all := make([]Point, 0, n*len(r.keptS))
	for b := range n {
		for k := range r.keptS {
			all = append(all, r.kept[k*n+b])
		}
		s.Paths[b] = all[len(all)-len(r.keptS):]
	}
	return s
}

// reached is when the hook first was at a depth, straight between steps.
func (r *record) reached(depthM float64) float64 {
	for i, z := range r.hookM[1:] {
		if z >= depthM {
			part := (depthM - r.hookM[i]) / (z - r.hookM[i])
			return r.timesS[i] + part*(r.timesS[i+1]-r.timesS[i])
		}
	}
	return r.timesS[len(r.timesS)-1]
}

// shape is the line as it lies, from the float down.
func (f *fall) shape() Shape {
	hook := f.pos[len(f.pos)-1]
	pull := f.onFloat()
	s := Shape{
		TiltDeg: math.Atan2(pull.x, pull.y) * 180 / math.Pi, HookDepthM: min(hook.y, f.current.DepthM),
		AheadM: hook.x, LengthM: f.setM, TensionN: math.Hypot(pull.x, pull.y),
		Points: make([]Point, len(f.pos)),
	}
	for i, p := range f.pos {
		s.Points[i] = Point{XM: p.x, ZM: min(p.y, f.current.DepthM)}
	}
	return s
}
