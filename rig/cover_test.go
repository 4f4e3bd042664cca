package rig

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func sameRig(a, b Rig) bool { return reflect.DeepEqual(a, b) }

// checkCover holds a cover to what is said of it: every water once, every rig served by
// the predicate, and right for its water.
func checkCover(t *testing.T, c Cover, ws []Water, a Aim, k Kit) {
	t.Helper()
	seen := make([]int, len(ws))
	for _, tied := range c.Rigs {
		if len(tied.Serves) == 0 || !slices.ContainsFunc(tied.Serves, func(s Served) bool { return s.Water == tied.For }) {
			t.Errorf("%s is for water %d and serves %d", tied.Rig.Name, tied.For, len(tied.Serves))
		}
		for _, s := range tied.Serves {
			seen[s.Water]++
			if err := checkServed(tied, s, ws[s.Water], a, k); err != nil {
				t.Errorf("%s for water %d: %v", tied.Rig.Name, s.Water, err)
			}
			for _, other := range c.Rigs {
				if _, ok := serves(other.Rig, ws[s.Water], a, k); ok && bruteBehind(other.Rig, ws[s.Water], a, k) < bruteBehind(tied.Rig, ws[s.Water], a, k) {
					t.Errorf("water %d goes to %s and not to %s", s.Water, tied.Rig.Name, other.Rig.Name)
				}
			}
		}
	}
	for _, l := range c.Left {
		seen[l.Water]++
		if len(l.Why) < 20 {
			t.Errorf("water %d is left: %q", l.Water, l.Why)
		}
	}
	if slices.ContainsFunc(seen, func(n int) bool { return n != 1 }) {
		t.Errorf("waters are served or left %v times", seen)
	}
}

func checkServed(tied Tied, s Served, w Water, a Aim, k Kit) error {
	p := byPattern(tied.Rig.Pattern)
	got, ok := serves(tied.Rig, w, a, k)
	_, outside := p.suits(w.known(), a)
	switch {
	case !ok || !sameRig(got.To, s.To):
		return fmt.Errorf("the predicate says %v, and %s set at %g", ok, got.To.Name, got.To.SetM)
	case !reflect.DeepEqual(s.Moves, Diff(tied.Rig, s.To)):
		return fmt.Errorf("it says %q and is %q", s.Moves.Words(), Diff(tied.Rig, s.To).Words())
	case s.Moves.Hands() >= s.To.hands() || olivettes(s.To) != olivettes(tied.Rig) || s.To.MainLineMM != tied.Rig.MainLineMM:
		return fmt.Errorf("not by hand: %q", s.Moves.Words())
	case s.To.Name != tied.Rig.Name || s.To.CapacityG < 0.97*s.To.NeedG || outside != "":
		return fmt.Errorf("%s of %.2f g where %.2f are asked; %s", s.To.Name, s.To.CapacityG, s.To.NeedG, outside)
	case s.How == AsTied && s.Moves.Hands() > 1 || (s.How == WillDo) != (s.Better != "") || s.How.Words() == "":
		return fmt.Errorf("%s, %q, better: %q", s.How, s.Moves.Words(), s.Better)
	}
	lighter := 0
	for _, c := range p.ladder(k.Chart) {
		if c.grams < 0.95*s.To.CapacityG && c.grams >= 0.97*s.To.NeedG {
			lighter++
		}
	}
	if lighter > 1 && k.Floats == nil {
		return fmt.Errorf("%d sizes lighter would do for %.2f g", lighter, s.To.NeedG)
	}
	only := k
	only.Floats = []Float{{tied.Rig.Pattern, tied.Rig.CapacityG}}
	if again, err := TurnTo(tied.Rig, w, a, only); err != nil || again.Tie || again.To.SetM != s.To.SetM ||
		!reflect.DeepEqual(again.To.Weights, s.To.Weights) || !reflect.DeepEqual(again.Moves, s.Moves) {
		return fmt.Errorf("turned to with that float alone it is %+v and not %+v: %w", again.To.Weights, s.To.Weights, err)
	}
	if k.Sizes != nil && len(k.Sizes) < 4 { // a load this kit does not get right
		return nil
	}
	return checkRig(w, s.To)
}

func cover(t *testing.T, ws []Water, a Aim, k Kit, most int) Cover {
	t.Helper()
	c, err := CoverWaters(ws, a, k, most)
	if err != nil {
		t.Fatal(err)
	}
	checkCover(t, c, ws, a, k)
	return c
}

