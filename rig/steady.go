package rig

import (
	"errors"
	"fmt"
	"math"
)

// Current is the water a line hangs in. The speed at a height η·depth above the
// bed is SurfaceMPS·η^(1/Power).
type Current struct {
	DepthM     float64
	SurfaceMPS float64
	Power      float64 // 6 in a river; 0: the same speed at every depth
	// BedM is the height above the bed below which the speed falls no further:
	// a bait among the stones still moves with what runs over them.
	BedM float64
}

// River is the current used for rigs: sixth-power, rough for 3 cm.
func River(depthM, surfaceMPS float64) Current {
	return Current{DepthM: depthM, SurfaceMPS: surfaceMPS, Power: 6, BedM: 0.03}
}

// speed in m/s at zM below the surface.
func (c Current) speed(zM float64) float64 {
	switch c.Power {
	case 0:
		return c.SurfaceMPS
	case 6:
		return c.SurfaceMPS * math.Cbrt(math.Sqrt(c.eta(zM)))
	}
	return c.SurfaceMPS * math.Pow(c.eta(zM), 1/c.Power)
}

func (c Current) eta(zM float64) float64 {
	return max(min(1-zM/c.DepthM, 1), c.BedM/c.DepthM, 0)
}

// Bead is a weight on a line, or at AtM 0 the hook and bait: a sphere.
type Bead struct {
	AtM       float64 // from the hook
	SinkN     float64 // weight in water
	DiameterM float64 // 0: no drag
	Count     int     // 0 is taken as 1
}

// Line is a line with its beads, which are in order from the hook up.
type Line struct {
	HookLengthM  float64
	HookLengthMM float64
	MainMM       float64
	SinkNPM      float64 // weight in water of a metre
	Beads        []Bead
}

// Model is how drag is reckoned. Its zero value is the full model: drag along
// the line's normal by the speed across it, coefficients by Reynolds number.
// The switches exist to be checked against closed forms.
type Model struct {
	LineCd    float64 // 0: CylinderCd
	BeadCd    float64 // 0: SphereCd
	Projected bool    // horizontal drag on the line's projected length instead
	StepM     float64 // longest step along the line; 0: a thirtieth of the length, 0.12 m at most
}

// Shape is a line at rest in a current, as the float sees it.
type Shape struct {
	TiltDeg    float64 // off the vertical at the float, downstream positive
	HookDepthM float64
	AheadM     float64 // hook downstream of the float
	LengthM    float64
	TensionN   float64 // at the float
	Points     []Point // from the float down to the hook
}

// ErrSlack is a line too light to be held down by its weights.
var ErrSlack = errors.New("the weights are too light to hold the line down in this current")

// Steady is the shape of setM metres of line below a float that travels at
// floatMPS. It integrates d(H, V)/ds = normal drag + weight and
// d(x, z)/ds = −(H, V)/T from the hook up by Runge-Kutta steps, for the depth of
// hook that brings the upper end to the surface, found by a secant. setM is from
// 0.05 to 20 m and speeds to 5 m/s; outside them, and for anything not finite, a
// RangeError; ErrSlack where no such shape is found.
func Steady(c Current, floatMPS, setM float64, l Line, m Model) (Shape, error) {
	if err := checkSteady(c, floatMPS, setM, l, m); err != nil {
		return Shape{}, err
	}
	w := newClimb(c, floatMPS, l, m, setM)
	w.keep = true
	hook, top := setM, w.run(setM, setM, false)
	slope := 1.0
	for range 40 {
		if math.Abs(top.z) < closeM {
			return w.shape(hook, top), nil
		}
		move := -top.z / slope
		hook += move
		next := w.run(hook, setM, false)
		slope = min(max((next.z-top.z)/move, 0.2), 5)
		top = next
	}
	return Shape{}, ErrSlack
}

// closeM is how near the surface the upper end has to come.
const closeM = 1e-6

// Reach is the shape of the line whose hook is hookM below the surface, however
// long it has to be, up to mostM. Arguments and errors are those of Steady.
func Reach(c Current, floatMPS, hookM, mostM float64, l Line, m Model) (Shape, error) {
	if err := checkSteady(c, floatMPS, mostM, l, m); err != nil {
		return Shape{}, err
	}
	if err := inRange("hook's depth", hookM, 0.05, 20, "m"); err != nil {
		return Shape{}, err
	}
	w := newClimb(c, floatMPS, l, m, hookM)
	return w.reach(hookM, mostM)
}

func (w *climb) reach(hookM, mostM float64) (Shape, error) {
	top := w.run(hookM, mostM, true)
	if top.z > 1e-6 {
		return Shape{}, ErrSlack
	}
	return w.shape(hookM, top), nil
}

func checkSteady(c Current, floatMPS, setM float64, l Line, m Model) error {
	err := firstError(
		inRange("length", setM, 0.05, 20, "m"), inRange("depth", c.DepthM, 0.05, 50, "m"),
		inRange("surface speed", c.SurfaceMPS, 0, 5, "m/s"), inRange("float's speed", floatMPS, 0, 5, "m/s"),
		inRange("power", c.Power, 0, 100, ""), inRange("bed height", c.BedM, 0, 1, "m"),
		inRange("hook length", l.HookLengthM, 0, 20, "m"), inRange("hook length", l.HookLengthMM, 0, 5, "mm"),
		inRange("main line", l.MainMM, 0, 5, "mm"), inRange("line's weight", l.SinkNPM, -1, 10, "N/m"),
		inRange("line drag coefficient", m.LineCd, 0, 100, ""), inRange("bead drag coefficient", m.BeadCd, 0, 100, ""),
		inRange("step", m.StepM, 0, 20, "m"),
	)
	last := 0.0
	for i, b := range l.Beads {
		if bad := b.check(last); bad != nil {
			return fmt.Errorf("bead %d: %w", i+1, bad)
		}
		last = b.AtM
	}
	return err
}

