package rig

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

func TestFloors(t *testing.T) {
	// Ours, from common practice: they are checked for what they are said to be.
	near(t, "ten metres", castG(Water{DistanceM: 10}), 1.2, 1e-9)
	near(t, "ten metres in force 4", castG(Water{DistanceM: 10, WindForce: 4}), 1.8, 1e-9)
	flake, _ := findBait("bread flake")
	near(t, "flake in boily water", brokenG(Water{Boil: 3}, flake), 4, 1e-9)
}

func TestPenaltyOfTooMuchFloat(t *testing.T) {
	o := offer{sizes: []capacity{{grams: 2}}, need: need{grams: 2, paceG: 1}}
	near(t, "twice what is asked", overGunned(o), 0.15, 1e-9)
	o.need.paceG = 2
	if got := overGunned(o); got != 0 {
		t.Errorf("just what is asked: %g", got)
	}
}

func TestLittleFishHaveTheBulkHigher(t *testing.T) {
	// Common practice, no source.
	p, w := byID(t, "balsa"), Water{DepthM: 1.8, PaceMPS: 0.6}
	little, other := newPlan(p, w, Aim{Fish: "small fish"}), newPlan(p, w, Aim{Fish: "roach"})
	if little.layout.BulkM <= other.layout.BulkM {
		t.Errorf("bulk at %g for small fish and %g for roach", little.layout.BulkM, other.layout.BulkM)
	}
}

func TestBoilyWaterShortensAndLowers(t *testing.T) {
	// Common practice, no source: nothing is spread in boily water.
	p := byID(t, "avon-long")
	boily, smooth := newPlan(p, Water{DepthM: 3, PaceMPS: 0.8, Boil: 3}, Aim{}), newPlan(p, Water{DepthM: 3, PaceMPS: 0.8}, Aim{})
	if boily.layout.HookLengthM >= smooth.layout.HookLengthM || boily.layout.BulkM >= smooth.layout.BulkM {
		t.Errorf("boily %+v, smooth %+v", boily.layout, smooth.layout)
	}
}

func TestAWagglerRunsFree(t *testing.T) {
	r := suggest(t, Water{DepthM: 2, PaceMPS: 0.3, DistanceM: 20}, Aim{})[0]
	if r.Pattern != "waggler" || r.HoldBack != 0 || r.AheadM >= 0 || r.MainLine != "sinking" {
		t.Errorf("%s held back %g, bait %g m ahead, %s line", r.Name, r.HoldBack, r.AheadM, r.MainLine)
	}
	// fishingstuff.net: it runs ahead of the bait. Judged running free it leans
	// upstream; the limit holds either way.
	pl := newPlan(byID(t, "waggler"), Water{DepthM: 2, PaceMPS: 0.3}.known(), Aim{})
	s, err := pl.hung(pl.outline(pl.byPace()), 0.3, 0)
	if err != nil || math.Abs(math.Abs(s.TiltDeg)-pl.tiltDeg) > 0.5 {
		t.Errorf("leans %g°, limit %g°: %v", s.TiltDeg, pl.tiltDeg, err)
	}
}

func TestPaceLowIsWhereTwoSizesDownWillDo(t *testing.T) {
	r := suggest(t, Water{DepthM: 1.83, PaceMPS: 0.9}, Aim{Fish: "chub", Bait: "maggot bunch"})[0]
	two := map[float64]float64{3: 2, 4: 2.5, 5: 3, 6: 4}[r.CapacityG]
	for _, c := range []struct {
		pace float64
		does bool
	}{{r.PaceLowMPS - 0.03, true}, {r.PaceLowMPS + 0.03, false}} {
		pl := newPlan(byID(t, r.Pattern), Water{DepthM: 1.83, PaceMPS: c.pace}.known(), Aim{Fish: "chub", Bait: "maggot bunch"})
		if does := pl.byPace()*nearly <= two; does != c.does {
			t.Errorf("at %.2f m/s %g g does: %v (%s is right from %.2f)", c.pace, two, does, r.Name, r.PaceLowMPS)
		}
	}
	// Where boil asks for more than two sizes down, no slower water makes it too
	// much, whether boil or pace decided.
	both := suggest(t, Water{DepthM: 1.83, PaceMPS: 0.8, Boil: 2}, Aim{})[0]
	if both.CapacityG != 3 || both.PaceLowMPS != byID(t, both.Pattern).PaceMPS.Low {
		t.Errorf("%s, decided by %s, is right from %g", both.Name, both.Decided, both.PaceLowMPS)
	}
	boily := suggest(t, Water{DepthM: 1.4, PaceMPS: 0.7, Boil: 3}, Aim{Fish: "chub"})[0]
	if p := byID(t, boily.Pattern); boily.PaceLowMPS != p.PaceMPS.Low {
		t.Errorf("%s, decided by %s, is right from %g", boily.Name, boily.Decided, boily.PaceLowMPS)
	}
}

func TestRodIsLongEnough(t *testing.T) {
	r := suggest(t, Water{DepthM: 3.8, PaceMPS: 0.5}, Aim{})[0]
	if r.RodFtLow*footM-spareM < r.SetM {
		t.Errorf("set at %g on a %g ft rod", r.SetM, r.RodFtLow)
	}
}

