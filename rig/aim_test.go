package rig

import (
	"errors"
	"strings"
	"testing"
)

// TestUncertainWater is held across its range, or says where it stops being right.
func TestUncertainWater(t *testing.T) {
	sure := Water{DepthM: 1.8, PaceMPS: 0.7, Boil: 1, DistanceM: 8}
	unsure := sure
	unsure.DepthLowM, unsure.DepthHighM, unsure.PaceLowMPS, unsure.PaceHighMPS = 1.6, 2.1, 0.5, 0.95
	known, rs := suggest(t, sure, Aim{}), suggest(t, unsure, Aim{})
	if rs[0].NeedG <= known[0].NeedG {
		t.Errorf("water that may be faster asks for %.2f g, no more than %.2f", rs[0].NeedG, known[0].NeedG)
	}
	for _, r := range rs {
		if r.PaceHighMPS < unsure.PaceHighMPS && !finding(r, "The pace may be up to") {
			t.Errorf("%s is right to %g m/s and does not say so", r.Name, r.PaceHighMPS)
		}
		if r.DepthHighM < unsure.DepthHighM && !finding(r, "The depth may be up to") {
			t.Errorf("%s is right to %g m and does not say so", r.Name, r.DepthHighM)
		}
		if r.DepthLowM > sure.DepthM || r.DepthHighM < sure.DepthM {
			t.Errorf("%s is right from %g to %g m", r.Name, r.DepthLowM, r.DepthHighM)
		}
	}
	if rs[0].PaceHighMPS < unsure.PaceHighMPS {
		t.Errorf("the first, %s, is right to %g m/s only", rs[0].Name, rs[0].PaceHighMPS)
	}
}

func TestJunior(t *testing.T) {
	for _, w := range []Water{
		{DepthM: 1.2, PaceMPS: 0.35, DistanceM: 3}, {DepthM: 1.6, PaceMPS: 0.75, DistanceM: 4}, {DepthM: 2.2, PaceMPS: 0.5, DistanceM: 4, Boil: 1},
	} {
		junior, adult := suggest(t, w, Aim{Junior: true}), suggest(t, w, Aim{})
		for _, r := range junior {
			if r.Barb != Barbless || !r.ReadyTied || r.RodFtHigh > juniorRodFt {
				t.Errorf("%s: barb %q, ready tied %v, rod to %g ft", r.Name, r.Barb, r.ReadyTied, r.RodFtHigh)
			}
			for _, x := range r.Weights {
				if x.Role == Strung || x.Kind == ShotKind && x.EachG < 0.045 {
					t.Errorf("%s: %s is fiddly", r.Name, x.Words())
				}
			}
		}
		if a, b := pieces(junior[0]), pieces(adult[0]); junior[0].CapacityG <= adult[0].CapacityG && a > b {
			t.Errorf("%+v: a junior ties %d weights where an adult ties %d", w, a, b)
		}
	}
	_, err := Suggest(Water{DepthM: 1.5, PaceMPS: 0.4, DistanceM: 12}, Aim{Junior: true}, StandardKit())
	var no *NoRigError
	if !errors.As(err, &no) || !strings.Contains(no.Why, "too far for a junior") {
		t.Errorf("twelve metres out for a junior: %v", err)
	}
}

func pieces(r Rig) int {
	n := 0
	for _, w := range r.Weights {
		n += w.Count
	}
	return n
}

// TestSmallFish has the bulk up and lighter tackle where they are the target; bulk
// and hook length down, nothing strung and a tougher bait where they are a nuisance
// (common practice of the trade).
func TestSmallFish(t *testing.T) {
	w := Water{DepthM: 2.4, PaceMPS: 0.5, DistanceM: 8}
	usual, target, nuisance := rigOf(t, w, Aim{Fish: "roach"}, "avon-slim"), rigOf(t, w, Aim{Fish: "small fish"}, "avon-slim"), rigOf(t, w, Aim{Fish: "roach", Nuisance: true}, "avon-slim")
	if !(bulkAt(nuisance) < bulkAt(usual) && bulkAt(usual) < bulkAt(target)) {
		t.Errorf("the bulk is at %g for small fish, %g as usual and %g past them", bulkAt(target), bulkAt(usual), bulkAt(nuisance))
	}
	if nuisance.HookLengthM >= usual.HookLengthM || nuisance.Bait == usual.Bait || target.HookLengthMM > usual.HookLengthMM {
		t.Errorf("past small fish %g m with %s, as usual %g m with %s, for them %g mm", nuisance.HookLengthM, nuisance.Bait, usual.HookLengthM, usual.Bait, target.HookLengthMM)
	}
	if r := suggest(t, w, Aim{Fish: "roach", Nuisance: true})[0]; r.Pattern == "stick" {
		t.Error("a string of shot where small fish are a nuisance")
	}
}