// TestCoverSteadyReach is a uniform steady reach: one float does for all of it (common
// practice, no source).
func TestCoverSteadyReach(t *testing.T) {
	var ws []Water
	for i := range 12 {
		ws = append(ws, Water{DepthM: 1.5 + 0.3*float64(i)/11, PaceMPS: 0.5 + 0.01*float64(i%4), DistanceM: 6})
	}
	c := cover(t, ws, Aim{}, StandardKit(), 6)
	if len(c.Rigs) != 1 || !slices.Contains([]string{"stick", "balsa"}, c.Rigs[0].Rig.Pattern) || len(c.Left) != 0 {
		t.Fatalf("%d rigs, the first %s, %d left", len(c.Rigs), c.Rigs[0].Rig.Name, len(c.Left))
	}
}

// TestCoverTwoHalves is a slow deep half and a fast shallow one: two floats, a light one
// for the deep and a bodied one for the fast (common practice, no source).
func TestCoverTwoHalves(t *testing.T) {
	var ws []Water
	for i := range 6 {
		ws = append(ws, Water{DepthM: 2.6 + 0.06*float64(i), PaceMPS: 0.25, DistanceM: 7},
			Water{DepthM: 0.9 + 0.04*float64(i), PaceMPS: 1, Boil: 2, DistanceM: 7})
	}
	c := cover(t, ws, Aim{}, StandardKit(), 6)
	if c.Fewest != 2 || len(c.Rigs) != 2 || len(c.Left) != 0 {
		t.Fatalf("fewest %d, %d rigs, left %+v", c.Fewest, len(c.Rigs), c.Left)
	}
	for _, tied := range c.Rigs {
		deep := ws[tied.For].DepthM > 2
		if len(tied.Serves) != 6 || deep == slices.Contains([]string{"avon-short", "stubby"}, tied.Rig.Pattern) {
			t.Errorf("%s for %d waters, one of them %+v", tied.Rig.Name, len(tied.Serves), ws[tied.For])
		}
	}
	if one := cover(t, ws, Aim{}, StandardKit(), 1); one.Fewest != 2 || len(one.Left) != 6 || !strings.HasPrefix(one.Left[0].Why, "It wants a") {
		t.Errorf("of one rig: fewest %d, left %+v", one.Fewest, one.Left)
	}
}

// TestCoverWeirToSlack is a pool's tail, a steady run below it, too fast for a waggler, and slack beyond a rod's reach:
// three floats, the far slack's a waggler (common practice, no source).
func TestCoverWeirToSlack(t *testing.T) {
	ws := []Water{
		{DepthM: 0.8, PaceMPS: 1.2, Boil: 3, DistanceM: 6}, {DepthM: 0.9, PaceMPS: 1.1, Boil: 3, DistanceM: 6},
		{DepthM: 1.7, PaceMPS: 0.7, DistanceM: 6}, {DepthM: 1.8, PaceMPS: 0.7, DistanceM: 7},
		{DepthM: 1.8, PaceMPS: 0.05, DistanceM: 22}, {DepthM: 1.9, PaceMPS: 0.04, DistanceM: 22},
	}
	c := cover(t, ws, Aim{}, StandardKit(), 6)
	if c.Fewest != 3 || len(c.Left) != 0 {
		t.Fatalf("fewest %d, left %+v", c.Fewest, c.Left)
	}
	for _, tied := range c.Rigs {
		if len(tied.Serves) != 2 || (tied.For >= 4) != (tied.Rig.Pattern == "waggler") {
			t.Errorf("%s for water %d serves %d", tied.Rig.Name, tied.For, len(tied.Serves))
		}
	}
}

// plainly is a cover by waters and not by their places among those given.
func plainly(c Cover, ws []Water) []string {
	var out []string
	for _, tied := range c.Rigs {
		for _, s := range tied.Serves {
			out = append(out, fmt.Sprintf("%+v: %s tied for %+v, %s %s %q", ws[s.Water], tied.Rig.Name, ws[tied.For], s.How, s.Better, s.Moves.Words()))
		}
	}
	for _, l := range c.Left {
		out = append(out, fmt.Sprintf("%+v: %s", ws[l.Water], l.Why))
	}
	slices.Sort(out)
	return out
}

func TestCoverDoesNotMindTheOrder(t *testing.T) {
	for seed := range venues(8, 150) {
		rnd := rand.New(rand.NewPCG(uint64(seed), 3))
		ws := pegs(rnd, 3+rnd.IntN(20))
		most := 1 + rnd.IntN(5)
		want := cover(t, ws, Aim{}, StandardKit(), most)
		mixed := slices.Clone(ws)
		rnd.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		if got, _ := CoverWaters(mixed, Aim{}, StandardKit(), most); !slices.Equal(plainly(want, ws), plainly(got, mixed)) {
			t.Errorf("seed %d: %q and %q", seed, plainly(want, ws), plainly(got, mixed))
		}
		if got, _ := CoverWaters(ws, Aim{}, StandardKit(), most); !reflect.DeepEqual(got, want) {
			t.Errorf("seed %d: another answer the second time", seed)
		}
	}
}

