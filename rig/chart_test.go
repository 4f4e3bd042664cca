package rig

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestEquivalences(t *testing.T) {
	// "Guide to float shotting weights", soartackle.co.uk.
	for _, c := range []struct {
		big   string
		n     float64
		small string
	}{
		{"SSG", 2, "AAA"}, {"AAA", 2, "BB"}, {"BB", 2, "4"}, {"1", 3, "6"},
		{"4", 2, "6"}, {"6", 2, "9"}, {"8", 2, "11"}, {"10", 2, "12"},
	} {
		big, _ := ChartRetail.Size(c.big)
		small, _ := ChartRetail.Size(c.small)
		near(t, c.big, big.MassG, c.n*small.MassG, 1e-9)
	}
}

func TestTwoNo8AreNotANo6(t *testing.T) {
	// Calculated: false on every chart, though often said.
	for _, c := range Charts() {
		six, _ := c.Size("No.6")
		eight, _ := c.Size("8")
		if math.Abs(2*eight.MassG-six.MassG) < 0.01 {
			t.Errorf("%s: two No.8 are %g and a No.6 %g", c.Name, 2*eight.MassG, six.MassG)
		}
	}
}

func TestCountsAreAnOunceOverPellets(t *testing.T) {
	// 7, 8 and 9: Clay Shooting, 8 January 2020; the others from memory. The
	// chart rounds to a milligram.
	for name, n := range map[string]float64{
		"SSG": 15, "AAA": 35, "BB": 70, "1": 100, "3": 140, "4": 170, "5": 220, "6": 270,
		"7": 340, "8": 450, "9": 580, "10": 850,
	} {
		s, ok := ChartCounts.Size(name)
		if !ok || math.Abs(s.MassG-28.35/n) > 0.0006 {
			t.Errorf("%s: %g g and an ounce over %g is %.4f", name, s.MassG, n, 28.35/n)
		}
	}
}

func TestChartsAreInOrderAndHaveStandings(t *testing.T) {
	for _, c := range Charts() {
		if !slices.IsSortedFunc(c.Sizes, func(a, b ShotSize) int { return int(1e4 * (b.MassG - a.MassG)) }) {
			t.Errorf("%s is not heaviest first", c.Name)
		}
		for _, s := range c.Sizes {
			if s.Standing == "" {
				t.Errorf("%s %s has no standing", c.Name, s.Name)
			}
		}
		if got, err := ChartByName(c.Name); err != nil || got.Name != c.Name {
			t.Errorf("by name: %v %v", got.Name, err)
		}
	}
	if _, err := ChartByName("none"); err == nil || !strings.Contains(err.Error(), "continental") {
		t.Errorf("an unknown chart: %v", err)
	}
}

func TestPulls(t *testing.T) {
	// Calculated from handbook densities.
	for m, pull := range map[Material]float64{Lead: 0.912, Tin: 0.863, Tungsten: 0.948} {
		near(t, string(m), m.Pull(), pull, 0.0006)
	}
	// Calculated: tin pulls 5.4 % less than lead.
	near(t, "tin for lead", Tin.LeadGrams(1), 1-0.054, 0.001)
	if Material("gold").Pull() != 0 {
		t.Error("an unknown material pulls")
	}
}

func TestKitKey(t *testing.T) {
	a, b := StandardKit(), StandardKit()
	slices.Reverse(b.Sizes)
	slices.Reverse(b.OlivettesG)
	if a.Key() != b.Key() {
		t.Error("the order of sizes changes the key")
	}
	for _, change := range []func(*Kit){
		func(k *Kit) { k.Chart = ChartCounts }, func(k *Kit) { k.ShotMaterial = Lead },
		func(k *Kit) { k.OlivetteMaterial = Tin }, func(k *Kit) { k.Sizes = k.Sizes[1:] },
		func(k *Kit) { k.OlivettesG = nil }, func(k *Kit) { k.Sizes = nil },
		func(k *Kit) { k.Sizes = append(k.Sizes, "99") },
		func(k *Kit) { k.Held = map[string]int{"8": 3} }, func(k *Kit) { k.Held = map[string]int{"8": 0} },
		func(k *Kit) { k.Held = map[string]int{"6": 3} }, func(k *Kit) { k.Held = map[string]int{"2 g": 3} },
	} {
		c := StandardKit()
		change(&c)
		if c.Key() == a.Key() {
			t.Errorf("the key does not see a change to %+v", c)
		}
	}
	a.Held, b.Held = map[string]int{"8": 3, "BB": 2, "2.50 g": 1}, map[string]int{"BB": 2, "2.5 g": 1, "No.8": 3}
	if a.Key() != b.Key() {
		t.Error("how the names of counts are written changes the key")
	}
	b.Held["No.8"] = 4
	if a.Key() == b.Key() {
		t.Error("the key does not see a count")
	}
}