// rigOf is a pattern's rig for a water and an aim.
func rigOf(t *testing.T, w Water, a Aim, id string) Rig {
	t.Helper()
	o, ok := offerOf(byID(t, id), w.known(), a, StandardKit())
	if !ok {
		t.Fatalf("no %s for %+v", id, w)
	}
	r, err := o.rig(StandardKit())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func bulkAt(r Rig) float64 {
	for _, w := range r.Weights {
		if w.Role == Bulk {
			return w.AtM
		}
	}
	return 0
}

// TestBiggerFish are met with stouter tackle and a float no lighter.
func TestBiggerFish(t *testing.T) {
	w := Water{DepthM: 1.6, PaceMPS: 0.6, DistanceM: 8}
	usual, bigger := rigOf(t, w, Aim{Fish: "chub"}, "balsa"), rigOf(t, w, Aim{Fish: "chub", Bigger: true}, "balsa")
	if bigger.HookLengthMM <= usual.HookLengthMM || bigger.CapacityG < usual.CapacityG || bigger.HookSize > usual.HookSize {
		t.Errorf("%g mm, %g g, hook %d for bigger chub; %g mm, %g g, hook %d as usual", bigger.HookLengthMM, bigger.CapacityG, bigger.HookSize,
			usual.HookLengthMM, usual.CapacityG, usual.HookSize)
	}
}

// TestHeldStill stands on a tight line, and wants more weight than held back.
func TestHeldStill(t *testing.T) {
	w := Water{DepthM: 2, PaceMPS: 0.5, DistanceM: 9}
	r := suggest(t, w, Aim{HeldStill: true})[0]
	if r.Pattern != "flat" || r.HoldBack != 1 || r.AheadM <= 0 {
		t.Errorf("%s held back %g with the bait %g ahead", r.Name, r.HoldBack, r.AheadM)
	}
	if run := suggest(t, w, Aim{})[0]; r.CapacityG <= run.CapacityG {
		t.Errorf("held still %s, running %s", r.Name, run.Name)
	}
	for _, o := range suggest(t, w, Aim{}) {
		if o.Pattern == "flat" {
			t.Error("a flat float to run with")
		}
	}
}

// TestWindByWhereItBlows asks for most in the face and least from behind.
func TestWindByWhereItBlows(t *testing.T) {
	need := func(wind Wind) float64 {
		return rigOf(t, Water{DepthM: 1.5, PaceMPS: 0.1, DistanceM: 18, WindForce: 5, Wind: wind}, Aim{}, "waggler").NeedG
	}
	if f, u, d, b := need(WindFacing), need(WindUpstream), need(WindDownstream), need(WindBehind); !(f > u && u == d && d > b) || need("") != f {
		t.Errorf("facing %.2f, upstream %.2f, downstream %.2f, behind %.2f g", f, u, d, b)
	}
	if _, err := Suggest(Water{DepthM: 1, PaceMPS: 0.3, Wind: "sideways"}, Aim{}, StandardKit()); err == nil {
		t.Error("a wind from nowhere is taken")
	}
}

// TestPacesTooSmallToDrag have drag coefficients beyond all numbers.
func TestPacesTooSmallToDrag(t *testing.T) {
	for _, pace := range []float64{5e-324, 3.6e-307, 1e-100, 1e-12} {
		for _, a := range []Aim{{}, {HeldStill: true}} {
			if err := checkAll(Water{DepthM: 1, PaceMPS: pace, DistanceM: 1}, a); err != nil {
				t.Errorf("%g m/s, %+v: %v", pace, a, err)
			}
		}
	}
}
