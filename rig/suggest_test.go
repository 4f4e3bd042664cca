package rig

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

func suggest(t *testing.T, w Water, a Aim) []Rig {
	t.Helper()
	rs, err := Suggest(w, a, StandardKit())
	if err != nil {
		t.Fatal(err)
	}
	return rs
}

func TestSixFeetOfBriskWater(t *testing.T) {
	// Common practice, no source: 3 g in six feet of brisk water.
	r := suggest(t, Water{DepthM: 1.83, PaceMPS: 0.8}, Aim{})[0]
	if !strings.Contains(r.Pattern, "avon") || r.CapacityG < 2 || r.CapacityG > 4 {
		t.Errorf("%s", r.Name)
	}
	roles := map[Role]int{}
	for _, w := range r.Weights {
		roles[w.Role] += w.Count
	}
	if roles[Bulk] != 1 || roles[Stop] != 2 || roles[Dropper] < 3 {
		t.Errorf("not an olivette between stops with droppers below: %v", roles)
	}
	if r.HoldBack != aThird || math.Abs(r.AheadM) > 0.1 {
		t.Errorf("a third held back should bring the bait under the float: %g, %g m", r.HoldBack, r.AheadM)
	}
}

func TestStickInSteadyWater(t *testing.T) {
	// "Stick float fishing explained", amateurangling.com: a No.4 a foot of depth,
	// up to two if strong.
	for _, c := range []struct{ paceMPS, least, most float64 }{{0.5, 0.8, 2}, {0.6, 1, 2}} {
		for _, r := range suggest(t, Water{DepthM: 1.5, PaceMPS: c.paceMPS}, Aim{}) {
			if r.Pattern != "stick" {
				continue
			}
			four, _ := ChartRetail.Size("4")
			if got := r.CapacityG / four.MassG / (1.5 / footM); got < c.least || got > c.most {
				t.Errorf("at %g m/s %s is %.2f No.4 a foot", c.paceMPS, r.Name, got)
			}
			return
		}
	}
	t.Error("no stick in steady water")
}

func TestCapacitiesAgainstAThrowAwayModel(t *testing.T) {
	// Derived with a throw-away model: an Avon's bulk on 0.16 mm line, grams; a
	// check of the order of size and no more.
	paces := []float64{0.3, 0.5, 0.8, 1.0, 1.2}
	for _, row := range []struct {
		depthM float64
		grams  [5]float64
	}{
		{1.2, [5]float64{0.4, 0.8, 1.8, 2.6, 3.5}}, {1.8, [5]float64{0.5, 1.2, 2.6, 3.9, 5.3}},
		{2.4, [5]float64{0.7, 1.6, 3.5, 5.1, 7.0}}, {3.0, [5]float64{0.9, 2.0, 4.3, 6.3, 8.7}},
		{4.0, [5]float64{1.2, 2.7, 5.8, 8.4, 11.4}},
	} {
		line := fmt.Sprintf("%.1f m:", row.depthM)
		for i, pace := range paces {
			pl := newPlan(byID(t, "avon-short"), Water{DepthM: row.depthM, PaceMPS: pace}.known(), Aim{})
			pl.tackle.mainMM = 0.16
			got := pl.byPace()
			line += fmt.Sprintf("  %.1f m/s %.2f for %.1f (%.2f)", pace, got, row.grams[i], got/row.grams[i])
			if q := got / row.grams[i]; q < 0.6 || q > 1.6 {
				t.Errorf("%g m at %g m/s: %.2f g for %.1f", row.depthM, pace, got, row.grams[i])
			}
		}
		t.Log(line)
	}
}

func byPattern(id string) Pattern {
	for _, p := range Patterns() {
		if p.ID == id {
			return p
		}
	}
	return Pattern{}
}

func byID(t testing.TB, id string) Pattern {
	t.Helper()
	p := byPattern(id)
	if p.ID == "" {
		t.Fatalf("no pattern %s", id)
	}
	return p
}

