package rig

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// eights is a chart of No.8 alone, at the retail chart's mass.
func eights(t testing.TB) Chart {
	t.Helper()
	c, err := OwnChart("eights", map[string]float64{"8": 0.06})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestLacksOfTheWorkedRig(t *testing.T) {
	// Calculated from the trade's worked rig: 2.5 g and eight of 0.06 g are 2.98 g
	// of lead; 2.94 g is right for 3 g, and seven are 2.92 g.
	all := Kit{Chart: ChartRetail, ShotMaterial: Lead, OlivetteMaterial: Lead, Sizes: []string{"8"}, OlivettesG: []float64{2.5}}
	only := all
	only.Chart = eights(t)
	tin := all
	tin.ShotMaterial = Tin
	for _, c := range []struct {
		kit    Kit
		change func(*Kit)
		want   string
	}{
		{all, func(*Kit) {}, "nothing is missing"},
		{only, func(k *Kit) { k.Held = map[string]int{"8": 8} }, "nothing is missing"},
		{only, func(k *Kit) { k.Held = map[string]int{"8": 7} }, "one more No.8 would do it"},
		{only, func(k *Kit) { k.Held = map[string]int{"8": 6} }, "two more No.8 would do it"},
		{only, func(k *Kit) { k.Held = map[string]int{"8": 0} }, "eight No.8 would do it"},
		{only, func(k *Kit) { k.Sizes = []string{} }, "eight No.8 would do it"},
		// 2.5 g of tungsten pulls as 2.598 g of lead, and six No.8 make it 2.958 g.
		{only, func(k *Kit) { k.OlivettesG, k.OlivetteMaterial, k.Held = nil, Tungsten, map[string]int{"8": 9} }, "a 2.5 g olivette would do it"},
		{only, func(k *Kit) { k.Held = map[string]int{"8": 8, "2.5 g": 0} },
			"a 2.5 g olivette would do it, but lead of that size is not lawful in England and Wales: ask again with tin or tungsten"},
		// One No.4 on five No.8 is 3 g, and a lead No.4 is not lawful.
		{all, func(k *Kit) { k.Held = map[string]int{"8": 6} },
			"one No.4 would do it, but lead of that size is not lawful in England and Wales: ask again with tin or tungsten"},
		{only, func(k *Kit) { k.OlivettesG, k.Held = []float64{0.5}, map[string]int{"8": 1} }, "no one size would do it"},
	} {
		k := c.kit
		c.change(&k)
		l, err := Lacks(3, bulkLayout, k)
		if err != nil || l.String() != c.want {
			t.Errorf("%v: %q, want %q: %v", k.Held, l, c.want, err)
		}
	}
}

// lackByHand asks Shot about every number of every size in turn.
func lackByHand(capacityG float64, l Layout, k Kit) (right bool, count int, sizes []string) {
	ask := func(k Kit) bool {
		ws, err := Shot(capacityG, l, k)
		pull := 0.0
		for _, w := range ws {
			pull += float64(w.Count) * w.PullEachG
		}
		return err == nil && math.Round((capacityG-pull)*1e6) <= math.Floor(math.Max(0.02*capacityG, 0.05)*1e6+1e-3)
	}
	if ask(k) {
		return true, 0, nil
	}
	for n := 1; n <= 32 && count == 0; n++ {
		for _, s := range k.Chart.Sizes {
			more := k
			more.Held = map[string]int{s.Name: n}
			for name, had := range k.Held {
				if name == s.Name {
					had += n
				}
				more.Held[name] = had
			}
			if ask(more) {
				count, sizes = n, append(sizes, s.Label())
			}
		}
		for _, g := range OlivetteSteps() {
			name := gramWords(g)
			if had, counted := k.Held[name]; n > 1 || l.Style != OlivetteBulk && l.Style != BulkSpread || had > 0 || !counted && slices.Contains(k.OlivettesG, g) {
				continue
			}
			more := k
			more.OlivettesG = append(slices.Clone(k.OlivettesG), g)
			more.Held = map[string]int{name: 1}
			for name, had := range k.Held {
				if name != gramWords(g) {
					more.Held[name] = had
				}
			}
			if ask(more) {
				count, sizes = n, append(sizes, name)
			}
		}
	}
	return false, count, sizes
}

func TestLacksAgainstAskingByHand(t *testing.T) {
	n := 150
	if os.Getenv("LEVELPEG_LONG") != "" {
		n = 3000
	}
	r := rand.New(rand.NewPCG(3, 4))
	missing, found := 0, 0
	for i := range n {
		k, l, _ := randomKit(r, true)
		k.OlivetteMaterial = Tungsten
		capacityG := math.Round((0.3+4*r.Float64())*1000) / 1000
		right, count, sizes := lackByHand(capacityG, l, k)
		got, err := Lacks(capacityG, l, k)
		if err != nil || got.Nothing != right || got.Count != count || count > 0 && !slices.Contains(sizes, got.Size) {
			t.Fatalf("kit %d: %+v (%v), by hand %v %d of %v: %g g %+v %+v", i, got, err, right, count, sizes, capacityG, l, k)
		}
		if !right {
			missing++
		}
		if count > 0 {
			found++
		}
	}
	t.Logf("%d kits, %d lack something, %d of them one size", n, missing, found)
	if found < n/4 || missing == found {
		t.Errorf("too few to compare")
	}
}

func TestLacksNamesTheBestOfEqualNumbers(t *testing.T) {
	// Calculated: with six No.8 of lead on 2.5 g (2.86 g), one No.6 of 0.1 g makes
	// 2.96 g and one No.5 of 0.15 g 3.01 g; one No.4 of 0.2 g with five of the six
	// is 3 g, of a piece less. A No.1 with three No.8 is 2.98 g of fewer still, but
	// leaves one dropper.
	k := Kit{Chart: ChartRetail, ShotMaterial: Lead, OlivetteMaterial: Lead, Sizes: []string{"8"}, OlivettesG: []float64{2.5},
		Held: map[string]int{"8": 6}}
	l, err := Lacks(3, bulkLayout, k)
	if err != nil {
		t.Fatal(err)
	}
	if l.Count != 1 || math.Abs(l.ShortG-0.14) > 1e-9 || l.Kind != ShotKind || l.EachG != 0.2 {
		t.Errorf("%+v", l)
	}
}

func TestLacksErrors(t *testing.T) {
	var out *RangeError
	for _, g := range []float64{math.NaN(), math.Inf(1), -1, 0.1, 41} {
		for _, sizes := range [][]string{nil, {}} {
			k := StandardKit()
			k.Sizes = sizes
			if _, err := Lacks(g, bulkLayout, k); !errors.As(err, &out) || out.Name != "capacity" {
				t.Errorf("%g: %v", g, err)
			}
		}
	}
	if _, err := Lacks(3, Layout{Style: "loose"}, StandardKit()); err == nil || !strings.Contains(err.Error(), "tapering") {
		t.Errorf("an unknown layout: %v", err)
	}
	k := StandardKit()
	k.Held = map[string]int{"8": -1}
	if _, err := Lacks(3, bulkLayout, k); !errors.As(err, &out) {
		t.Errorf("minus one No.8: %v", err)
	}
	// An empty box without materials is asked about tin.
	if l, err := Lacks(0.5, Layout{Style: ShotBulk, SetM: 2, BulkM: 0.8}, Kit{Chart: ChartRetail, Sizes: []string{}}); err != nil || l.Count == 0 || l.Material != Tin {
		t.Errorf("an empty box: %+v %v", l, err)
	}
}

func FuzzLacks(f *testing.F) {
	f.Add(3.0, 1.83, 0.15, 0.6, 0, 6, "8", 0.06)
	f.Add(0.8, 0.4, 0.1, 0.3, 5, 0, "BB", 0.4)
	f.Fuzz(func(t *testing.T, capacityG, setM, hookLengthM, bulkM float64, style, held int, size string, massG float64) {
		c, err := OwnChart("own", map[string]float64{size: massG, "10": 0.04, "AAA": 0.8})
		if err != nil {
			return
		}
		k := Kit{Chart: c, ShotMaterial: Tin, OlivetteMaterial: Tungsten, OlivettesG: []float64{1}, Sizes: []string{"10", size}, Held: map[string]int{size: held}}
		styles := Styles()
		l := Layout{Style: styles[(style%len(styles)+len(styles))%len(styles)], SetM: setM, HookLengthM: hookLengthM, BulkM: bulkM}
		got, err := Lacks(capacityG, l, k)
		if err != nil {
			return
		}
		ws, err := Shot(capacityG, l, k)
		right := err == nil && scoreOf(ws, int(math.Round(capacityG*1e6)))[0] == 0
		if got.Nothing != right || got.Nothing && got.Count != 0 || got.String() == "" || got.Count > lackMost {
			t.Fatalf("%+v, and the kit alone is right: %v", got, right)
		}
		if got.Count == 0 {
			return
		}
		more := k.with(got, k.count(got.Size)+got.Count)
		ws, err = Shot(capacityG, l, more)
		if err != nil || scoreOf(ws, int(math.Round(capacityG*1e6)))[0] != 0 {
			t.Fatalf("%v: %v %v", fmt.Sprint(got), ws, err)
		}
	})
}
