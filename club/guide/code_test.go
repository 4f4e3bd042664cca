package guide

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"levelpeg/club"
	"levelpeg/rig"
)

// grid are set-ups of every pattern over many waters: what a sheet suggests. With
// LEVELPEG_LONG there are more of them.
func grid(t testing.TB) []Setup {
	t.Helper()
	all, err := madeGrid()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

var madeGrid = sync.OnceValues(func() ([]Setup, error) {
	shots, weighed := rig.StandardKit(), rig.StandardKit()
	shots.Chart, shots.ShotMaterial, shots.OlivettesG = rig.ChartContinental, rig.Tungsten, nil
	weighed.WeighedG = map[string]float64{"8": 0.066, "4": 0.188}
	kits, depths, paces := []rig.Kit{rig.StandardKit()}, []float64{0.5, 1.4, 1.85, 3.4, 6}, []float64{0, 0.35, 0.6, 1.3}
	if os.Getenv("LEVELPEG_LONG") != "" {
		depths, paces = []float64{0.4, 0.5, 0.9, 1.4, 1.85, 2.6, 3.4, 4.5, 6}, []float64{0, 0.15, 0.35, 0.6, 0.9, 1.3, 1.6}
		kits = append(kits, shots, weighed)
	}
	g := gridding{seen: map[string]bool{}}
	for _, kit := range kits {
		for _, depth := range depths {
			for _, pace := range paces {
				for _, dist := range []float64{4, 25} {
					g.water(rig.Water{DepthM: depth, PaceMPS: pace, Boil: min(3, int(pace*2.5)), DistanceM: dist}, kit)
				}
			}
		}
	}
	g.water(rig.Water{DepthM: 1.4, PaceMPS: 0.35, DistanceM: 9}, shots)
	g.water(rig.Water{DepthM: 1.85, PaceMPS: 0.6, DistanceM: 9}, weighed)
	return g.all, g.err
})

type gridding struct {
	seen map[string]bool
	all  []Setup
	err  error
}

// water adds the rigs for a water with each aim. Water that no float fishes adds none.
func (g *gridding) water(w rig.Water, kit rig.Kit) {
	for _, aim := range []rig.Aim{{}, {Junior: true}, {HeldStill: true}, {Fish: "small fish"}, {Bait: "luncheon meat"}} {
		rigs, err := rig.Suggest(w, aim, kit)
		if err != nil {
			continue
		}
		for _, r := range rigs {
			s := SetupOf(r, w)
			code, err := s.Code()
			if err != nil {
				g.err = fmt.Errorf("%+v %+v: %w", w, aim, err)
			}
			if !g.seen[code] {
				g.seen[code] = true
				g.all = append(g.all, s)
			}
		}
	}
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

var givenOut = map[string]string{
	"165B150C0T60808Y1J8102MP068DRAAF10M0M080AG7REABT": "5 × No.4 stick",
	"184RH30G0T3H099R1J9144JM384HG8Y00MHG7GW0001BTD": "3 AAA waggler",
	"110CG58101464011CH5H04B200GP405HG1WW2R0MRGG95GS4Y1HEATH40022YZ": "4 g short-bodied Avon",
	"1409C580R1WF4012WGW504Q200HE401K03RP201142M211D0Y3AN1WB400TW7V": "3 g bolognese",
	"150Z8560R14630118K4104A1G0GM305HC1WR280RW4M2T14B41J11W1000H8QT": "10 g flat float",
}
