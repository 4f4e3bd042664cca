package rig

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// spelt is a kit with all that is made listed in place of what it leaves open.
func spelt() Kit {
	k := StandardKit()
	for _, p := range Patterns() {
		for _, f := range p.Floats(k.Chart) {
			k.Floats = append(k.Floats, f.Float)
		}
	}
	for _, mm := range hookLengthsMM {
		k.HookLengths = append(k.HookLengths, Spool{HookNylon, mm, 0})
	}
	for _, mm := range reelLines {
		k.MainLines = append(k.MainLines, Spool{ReelNylon, mm, 0})
	}
	for size := hookLargest; size <= hookFinest; size++ {
		k.Hooks = append(k.Hooks, size)
	}
	for ft := 9.0; ft <= 40; ft++ {
		k.RodsFt = append(k.RodsFt, ft)
	}
	slices.Reverse(k.MainLines)
	slices.Reverse(k.Hooks)
	return k
}

func TestEverythingSpeltOutIsEverythingLeftOpen(t *testing.T) {
	all := spelt()
	for i, aim := range []Aim{{}, {Fish: "barbel", Bait: "luncheon meat"}, {Fish: "small fish"}, {Junior: true}, {HeldStill: true}, {Bigger: true, Nuisance: true}} {
		for depth := 0.5; depth <= 5.6; depth += 0.85 {
			for pace := 0.05; pace < 1.4; pace += 0.32 {
				w := Water{DepthM: depth, PaceMPS: pace, Boil: i % 3, DistanceM: 4, Snaggy: i%2 == 1}
				open, e1 := Suggest(w, aim, StandardKit())
				listed, e2 := Suggest(w, aim, all)
				if !reflect.DeepEqual(open, listed) || (e1 == nil) != (e2 == nil) {
					t.Fatalf("%+v %+v: %v and %v\n%+v\n%+v", w, aim, e1, e2, open, listed)
				}
			}
		}
	}
}

func TestAKitOfNothing(t *testing.T) {
	w := Water{DepthM: 1.5, PaceMPS: 0.45, DistanceM: 6}
	none := Kit{
		Chart: ChartRetail, Sizes: []string{}, OlivettesG: []float64{}, Floats: []Float{}, Held: map[string]int{},
		WeighedG: map[string]float64{}, MainLines: []Spool{}, HookLengths: []Spool{}, Hooks: []int{}, RodsFt: []float64{},
	}
	var no *NoRigError
	if _, err := Suggest(w, Aim{}, none); !errors.As(err, &no) || !strings.Contains(no.Why, "holds no shot: add") {
		t.Errorf("no shot: %v", err)
	}
	none.Sizes, none.ShotMaterial = []string{"8"}, Tin
	if _, err := Suggest(w, Aim{}, none); !errors.As(err, &no) || !strings.Contains(no.Why, "no float in the kit for this: add one") {
		t.Errorf("no float: %v", err)
	}
	none.Floats = []Float{{"stick", 1}}
	rs, err := Suggest(w, Aim{}, none)
	if err != nil || len(rs) != 1 || rs[0].Pattern != "stick" {
		t.Fatalf("a stick and No.8: %v %+v", err, rs)
	}
	open := suggest(t, w, Aim{})[0]
	r := rs[0]
	if r.HookLengthMM != open.HookLengthMM || r.MainLineMM != open.MainLineMM || r.Hook != open.Hook || r.RodFtLow != open.RodFtLow {
		t.Errorf("where there is none the tackle is not as the pattern asks: %+v", r)
	}
	for what, text := range map[string]string{
		WantHookLength: "You have no hook lengths: this rig asks for one of 0.08 mm.",
		WantMainLine:   "You have no main line: this rig asks for a floating one of 0.16 mm.",
		WantHook:       "You have no hooks: this rig asks for a size 20 to 22.",
		WantRod:        "You have no rod: this rig asks for one of 13 to 15 ft.",
	} {
		if got := wantOf(r, what); got != text {
			t.Errorf("%s: %q, want %q", what, got, text)
		}
	}
}