func TestKitErrors(t *testing.T) {
	for want, k := range map[string]Kit{
		"no shot":          {},
		"\"99\"":           {Chart: ChartRetail, ShotMaterial: Tin, Sizes: []string{"99"}},
		"\"gold\"":         {Chart: ChartRetail, ShotMaterial: "gold"},
		"olivette":         {Chart: ChartRetail, ShotMaterial: Tin, OlivettesG: []float64{1}},
		"olivette -1":      {Chart: ChartRetail, ShotMaterial: Tin, OlivetteMaterial: Tin, OlivettesG: []float64{-1}},
		"NaN":              {Chart: ChartRetail, ShotMaterial: Tin, OlivetteMaterial: Tin, OlivettesG: []float64{math.NaN()}},
		"count of 8 -1":    counted(map[string]int{"8": -1}),
		"count of 8 1001":  counted(map[string]int{"8": 1001}),
		"\"5\" is counted": counted(map[string]int{"5": 2}),
		"\"9 g\"":          counted(map[string]int{"9 g": 2}),
		"the same weight":  counted(map[string]int{"8": 2, "No.8": 2}),
		"holds no shot":    {Chart: ChartRetail, ShotMaterial: Tin, Sizes: []string{"8"}, Held: map[string]int{"8": 0}},
	} {
		if err := k.check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %s, got %v", want, err)
		}
	}
}

func TestStandardKitHasNoLead(t *testing.T) {
	k := StandardKit()
	if k.ShotMaterial == Lead || k.OlivetteMaterial == Lead {
		t.Error("the standard kit has lead in it")
	}
	if err := k.check(); err != nil {
		t.Error(err)
	}
}

func TestLineStrength(t *testing.T) {
	// A UK angling weekly's table, anglingtimes.co.uk, and halfway between.
	near(t, "0.12", nylonKg(0.12), 1.47, 1e-9)
	near(t, "0.13", nylonKg(0.13), (1.47+2.15)/2, 1e-9)
	near(t, "0.22", nylonKg(0.22), 4.08, 1e-9)
	for mm := 0.08; mm < 0.32; mm += 0.005 {
		if nylonKg(mm+0.005) <= nylonKg(mm) {
			t.Errorf("strength falls at %g mm", mm)
		}
	}
}

// counted is the standard kit with counts.
func counted(held map[string]int) Kit {
	k := StandardKit()
	k.Held = held
	return k
}

func TestOlivetteSteps(t *testing.T) {
	// "Numeration and marking of fishing tackle" (in Russian), 555vip.ru.
	steps := OlivetteSteps()
	for i := range 10 {
		near(t, "step", steps[i], 0.25*float64(i+1), 1e-12)
	}
	if !slices.Equal(steps[10:], []float64{3, 4, 5, 6, 7, 8, 10, 12}) {
		t.Errorf("%v", steps)
	}
	steps[0] = 9
	if OlivetteSteps()[0] != 0.25 {
		t.Error("the steps can be changed from outside")
	}
}

func TestOwnChart(t *testing.T) {
	own := map[string]float64{"No.8": 0.064, "BB": 0.41, " 6": 0.102, "9": 0.064}
	c, err := OwnChart(" my scales ", own)
	if err != nil || c.Name != "my scales" || len(c.Sizes) != 4 || c.Sizes[0].Name != "BB" || c.Sizes[1].Name != "6" {
		t.Fatalf("%+v %v", c, err)
	}
	if s, ok := c.Size("8"); !ok || s.MassG != 0.064 || s.Standing == "" {
		t.Errorf("%+v", s)
	}
	if _, ok := c.Size("4"); ok {
		t.Error("the chart was filled from another")
	}
	for want, bad := range map[string]struct {
		name  string
		sizes map[string]float64
	}{
		"has no name":            {" ", own},
		"41 characters":          {strings.Repeat("x", 41), own},
		"cannot be printed":      {"a\tb", own},
		"retail":                 {"retail", own},
		"0 sizes":                {"mine", nil},
		"twice":                  {"mine", map[string]float64{"8": 0.06, "No.8": 0.07}},
		"named as olivettes":     {"mine", map[string]float64{"2.5 g": 2.5}},
		"heavier than No.6 of":   {"mine", map[string]float64{"8": 0.6, "6": 0.1}},
		"shot size has no name":  {"mine", map[string]float64{"No.": 0.6}},
		"No.8 0 g is outside":    {"mine", map[string]float64{"8": 0}},
		"No.8 NaN g":             {"mine", map[string]float64{"8": math.NaN()}},
		"No.8 +Inf g":            {"mine", map[string]float64{"8": math.Inf(1)}},
		"BB 11 g is outside":     {"mine", map[string]float64{"BB": 11}},
		"BB -0.4 g is outside 0": {"mine", map[string]float64{"BB": -0.4}},
	} {
		if _, err := OwnChart(bad.name, bad.sizes); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}
