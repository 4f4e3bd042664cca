package rig

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

const exact = 1e-4 // relative, against closed forms

// across is a line of given drag, in N for each metre across 1 m/s, as a
// constant coefficient.
func across(dragNPM float64) (mm float64, m Model) {
	return 0.1, Model{LineCd: dragNPM / (waterKgM3 / 2 * 1e-4), NoTangent: true, StepM: 0.001}
}

func TestTowedLine(t *testing.T) {
	// Derived: cos φ = (−q + √(q²+4))/2 from the flow, q weight over normal drag.
	for _, c := range []struct{ q, deg float64 }{
		{0.1, 17.964236}, {0.5, 38.668282}, {1, 51.827292}, {2, 65.530199},
	} {
		mm, m := across(0.05)
		l := Line{MainMM: mm, SinkNPM: c.q * 0.05, Beads: []Bead{{SinkN: c.q * 0.05 * 0.01}}}
		s, err := Reach(Current{DepthM: 6, SurfaceMPS: 1}, 0, 5.9, 20, l, m)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint("q ", c.q), 90-s.TiltDeg, c.deg, exact)
	}
}

func TestWeightlessLineInUniformCurrent(t *testing.T) {
	// Derived: y = a·asinh(s/a), x = a(√(1+s²/a²) − 1), T constant, a = T/R.
	mm, m := across(0.05)
	l := Line{MainMM: mm, Beads: []Bead{{SinkN: 0.1}}}
	s, err := Steady(Current{DepthM: 3, SurfaceMPS: 1}, 0, 3, l, m)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "depth", s.HookDepthM, 2.389526, exact)
	near(t, "ahead", s.AheadM, 1.605551, exact)
	near(t, "from the flow", 90-s.TiltDeg, 33.690, exact)
	near(t, "tension", s.TensionN, 0.1, exact)
}

func TestHeavyLineInUniformCurrent(t *testing.T) {
	// Derived, with w .02 and R .04 N/m and .05 N at the bottom.
	for _, c := range []struct{ s, x, y, tension float64 }{
		{1, 0.292380, 0.944905, 0.068898}, {5, 3.033956, 3.835832, 0.126717},
	} {
		mm, m := across(0.04)
		l := Line{MainMM: mm, SinkNPM: 0.02, Beads: []Bead{{SinkN: 0.05}}}
		s, err := Steady(Current{DepthM: 6, SurfaceMPS: 1}, 0, c.s, l, m)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "x", s.AheadM, c.x, exact)
		near(t, "y", s.HookDepthM, c.y, exact)
		near(t, "T", s.TensionN, c.tension, exact)
	}
}