func TestTackleByFish(t *testing.T) {
	// Common practice, no source.
	p := byID(t, "avon-short")
	w := Water{DepthM: 1.5, PaceMPS: 0.8}
	snaggy := w
	snaggy.Snaggy = true
	chub, meat := fishes[2], baits[9]
	open, near := tackleFor(w, chub, meat, p), tackleFor(snaggy, chub, meat, p)
	if near.hookLengthMM <= open.hookLengthMM || near.mainKg <= open.mainKg {
		t.Errorf("chub near snags: %+v, in the open %+v", near, open)
	}
	barbel, _ := hookFor(fishes[3], baits[7], p)
	dace, _ := hookFor(fishes[1], baits[7], p)
	if barbel >= dace {
		t.Errorf("barbel on a %d and dace on a %d", barbel, dace)
	}
}

func TestChoiceByFishBaitWindAndDistance(t *testing.T) {
	// Common practice, no source.
	easy := Water{DepthM: 2.2, PaceMPS: 0.35, DistanceM: 7}
	if got := suggest(t, easy, Aim{})[0]; got.Pattern != "stick" {
		t.Errorf("%s close in where a stick will do", got.Name)
	}
	near := Water{DepthM: 1.5, PaceMPS: 0.45, DistanceM: 4}
	blown := near
	blown.WindForce = 8
	if a, b := suggest(t, near, Aim{})[0], suggest(t, blown, Aim{})[0]; a.Pattern != "stick" || b.Pattern == "stick" {
		t.Errorf("%s in a calm and %s in force 8", a.Name, b.Name)
	}
	steady := Water{DepthM: 1.5, PaceMPS: 0.65, DistanceM: 8}
	for _, a := range []Aim{{Fish: "barbel", Bait: "double maggot"}, {Bait: "luncheon meat"}} {
		if got := suggest(t, steady, a)[0]; got.Pattern != "avon-short" {
			t.Errorf("%+v: %s", a, got.Name)
		}
	}
	for _, name := range []string{"barbel", "small fish"} {
		p := byID(t, "stick")
		want := 0.3
		if name == "small fish" {
			want = 0
		}
		if got := p.mismatch(Water{}, Aim{Fish: name, Bait: "caster"}); got != want {
			t.Errorf("a stick for %s: %g", name, got)
		}
	}
}

func TestNextSizeDownLeansMore(t *testing.T) {
	r := suggest(t, Water{DepthM: 1.83, PaceMPS: 0.8}, Aim{})[0]
	var mine, less, mineG, lessG float64
	found := false
	for _, s := range r.Why {
		n, _ := fmt.Sscanf(s, "At 0.80 m/s and 1.83 m, held back a third, a %f g float keeps the line %f° off upright; %f g would lean %f°.",
			&mineG, &mine, &lessG, &less)
		found = found || n == 4
	}
	if !found || lessG >= mineG || less <= mine || mineG != r.CapacityG || math.Abs(mine-r.TiltDeg) > 1 {
		t.Errorf("%s leans %.1f°: %q", r.Name, r.TiltDeg, r.Why)
	}
}

func TestStringIsCloserBelowInFasterWater(t *testing.T) {
	// "Stick float fishing explained", amateurangling.com: shot spread evenly; more
	// of it low as the pace rises is common practice.
	below := func(share float64) int {
		l := Layout{Style: StrungOut, SetM: 2, HookLengthM: 0.2, LowShare: share}
		ws, err := Shot(1.6, l, Kit{Chart: ChartRetail, ShotMaterial: Lead, Sizes: []string{"4"}})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, w := range ws {
			for _, at := range w.Positions() {
				if at <= 1 {
					n++
				}
			}
		}
		return n
	}
	if even, low := below(0.5), below(0.75); even != 4 || low != 6 {
		t.Errorf("of eight, %d below half way when even and %d when low", even, low)
	}
}

func TestWords(t *testing.T) {
	for got, want := range map[string]string{
		Weight{Kind: ShotKind, Size: "No.8", Count: 4, AtM: 0.2, ToM: 0.5}.Words():            "four No.8, spread from 20 cm to 50 cm above the hook",
		Weight{Kind: Olivette, Size: "2.5 g", Count: 1, AtM: 1.2, ToM: 1.2}.Words():           "a 2.5 g olivette, 1.20 m above the hook",
		Weight{Kind: ShotKind, Size: "BB", Count: 12, AtM: 1.2, ToM: 1.2, Role: Lock}.Words(): "12 BB, at the float",
		article("8 g float"):      "an 8 g float",
		article("5 × No.4 float"): "a 5 × No.4 float",
		placeWords(0.2):           "20 cm ahead of the float",
		placeWords(-0.2):          "20 cm behind the float",
		placeWords(0):             "just under the float",
		strings.Join([]string{shareWords(0), shareWords(0.25), shareWords(0.3), shareWords(0.5)}, ", "): "not at all, about a quarter, about a third, about half",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestRoughIsNearEnough holds the lean a float is chosen by to the one it is drawn at.
func TestRoughIsNearEnough(t *testing.T) {
	for _, depth := range []float64{0.5, 1, 2, 3, 5} {
		for _, pace := range []float64{0.1, 0.3, 0.6, 1, 1.5} {
			for _, p := range Patterns() {
				pl := newPlan(p, Water{DepthM: depth, PaceMPS: pace}.known(), Aim{HeldStill: p.still})
				for _, grams := range []float64{0.6, 2, 5, 10} {
					bs := pl.outline(grams)
					s, err := pl.hung(bs, pace, pl.hold())
					if err != nil || math.Abs(s.TiltDeg) > 40 {
						continue
					}
					if off := math.Abs(math.Abs(s.TiltDeg) - pl.tilt(bs, pace)); off > 0.25 {
						t.Errorf("%s of %g g, %g m at %g m/s: %.2f° off", p.ID, grams, depth, pace, off)
					}
				}
			}
		}
	}
}