func TestDeeperAndFasterAskForMore(t *testing.T) {
	for _, p := range Patterns() {
		last := 0.0
		for _, depth := range []float64{0.5, 1, 2, 3, 4} {
			g := newPlan(p, Water{DepthM: depth, PaceMPS: 0.6}.known(), Aim{}).byPace()
			if g <= last {
				t.Errorf("%s: %.2f g in %g m is no more than in shallower", p.ID, g, depth)
			}
			last = g
		}
	}
}

func TestPatternsForTheirWater(t *testing.T) {
	// Common practice of the trade (the table of patterns).
	for _, c := range []struct {
		w    Water
		want string
	}{
		{Water{DepthM: 0.7, PaceMPS: 1.2, Boil: 2}, "stubby"},
		{Water{DepthM: 1.5, PaceMPS: 0.9, Boil: 2}, "avon-short"},
		{Water{DepthM: 3.5, PaceMPS: 0.7, Boil: 2}, "avon-long"},
		{Water{DepthM: 3, PaceMPS: 0.4}, "avon-slim"},
		{Water{DepthM: 1.5, PaceMPS: 0.4, DistanceM: 6}, "stick"},
		{Water{DepthM: 1.5, PaceMPS: 0.65, DistanceM: 8}, "balsa"},
		{Water{DepthM: 2, PaceMPS: 0.05, DistanceM: 20}, "waggler"},
	} {
		if r := suggest(t, c.w, Aim{})[0]; r.Pattern != c.want {
			t.Errorf("%+v: %s, want %s", c.w, r.Name, c.want)
		}
	}
}

func TestWhatDecided(t *testing.T) {
	for _, c := range []struct {
		w    Water
		want string
	}{
		{Water{DepthM: 1.8, PaceMPS: 0.8}, "the pace"},
		{Water{DepthM: 1, PaceMPS: 0.7, Boil: 3}, "boily water and the bait"},
		{Water{DepthM: 1.5, PaceMPS: 0.1, DistanceM: 25}, "the cast"},
		{Water{DepthM: 1.5, PaceMPS: 0.1, DistanceM: 20, WindForce: 5}, "the cast into the wind"},
		{Water{DepthM: 1, PaceMPS: 0.05}, "the pattern's least"},
	} {
		if r := suggest(t, c.w, Aim{})[0]; r.Decided != c.want {
			t.Errorf("%+v: %s by %s, want %s", c.w, r.Name, r.Decided, c.want)
		}
	}
}

// checkRig holds a rig to everything that has to be true of any.
func checkRig(w Water, r Rig) error {
	for _, v := range []float64{r.CapacityG, r.NeedG, r.OnLineG, r.PullG, r.ShortG, r.SetM, r.TiltDeg, r.LiftM, r.AheadM,
		r.PaceLowMPS, r.PaceHighMPS, r.HookLengthKg, r.MainLineKg, r.RodFtLow} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("not finite: %+v", r)
		}
	}
	if err := checkPlaces(r.Weights, r.HookLengthM, r.SetM); err != nil {
		return err
	}
	for _, x := range r.Weights {
		if x.Material == Lead {
			return fmt.Errorf("%s is of lead", x.Words())
		}
	}
	kinds := map[string]bool{}
	for _, x := range r.Weights {
		kinds[x.Size] = true
	}
	switch {
	case len(kinds) > 3:
		return fmt.Errorf("%d kinds of weight", len(kinds))
	case r.ShortG < -0.01-1e-9 || r.ShortG > max(0.02*r.CapacityG, 0.05)+1e-9:
		return fmt.Errorf("%.3f g short of %g", r.ShortG, r.CapacityG)
	case r.HookLengthKg >= r.MainLineKg:
		return fmt.Errorf("hook length of %.2f kg on a main line of %.2f", r.HookLengthKg, r.MainLineKg)
	case r.SetM < w.DepthM-0.006 || r.SetM > w.DepthM*1.15+0.006 || r.SetM > w.DepthM+0.306:
		return fmt.Errorf("set at %g", r.SetM)
	case r.PaceLowMPS > w.PaceMPS || r.PaceHighMPS < w.PaceMPS:
		return fmt.Errorf("right from %g to %g", r.PaceLowMPS, r.PaceHighMPS)
	case r.HoldBack == aThird && math.Abs(r.TiltDeg) > byPattern(r.Pattern).tiltDeg+14:
		return fmt.Errorf("leans %g°", r.TiltDeg)
	case len(r.Hang) < 2 || len(r.Hang) > hangPoints:
		return fmt.Errorf("%d points", len(r.Hang))
	case len(r.Why) < 2 || len(r.Why) > 4:
		return fmt.Errorf("%d reasons", len(r.Why))
	case r.HookSize < 4 || r.HookSize > 22 || r.HookSize%2 != 0:
		return fmt.Errorf("hook %d", r.HookSize)
	}
	end := r.Hang[len(r.Hang)-1]
	if math.Abs(end.XM-r.AheadM) > 1e-6 || math.Abs(end.ZM-(r.SetM-r.LiftM)) > 1e-3 || r.Hang[0].ZM > 1e-6 {
		return fmt.Errorf("the line ends at %+v, %.3f ahead and %.3f up", end, r.AheadM, r.LiftM)
	}
	return nil
}

