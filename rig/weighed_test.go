package rig

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func weighing(m Material, g map[string]float64) Kit {
	return Kit{Chart: ChartRetail, ShotMaterial: m, OlivetteMaterial: Tungsten, OlivettesG: []float64{2.5}, Sizes: []string{"8"}, WeighedG: g}
}

func TestAWeighedSizeWeighsWhatItWeighs(t *testing.T) {
	// Calculated: eight No.8 of 0.06 g of lead on 2.5 g of lead are 2.98 g; of 0.05 g
	// each, ten are 3 g.
	k := weighing(Lead, map[string]float64{"No.8": 0.05})
	k.OlivetteMaterial = Lead
	ws, err := Shot(3, bulkLayout, k)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, w := range ws {
		if w.Kind == ShotKind {
			n += w.Count
			if w.EachG != 0.05 || w.WeighedG != 0.05 || w.PullEachG != 0.05 {
				t.Errorf("%+v", w)
			}
		} else if w.WeighedG != 0 {
			t.Errorf("an olivette was weighed: %+v", w)
		}
	}
	if n != 10 {
		t.Errorf("%d No.8: %+v", n, ws)
	}
}

func TestWeighingAsTheChartHasItChangesNothingElse(t *testing.T) {
	open, same := StandardKit(), StandardKit()
	same.WeighedG = map[string]float64{}
	for _, s := range ChartRetail.Sizes {
		same.WeighedG[s.Name] = s.MassG
	}
	for _, g := range []float64{0.6, 1.6, 3, 6.4} {
		for _, style := range Styles() {
			l := Layout{Style: style, SetM: 2, HookLengthM: 0.2, BulkM: 0.7}
			a, e1 := Shot(g, l, open)
			b, e2 := Shot(g, l, same)
			for i := range b {
				b[i].WeighedG = 0
			}
			if !slices.Equal(a, b) || (e1 == nil) != (e2 == nil) {
				t.Errorf("%g g %s: %+v and %+v", g, style, a, b)
			}
		}
	}
}

func TestWeighedOutOfOrderStillLoads(t *testing.T) {
	k := StandardKit()
	k.WeighedG = map[string]float64{"10": 0.3, "BB": 0.03} // boxes mixed up
	for g := 0.6; g < 6; g += 0.7 {
		ws, err := Shot(g, bulkLayout, k)
		pull := 0.0
		for _, w := range ws {
			pull += float64(w.Count) * w.PullEachG
		}
		if err != nil || math.Abs(g-pull) > max(0.02*g, 0.05) {
			t.Errorf("%g g: %g, %v", g, pull, err)
		}
	}
}

// TestLawByTheAnglersScales: shot sold as No.8 is taken by its label unless weighed
// over 0.06 g (the rule of Law).
func TestLawByTheAnglersScales(t *testing.T) {
	w := Water{DepthM: 1.83, PaceMPS: 0.8}
	for _, c := range []struct {
		g    map[string]float64
		stop bool
	}{{nil, false}, {map[string]float64{"8": 0.06}, false}, {map[string]float64{"8": 0.063}, true}} {
		rs, err := Suggest(w, Aim{}, weighing(Lead, c.g))
		if err != nil {
			t.Fatal(err)
		}
		if got := finding(rs[0], "by your own weighing"); got != c.stop {
			t.Errorf("%v: %+v", c.g, rs[0].Findings)
		}
	}
	// And what would load a float says so.
	k := weighing(Lead, map[string]float64{"8": 0.063})
	k.Chart, k.Held = eights(t), map[string]int{"8": 3}
	if l, err := Lacks(3, bulkLayout, k); err != nil || l.Count == 0 || l.WeighedG != 0.063 || !strings.Contains(l.String(), "not lawful") {
		t.Errorf("%+v (%v) %v", l, l, err)
	}
}

// TestCountedOlivettesDoNotHinderABulkOfShot: a kit that counts its olivettes still
// loads the patterns whose bulk is of shot.
func TestCountedOlivettesDoNotHinderABulkOfShot(t *testing.T) {
	k := StandardKit()
	k.Held = map[string]int{"2.5 g": 1, "8": 30}
	if r := lone(t, "avon-slim", k); short(r) {
		t.Errorf("%+v", r.Weights)
	}
}