func wantOf(r Rig, what string) string {
	for _, w := range r.Wants {
		if w.What == what {
			return w.Text
		}
	}
	return ""
}

// TestLinesOfAKit is by hand from the rule: nearest in diameter, the finer of two as
// near; a main line that lies right and is a tenth stronger, labels with labels and
// charts with charts. On the chart 0.18 mm holds 2.95 kg, and of reel lines 0.26 mm 3.12
// and 0.28 mm 3.46.
func TestLinesOfAKit(t *testing.T) {
	open := tackleFor(Water{}, fishes[0], baits[3], byID(t, "avon-slim"))
	if open.hookLengthMM != 0.10 || open.mainMM != 0.18 {
		t.Fatalf("%+v", open)
	}
	for _, c := range []struct {
		name        string
		hooks, main []Spool
		hook, line  Spool
		wants       string
	}{
		{"of two as near the finer", []Spool{{HookNylon, 0.12, 0}, {HookNylon, 0.08, 0}}, nil, Spool{HookNylon, 0.08, 0}, Spool{ReelNylon, 0.18, 0}, ""},
		{"a stouter hook length asks for a stouter main line", []Spool{{HookNylon, 0.18, 0}}, nil, Spool{HookNylon, 0.18, 0}, Spool{ReelNylon, 0.28, 0}, "hook length"},
		{"nylon before fluorocarbon", []Spool{{Fluorocarbon, 0.10, 0}, {HookNylon, 0.10, 0}}, nil, Spool{HookNylon, 0.10, 0}, Spool{ReelNylon, 0.18, 0}, ""},
		{"sinking lines are passed over", nil, []Spool{{Fluorocarbon, 0.18, 0}, {ReelNylon, 0.22, 0}}, Spool{HookNylon, 0.10, 0}, Spool{ReelNylon, 0.22, 0}, ""},
		{"a sinking line is all there is", nil, []Spool{{Fluorocarbon, 0.18, 0}}, Spool{HookNylon, 0.10, 0}, Spool{Fluorocarbon, 0.18, 0}, "main line"},
		{"strong and sinking before weak and floating", nil, []Spool{{Fluorocarbon, 0.18, 0}, {ReelNylon, 0.10, 0}}, Spool{HookNylon, 0.10, 0}, Spool{Fluorocarbon, 0.18, 0}, "main line"},
		{"label with label", []Spool{{HookNylon, 0.10, 2}}, []Spool{{ReelNylon, 0.18, 2.1}, {ReelNylon, 0.22, 2.2}}, Spool{HookNylon, 0.10, 2}, Spool{ReelNylon, 0.22, 2.2}, ""},
		{"a label beside a chart says nothing", []Spool{{HookNylon, 0.10, 2}}, []Spool{{ReelNylon, 0.18, 0}}, Spool{HookNylon, 0.10, 2}, Spool{ReelNylon, 0.18, 0}, ""},
		{"as weak as the hook length", nil, []Spool{{ReelNylon, 0.10, 0}}, Spool{HookNylon, 0.10, 0}, Spool{ReelNylon, 0.10, 0}, "main line"},
		{"much too thick", nil, []Spool{{ReelNylon, 0.30, 0}}, Spool{HookNylon, 0.10, 0}, Spool{ReelNylon, 0.30, 0}, "main line"},
		{"braid whose label was not read", nil, []Spool{{Braid, 0.10, 0}}, Spool{HookNylon, 0.10, 0}, Spool{Braid, 0.10, 0}, ""},
		{"braid with its label", []Spool{{HookNylon, 0.10, 1.2}}, []Spool{{Braid, 0.10, 6}}, Spool{HookNylon, 0.10, 1.2}, Spool{Braid, 0.10, 6}, ""},
	} {
		k := StandardKit()
		k.HookLengths, k.MainLines = c.hooks, c.main
		r := lone(t, "avon-slim", k)
		got := r.Tackle()
		if got.HookLength != c.hook || got.Main != c.line {
			t.Errorf("%s: %+v on %+v, want %+v on %+v", c.name, got.HookLength, got.Main, c.hook, c.line)
		}
		var wants []string
		for _, w := range r.Wants {
			wants = append(wants, w.What)
		}
		if strings.Join(wants, " ") != c.wants {
			t.Errorf("%s: wants %q, not %q", c.name, r.Wants, c.wants)
		}
		if r.HookLengthFrom == "" || (c.main == nil && c.hooks == nil) {
			t.Errorf("%s: strengths rest on nothing", c.name)
		}
	}
}