// checkAll suggests and holds the answer to the rules; a water that is refused
// has to be refused with a sentence.
func checkAll(w Water, a Aim) error {
	rs, err := Suggest(w, a, StandardKit())
	if err != nil {
		var no *NoRigError
		if !errors.As(err, &no) || len(no.Why) < 40 {
			return err
		}
		return nil
	}
	if len(rs) == 0 || len(rs) > 3 {
		return fmt.Errorf("%d rigs", len(rs))
	}
	seen := map[string]bool{}
	for _, r := range rs {
		if err := checkRig(w, r); err != nil {
			return fmt.Errorf("%s: %w", r.Name, err)
		}
		seen[r.Pattern] = true
	}
	if len(seen) != len(rs) {
		return fmt.Errorf("the same pattern twice")
	}
	return nil
}

func TestSuggestOverTheWholeRange(t *testing.T) {
	for depth := 0.4; depth <= 6.001; depth += 0.35 {
		for pace := 0.0; pace <= 1.601; pace += 0.1 {
			w := Water{DepthM: math.Min(depth, 6), PaceMPS: math.Min(pace, 1.6), Boil: int(10*pace) % 4}
			if err := checkAll(w, Aim{}); err != nil {
				t.Errorf("%+v: %v", w, err)
			}
		}
	}
}

func TestSuggestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Water{
			DepthM: rapid.Float64Range(DepthLeastM, DepthMostM).Draw(t, "depth"), PaceMPS: rapid.Float64Range(0, PaceMostMPS).Draw(t, "pace"),
			Boil: rapid.IntRange(0, BoilMost).Draw(t, "boil"), DistanceM: rapid.Float64Range(0, DistanceMostM).Draw(t, "distance"),
			WindForce: rapid.IntRange(0, WindMost).Draw(t, "wind"), Snaggy: rapid.Bool().Draw(t, "snaggy"),
			Wind: rapid.SampledFrom(append(Winds(), "")).Draw(t, "wind from"),
		}
		a := Aim{
			Fish: rapid.SampledFrom(append(Fish(), "")).Draw(t, "fish"),
			Bait: rapid.SampledFrom(append(Baits(), "")).Draw(t, "bait"),

			Bigger: rapid.Bool().Draw(t, "bigger"), Nuisance: rapid.Bool().Draw(t, "nuisance"),
			HeldStill: rapid.Bool().Draw(t, "held still"), Junior: rapid.Bool().Draw(t, "junior"),
		}
		if err := checkAll(w, a); err != nil {
			t.Fatal(err)
		}
	})
}