// check says what is wrong with a bead that follows one at lowM.
func (b Bead) check(lowM float64) error {
	return firstError(
		inRange("place", b.AtM, lowM, 20, "m"), inRange("weight in water", b.SinkN, -1, 10, "N"),
		inRange("diameter", b.DiameterM, 0, 0.2, "m"), inRange("count", float64(b.Count), 0, 1000, ""))
}

// state is a place on the line with the force of all below it: h downstream, v
// down.
type state struct{ x, z, h, v float64 }

// climb walks a line from the hook up.
type climb struct {
	current  Current
	floatMPS float64
	line     Line
	model    Model
	stepM    float64
	keep     bool // whether to keep the trace

	s     float64 // metres of line from the hook
	at    state
	done  bool // it has come to the surface
	trace []state
}

func newClimb(c Current, floatMPS float64, l Line, m Model, lengthM float64) *climb {
	step := m.StepM
	if step == 0 {
		step = min(lengthM/30, 0.12)
	}
	return &climb{current: c, floatMPS: floatMPS, line: l, model: m, stepM: step}
}

// run climbs from a hook hookM below the surface along lengthM of line or, where
// it is to stop there, to the surface.
func (w *climb) run(hookM, lengthM float64, toSurface bool) state {
	w.s, w.at, w.done, w.trace = 0, state{z: hookM}, false, w.trace[:0]
	w.note()
	for _, b := range w.line.Beads {
		if b.AtM > lengthM {
			break
		}
		w.to(b.AtM, toSurface)
		if w.done {
			return w.at
		}
		w.hang(b)
	}
	w.to(lengthM, toSurface)
	return w.at
}

// hang adds a bead's weight and drag.
func (w *climb) hang(b Bead) {
	n := float64(max(b.Count, 1))
	w.at.h += n * sphereDragN(w.current.speed(w.at.z)-w.floatMPS, b.DiameterM, w.model.BeadCd)
	w.at.v += n * b.SinkN
}

// to climbs to s metres from the hook, changing lines at the loop.
func (w *climb) to(s float64, toSurface bool) {
	if loop := w.line.HookLengthM; w.s < loop {
		w.span(min(s, loop), w.line.HookLengthMM, toSurface)
	}
	w.span(s, w.line.MainMM, toSurface)
}

func (w *climb) span(s, mm float64, toSurface bool) {
	n := math.Ceil((s - w.s) / w.stepM * (1 - 1e-9))
	if n < 1 || w.done {
		return
	}
	ds := (s - w.s) / n
	for range int(n) {
		next := w.step(w.at, ds, mm)
		if toSurface && next.z <= 0 {
			w.surface(next, ds, mm)
			return
		}
		w.at, w.s = next, w.s+ds
		w.note()
	}
	w.s = s
}

// surface takes the last step, of a length that ends at the surface.
func (w *climb) surface(next state, ds, mm float64) {
	part := ds
	for range 4 {
		part *= w.at.z / (w.at.z - next.z)
		next = w.step(w.at, part, mm)
	}
	w.at, w.s, w.done = next, w.s+part, true
	w.note()
}

func (w *climb) note() {
	if w.keep {
		w.trace = append(w.trace, w.at)
	}
}

// shape is what the float sees of a climb that ended at top.
func (w *climb) shape(hookM float64, top state) Shape {
	s := Shape{
		TiltDeg:    math.Atan2(top.h, top.v) * 180 / math.Pi,
		HookDepthM: hookM, AheadM: -top.x, LengthM: w.s,
		TensionN: math.Hypot(top.h, top.v),
	}
	for i := len(w.trace) - 1; i >= 0; i-- {
		s.Points = append(s.Points, Point{XM: w.trace[i].x - top.x, ZM: w.trace[i].z - top.z})
	}
	return s
}

// step is one fourth-order Runge-Kutta step of ds metres.
func (w *climb) step(a state, ds, mm float64) state {
	k1 := w.rate(a, mm)
	k2 := w.rate(a.plus(k1, ds/2), mm)
	k3 := w.rate(a.plus(k2, ds/2), mm)
	k4 := w.rate(a.plus(k3, ds), mm)
	return a.plus(k1, ds/6).plus(k2, ds/3).plus(k3, ds/3).plus(k4, ds/6)
}

func (a state) plus(k state, by float64) state {
	return state{a.x + by*k.x, a.z + by*k.z, a.h + by*k.h, a.v + by*k.v}
}

// rate is the change of state a metre up the line.
func (w *climb) rate(a state, mm float64) state {
	sin, cos := 0.0, 1.0
	if t := math.Sqrt(a.h*a.h + a.v*a.v); t > 1e-12 {
		sin, cos = a.h/t, a.v/t
	}
	u := w.current.speed(a.z) - w.floatMPS
	if w.model.Projected {
		d := lineDragNPM(math.Abs(u), mm/1000, w.model.LineCd)
		return state{-sin, -cos, math.Copysign(d, u) * math.Abs(cos), w.line.SinkNPM}
	}
	d := math.Copysign(lineDragNPM(math.Abs(u*cos), mm/1000, w.model.LineCd), u*cos)
	return state{-sin, -cos, d * cos, w.line.SinkNPM - d*sin}
}
