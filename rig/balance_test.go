package rig

import (
	"math"
	"strings"
	"testing"
)

func near1(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9 {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

func TestStrengthOfALine(t *testing.T) {
	for _, c := range []struct {
		spool Spool
		kg    float64
		by    Basis
	}{
		{Spool{Kind: HookNylon, DiameterMM: 0.12}, 1.47, ByChart},           // "line breaking strains", anglingtimes.co.uk
		{Spool{Kind: HookNylon, DiameterMM: 0.13}, 1.81, ByChart},           // straight between, [calc]
		{Spool{Kind: ReelNylon, DiameterMM: 0.20}, 0.6 * 3.52, ByChart},     // six tenths, from memory
		{Spool{Kind: Fluorocarbon, DiameterMM: 0.16}, 0.75 * 2.55, ByChart}, // three quarters, from memory
		{Spool{Kind: HookNylon, DiameterMM: 0.12, LabelKg: 1.8}, 1.8, ByLabel},
		{Spool{Kind: Braid, LabelKg: 5}, 5, ByLabel},
	} {
		s, err := c.spool.Strength()
		if err != nil || s.By != c.by || s.Standing == "" {
			t.Errorf("%+v: %+v, %v", c.spool, s, err)
		}
		near1(t, string(c.spool.Kind), s.Kg, c.kg)
		if c.by == ByChart && !strings.Contains(s.Standing, "the label on the spool comes first") {
			t.Errorf("a chart that does not say so: %q", s.Standing)
		}
	}
	for want, s := range map[string]Spool{
		"diameter NaN mm is outside 0.04 to 0.6": {Kind: HookNylon, DiameterMM: math.NaN()},
		"label -1 kg is outside 0.1 to 50":       {Kind: HookNylon, LabelKg: -1},
		"diameter 0 mm":                          {Kind: ReelNylon},
		"read the label":                         {Kind: Braid, DiameterMM: 0.1},
		`line "silk" is not known`:               {Kind: "silk", LabelKg: 2},
	} {
		if _, err := s.Strength(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}

func TestLinesWetAndKnotted(t *testing.T) {
	// A knot keeps 80 to 95 % (from memory); nylon loses up to 15 % wet, fluorocarbon
	// nothing ("Specific gravity", sunlineamerica.com).
	nylon := Strength{Kg: 2, Kind: ReelNylon}.Tied()
	near1(t, "least of nylon", nylon.Low, 2*0.85*0.80)
	near1(t, "most of nylon", nylon.High, 2*0.95)
	fluoro := Strength{Kg: 2, Kind: Fluorocarbon}.Tied()
	near1(t, "least of fluorocarbon", fluoro.Low, 2*0.80)
	// The same table's relative densities.
	for k, want := range map[LineKind]Span{HookNylon: {1.11, 1.14}, ReelNylon: {1.11, 1.14}, Fluorocarbon: {1.78, 1.78}, Braid: {0.97, 0.97}} {
		if got := k.Density(); got != want {
			t.Errorf("%s: %v, want %v", k, got, want)
		}
	}
	for _, k := range LineKinds() {
		if d := k.Density(); d.Low <= 0 {
			t.Errorf("%s has no density", k)
		}
	}
}

func TestStrengthsLikeWithLike(t *testing.T) {
	label, chart := Strength{Kg: 2, By: ByLabel}, Strength{Kg: 1, By: ByChart}
	if r, ok := label.Ratio(Strength{Kg: 4, By: ByLabel}); !ok || r != 0.5 {
		t.Errorf("label by label: %g %v", r, ok)
	}
	if _, ok := label.Ratio(chart); ok {
		t.Error("a label beside a chart")
	}
	if _, ok := chart.Ratio(Strength{By: ByChart}); ok {
		t.Error("over nothing")
	}
}

func TestGapes(t *testing.T) {
	// "Numeration and marking of fishing tackle" (in Russian), 555vip.ru.
	for size, want := range map[int]float64{18: 2.5, 17: 3, 15: 3.5, 13: 4, 11: 4.5, 10: 5, 8: 6, 6: 7} {
		mm, standing, err := Hook{Size: size}.GapeMM()
		near1(t, standing, mm, want)
		if err != nil || standing != gapePublished {
			t.Errorf("%d: %q %v", size, standing, err)
		}
	}
	last := math.Inf(1)
	for size := hookLargest; size <= hookFinest; size++ {
		mm, _, err := Hook{Size: size}.GapeMM()
		if err != nil || mm >= last || mm < 1 {
			t.Errorf("%d: %g after %g, %v", size, mm, last, err)
		}
		last = mm
	}
	twelve, standing, _ := Hook{Size: 12}.GapeMM()
	near1(t, "12, half way", twelve, 4.25)
	if standing != gapeInterpolated {
		t.Errorf("12: %q", standing)
	}
	for _, size := range []int{0, -3, 3, 23, math.MaxInt} {
		if _, _, err := (Hook{Size: size}).GapeMM(); err == nil {
			t.Errorf("%d has a gape", size)
		}
	}
}

// sound is tackle with nothing to find.
func sound() Tackle {
	return Tackle{
		Main:       Spool{Kind: ReelNylon, DiameterMM: 0.20, LabelKg: 2.3},
		HookLength: Spool{Kind: HookNylon, DiameterMM: 0.14, LabelKg: 1.8},
		MainLine:   "floating", Hook: Hook{12, Barbless}, Bait: "maggot bunch", Fish: "chub",
		Pattern: "avon-short", CapacityG: 4, RodM: 4.2, RodCastG: 20, SetM: 2,
	}
}

// Common practice, no source, but where the figures say.
func TestBalance(t *testing.T) {
	if got := Balance(sound()); len(got) != 0 {
		t.Errorf("sound tackle: %+v", got)
	}
	if got := Balance(Tackle{}); len(got) != 0 {
		t.Errorf("nothing known: %+v", got)
	}
	for name, c := range map[string]struct {
		f     func(*Tackle)
		level Level
		part  string
	}{
		"hook length the stronger, by label": {func(t *Tackle) { t.HookLength.LabelKg = 2.5 }, CareLevel, "by their labels"},
		"as strong":                          {func(t *Tackle) { t.HookLength.LabelKg = 2.3 }, CareLevel, "weakest part"},
		"by chart": {func(t *Tackle) {
			t.Main.LabelKg, t.HookLength.LabelKg, t.HookLength.DiameterMM = 0, 0, 0.18
		}, CareLevel, "by their charts"},
		"a label and a chart": {func(t *Tackle) { t.HookLength.LabelKg = 0; t.Main.DiameterMM = 0.22 }, NoteLevel, "cannot be told"},
		"a label and no chart": {func(t *Tackle) { t.HookLength = Spool{Kind: Braid, DiameterMM: 0.1}; t.Fish = "" },
			NoteLevel, "cannot be told"},
		"hook too large":   {func(t *Tackle) { t.Bait = "single maggot" }, CareLevel, "outside what single maggot is fished on, 18 to 22"},
		"bait hides it":    {func(t *Tackle) { t.BaitMM = 30 }, CareLevel, "hides the point"},
		"hook shows":       {func(t *Tackle) { t.BaitMM = 3 }, CareLevel, "the hook shows"},
		"light for barbel": {func(t *Tackle) { t.Fish = "barbel"; t.HookLength.DiameterMM = 0.12 }, CareLevel, "light for barbel"},
		"light at snags":   {func(t *Tackle) { t.Snaggy = true }, CareLevel, "trail line"},
		"stout at snags": {func(t *Tackle) { t.Snaggy = true; t.HookLength.DiameterMM = 0.16 }, NoteLevel,
			"0.16 mm and not the usual 0.12 mm"},
		"fluorocarbon is weaker at snags": {func(t *Tackle) {
			t.Snaggy, t.HookLength.DiameterMM, t.HookLength.Kind = true, 0.16, Fluorocarbon
		}, CareLevel, "trail line"},
		"a float too heavy for the line": {func(t *Tackle) { t.CapacityG = 15 }, CareLevel, "light to cast"},
		"a float too heavy for the rod":  {func(t *Tackle) { t.RodCastG = 3 }, CareLevel, "can break in the cast"},
		"a sinking line on an Avon":      {func(t *Tackle) { t.MainLine = "sinking" }, CareLevel, "wants one that floats"},
		"fluorocarbon sinks": {func(t *Tackle) {
			t.MainLine, t.Main.Kind = "", Fluorocarbon
		}, CareLevel, "The main line sinks"},
		"a floating line on a waggler": {func(t *Tackle) { t.Pattern = "waggler" }, CareLevel, "wants it sunk"},
		"too deep":                     {func(t *Tackle) { t.SetM = 4 }, CareLevel, "no deeper than 3.90 m on a 14 ft rod"},
		"hardly room":                  {func(t *Tackle) { t.SetM = 3.8 }, NoteLevel, "40 cm left"},
		"not a rod":                    {func(t *Tackle) { t.RodM = math.Inf(1) }, NoteLevel, "The rod's length is not from 1 to 20 m"},
	} {
		x := sound()
		c.f(&x)
		got := Balance(x)
		if len(got) != 1 || got[0].Level != c.level || !strings.Contains(got[0].Text, c.part) || got[0].Remedy == "" {
			t.Errorf("%s: %+v", name, got)
		}
	}
	slider := sound()
	slider.SetM, slider.Slides = 6, true
	if got := Balance(slider); len(got) != 0 {
		t.Errorf("a slider in deep water: %+v", got)
	}
}

// A rig of ours is in balance within itself, but for water too deep for the rod.
func TestSuggestionsAreInBalance(t *testing.T) {
	for _, depth := range []float64{0.8, 1.5, 2.4, 3.2} {
		for _, pace := range []float64{0.2, 0.5, 0.9} {
			for _, fish := range Fish() {
				rs, err := Suggest(Water{DepthM: depth, PaceMPS: pace}, Aim{Fish: fish}, StandardKit())
				if err != nil {
					continue
				}
				for _, r := range rs {
					for _, f := range Balance(r.Tackle()) {
						if !strings.Contains(f.Text, "rod") {
							t.Errorf("%s for %s: %+v", r.Name, fish, f)
						}
					}
				}
			}
		}
	}
}

func FuzzBalance(f *testing.F) {
	f.Add(0.2, 2.3, 0.14, 1.8, 12, 8.0, 4.0, 4.2, 20.0, 2.0, uint8(0))
	f.Add(math.NaN(), math.Inf(1), math.NaN(), -1.0, -5, math.Inf(-1), math.NaN(), math.NaN(), math.Inf(1), 1e300, uint8(200))
	f.Fuzz(func(t *testing.T, mainMM, mainKg, hookMM, hookKg float64, hook int, baitMM, capG, rodM, castG, setM float64, pick uint8) {
		kinds := append(LineKinds(), "", "silk")
		n := int(pick)
		x := Tackle{
			Main: Spool{kinds[n%6], mainMM, mainKg}, HookLength: Spool{kinds[n/6%6], hookMM, hookKg}, Hook: Hook{hook, Barbed},
			BaitMM: baitMM, Bait: append(Baits(), "")[n%11], Fish: append(Fish(), "")[n%9], Snaggy: n%2 == 0,
			Pattern: registered[n%len(registered)].ID, CapacityG: capG, RodM: rodM, RodCastG: castG, SetM: setM,
		}
		for _, g := range Balance(x) {
			if g.Text == "" || g.Remedy == "" || strings.Contains(g.Text+g.Remedy, "NaN") || strings.Contains(g.Text+g.Remedy, "Inf") {
				t.Fatalf("%+v", g)
			}
			if g.Level == StopLevel {
				t.Fatalf("a refusal: %+v", g)
			}
		}
	})
}