// TestSuggestWithAnyKit holds rigs of odd kits to what still has to be true.
func TestSuggestWithAnyKit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := Kit{Chart: rapid.SampledFrom(Charts()).Draw(t, "chart")}
		materials := rapid.SampledFrom([]Material{Lead, Tin, Tungsten})
		k.ShotMaterial, k.OlivetteMaterial = materials.Draw(t, "shot"), materials.Draw(t, "olivettes")
		for _, s := range k.Chart.Sizes {
			if rapid.Bool().Draw(t, s.Name) {
				k.Sizes = append(k.Sizes, s.Name)
			}
		}
		k.OlivettesG = rapid.SliceOfN(rapid.Float64Range(0.1, 12), 0, 5).Draw(t, "grams")
		w := Water{DepthM: rapid.Float64Range(0.4, 4).Draw(t, "depth"), PaceMPS: rapid.Float64Range(0, 1.2).Draw(t, "pace")}
		rs, err := Suggest(w, Aim{}, k)
		var no *NoRigError
		if err != nil && !errors.As(err, &no) {
			t.Fatal(err)
		}
		for _, r := range rs {
			if err := checkPlaces(r.Weights, r.HookLengthM, r.SetM); err != nil {
				t.Fatal(err)
			}
			short := r.ShortG > max(0.02*r.CapacityG, 0.05)+1e-9
			if r.ShortG < -0.01-1e-9 || short != finding(r, "leaves this float") {
				t.Fatalf("%s: short %g, %+v", r.Name, r.ShortG, r.Findings)
			}
			for _, x := range r.Weights {
				if x.Unlawful() && r.Findings[0].Level != StopLevel {
					t.Fatalf("%s: lead %s and no stop", r.Name, x.Words())
				}
			}
		}
	})
}

func TestEasyWaterIsNeverRefused(t *testing.T) {
	for depth := 0.4; depth <= 6; depth += 0.4 {
		for pace := 0.0; pace <= 0.6; pace += 0.1 {
			if _, err := Suggest(Water{DepthM: depth, PaceMPS: pace}, Aim{}, StandardKit()); err != nil {
				t.Errorf("%g m at %g m/s: %v", depth, pace, err)
			}
		}
	}
}

