package rig

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

var bulkLayout = Layout{Style: OlivetteBulk, SetM: 1.83, HookLengthM: 0.15, BulkM: 0.6}

func TestWorkedRigOfTheTrade(t *testing.T) {
	// Common practice, no source: a 3 g float takes a 2.5 g olivette and eight
	// No.8, one each side of the olivette. The sums are calculated.
	for _, c := range []struct {
		chart Chart
		pullG float64
	}{{ChartRetail, 2.98}, {ChartCounts, 3.004}} {
		k := Kit{Chart: c.chart, ShotMaterial: Lead, OlivetteMaterial: Lead, Sizes: []string{"8"}, OlivettesG: []float64{2.5}}
		ws, err := Shot(3, bulkLayout, k)
		if err != nil {
			t.Fatal(err)
		}
		pull, eights, stopped := 0.0, 0, 0
		for _, w := range ws {
			pull += float64(w.Count) * w.PullEachG
			if w.Size == "No.8" {
				eights += w.Count
			}
			if w.Role == Stop {
				stopped += w.Count
			}
		}
		if math.Abs(pull-c.pullG) > 1e-6 || eights != 8 || stopped != 2 {
			t.Errorf("%s: %.4f g, %d No.8, %d of them stops: %v", c.chart.Name, pull, eights, stopped, ws)
		}
	}
}

func TestWorkedRigIsOverOnTheContinentalChart(t *testing.T) {
	// Calculated: eight No.8 would make 3.06 g there, so it has to be fewer.
	k := Kit{Chart: ChartContinental, ShotMaterial: Lead, OlivetteMaterial: Lead, Sizes: []string{"8"}, OlivettesG: []float64{2.5}}
	ws, err := Shot(3, bulkLayout, k)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, w := range ws {
		if w.Kind == ShotKind {
			n += w.Count
		}
	}
	if n != 7 {
		t.Errorf("%d No.8, want 7 (2.99 g)", n)
	}
}

// randomRecipe is a small one: up to four sizes of shot and three olivettes.
func randomRecipe(r *rand.Rand) recipe {
	k := Kit{Chart: Chart{Name: "made up"}, ShotMaterial: []Material{Lead, Tin, Tungsten}[r.IntN(3)], OlivetteMaterial: Tungsten}
	g := 0.02 + 0.05*r.Float64()
	for i := range 1 + r.IntN(4) {
		k.Chart.Sizes = append([]ShotSize{{Name: fmt.Sprint(i), MassG: math.Round(g*1000) / 1000}}, k.Chart.Sizes...)
		g *= 1.2 + r.Float64()
	}
	for range r.IntN(4) {
		k.OlivettesG = append(k.OlivettesG, float64(1+r.IntN(16))/4)
	}
	style := []Style{OlivetteBulk, ShotBulk, StrungOut, AtFloat}[r.IntN(4)]
	capacity := int64(math.Round((0.3 + 4*r.Float64()) * perGram))
	if r.IntN(3) == 0 {
		return anyhow(style, capacity, k)
	}
	return recipeFor(style, capacity, Layout{Style: style, DropperLowG: 0.02, DropperHighG: 0.02 + 0.3*r.Float64()}, k)
}

// brute looks at every count of every choice of kinds, and judges for itself.
func brute(r recipe) (best [5]int64, found bool) {
	try := func(parts ...[2]int64) { // pull and count, lightest first
		total, pieces := int64(0), int64(0)
		for _, p := range parts {
			total += p[0] * p[1]
			pieces += p[1]
		}
		short := r.capacity - total
		if short < -perGram/100 || pieces > int64(r.most) {
			return
		}
		key := [5]int64{0, int64(len(parts)), 0, pieces, int64(math.Abs(float64(short)))}
		if tol := int64(math.Max(math.Floor(0.02*float64(r.capacity)), 0.05*perGram)); short > tol {
			key[0] = short - tol
		}
		if short+perGram/100-parts[0][0] >= 0 {
			key[2] = 1
		}
		if !found || before(key, best) {
			best, found = key, true
		}
	}
	for _, a := range r.alone {
		for n := r.aloneLeast; n <= r.most; n++ {
			try([2]int64{a.pull, int64(n)})
		}
	}
	for _, s := range r.small {
		for n := int64(1); n <= int64(r.most); n++ {
			for _, m := range r.main {
				if m.kind == ShotKind && m.pull <= s.pull {
					continue
				}
				for nm := int64(r.mainLeast); nm <= int64(r.mainMost); nm++ {
					enough := n >= int64(r.smallLeast) && n*s.pull >= r.smallPull
					if with := nm * m.pull; enough && with >= r.mainLow && with <= r.mainHigh {
						try([2]int64{s.pull, n}, [2]int64{m.pull, nm})
					}
					for _, x := range r.extra {
						for nx := int64(1); nx <= int64(r.extraMost) && x.pull > s.pull && x.pull < m.pull; nx++ {
							with := nm * m.pull
							if !r.extraLow {
								with += nx * x.pull
							}
							if (enough || r.extraLow) && with >= r.mainLow && with <= r.mainHigh {
								try([2]int64{s.pull, n}, [2]int64{x.pull, nx}, [2]int64{m.pull, nm})
							}
						}
					}
				}
			}
		}
	}
	return best, found
}

