package rig

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"testing"
)

// cast is a rig on a water for the tests.
type cast struct {
	c               Current
	floatMPS, setM  float64
	l               Line
	name            string
	depthM, paceMPS float64
}

// casts are rigs of two patterns, carrying what their tilt asks for, held back by
// nothing, a third and half, set a little short of the depth and a little over.
func casts(patterns []Pattern, depths, paces []float64) []cast {
	var out []cast
	for _, depth := range depths {
		for _, pace := range paces {
			for _, p := range patterns {
				pl := newPlan(p, Water{DepthM: depth, PaceMPS: pace}.known(), Aim{})
				l := pl.line(pl.outline(pl.byPace()))
				for _, hold := range []float64{0, 1.0 / 3, 0.5} {
					for _, set := range []float64{0.97, 1.08} {
						out = append(out, cast{c: River(depth, pace), floatMPS: pace * (1 - hold), setM: set * depth, l: l,
							depthM: depth, paceMPS: pace, name: fmt.Sprintf("%s %g m %g m/s held %.2f set %g", p.ID, depth, pace, hold, set)})
					}
				}
			}
		}
	}
	return out
}

func someCasts() []cast {
	if os.Getenv("LEVELPEG_LONG") != "" {
		return casts(running(), []float64{1.2, 1.8, 2.4, 3, 4}, []float64{0.3, 0.5, 0.8, 1})
	}
	ps := running()
	return casts([]Pattern{ps[0], ps[4]}, []float64{1.2, 2, 4}, []float64{0.3, 0.6, 1})
}

// TestSettleComesToSteady holds where rigs come to rest against the steady
// solver, derived apart: to a centimetre at the hook, a degree at the float.
func TestSettleComesToSteady(t *testing.T) {
	worstM, worstDeg, slow := 0.0, 0.0, 0.0
	all := someCasts()
	for _, k := range all {
		want, errW := Steady(k.c, k.floatMPS, k.setM, k.l, Model{})
		got, err := Settle(k.c, k.floatMPS, k.setM, k.l, Model{})
		if err != nil || errW != nil {
			t.Fatal(k.name, err, errW)
		}
		off := math.Hypot(got.Final.AheadM-want.AheadM, got.Final.HookDepthM-want.HookDepthM)
		lean := math.Abs(got.Final.TiltDeg - want.TiltDeg)
		if off > 0.01 || lean > 1 {
			t.Errorf("%s: %.4f m and %.3f° off after %.0f s", k.name, off, lean, got.RestS)
		}
		worstM, worstDeg, slow = max(worstM, off), max(worstDeg, lean), max(slow, got.RestS)
		if !(0 < got.T80S && got.T80S <= got.T95S && got.T95S <= got.RestS) || got.Run80M != k.floatMPS*got.T80S {
			t.Errorf("%s: %+v", k.name, got)
		}
	}
	t.Logf("%d: %.2f mm and %.3f° at the worst, at rest by %.0f s", len(all), 1000*worstM, worstDeg, slow)
}

// TestSettleSegments halves the lengths between masses: the hook may move 5 mm
// and the time to 80 % of its depth 10 % (ours).
func TestSettleSegments(t *testing.T) {
	worstM, worstShare := 0.0, 0.0
	every := 3
	if os.Getenv("LEVELPEG_LONG") != "" {
		every = 1
	}
	for i, k := range someCasts() {
		if i%every > 0 {
			continue
		}
		a, err := Settle(k.c, k.floatMPS, k.setM, k.l, Model{})
		f, errF := newFall(k.c, k.floatMPS, k.setM, k.l, Model{})
		if err != nil || errF != nil {
			t.Fatal(err, errF)
		}
		g := &fall{current: k.c, floatMPS: k.floatMPS, fine: 2}
		g.lay(k.l, k.setM)
		if len(g.lengths) < 2*len(f.lengths) {
			t.Fatalf("%d lengths are not twice %d", len(g.lengths), len(f.lengths))
		}
		b, err := g.settle(SettleMostS, restMPS)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Hypot(a.Final.AheadM-b.Final.AheadM, a.Final.HookDepthM-b.Final.HookDepthM)
		share := math.Abs(a.T80S/b.T80S - 1)
		if off > 0.005 || share > 0.1 {
			t.Errorf("%s: %.4f m, %.1f s and %.1f s", k.name, off, a.T80S, b.T80S)
		}
		worstM, worstShare = max(worstM, off), max(worstShare, share)
	}
	t.Logf("%.2f mm and %.1f %% at the worst", 1000*worstM, 100*worstShare)
}