// TestCoverOneMoreWater: one more of the same is one more to the same rig, and one more
// of another never makes fewer rigs do.
func TestCoverOneMoreWater(t *testing.T) {
	for seed := range venues(20, 300) {
		rnd := rand.New(rand.NewPCG(uint64(seed), 5))
		ws, a, k := smallVenue(rnd)
		was, err := CoverWaters(ws, a, k, MostTied)
		if err != nil {
			t.Fatal(err)
		}
		twice := append(slices.Clone(ws), ws[rnd.IntN(len(ws))])
		again, _ := CoverWaters(twice, a, k, MostTied)
		if got := plainly(again, twice); !slices.Equal(slices.Compact(got), plainly(was, ws)) || again.Fewest != was.Fewest {
			t.Errorf("seed %d: one more of the same makes %q of %q", seed, got, plainly(was, ws))
		}
		more, _ := CoverWaters(append(slices.Clone(ws), pegs(rnd, 1)...), a, k, MostTied)
		if more.Fewest < was.Fewest {
			t.Errorf("seed %d: %d rigs, and with one more water %d", seed, was.Fewest, more.Fewest)
		}
	}
}

// TestCoverCountsEveryPeg where it cannot serve all: three alike go before two others.
func TestCoverCountsEveryPeg(t *testing.T) {
	slow, fast := Water{DepthM: 2.8, PaceMPS: 0.25, DistanceM: 7}, Water{DepthM: 0.9, PaceMPS: 1, Boil: 2, DistanceM: 7}
	near := fast
	near.DepthM = 0.95
	for _, c := range []struct {
		ws   []Water
		left []int
	}{{[]Water{slow, fast, near}, []int{0}}, {[]Water{slow, fast, near, slow, slow}, []int{1, 2}}} {
		got := cover(t, c.ws, Aim{}, StandardKit(), 1)
		var left []int
		for _, l := range got.Left {
			left = append(left, l.Water)
		}
		if !slices.Equal(left, c.left) {
			t.Errorf("left %v, want %v", left, c.left)
		}
	}
}

func TestCoverKits(t *testing.T) {
	ws := []Water{{DepthM: 1.5, PaceMPS: 0.5, DistanceM: 6}, {DepthM: 1.8, PaceMPS: 0.55, DistanceM: 6}, {DepthM: 1.2, PaceMPS: 1.1, Boil: 2, DistanceM: 6}}
	one := StandardKit()
	one.Floats = []Float{{"balsa", 2}}
	c := cover(t, ws, Aim{}, one, 6)
	if c.Fewest != 1 || len(c.Rigs) != 1 || c.Rigs[0].Rig.Pattern != "balsa" || len(c.Left) != 1 || c.Left[0].Water != 2 {
		t.Errorf("with one float: %+v left %+v", c.Fewest, c.Left)
	}
	none := StandardKit()
	none.Floats = []Float{}
	c = cover(t, ws, Aim{}, none, 6)
	if c.Fewest != 0 || !c.Exact || len(c.Left) != 3 || !strings.Contains(c.Left[0].Why, "no float in the kit") {
		t.Errorf("with no float: %+v", c)
	}
	if c = cover(t, ws, Aim{}, StandardKit(), 6); len(c.Left) != 0 {
		t.Errorf("with any float left %+v", c.Left)
	}
	heavy := StandardKit()
	heavy.Sizes, heavy.OlivettesG = []string{"SSG"}, nil
	c = cover(t, ws, Aim{}, heavy, 6)
	for _, tied := range c.Rigs {
		if short(tied.Rig) && !finding(tied.Rig, "The kit leaves this float") {
			t.Errorf("%s is %.2f g short and does not say so", tied.Rig.Name, tied.Rig.ShortG)
		}
	}
}

func TestCoverLeavesWhatCannotBeFished(t *testing.T) {
	good := Water{DepthM: 1.5, PaceMPS: 0.5, DistanceM: 6}
	ws := []Water{good, {DepthM: 0.2, PaceMPS: 0.5}, {DepthM: math.NaN()}, {DepthM: 7}, {DepthM: 6, PaceMPS: 1.6}, {DepthM: 2, PaceMPS: -1}, {DepthM: 2, PaceMPS: 0.5, DistanceM: math.Inf(1)}, {DepthM: 3.5, PaceMPS: 0.02, DistanceM: 4}}
	c := cover(t, ws, Aim{}, StandardKit(), 6)
	for i, want := range []string{"too shallow to float fish: depth 0.2 m is outside 0.4 to 6 m", "depth NaN m", "too deep", "too heavy to float fish", "surface pace -1 m/s", "distance +Inf m", "No float here is made for this water. For the "} {
		if i >= len(c.Left) || c.Left[i].Water != i+1 || !strings.Contains(c.Left[i].Why, want) {
			t.Errorf("want %q: %+v", want, c.Left)
		}
	}
	if c.Fewest != 1 || len(c.Rigs[0].Serves) != 1 {
		t.Errorf("fewest %d", c.Fewest)
	}
	far := good
	far.DistanceM = 12
	c = cover(t, []Water{good, far, {DepthM: 1.5, PaceMPS: 0.5, DistanceM: 4}}, Aim{Junior: true}, StandardKit(), 6)
	if len(c.Left) != 2 || !strings.Contains(c.Left[1].Why, "too far for a junior") {
		t.Errorf("a junior: %+v", c.Left)
	}
	if c = cover(t, nil, Aim{}, StandardKit(), 6); c.Fewest != 0 || !c.Exact {
		t.Errorf("no waters: %+v", c)
	}
}