func TestShottingAgainstBruteForce(t *testing.T) {
	n := 1000
	if os.Getenv("LEVELPEG_LONG") != "" {
		n = 10000
	}
	r := rand.New(rand.NewPCG(1, 2))
	solved := 0
	for i := range n {
		rec := randomRecipe(r)
		got, ok := rec.find()
		want, found := brute(rec)
		if ok != found {
			t.Fatalf("kit %d: found %v, brute force %v: %+v", i, ok, found, rec)
		}
		if !ok {
			continue
		}
		solved++
		if key := got.key(rec.capacity); key != want {
			t.Fatalf("kit %d: %v, brute force %v: %+v", i, key, want, rec)
		}
		sum := int64(got.nSmall)*got.small.pull + pullOf(got.main, got.nMain) + pullOf(got.extra, got.nExtra)
		if sum != got.pull || sum > rec.capacity+perGram/100 {
			t.Fatalf("kit %d: pulls %d, said %d, of %d", i, sum, got.pull, rec.capacity)
		}
	}
	if solved < n/2 {
		t.Errorf("only %d of %d kits had anything to compare", solved, n)
	}
}

func pullOf(it *item, n int) int64 {
	if it == nil {
		return 0
	}
	return int64(n) * it.pull
}

// checkPlaces holds weights to the rules of the bank.
func checkPlaces(ws []Weight, hookLengthM, setM float64) error {
	last := 0.0
	for _, w := range ws {
		for _, at := range append(w.Positions(), w.AtM, w.ToM) {
			if math.Abs(at*20-math.Round(at*20)) > 1e-9 {
				return fmt.Errorf("%s at %g is not on 5 cm", w.Size, at)
			}
			if at < hookLengthM+0.05-1e-9 || at > setM+1e-9 || w.Role != Lock && at > setM-0.05+1e-9 {
				return fmt.Errorf("%s at %g with a hook length of %g and the float at %g", w.Size, at, hookLengthM, setM)
			}
		}
		if w.AtM < last || w.ToM < w.AtM || w.Count < 1 || len(w.Positions()) != w.Count {
			return fmt.Errorf("%+v follows %g", w, last)
		}
		last = w.AtM
	}
	return nil
}

func TestPlacesOverDepths(t *testing.T) {
	for _, style := range []Style{OlivetteBulk, ShotBulk, StrungOut, AtFloat} {
		lastBulk := 0.0
		for _, depth := range []float64{0.4, 0.5, 0.7, 1, 1.5, 2, 3, 4, 5, 6} {
			l := Layout{Style: style, SetM: depth, HookLengthM: min(0.2, down5(depth/4)), BulkM: 0.3 + 0.2*depth, LowShare: 0.7}
			l.BulkM = min(l.BulkM, depth)
			ws, err := Shot(2, l, StandardKit())
			if err != nil {
				t.Fatal(err)
			}
			if err := checkPlaces(ws, l.HookLengthM, depth); err != nil {
				t.Errorf("%s in %g m: %v", style, depth, err)
			}
			for _, w := range ws {
				if w.Role == Bulk && w.AtM < lastBulk {
					t.Errorf("%s in %g m: the bulk came down to %g", style, depth, w.AtM)
				} else if w.Role == Bulk {
					lastBulk = w.AtM
				}
			}
		}
	}
}

func TestShotWithAPoorKitSaysHowShort(t *testing.T) {
	k := Kit{Chart: ChartRetail, ShotMaterial: Tin, Sizes: []string{"SSG"}}
	ws, err := Shot(3, bulkLayout, k)
	if err != nil || len(ws) != 1 || ws[0].Count != 1 {
		t.Errorf("one SSG and no more fits 3 g: %v %v", ws, err)
	}
	if _, err := Shot(1, bulkLayout, k); err == nil || !strings.Contains(err.Error(), "light enough") {
		t.Errorf("nothing fits 1 g: %v", err)
	}
}

func TestShotErrors(t *testing.T) {
	for _, c := range []struct {
		g float64
		l func(*Layout)
	}{
		{math.NaN(), func(*Layout) {}}, {math.Inf(1), func(*Layout) {}}, {-1, func(*Layout) {}},
		{3, func(l *Layout) { l.SetM = math.NaN() }}, {3, func(l *Layout) { l.HookLengthM = -1 }},
		{3, func(l *Layout) { l.BulkM = math.Inf(1) }}, {3, func(l *Layout) { l.LowShare = 2 }},
	} {
		l := bulkLayout
		c.l(&l)
		var r *RangeError
		if _, err := Shot(c.g, l, StandardKit()); !errors.As(err, &r) {
			t.Errorf("%g %+v: %v", c.g, l, err)
		}
	}
	if _, err := Shot(3, Layout{Style: "loose", SetM: 2}, StandardKit()); err == nil {
		t.Error("an unknown layout was taken")
	}
}

func FuzzShot(f *testing.F) {
	f.Add(3.0, 1.83, 0.15, 0.6, 0, true)
	f.Add(0.8, 0.4, 0.1, 0.3, 3, false)
	styles := []Style{OlivetteBulk, ShotBulk, StrungOut, AtFloat}
	f.Fuzz(func(t *testing.T, capacityG, setM, hookLengthM, bulkM float64, style int, tin bool) {
		k := StandardKit()
		if !tin {
			k.ShotMaterial, k.Sizes, k.OlivettesG = Tungsten, nil, nil
		}
		l := Layout{Style: styles[(style%4+4)%4], SetM: setM, HookLengthM: hookLengthM, BulkM: bulkM}
		ws, err := Shot(capacityG, l, k)
		if err != nil {
			return
		}
		pull := 0.0
		for _, w := range ws {
			pull += float64(w.Count) * w.PullEachG
		}
		if pull > capacityG+0.01+1e-6 {
			t.Fatalf("%g g on a float of %g", pull, capacityG)
		}
	})
}
