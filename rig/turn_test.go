package rig

import (
	"errors"
	"math"
	"testing"
)

// TestTurnByHandOrTieAnother is by hand where the line stays and the movements are
// few.
func TestTurnByHandOrTieAnother(t *testing.T) {
	shot := func(size string, n int, at float64) Weight {
		return Weight{Kind: ShotKind, Size: size, Count: n, AtM: at, ToM: at, Role: Bulk}
	}
	olivette := func(size string) Weight {
		return Weight{Kind: Olivette, Size: size, Count: 1, AtM: 0.6, ToM: 0.6, Role: Bulk}
	}
	from := Rig{Pattern: "avon", Name: "3 g Avon", Marking: "3 g", MainLine: "floating", MainLineMM: 0.18, SetM: 2,
		Weights: []Weight{shot("No.8", 4, 0.3), olivette("2.5 g")}}
	deeper := from
	deeper.SetM = 2.3
	if c := turn(from, deeper); c.Tie || c.Moves.Hands() != 1 || c.Moves.Words()[0] != "set it 30 cm deeper, at 2.30 m" {
		t.Errorf("deeper: %q", c.Moves.Words())
	}
	if c := turn(from, from); c.Tie || len(c.Moves) != 0 {
		t.Errorf("itself: %q", c.Moves.Words())
	}
	heavier := from
	heavier.Name, heavier.Marking = "4 g Avon", "4 g"
	heavier.Weights = []Weight{shot("No.8", 4, 0.3), olivette("3.5 g")}
	stouter := from
	stouter.MainLineMM = 0.22
	busier := from
	busier.Weights = []Weight{shot("No.6", 9, 0.3), olivette("2.5 g")}
	for name, to := range map[string]Rig{"another olivette": heavier, "another main line": stouter, "nine shot to change": busier} {
		if c := turn(from, to); !c.Tie || c.Moves != nil {
			t.Errorf("%s: %q", name, c.Moves.Words())
		}
	}
}

// TestWhens are what each is said to be.
func TestWhens(t *testing.T) {
	w, a := Water{DepthM: 1.8, DepthLowM: 1.7, DepthHighM: 1.9, PaceMPS: 0.6, DistanceM: 8}, Aim{Fish: "roach", Bait: "caster"}
	if got, _ := WindUp.Of(w, a); got.WindForce != 6 || got.Wind != WindFacing {
		t.Errorf("wind: %+v", got)
	}
	got, _ := RiverUp.Of(w, a)
	// By hand: (2.1/1.8)^0.7 = 1.1139.
	if math.Abs(got.DepthM-2.1) > 1e-9 || math.Abs(got.PaceMPS-0.6684) > 1e-4 || math.Abs(got.DepthHighM-2.2) > 1e-9 || math.Abs(got.PaceHighMPS-got.PaceMPS) > 1e-9 {
		t.Errorf("risen: %+v", got)
	}
	if _, got := SmallTarget.Of(w, a); got.Fish != "small fish" || got.Bait != "" {
		t.Errorf("small fish to catch: %+v", got)
	}
	if _, got := SmallNuisance.Of(w, a); !got.Nuisance || got.Fish != "roach" {
		t.Errorf("small fish to get past: %+v", got)
	}
	if _, got := BiggerFish.Of(w, a); !got.Bigger || got.Fish != "roach" {
		t.Errorf("bigger fish: %+v", got)
	}
	for _, bad := range []Water{{DepthM: math.NaN()}, {DepthM: -1}, {}} {
		if got, _ := RiverUp.Of(bad, a); !(got == bad || math.IsNaN(bad.DepthM) && math.IsNaN(got.DepthM)) {
			t.Errorf("%+v became %+v", bad, got)
		}
	}
}

// TestTurnToSuits is right for the water it is turned to, whatever that is.
func TestTurnToSuits(t *testing.T) {
	for _, w := range []Water{
		{DepthM: 1.5, PaceMPS: 0.45, DistanceM: 6}, {DepthM: 1.83, PaceMPS: 0.8, Boil: 1, DistanceM: 8},
		{DepthM: 2, PaceMPS: 0.15, DistanceM: 18}, {DepthM: 3, PaceMPS: 0.4, DistanceM: 9},
	} {
		r := suggest(t, w, Aim{})[0]
		for _, when := range Whens() {
			to, a := when.Of(w, Aim{})
			turned, err := TurnTo(r, to, a, StandardKit())
			var no *NoRigError
			if errors.As(err, &no) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			if err := checkRig(to, turned.To); err != nil {
				t.Errorf("%s when %s: %v", r.Name, when, err)
			}
			if !turned.Tie && turned.To.Pattern != r.Pattern {
				t.Errorf("%s becomes %s by hand", r.Name, turned.To.Name)
			}
		}
	}
	if _, err := TurnTo(Rig{}, Water{DepthM: math.NaN()}, Aim{}, StandardKit()); err == nil {
		t.Error("a depth that is no number is taken")
	}
}