func TestSuggestErrors(t *testing.T) {
	ok := Water{DepthM: 1.5, PaceMPS: 0.5}
	for want, c := range map[string]func(*Water, *Aim, *Kit){
		"depth NaN m is outside 0.4 to 6": func(w *Water, _ *Aim, _ *Kit) { w.DepthM = math.NaN() },
		"depth +Inf":                      func(w *Water, _ *Aim, _ *Kit) { w.DepthM = math.Inf(1) },
		"too shallow to float fish":       func(w *Water, _ *Aim, _ *Kit) { w.DepthM = 0.2 },
		"too deep":                        func(w *Water, _ *Aim, _ *Kit) { w.DepthM = 8 },
		"pace -1 m/s is outside 0 to 1.6": func(w *Water, _ *Aim, _ *Kit) { w.PaceMPS = -1 },
		"too heavy to float fish":         func(w *Water, _ *Aim, _ *Kit) { w.PaceMPS = 2 },
		"distance NaN":                    func(w *Water, _ *Aim, _ *Kit) { w.DistanceM = math.NaN() },
		"boil 4":                          func(w *Water, _ *Aim, _ *Kit) { w.Boil = 4 },
		"wind force 9":                    func(w *Water, _ *Aim, _ *Kit) { w.WindForce = 9 },
		"lowest depth 2":                  func(w *Water, _ *Aim, _ *Kit) { w.DepthLowM = 2 },
		"highest pace NaN":                func(w *Water, _ *Aim, _ *Kit) { w.PaceHighMPS = math.NaN() },
		"roach, dace, chub":               func(_ *Water, a *Aim, _ *Kit) { a.Fish = "whale" },
		"bread flake":                     func(_ *Water, a *Aim, _ *Kit) { a.Bait = "cake" },
		"no shot":                         func(_ *Water, _ *Aim, k *Kit) { k.Sizes = []string{} },
	} {
		w, a, k := ok, Aim{}, StandardKit()
		c(&w, &a, &k)
		if _, err := Suggest(w, a, k); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}

func TestTooHeavyIsASentence(t *testing.T) {
	_, err := Suggest(Water{DepthM: 6, PaceMPS: 1.6}, Aim{}, StandardKit())
	var no *NoRigError
	if !errors.As(err, &no) || !strings.Contains(no.Why, "too heavy to float fish") {
		t.Errorf("%v", err)
	}
}

func TestLawFindings(t *testing.T) {
	// SI 1986/1992; freshwater rod fishing rules, gov.uk: lead only at 0.06 g or
	// less, or above 28.35 g. No.8 and smaller by label.
	lead := Kit{Chart: ChartCounts, ShotMaterial: Lead, OlivetteMaterial: Lead, OlivettesG: StandardKit().OlivettesG}
	rs, err := Suggest(Water{DepthM: 1.83, PaceMPS: 0.8}, Aim{}, lead)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rs {
		if f := r.Findings[0]; f.Level != StopLevel || !strings.Contains(f.Text, "lead") {
			t.Errorf("%s of lead: %+v", r.Name, r.Findings)
		}
	}
	for _, c := range []struct {
		w    Weight
		want bool
	}{
		{Weight{Kind: ShotKind, Size: "No.8", Material: Lead, EachG: 0.063}, false}, {Weight{Material: Lead, EachG: 0.06}, false},
		{Weight{Kind: ShotKind, Size: "No.7", Material: Lead, EachG: 0.083}, true}, {Weight{Material: Lead, EachG: 0.061}, true}, {Weight{Material: Lead, EachG: 28.35}, true},
		{Weight{Material: Lead, EachG: 28.36}, false}, {Weight{Material: Tin, EachG: 1}, false},
	} {
		if c.w.Unlawful() != c.want {
			t.Errorf("%+v: %v", c.w, c.w.Unlawful())
		}
	}
	// The labels of real shot: a lead No.8 on "counts" weighs 0.063 g and is lawful.
	ws, err := Shot(1, bulkLayout, Kit{Chart: ChartCounts, ShotMaterial: Lead, Sizes: []string{"8"}})
	if err != nil || ws[0].Unlawful() {
		t.Errorf("lead No.8: %v %v", ws, err)
	}
}

func finding(r Rig, part string) bool {
	for _, f := range r.Findings {
		if strings.Contains(f.Text, part) && f.Remedy != "" {
			return true
		}
	}
	return false
}

func TestFindings(t *testing.T) {
	deep := suggest(t, Water{DepthM: 5, PaceMPS: 0.5}, Aim{})[0]
	if !finding(deep, "fixed on the line") {
		t.Errorf("5 m with a fixed float: %+v", deep.Findings)
	}
	snag := suggest(t, Water{DepthM: 1.5, PaceMPS: 0.9, Boil: 1, Snaggy: true}, Aim{Fish: "barbel"})[0]
	clear := suggest(t, Water{DepthM: 1.5, PaceMPS: 0.9, Boil: 1}, Aim{Fish: "chub", Bait: "maggot bunch"})[0]
	if !finding(snag, "Snags and barbel") || snag.HookLengthMM <= clear.HookLengthMM {
		t.Errorf("barbel near snags on %g mm: %+v", snag.HookLengthMM, snag.Findings)
	}
	vague := suggest(t, Water{DepthM: 1.5, DepthLowM: 1.2, DepthHighM: 1.9, PaceMPS: 0.8, PaceHighMPS: 1.5}, Aim{})[0]
	if !finding(vague, "between 1.20 m and 1.90 m") || !finding(vague, "may be up to 1.50 m/s") {
		t.Errorf("vague water: %+v", vague.Findings)
	}
	poor := StandardKit()
	poor.Sizes, poor.OlivettesG = []string{"10"}, nil
	rs, err := Suggest(Water{DepthM: 1.83, PaceMPS: 0.8}, Aim{}, poor)
	if err != nil || !finding(rs[0], "short") {
		t.Errorf("No.10 alone: %v %+v", err, rs)
	}
	lone, err := Suggest(Water{DepthM: 5.8, PaceMPS: 0.2}, Aim{}, StandardKit())
	if err != nil || len(lone) != 1 || !finding(lone[0], "No float here is made for this water") {
		t.Errorf("5.8 m: %v %+v", err, lone)
	}
}

func TestManyAtOnce(t *testing.T) {
	w, k := Water{DepthM: 1.83, PaceMPS: 0.8}, StandardKit()
	want := suggest(t, w, Aim{})
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			got, err := Suggest(w, Aim{}, k)
			if err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("at once: %v %v", got, err)
			}
		})
	}
	wg.Wait()
}