// threeShots hangs lead shot of 0.4, 0.8 and 1.6 g at depths of 1.9, 1.4 and
// 0.8 m on a weightless 0.15 mm line in 2 m of water held still at the top.
func threeShots(t *testing.T, surfaceMPS float64, m Model) Shape {
	t.Helper()
	c := Current{DepthM: 2, SurfaceMPS: surfaceMPS, Power: 6}
	l := Line{MainMM: 0.15, Beads: []Bead{leadBead(0.4, 1, 0)}}
	for _, next := range []struct{ g, zM float64 }{{0.8, 1.4}, {1.6, 0.8}} {
		w := newClimb(c, 0, l, m, 2)
		at := bisect(func(s float64) float64 { return next.zM - w.run(1.9, s, false).z }, 0, 4, 45)
		l.Beads = append(l.Beads, leadBead(next.g, 1, at))
	}
	s, err := Reach(c, 0, 1.9, 6, l, m)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestShotsInAPowerLawCurrent(t *testing.T) {
	// Derived in closed form with drag on the projected length, for a density of
	// 1000, which the coefficients here carry.
	dense := 1000 / waterKgM3
	m := Model{LineCd: 1.2 * dense, BeadCd: 0.44 * dense, Projected: true, StepM: 0.002}
	s := threeShots(t, 0.2, m)
	rad := s.TiltDeg * math.Pi / 180
	// The vertical pull is taken from handbook densities: 11.34 for lead.
	near(t, "H", s.TensionN*math.Sin(rad), 0.005707486, exact)
	near(t, "V", s.TensionN*math.Cos(rad), 0.025037225, exact)
	near(t, "x", s.AheadM, 0.315904, exact)
	near(t, "tilt at .2", s.TiltDeg, 12.84, 5e-4) // given to four figures
	near(t, "tilt at .4", threeShots(t, 0.4, m).TiltDeg, 42.36, 2e-4)
}

func TestFullModelOfThreeShots(t *testing.T) {
	// Derived: normal drag on the true angle. The same shot, but as far up the
	// line as they are apart in depth above: 0, 0.5 and 1.1 m from the lowest.
	dense := 1000 / waterKgM3
	m := Model{LineCd: 1.2 * dense, BeadCd: 0.44 * dense, NoTangent: true, StepM: 0.002}
	l := Line{MainMM: 0.15, Beads: []Bead{leadBead(0.4, 1, 0), leadBead(0.8, 1, 0.5), leadBead(1.6, 1, 1.1)}}
	s, err := Reach(Current{DepthM: 2, SurfaceMPS: 0.2, Power: 6}, 0, 1.9, 6, l, m)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length", s.LengthM, 1.928393, exact)
	near(t, "x", s.AheadM, 0.313137, exact)
	near(t, "T", s.TensionN, 0.024788, exact)
}

func TestTensionIsWeightTimesHeight(t *testing.T) {
	// Derived: with no tangential drag, in any current, newtons.
	l := Line{MainMM: 0.3, SinkNPM: 0.05, Beads: []Bead{{SinkN: 0.02}}}
	for _, c := range []Current{River(2, 0.8), {DepthM: 3, SurfaceMPS: 1.2}, {DepthM: 2.5, SurfaceMPS: 1, RoughM: 0.01}} {
		for _, floatMPS := range []float64{0, 0.5, c.SurfaceMPS} {
			s, err := Steady(c, floatMPS, 1.9, l, Model{NoTangent: true, StepM: 0.001})
			if err != nil {
				t.Fatal(err)
			}
			if off := s.TensionN - 0.02 - 0.05*s.HookDepthM; math.Abs(off) > 1e-6 {
				t.Errorf("%+v, float at %g: off by %g N", c, floatMPS, off)
			}
		}
	}
}

func TestStillWaterHangsPlumb(t *testing.T) {
	l := Line{MainMM: 0.2, Beads: []Bead{leadBead(1, 1, 0.3)}}
	s, err := Steady(River(2, 0), 0, 1.5, l, Model{})
	if err != nil {
		t.Fatal(err)
	}
	if s.TiltDeg != 0 || s.AheadM != 0 || math.Abs(s.HookDepthM-1.5) > 1e-6 {
		t.Errorf("still water: %+v", s)
	}
}

// TestStepIsFineEnough holds the default step against one seventy times finer.
func TestStepIsFineEnough(t *testing.T) {
	for _, p := range Patterns() {
		for _, w := range []Water{{DepthM: 0.5, PaceMPS: 1.5}, {DepthM: 1.83, PaceMPS: 0.8}, {DepthM: 6, PaceMPS: 0.6}} {
			pl := newPlan(p, w.known(), Aim{})
			l := pl.line(pl.outline(4))
			a, errA := Steady(River(w.DepthM, w.PaceMPS), 0.7*w.PaceMPS, 1.03*w.DepthM, l, Model{})
			b, errB := Steady(River(w.DepthM, w.PaceMPS), 0.7*w.PaceMPS, 1.03*w.DepthM, l, Model{StepM: w.DepthM / 2000})
			if errA != nil || errB != nil {
				t.Fatal(errA, errB)
			}
			if math.Abs(a.TiltDeg-b.TiltDeg) > 0.05 || math.Abs(a.HookDepthM-b.HookDepthM) > 0.003 || math.Abs(a.AheadM-b.AheadM) > 0.005 {
				t.Errorf("%s in %g m: %.3f° %.4f %.4f, finer %.3f° %.4f %.4f", p.ID, w.DepthM,
					a.TiltDeg, a.HookDepthM, a.AheadM, b.TiltDeg, b.HookDepthM, b.AheadM)
			}
		}
	}
}

func TestReachAndSteadyAgree(t *testing.T) {
	pl := newPlan(Patterns()[0], Water{DepthM: 2.5, PaceMPS: 0.8}.known(), Aim{})
	l := pl.line(pl.outline(4))
	a, err := Reach(River(2.5, 0.8), 0.56, 2.4, 5, l, Model{StepM: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Steady(River(2.5, 0.8), 0.56, a.LengthM, l, Model{StepM: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "depth", b.HookDepthM, 2.4, exact)
	near(t, "tilt", b.TiltDeg, a.TiltDeg, exact)
}

func TestSteadyErrors(t *testing.T) {
	l := Line{MainMM: 0.2, Beads: []Bead{leadBead(1, 1, 0)}}
	nan := math.NaN()
	for name, f := range map[string]func() error{
		"length NaN": func() error { _, e := Steady(River(2, 1), 0, nan, l, Model{}); return e },
		"speed +Inf": func() error { _, e := Steady(River(2, math.Inf(1)), 0, 2, l, Model{}); return e },
		"depth -1":   func() error { _, e := Steady(River(-1, 1), 0, 2, l, Model{}); return e },
		"float -1":   func() error { _, e := Steady(River(2, 1), -1, 2, l, Model{}); return e },
		"bead NaN": func() error {
			_, e := Steady(River(2, 1), 0, 2, Line{MainMM: 0.2, Beads: []Bead{{SinkN: nan}}}, Model{})
			return e
		},
		"reach depth": func() error { _, e := Reach(River(2, 1), 0, nan, 3, l, Model{}); return e },
	} {
		var r *RangeError
		if err := f(); !errors.As(err, &r) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Reach(River(2, 1), 0, 2, 4, Line{MainMM: 0.3, Beads: []Bead{leadBead(0.01, 1, 0)}}, Model{}); !errors.Is(err, ErrSlack) {
		t.Errorf("a line too light: %v", err)
	}
}

func FuzzSteady(f *testing.F) {
	f.Add(2.0, 0.8, 0.56, 2.1, 1.0, 0.0, 0.001, 0.0)
	f.Add(0.4, 1.6, 0.0, 0.4, 0.001, 0.0, -0.01, 0.0)
	f.Add(1.0, 0.0, 0.0, 3.0, 1.0, 0.01, 0.0, 0.2)
	f.Fuzz(func(t *testing.T, depthM, paceMPS, floatMPS, setM, massG, roughM, sinkNPM, clearM float64) {
		c := River(depthM, paceMPS)
		c.RoughM = roughM
		l := Line{HookLengthM: 0.1, HookLengthMM: 0.12, MainMM: 0.2, SinkNPM: sinkNPM,
			Beads: []Bead{{SinkN: 0.001}, {AtM: 0.3, SinkN: massG / 100, DiameterM: 0.004}}}
		finite := func(s Shape) {
			if bad := s.TiltDeg + s.AheadM + s.HookDepthM + s.TensionN + s.LengthM; math.IsNaN(bad) || math.IsInf(bad, 0) || s.HookDepthM > depthM {
				t.Fatalf("%+v", s)
			}
		}
		if s, err := Steady(c, floatMPS, setM, l, Model{}); err == nil {
			finite(s)
			if math.Abs(s.LengthM-setM) > 1e-9*setM {
				t.Fatalf("length %g of %g", s.LengthM, setM)
			}
		}
		if _, s, err := SetToRun(c, floatMPS, clearM, l, Model{}); err == nil {
			finite(s)
		}
		if hold, s, err := HoldToRun(c, clearM, clearM, l, Model{}); err == nil {
			finite(s)
			if !(hold >= 0 && hold <= mostHold) {
				t.Fatalf("held %g", hold)
			}
		}
	})
}
