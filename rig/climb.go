package rig

import "math"

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

	hookM float64
	s     float64 // metres of line from the hook
	from  float64 // where the steps of the span at hand are counted from, s or below
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
	w.start(hookM)
	return w.on(0, lengthM, toSurface)
}

func (w *climb) start(hookM float64) {
	w.hookM, w.s, w.from, w.at, w.done, w.trace = hookM, 0, 0, state{z: hookM}, false, w.trace[:0]
	w.note()
}

// on climbs on from where it is, by way of the beads from the given one up.
func (w *climb) on(bead int, lengthM float64, toSurface bool) state {
	for _, b := range w.line.Beads[bead:] {
		if b.AtM > lengthM {
			break
		}
		w.to(b.AtM, toSurface)
		if w.done {
			return w.at
		}
		w.hang(b, 0)
	}
	w.to(lengthM, toSurface)
	return w.at
}

// hang adds a bead's drag and its weight, less the share of it the bed carries.
func (w *climb) hang(b Bead, carried float64) {
	n := float64(max(b.Count, 1))
	w.at.h += n * sphereDragN(w.current.speed(w.at.z)-w.floatMPS, b.DiameterM, w.model.BeadCd)
	w.at.v += (1 - carried) * b.sinkN()
	w.ground()
}

// ground keeps the line on or above the bed.
func (w *climb) ground() {
	if w.at.z >= w.current.DepthM {
		w.at.z, w.at.v = w.current.DepthM, max(w.at.v, 0)
	}
}

// to climbs to s metres from the hook, changing lines at the loop.
func (w *climb) to(s float64, toSurface bool) {
	if loop := w.line.HookLengthM; w.s < loop {
		w.span(min(s, loop), w.line.HookLengthMM, toSurface)
	}
	w.from = min(max(w.from, w.line.HookLengthM), s)
	w.span(s, w.line.MainMM, toSurface)
}

// span climbs to s in equal steps, as many as there would be from where steps are
// counted from.
func (w *climb) span(s, mm float64, toSurface bool) {
	n := math.Ceil((s - min(w.from, w.s)) / w.stepM * (1 - 1e-9))
	if n < 1 || s <= w.s || w.done {
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
		w.ground()
		w.note()
	}
	w.s, w.from = s, s
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

// shape is what the float sees of the last climb.
func (w *climb) shape() Shape {
	s := Shape{
		TiltDeg:    math.Atan2(w.at.h, w.at.v) * 180 / math.Pi,
		HookDepthM: w.hookM, AheadM: -w.at.x, LengthM: w.s,
		TensionN: math.Hypot(w.at.h, w.at.v),
	}
	if w.keep {
		s.Points = make([]Point, 0, len(w.trace))
	}
	for i := len(w.trace) - 1; i >= 0; i-- {
		s.Points = append(s.Points, Point{XM: w.trace[i].x - w.at.x, ZM: min(w.trace[i].z-w.at.z, w.current.DepthM)})
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
	across, along := lineForces(math.Abs(u*cos), mm/1000, w.model.LineCd)
	across = math.Copysign(across, u*cos)
	along *= u * sin
	if w.model.NoTangent {
		along = 0
	}
	return state{-sin, -cos, across*cos + along*sin, w.line.SinkNPM - across*sin + along*cos}
}
