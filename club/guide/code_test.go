package guide

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/rig"
)

// grid are set-ups of every pattern over many waters: what a sheet suggests.
func grid(t testing.TB) []Setup {
	t.Helper()
	kits := []rig.Kit{rig.StandardKit()}
	shots := rig.StandardKit()
	shots.Chart, shots.ShotMaterial, shots.OlivettesG = rig.ChartContinental, rig.Tungsten, nil
	kits = append(kits, shots)
	weighed := rig.StandardKit()
	weighed.WeighedG = map[string]float64{"8": 0.066, "4": 0.188}
	kits = append(kits, weighed)
	seen := map[string]bool{}
	var out []Setup
	for k, kit := range kits {
		for _, depth := range []float64{0.5, 0.9, 1.4, 1.85, 2.6, 3.4, 4.5, 6} {
			for _, pace := range []float64{0, 0.15, 0.35, 0.6, 0.9, 1.3} {
				for _, dist := range []float64{4, 12, 25} {
					for _, aim := range []rig.Aim{{}, {Junior: true}, {HeldStill: true}, {Fish: "small fish"}, {Bait: "luncheon meat"}} {
						w := rig.Water{DepthM: depth, PaceMPS: pace, Boil: min(3, int(pace*2.5)), DistanceM: dist}
						rigs, err := rig.Suggest(w, aim, kit)
						if err != nil {
							continue
						}
						for _, r := range rigs {
							s := Setup{Rig: r, Water: w, Junior: aim.Junior}
							code, err := s.Code()
							if err != nil {
								t.Fatalf("kit %d, %+v %+v: %v", k, w, aim, err)
							}
							if !seen[code] {
								seen[code] = true
								out = append(out, s)
							}
						}
					}
				}
			}
		}
	}
	return out
}

func near(a, b, by float64) bool { return math.Abs(a-b) <= by }

// TestCode: a code gives back the same rig, to the gram and the mark, for every pattern
// there is.
func TestCode(t *testing.T) {
	all := grid(t)
	patterns, longest := map[string]int{}, 0
	for _, s := range all {
		code, err := s.Code()
		if err != nil {
			t.Fatal(err)
		}
		longest = max(longest, len(code))
		got, err := Parse(code)
		if err != nil {
			t.Fatalf("%s of %+v: %v", code, s.Rig, err)
		}
		again, err := got.Code()
		if err != nil || again != code {
			t.Fatalf("%s became %s, %v", code, again, err)
		}
		same(t, s.Rig, got.Rig)
		patterns[s.Rig.Pattern]++
	}
	for _, p := range rig.Patterns() {
		if patterns[p.ID] == 0 {
			t.Errorf("the grid has no %s", p.ID)
		}
	}
	t.Logf("%d rigs, the longest code %d letters; %v", len(all), longest, patterns)
}

func same(t *testing.T, a, b rig.Rig) {
	t.Helper()
	if a.Name != b.Name || a.Hook != b.Hook || a.HookSize != b.HookSize || a.Bait != b.Bait || a.Barb != b.Barb || a.ReadyTied != b.ReadyTied ||
		a.MainLine != b.MainLine || a.MainLineOf != b.MainLineOf || a.HookLengthOf != b.HookLengthOf || len(a.Weights) != len(b.Weights) {
		t.Fatalf("%+v\nbecame\n%+v", a, b)
	}
	const half = 0.005 + 1e-9
	if !near(a.CapacityG, b.CapacityG, 1e-9) || !near(a.OnLineG, b.OnLineG, 1e-9) || !near(a.PullG, b.PullG, half) || !near(a.SetM, b.SetM, 1e-9) ||
		!near(a.HookLengthM, b.HookLengthM, half) || !near(a.HookLengthMM, b.HookLengthMM, half) || !near(a.MainLineMM, b.MainLineMM, half) ||
		!near(a.RodFtLow, b.RodFtLow, 0.05) || !near(a.HoldBack, b.HoldBack, half) {
		t.Fatalf("%+v\nbecame\n%+v", a, b)
	}
	for i := range a.Weights {
		x, y := a.Weights[i], b.Weights[i]
		if x.Kind != y.Kind || x.Size != y.Size || x.Material != y.Material || x.Count != y.Count || x.Role != y.Role || x.WeighedG != y.WeighedG ||
			!near(x.EachG, y.EachG, 1e-9) || !slices.Equal(x.Positions(), y.Positions()) {
			t.Fatalf("%+v\nbecame\n%+v", x, y)
		}
	}
}

// TestCodesGivenOut: codes that have been given out are read for ever. Never change
// these lines; add new ones.
func TestCodesGivenOut(t *testing.T) {
	for code, name := range givenOut {
		s, err := Parse(code)
		if err != nil || s.Rig.Name != name {
			t.Errorf("%s: %q, %v, want %q", code, s.Rig.Name, err, name)
		}
	}
}

// TestDamagedCode: no letter of a code may be changed, left out or put twice without it
// being seen, and whatever is typed gives a sentence and no panic.
func TestDamagedCode(t *testing.T) {
	s := grid(t)[0]
	code, err := s.Code()
	if err != nil {
		t.Fatal(err)
	}
	bad := func(what string) {
		if _, err := Parse(what); club.KindOf(err) != club.Invalid {
			t.Errorf("%q: %v", what, err)
		} else if f := (*club.Fault)(nil); !errors.As(err, &f) || !strings.HasSuffix(f.Say, ".") {
			t.Errorf("%q says %v", what, err)
		}
	}
	for i := range code {
		for _, c := range letters {
			if byte(c) != code[i] {
				bad(code[:i] + string(c) + code[i+1:])
			}
		}
		bad(code[:i] + code[i+1:])
		bad(code[:i+1] + code[i:])
	}
	for _, what := range []string{"", "1", "0", "Z", "zz/..", "é", strings.Repeat("1", 1000), "1\x00", "2" + code[1:]} {
		bad(what)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		b := &bits{}
		for range r.IntN(400) {
			b.all = append(b.all, r.IntN(2) == 1)
		}
		if s, err := Parse(b.text(version1)); err == nil {
			if _, err := For(s); err != nil {
				t.Fatalf("a code is read and its guide is not made: %+v: %v", s, err)
			}
		}
	}
	if got, err := Parse(strings.ToLower(code[:5]) + " - " + code[5:]); err != nil || got.Rig.Name != s.Rig.Name {
		t.Errorf("typed in small letters with a dash: %v", err)
	}
}

// TestCodeLists: what rigs may hold, a code may carry.
func TestCodeLists(t *testing.T) {
	for _, p := range rig.Patterns() {
		if !slices.Contains(codePatterns, p.ID) {
			t.Errorf("codes lack the pattern %s: add it at the end of the list", p.ID)
		}
	}
	for _, b := range rig.Baits() {
		if !slices.Contains(codeBaits, b) {
			t.Errorf("codes lack the bait %s: add it at the end of the list", b)
		}
	}
	for _, c := range rig.Charts() {
		for _, s := range c.Sizes {
			if !slices.Contains(codeSizes, s.Name) {
				t.Errorf("codes lack the size %s", s.Name)
			}
		}
	}
}

var givenOut = map[string]string{}