// lone is a pattern's rig in easy water that suits it.
func lone(t *testing.T, pattern string, k Kit) Rig {
	t.Helper()
	k.Floats = nil
	for _, f := range byID(t, pattern).Floats(k.Chart) {
		k.Floats = append(k.Floats, f.Float)
	}
	w := Water{DepthM: 2.2, PaceMPS: 0.4, DistanceM: 9}
	rs, err := Suggest(w, Aim{Fish: "roach"}, k)
	if err != nil || len(rs) != 1 || rs[0].Pattern != pattern {
		t.Fatalf("%s: %v %+v", pattern, err, rs)
	}
	return rs[0]
}

func TestAWagglerWantsASinkingLine(t *testing.T) {
	k := StandardKit()
	k.MainLines = []Spool{{Braid, 0.12, 5}}
	r := lone(t, "waggler", k)
	if r.MainLine != "floating" || !strings.HasPrefix(wantOf(r, WantMainLine), "You have no main line that sinks") || !finding(r, "The main line floats") {
		t.Errorf("%s: %v %+v", r.MainLine, r.Wants, r.Findings)
	}
}

func TestBreakageIsAFinding(t *testing.T) {
	k := StandardKit()
	k.MainLines, k.HookLengths = []Spool{{ReelNylon, 0.10, 0}}, []Spool{{HookNylon, 0.16, 0}}
	r := lone(t, "avon-slim", k)
	if !finding(r, "the hook length has to be the weakest part") {
		t.Errorf("%+v", r.Findings)
	}
	if got := wantOf(r, WantHookLength); got != "You have no hook length near 0.10 mm: 0.16 mm is the finest you carry; it will show more and the fish may see it." {
		t.Errorf("%q", got)
	}
	k.HookLengths = []Spool{{HookNylon, 0.08, 0}}
	k.MainLines = nil
	rs, err := Suggest(Water{DepthM: 1.5, PaceMPS: 0.9, Boil: 1, Snaggy: true}, Aim{Fish: "barbel"}, k)
	if err != nil || !finding(rs[0], "Snags and barbel: a hook length of 0.08 mm is light") || !strings.Contains(wantOf(rs[0], WantHookLength), "the stoutest you carry") {
		t.Errorf("%v %+v", err, rs)
	}
}

// TestTheMainLineCountsInTheLean: derived, a thicker line has more drag.
func TestTheMainLineCountsInTheLean(t *testing.T) {
	k := StandardKit()
	need := func(s Spool) float64 {
		k.MainLines = []Spool{s}
		return lone(t, "avon-slim", k).NeedG
	}
	thin, thick := need(Spool{ReelNylon, 0.16, 0}), need(Spool{ReelNylon, 0.32, 0})
	p, w := byID(t, "avon-slim"), Water{DepthM: 2.2, PaceMPS: 0.4, DistanceM: 9}.known()
	k.MainLines = []Spool{{ReelNylon, 0.32, 0}}
	stout := newPlan(p, w, Aim{}).from(k).byPace()
	if fine := newPlan(p, w, Aim{}).byPace(); thick < thin || stout < 1.2*fine {
		t.Errorf("0.16 mm asks for %g and 0.32 mm for %g; by pace %g and %g", thin, thick, fine, stout)
	}
}

