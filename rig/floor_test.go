package rig

import (
	"errors"
	"math"
	"testing"
)

// lines are rigs on lines of their own weight, weightless and without thickness.
func lines() []Line {
	pl := newPlan(Patterns()[0], Water{DepthM: 2, PaceMPS: 0.8}.known(), Aim{})
	avon := pl.line(pl.outline(3))
	stick := pl.line(append(beads(nil, pl.bait), even(2, 8, 0.25, 1.8, 0.6)...))
	bare := avon
	bare.SinkNPM = 0
	return []Line{avon, stick, bare}
}

// TestBedIsAFloor sets more and more line: the hook goes down to the bed and no
// further, and nothing jumps as it touches, as a shot comes to lie there, or
// after.
func TestBedIsAFloor(t *testing.T) {
	const by = 0.05
	for _, l := range lines()[:2] {
		for _, c := range []Current{River(2, 0.8), River(2, 0.3), {DepthM: 2, SurfaceMPS: 0.6, RoughM: 0.005, BedM: 0.03}} {
			for _, hold := range []float64{0, 1.0 / 3, 0.5, 1} {
				at := func(set float64) Shape {
					s, err := Steady(c, c.SurfaceMPS*(1-hold), set, l, Model{StepM: 0.02})
					if err != nil {
						t.Fatalf("%+v held %.2f set %.3f: %v", c, hold, set, err)
					}
					checkOnFloor(t, c, set, s)
					return s
				}
				lay := 0
				for set := 1.85; set < 2.7; set += by {
					a := at(set)
					smooth(t, a, at(set+by), at)
					if a.HookDepthM == c.DepthM {
						lay++
					}
				}
				if hold < 0.4 && lay == 0 {
					t.Errorf("%+v held %.2f: never on the bed", c, hold)
				}
			}
		}
	}
}

// smooth fails where two shapes differ however near each other they are set.
func smooth(t *testing.T, a, b Shape, at func(float64) Shape) {
	t.Helper()
	if math.Abs(a.TiltDeg-b.TiltDeg) < 2 && math.Hypot(a.AheadM-b.AheadM, a.HookDepthM-b.HookDepthM) < 0.1 {
		return
	}
	if b.LengthM-a.LengthM < 1e-5 {
		t.Errorf("set %.5f: %.2f° and %.2f°, %.3f m and %.3f m ahead", a.LengthM, a.TiltDeg, b.TiltDeg, a.AheadM, b.AheadM)
		return
	}
	mid := at((a.LengthM + b.LengthM) / 2)
	smooth(t, a, mid, at)
	smooth(t, mid, b, at)
}

// checkOnFloor holds every point to the water and the length to what was set.
func checkOnFloor(t *testing.T, c Current, set float64, s Shape) {
	t.Helper()
	long := 0.0
	for i, p := range s.Points {
		if p.ZM > c.DepthM+1e-6 || p.ZM < -1e-6 {
			t.Fatalf("set %g: a point at %+v", set, p)
		}
		if i > 0 {
			long += math.Hypot(p.XM-s.Points[i-1].XM, p.ZM-s.Points[i-1].ZM)
		}
	}
	if math.Abs(long-set) > 0.005*set || math.Abs(s.LengthM-set) > 1e-9 || s.HookDepthM > c.DepthM {
		t.Fatalf("set %g: %g by its points, %g, hook at %g", set, long, s.LengthM, s.HookDepthM)
	}
}

// TestBedCarriesTheRest: derived, without drag along the line. What pulls down at
// the float is what the bed does not carry; the bed carries a share of the weight
// from none to all of it, more the more line is set.
func TestBedCarriesTheRest(t *testing.T) {
	l := Line{MainMM: 0.16, Beads: []Bead{leadBead(0.2, 1, 0), leadBead(2, 1, 0.5)}}
	all := l.Beads[0].SinkN + l.Beads[1].SinkN
	last := all
	for set := 1.5; set < 3; set += 0.05 {
		s, err := Steady(River(2, 0.6), 0.4, set, l, Model{NoTangent: true, LineCd: 1e-9})
		if err != nil {
			t.Fatal(err)
		}
		v := s.TensionN * math.Cos(s.TiltDeg*math.Pi/180)
		if v > last+1e-9 || v < -1e-9 {
			t.Errorf("set %.2f: %g N down at the float, %g before", set, v, last)
		}
		if s.HookDepthM < 2 && math.Abs(v-all) > 1e-9 {
			t.Errorf("set %.2f: %g N of %g N though nothing lies", set, v, all)
		}
		last = v
	}
}