func TestHowWell(t *testing.T) {
	depth, bait, drop := Move{Kind: SetDepth, Hands: 1}, Move{Kind: ChangeBait}, Move{Kind: Reset, Hands: 2}
	best := offer{plan: plan{Pattern: Pattern{Name: "stick"}}, sizes: []capacity{{1, "5 × No.4"}}}
	for _, c := range []struct {
		moves  Moves
		behind int
		want   Fit
		better string
	}{
		{nil, 0, AsTied, ""}, {Moves{depth, bait}, 99, AsTied, ""}, {Moves{drop}, 0, SmallChange, ""}, {Moves{drop, drop}, 0, SmallChange, ""},
		{Moves{drop, drop, depth}, 0, LargeChange, ""}, {nil, 100, WillDo, "5 × No.4 stick"}, {Moves{drop, drop, drop}, 300, WillDo, "5 × No.4 stick"},
	} {
		if got, better := howWell(c.moves, c.behind, best); got != c.want || better != c.better {
			t.Errorf("%d hand movements, %d behind: %s, %q", c.moves.Hands(), c.behind, got, better)
		}
	}
}

func TestCoverErrors(t *testing.T) {
	ws := []Water{{DepthM: 1.5, PaceMPS: 0.5}}
	for want, call := range map[string]func() (Cover, error){
		"rigs to tie 0":         func() (Cover, error) { return CoverWaters(ws, Aim{}, StandardKit(), 0) },
		"rigs to tie 13":        func() (Cover, error) { return CoverWaters(ws, Aim{}, StandardKit(), 13) },
		"roach, dace":           func() (Cover, error) { return CoverWaters(ws, Aim{Fish: "whale"}, StandardKit(), 3) },
		"no shot":               func() (Cover, error) { return CoverWaters(ws, Aim{}, Kit{Sizes: []string{}}, 3) },
		"number of waters 1001": func() (Cover, error) { return CoverWaters(make([]Water, 1001), Aim{}, StandardKit(), 3) },
	} {
		if _, err := call(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	if _, ok := serves(Rig{Pattern: "none"}, ws[0], Aim{}, StandardKit()); ok {
		t.Error("a float of no pattern serves")
	}
	if _, ok := serves(Rig{Pattern: "stick"}, Water{DepthM: math.NaN()}, Aim{}, StandardKit()); ok {
		t.Error("a water of no depth is served")
	}
}

// TestCoverWholeRange: it is proven over the whole range of floats.
func TestCoverWholeRange(t *testing.T) {
	for seed := range venues(2, 40) {
		for _, some := range []func(*rand.Rand, int) []Water{wide, pegs} {
			ws := some(rand.New(rand.NewPCG(uint64(seed), 2)), 60)
			for _, most := range []int{3, 8} {
				if c, err := CoverWaters(ws, Aim{}, StandardKit(), most); err != nil || !c.Exact {
					t.Errorf("seed %d, %d rigs: not proven: %v", seed, most, err)
				}
			}
		}
	}
}

func FuzzCover(f *testing.F) {
	f.Add(uint64(1), uint8(5), 1.5, 0.5, uint8(3), uint8(0))
	f.Add(uint64(2), uint8(9), math.NaN(), math.Inf(1), uint8(1), uint8(7))
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, depthM, paceMPS float64, most, flags uint8) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		ws := append(pegs(rnd, int(n%9)), wide(rnd, int(n%4))...)
		ws = append(ws, Water{DepthM: depthM, PaceMPS: paceMPS, Boil: int(flags % 5)})
		a := Aim{Bigger: flags&1 == 1, Nuisance: flags&2 == 2, HeldStill: flags&4 == 4, Junior: flags&8 == 8}
		c, err := CoverWaters(ws, a, StandardKit(), int(most))
		if bad := most < 1 || most > MostTied; bad != (err != nil) {
			t.Fatalf("at most %d rigs: %v", most, err)
		}
		if err == nil {
			checkCover(t, c, ws, a, StandardKit())
		}
	})
}