// TestFallFromRest lets a shot go in still water on a slack line that has no
// thickness, by the integrator's own steps.
func TestFallFromRest(t *testing.T) {
	// Derived: constant Cd 0.44, added mass one half, lead 0.4 g: v = vt·tanh(g′t/vt),
	// x = (vt²/g′)·ln cosh(g′t/vt); v(0.1 s) 0.7207139 m/s, t(2 m) 1.879147 s, vt
	// 1.1181628 m/s, within 0.5 %.
	f, err := newFall(Current{DepthM: 20}, 0, 20, Line{Beads: []Bead{leadBead(0.4, 1, 0)}}, Model{BeadCd: 0.44, StepM: 20})
	if err != nil {
		t.Fatal(err)
	}
	last := len(f.pos) - 1
	for i := range f.pos {
		f.pos[i] = vec{} // all of the line in a heap at the float
	}
	const dt = 2e-4
	var at01, at2m float64
	for f.pos[last].y < 2 && f.timeS < 5 {
		f.step(dt)
		if at01 == 0 && f.timeS >= 0.1-dt/2 {
			at01 = f.vel[last].y
		}
	}
	at2m = f.timeS
	near(t, "v at 0.1 s", at01, 0.7207139, 0.005)
	near(t, "t at 2 m", at2m, 1.879147, 0.005)
	near(t, "terminal", f.vel[last].y, 1.1181628, 0.005)
}

func TestSettleErrors(t *testing.T) {
	l := Line{MainMM: 0.2, Beads: []Bead{leadBead(1, 1, 0)}}
	for name, f := range map[string]func() error{
		"length NaN": func() error { _, e := Settle(River(2, 1), 0, math.NaN(), l, Model{}); return e },
		"speed +Inf": func() error { _, e := Settle(River(2, math.Inf(1)), 0, 2, l, Model{}); return e },
		"depth -1":   func() error { _, e := Settle(River(-1, 1), 0, 2, l, Model{}); return e },
		"tiny step":  func() error { _, e := Settle(River(2, 1), 0, 2, l, Model{StepM: 1e-9}); return e },
	} {
		var r *RangeError
		if err := f(); !errors.As(err, &r) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Settle(River(2, 1), 0, 2, l, Model{Projected: true}); err == nil {
		t.Error("a projected model was taken")
	}
	if _, err := Settle(River(2, 1), 0, 2, Line{MainMM: 0.2}, Model{}); !errors.Is(err, ErrSlack) {
		t.Errorf("no weight: %v", err)
	}
}

// TestSettlePaths holds the samples to their bounds.
func TestSettlePaths(t *testing.T) {
	for _, k := range someCasts()[:12] {
		s, err := Settle(k.c, k.floatMPS, k.setM, k.l, Model{})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Paths) != len(k.l.Beads) || len(s.TimesS) > samples+2 || len(s.TimesS) < 10 || s.TimesS[0] != 0 {
			t.Errorf("%s: %d paths, %d times", k.name, len(s.Paths), len(s.TimesS))
		}
		hook := s.Paths[0]
		if hook[0] != (Point{XM: k.setM}) || hook[len(hook)-1].ZM < 0.99*s.Final.HookDepthM {
			t.Errorf("%s: the hook goes from %+v to %+v", k.name, hook[0], hook[len(hook)-1])
		}
		for _, path := range s.Paths {
			for _, p := range path {
				if p.ZM > k.depthM+0.02 || math.Hypot(p.XM, p.ZM) > 1.01*k.setM {
					t.Errorf("%s: a bead at %+v", k.name, p)
				}
			}
		}
	}
}

func FuzzSettle(f *testing.F) {
	f.Add(2.0, 0.8, 0.56, 2.1, 1.0, 0.2)
	f.Add(0.4, 1.6, 0.0, 0.4, 0.001, 0.0)
	f.Add(0.05, 5.0, 5.0, 20.0, 50.0, 5.0)
	f.Add(4.0, 0.8, 0.56, 2.1, -77.0, 0.2) // a bulk that floats flies about without end
	f.Fuzz(func(t *testing.T, depthM, paceMPS, floatMPS, setM, massG, mm float64) {
		l := Line{HookLengthM: 0.1, HookLengthMM: 0.12, MainMM: mm, SinkNPM: 0.001,
			Beads: []Bead{{SinkN: 0.001}, {AtM: 0.3, SinkN: massG / 100, DiameterM: 0.004}}}
		if about, err := SettleAbout(River(depthM, paceMPS), floatMPS, setM, l); err == nil && !(about >= 0 && about < math.Inf(1)) {
			t.Fatalf("about %g s", about)
		}
		s, err := Settle(River(depthM, paceMPS), floatMPS, setM, l, Model{})
		if err != nil {
			if errors.Is(err, ErrUnsettled) {
				t.Fatal(err)
			}
			return
		}
		for _, v := range []float64{s.T80S, s.T95S, s.Run80M, s.Run95M, s.RestS, s.Final.TiltDeg, s.Final.AheadM, s.Final.HookDepthM, s.Final.TensionN} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("not finite: %+v", s)
			}
		}
		for _, path := range s.Paths {
			for _, p := range path {
				if math.IsNaN(p.XM+p.ZM) || math.IsInf(p.XM+p.ZM, 0) {
					t.Fatalf("not finite: %+v", p)
				}
			}
		}
	})
}

// running are the patterns that are let run: the flat float is only held still.
func running() []Pattern {
	return slices.DeleteFunc(Patterns(), func(p Pattern) bool { return p.still })
}