// TestStillWaterLaysTheRest: derived. With no current the line hangs plumb and
// what is over lies straight, downstream.
func TestStillWaterLaysTheRest(t *testing.T) {
	l := Line{MainMM: 0.2, SinkNPM: 1e-4, Beads: []Bead{leadBead(0.1, 1, 0), leadBead(1, 1, 0.3)}}
	for _, set := range []float64{2.1, 2.3, 2.7} {
		s, err := Steady(River(2, 0), 0, set, l, Model{})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "ahead", s.AheadM, set-2, 1e-3)
		near(t, "depth", s.HookDepthM, 2, 1e-9)
	}
}

func TestSetToRun(t *testing.T) {
	for _, l := range lines() {
		for _, clear := range []float64{0, 0.1, 0.6} {
			for _, hold := range []float64{0, 0.3, 0.6} {
				set, s, err := SetToRun(River(2, 0.7), 0.7*(1-hold), clear, l, Model{StepM: 0.01})
				if err != nil {
					t.Fatal(err)
				}
				back, err := Steady(River(2, 0.7), 0.7*(1-hold), set, l, Model{StepM: 0.01})
				if err != nil {
					t.Fatal(err)
				}
				near(t, "depth", back.HookDepthM, 2-clear, 1e-4)
				near(t, "the shape's own", s.HookDepthM, 2-clear, 1e-12)
			}
		}
	}
	if _, _, err := SetToRun(River(2, 1), 0, 0, Line{MainMM: 0.3, Beads: []Bead{leadBead(0.001, 1, 0)}}, Model{}); !errors.Is(err, ErrSlack) {
		t.Errorf("a line too light: %v", err)
	}
}

func TestHoldToRun(t *testing.T) {
	for _, l := range lines() {
		for _, c := range []Current{River(2, 0.8), River(2, 0.3)} {
			for _, ahead := range []float64{-0.1, 0, 0.1} {
				hold, s, err := HoldToRun(c, 0, ahead, l, Model{})
				if err != nil || hold < 0 || hold > 0.9 {
					t.Fatal(hold, err)
				}
				if math.Abs(s.AheadM-ahead) > 2e-4 || s.HookDepthM != c.DepthM {
					t.Errorf("held %g: %g ahead of %g", hold, s.AheadM, ahead)
				}
			}
		}
	}
	for _, ahead := range []float64{-15, 15} {
		if _, _, err := HoldToRun(River(2, 0.5), 0, ahead, lines()[0], Model{}); !errors.Is(err, ErrNoHold) {
			t.Errorf("%g m ahead: %v", ahead, err)
		}
	}
	if hold, _, err := HoldToRun(River(2, 0), 0, 0, lines()[0], Model{}); hold != 0 || err != nil {
		t.Errorf("still water: %g, %v", hold, err)
	}
}

func TestRunErrors(t *testing.T) {
	l := lines()[0]
	for name, f := range map[string]func() error{
		"clear NaN":   func() error { _, _, e := SetToRun(River(2, 1), 1, math.NaN(), l, Model{}); return e },
		"clear -1":    func() error { _, _, e := SetToRun(River(2, 1), 1, -1, l, Model{}); return e },
		"clear all":   func() error { _, _, e := SetToRun(River(2, 1), 1, 2, l, Model{}); return e },
		"float +Inf":  func() error { _, _, e := SetToRun(River(2, 1), math.Inf(1), 0, l, Model{}); return e },
		"too deep":    func() error { _, _, e := HoldToRun(River(30, 1), 0, 0, l, Model{}); return e },
		"ahead NaN":   func() error { _, _, e := HoldToRun(River(2, 1), 0, math.NaN(), l, Model{}); return e },
		"pace NaN":    func() error { _, _, e := HoldToRun(River(2, math.NaN()), 0, 0, l, Model{}); return e },
		"below bed":   func() error { _, e := Reach(River(2, 1), 0, 2.5, 4, l, Model{}); return e },
		"rough depth": func() error { _, e := Steady(Current{DepthM: 2, RoughM: 2}, 0, 2, l, Model{}); return e },
	} {
		var r *RangeError
		if err := f(); !errors.As(err, &r) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