func TestPacesAreWhereTheRigStopsBeingRight(t *testing.T) {
	w := Water{DepthM: 1.83, PaceMPS: 0.8}
	r := suggest(t, w, Aim{})[0]
	for _, c := range []struct {
		pace  float64
		grown bool
	}{{r.PaceHighMPS + 0.05, true}, {r.PaceHighMPS - 0.02, false}} {
		other := suggest(t, Water{DepthM: w.DepthM, PaceMPS: c.pace}, Aim{})[0]
		if (other.CapacityG > r.CapacityG) != c.grown {
			t.Errorf("right to %.2f m/s, and at %.2f: %s after %s", r.PaceHighMPS, c.pace, other.Name, r.Name)
		}
	}
}

func TestHooksFitBaits(t *testing.T) {
	for _, p := range Patterns() {
		for _, b := range baits {
			for _, f := range fishes {
				size, words := hookFor(f, b, p)
				if size < b.HookLargest || size > b.HookFinest || size%2 != 0 || !strings.Contains(words, fmt.Sprint(size)) {
					t.Errorf("%s, %s, %s: %d (%s) of %d to %d", p.ID, b.Name, f.name, size, words, b.HookLargest, b.HookFinest)
				}
			}
		}
	}
}

func TestPatternsAreWhole(t *testing.T) {
	var ids []string
	for _, p := range Patterns() {
		ids = append(ids, p.ID)
	}
	if got := strings.Join(ids, " "); got != "avon-long avon-short avon-slim balsa bolognese flat stick stubby waggler" {
		t.Errorf("the patterns are %s", got)
	}
	for _, p := range Patterns() {
		if _, ok := findBait(p.bait); !ok || p.What == "" || p.Name == "" || p.mainLine == "" || p.tiltDeg <= 0 ||
			p.Body == "" || p.Stem == "" || p.Tip == "" || len(p.Baits()) == 0 || len(p.Fish()) == 0 {
			t.Errorf("%s lacks something: %+v", p.ID, p)
		}
		for _, f := range p.fish {
			if _, ok := findFish(f); !ok {
				t.Errorf("%s: fish %s", p.ID, f)
			}
		}
		for _, c := range Charts() {
			if l := p.Floats(c); len(l) < 3 {
				t.Errorf("%s on %s: %v", p.ID, c.Name, l)
			}
		}
	}
}

func FuzzSuggest(f *testing.F) {
	f.Add(1.83, 0.8, 0, 0.0, 0, "", "", 0.0, uint8(0))
	f.Add(0.4, 1.6, 3, 60.0, 8, "barbel", "luncheon meat", 0.4, uint8(3))
	f.Add(6.0, 0.0, 1, 12.0, 4, "roach", "hemp", -1.0, uint8(12))
	f.Fuzz(func(t *testing.T, depthM, paceMPS float64, boil int, distanceM float64, wind int, fish, bait string, give float64, flags uint8) {
		w := Water{DepthM: depthM, PaceMPS: paceMPS, Boil: boil, DistanceM: distanceM, WindForce: wind,
			Wind: append(Winds(), "")[flags>>4%5], Snaggy: flags>>7 == 1}
		if give != 0 {
			w.DepthLowM, w.DepthHighM, w.PaceLowMPS, w.PaceHighMPS = depthM-give, depthM+give, paceMPS-give, paceMPS+give
		}
		a := Aim{Fish: fish, Bait: bait, Bigger: flags&1 == 1, Nuisance: flags&2 == 2, HeldStill: flags&4 == 4, Junior: flags&8 == 8}
		if w.check() != nil || a.check() != nil {
			if _, err := Suggest(w, a, StandardKit()); err == nil {
				t.Fatal("bad arguments were taken")
			}
			return
		}
		if err := checkAll(w, a); err != nil {
			t.Fatal(err)
		}
	})
}