// TestWhatTheMainLineIsOfCounts: fluorocarbon is 1.78 times as heavy as water and
// braid 0.97 ("Specific gravity", sunlineamerica.com); the rest is calculated.
func TestWhatTheMainLineIsOfCounts(t *testing.T) {
	k := StandardKit()
	for kind, heavier := range map[LineKind]float64{Fluorocarbon: 780, Braid: -30} {
		k.MainLines = []Spool{{kind, 0.18, 5}}
		pl := newPlan(byID(t, "avon-slim"), Water{DepthM: 2.2, PaceMPS: 0.4}.known(), Aim{}).from(k)
		near(t, string(kind), pl.line(nil).SinkNPM, heavier*9.80665*math.Pi/4*0.18e-3*0.18e-3, 1e-9)
		r := lone(t, "avon-slim", k)
		s, err := HangAt(r, Water{DepthM: 2.2, PaceMPS: 0.4}, r.HoldBack)
		if err != nil || math.Abs(s.AheadM-r.AheadM) > 1e-9 {
			t.Errorf("%s hangs %g ahead and is said to hang %g: %v", kind, s.AheadM, r.AheadM, err)
		}
	}
}

func TestHooksOfAKit(t *testing.T) {
	for _, c := range []struct {
		held       []int
		size       int
		words, say string
	}{
		{[]int{16, 18}, 18, "18", ""},
		{[]int{16}, 16, "16", ""},
		{[]int{20, 22}, 20, "20", ""},
		{[]int{18, 20}, 18, "18 to 20", ""},
		{[]int{17, 19}, 19, "19", ""},
		{[]int{6, 10}, 10, "10", "large for this bait or float"},
		{[]int{8, 6}, 8, "8", "an 8 is the nearest"},
		{[]int{26}, 26, "26", "small for this bait or float"},
	} {
		k := StandardKit()
		k.Hooks = c.held
		r := lone(t, "avon-slim", k) // caster: 16 to 20
		if r.HookSize != c.size || r.Hook != c.words || (c.say == "") != (wantOf(r, WantHook) == "") || !strings.Contains(wantOf(r, WantHook), c.say) {
			t.Errorf("%v: %d (%s), %q", c.held, r.HookSize, r.Hook, wantOf(r, WantHook))
		}
	}
}

func TestRodsOfAKit(t *testing.T) {
	// The slim Avon's rods are 14 to 16 ft; in 4 m of water it takes 15 ft and more.
	deep := Water{DepthM: 4, PaceMPS: 0.3, DistanceM: 8}
	for _, c := range []struct {
		held      []float64
		low, high float64
		say       string
	}{
		{[]float64{13, 15, 16, 20}, 15, 16, ""},
		{[]float64{15.5, 11}, 15.5, 15.5, ""},
		{[]float64{11, 12, 13}, 13, 13, "You have no rod of 15 to 16 ft: a 13 ft one is the nearest, and too short to set this depth and still cast and net."},
		{[]float64{14, 20}, 20, 20, "You have no rod of 15 to 16 ft: a 20 ft one is the nearest, and longer than this rig wants, so heavier in the hand."},
	} {
		k := StandardKit()
		k.Floats, k.RodsFt = []Float{{"avon-slim", 2}, {"avon-slim", 3}}, c.held
		rs, err := Suggest(deep, Aim{}, k)
		if err != nil || rs[0].RodFtLow != c.low || rs[0].RodFtHigh != c.high || wantOf(rs[0], WantRod) != c.say {
			t.Errorf("%v: %v %+v", c.held, err, rs)
		}
		if err == nil && (c.high == 13) != finding(rs[0], "A float fixed on the line") {
			t.Errorf("%v: %+v", c.held, rs[0].Findings)
		}
	}
}
