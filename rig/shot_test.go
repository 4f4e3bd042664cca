package rig

import (
	"errors"
	"fmt"
	"math"
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
	for _, style := range Styles() {
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
			bulk := 0.0
			for _, w := range ws {
				if w.Role == Bulk {
					bulk = max(bulk, w.AtM)
				}
			}
			if bulk < lastBulk {
				t.Errorf("%s in %g m: the bulk came down from %g to %g", style, depth, lastBulk, bulk)
			}
			lastBulk = bulk
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
	f.Add(3.0, 1.83, 0.15, 0.6, 0, 1, uint16(0), int16(0))
	f.Add(0.8, 0.4, 0.1, 0.3, 6, 0, uint16(0xfff), int16(3))
	f.Add(6.0, 0.4, 0.15, 0.3, 2, 2, uint16(0x3), int16(20))
	f.Fuzz(func(t *testing.T, capacityG, setM, hookLengthM, bulkM float64, style, chart int, sizes uint16, held int16) {
		k := Kit{Chart: Charts()[uint(chart)%3], ShotMaterial: Tin, OlivetteMaterial: Tungsten, OlivettesG: []float64{0.5, 1, 2.5}}
		for i, s := range k.Chart.Sizes {
			if sizes>>(i%16)&1 == 1 {
				k.Sizes = append(k.Sizes, s.Name)
			}
		}
		if held != 0 {
			k.Held = map[string]int{"2.5 g": int(held) - 1, k.Chart.Sizes[0].Name: int(held)}
			for _, name := range k.Sizes {
				k.Held[name] = int(held)
			}
		}
		styles := Styles()
		l := Layout{Style: styles[uint(style)%uint(len(styles))], SetM: setM, HookLengthM: hookLengthM, BulkM: bulkM}
		ws, err := Shot(capacityG, l, k)
		if err != nil {
			return
		}
		for _, e := range []error{
			checkHeld(ws, capacityG, k), checkPlaces(ws, hookLengthM, setM), checkRoom(ws, setM), checkStyle(l.Style, ws),
		} {
			if e != nil {
				t.Fatalf("%v: %+v", e, ws)
			}
		}
	})
}
