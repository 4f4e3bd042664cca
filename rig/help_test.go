package rig

import (
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// served is Help's own promise, asked of Suggest.
func served(w Water, a Aim, k Kit, what string) bool {
	rs, err := Suggest(w, a, k)
	return err == nil && slices.ContainsFunc(rs, func(r Rig) bool {
		return !finding(r, "No float here is made") && !short(r) && !r.wantsFor(what)
	})
}

// unserved are the waters a kit does not serve.
func unserved(waters []Water, a Aim, k Kit, what string) []Water {
	return slices.DeleteFunc(slices.Clone(waters), func(w Water) bool { return served(w, a, k, what) })
}

func pick[T any](r *rand.Rand, all []T, share float64) []T {
	out := []T{}
	for _, x := range all {
		if r.Float64() < share {
			out = append(out, x)
		}
	}
	return out
}

// someKit is a kit of few things, some of its lists left open.
func someKit(r *rand.Rand) Kit {
	k := Kit{Chart: Charts()[r.IntN(3)], ShotMaterial: []Material{Tin, Tungsten, Lead}[r.IntN(3)], OlivetteMaterial: Tungsten}
	var sizes []string
	for _, s := range k.Chart.Sizes {
		sizes = append(sizes, s.Name)
	}
	k.Sizes = pick(r, sizes, 0.35)
	k.OlivettesG = pick(r, OlivetteSteps(), 0.2)
	k.Held = map[string]int{}
	for _, s := range k.Sizes {
		if r.IntN(3) == 0 {
			k.Held[s] = r.IntN(7)
		}
	}
	k.Floats = []Float{}
	share := []float64{0.2, 0.2, 0.9}[r.IntN(3)]
	for _, p := range Patterns() {
		for _, f := range pick(r, p.Floats(k.Chart), share) {
			k.Floats = append(k.Floats, f.Float)
		}
	}
	spools := func(kinds ...LineKind) []Spool {
		out := []Spool{}
		for range r.IntN(3) {
			out = append(out, Spool{kinds[r.IntN(len(kinds))], math.Round(8+r.Float64()*20) / 100, math.Round(r.Float64()*2) * 2})
		}
		return out
	}
	if r.IntN(3) > 0 {
		k.HookLengths = spools(HookNylon, Fluorocarbon, Braid)
	}
	if r.IntN(3) > 0 {
		k.MainLines = spools(ReelNylon, Fluorocarbon, Braid)
	}
	if r.IntN(3) > 0 {
		k.Hooks = pick(r, []int{6, 8, 10, 12, 14, 16, 18, 20}, 0.2)
	}
	if r.IntN(3) > 0 {
		k.RodsFt = pick(r, []float64{9, 11, 13, 14.5, 16, 20}, 0.3)
	}
	return k
}

func someWater(r *rand.Rand) Water {
	return Water{
		DepthM: math.Round(4+r.Float64()*40) / 10, PaceMPS: math.Round(r.Float64()*12) / 10, Boil: r.IntN(3),
		DistanceM: float64(r.IntN(5) * 5), Snaggy: r.IntN(4) == 0, WindForce: r.IntN(7), Wind: Winds()[r.IntN(4)],
	}
}

// TestHelpAgainstAskingByHand holds every addition's count to Suggest's own answers.
func TestHelpAgainstAskingByHand(t *testing.T) {
	n, some := 24, 8 // of those Help says serve nothing, one in so many is asked about
	if os.Getenv("LEVELPEG_LONG") != "" {
		n, some = 100, 1
	}
	r := rand.New(rand.NewPCG(5, 6))
	helped := map[string]int{}
	for i := range n {
		k, a := someKit(r), Aim{Fish: append(Fish(), "")[r.IntN(9)], Junior: i%5 == 0, HeldStill: i%7 == 0}
		once := []Water{someWater(r), someWater(r), someWater(r)}
		waters := slices.Concat(once, once)
		aids, err := Help(waters, a, k)
		if err != nil {
			t.Fatal(err)
		}
		h := helper{aim: a, kit: k}
		if err := h.look(waters); err != nil {
			t.Fatal(err)
		}
		most, without := 0, map[string][]Water{}
		for _, aid := range k.mayAdd() {
			got := h.serves(aid)
			if got == 0 && r.IntN(some) > 0 {
				continue
			}
			if without[aid.What] == nil {
				without[aid.What] = unserved(once, a, k, aid.What)
			}
			not := without[aid.What]
			if want := 2 * (len(not) - len(unserved(not, a, aid.AddTo(k), aid.What))); got != want {
				t.Fatalf("kit %d: %s serves %d, by hand %d\n%+v\n%+v", i, aid.Name, got, want, k, waters)
			}
			most = max(most, got)
			helped[aid.What] += got
		}
		if most > 0 && (len(aids) == 0 || aids[0].Waters != most) || most == 0 && len(aids) > 0 || len(aids) > mostAids {
			t.Fatalf("kit %d: the most is %d, and first comes %+v", i, most, aids)
		}
		kinds := map[string]bool{}
		for _, aid := range aids {
			if kinds[aid.What] {
				t.Errorf("kit %d: two of the kind %s: %+v", i, aid.What, aids)
			}
			kinds[aid.What] = true
		}
		if len(aids) > 0 && len(without[aids[0].What])-len(unserved(once, a, aids[0].AddTo(k), aids[0].What)) != most/2 {
			t.Errorf("kit %d: with %s there are not %d more: %+v", i, aids[0].Name, most, k)
		}
	}
	t.Log(helped)
	for _, what := range []string{WantFloat, WantShot, WantHookLength, WantMainLine, WantHook, WantRod} {
		if helped[what] == 0 {
			t.Errorf("no %s ever helped", what)
		}
	}
}

func TestHelpNamesWhatIsMissing(t *testing.T) {
	glide := Water{DepthM: 3, PaceMPS: 0.4, DistanceM: 10}
	waters := []Water{glide, glide, {DepthM: 1.5, PaceMPS: 0.45, DistanceM: 6}, {DepthM: 7, PaceMPS: 0.4}}
	for want, change := range map[string]func(*Kit){
		"a 2 g slim balsa Avon": func(k *Kit) { k.Floats = []Float{{"stick", 1.2}} },
		"hooks of size 18":      func(k *Kit) { k.Hooks = []int{6} },
		"a 14 ft rod":           func(k *Kit) { k.RodsFt = []float64{8} },
		"a 0.10 mm hook length": func(k *Kit) { k.HookLengths = []Spool{{HookNylon, 0.2, 0}} },
		"a 0.16 mm main line":   func(k *Kit) { k.MainLines = []Spool{} },
	} {
		k := StandardKit()
		change(&k)
		aids, err := Help(waters, Aim{Fish: "roach"}, k)
		h := helper{aim: Aim{Fish: "roach"}, kit: k}
		if looked := h.look(waters); err != nil || looked != nil {
			t.Fatal(err, looked)
		}
		// What is named is that or as good as that, of the same kind.
		all := k.mayAdd()
		i := slices.IndexFunc(all, func(a Aid) bool { return a.Name == want })
		if i < 0 || h.serves(all[i]) < 2 || !slices.ContainsFunc(aids, func(a Aid) bool { return a.What == all[i].What && a.Waters >= h.serves(all[i]) }) {
			t.Errorf("want %s: %+v", want, aids)
		}
	}
	k := StandardKit()
	k.OlivettesG, k.Sizes = nil, []string{"SSG"}
	aids, err := Help(waters, Aim{Fish: "roach"}, k)
	if err != nil || len(aids) == 0 || !strings.HasSuffix(aids[0].Name, " shot") || aids[0].Waters != 3 {
		t.Errorf("SSG alone: %+v %v", aids, err)
	}
	if aids, err := Help(waters, Aim{}, StandardKit()); err != nil || len(aids) > 0 {
		t.Errorf("the standard kit is helped: %+v %v", aids, err)
	}
}

func TestHelpNeverAddsUnlawfulLead(t *testing.T) {
	k := Kit{Chart: ChartRetail, ShotMaterial: Lead, OlivetteMaterial: Lead, Sizes: []string{}, WeighedG: map[string]float64{"9": 0.07}}
	for _, a := range k.mayAdd() {
		if a.What == WantShot && !slices.Contains([]string{"No.8", "No.10", "No.11", "No.12", "No.13"}, a.Weight.Size) || a.What == WantOlivette {
			t.Errorf("%s of lead is offered", a.Name)
		}
	}
}

func TestHelpErrors(t *testing.T) {
	var out *RangeError
	for _, w := range []Water{{DepthM: math.NaN()}, {DepthM: math.Inf(1)}, {DepthM: -1}, {DepthM: 2, PaceMPS: math.NaN()}, {DepthM: 2, Boil: 9}} {
		if _, err := Help([]Water{{DepthM: 2}, w}, Aim{}, StandardKit()); !errors.As(err, &out) || !strings.Contains(err.Error(), "water 2") {
			t.Errorf("%+v: %v", w, err)
		}
	}
	if _, err := Help(nil, Aim{Fish: "whale"}, StandardKit()); err == nil {
		t.Error("a whale is fished for")
	}
	if aids, err := Help(nil, Aim{}, Kit{}); err != nil || len(aids) > 0 {
		t.Errorf("no waters: %+v %v", aids, err)
	}
}

// middling is a kit of the usual things, few of each.
func middling() Kit {
	k := StandardKit()
	k.Floats = []Float{{"stick", 0.8}, {"stick", 1.2}, {"avon-short", 3}, {"waggler", 1.6}}
	k.Sizes = []string{"BB", "4", "8"}
	k.OlivettesG = []float64{1, 2}
	k.Held = map[string]int{"BB": 6, "4": 8}
	k.MainLines = []Spool{{ReelNylon, 0.18, 0}}
	k.HookLengths = []Spool{{HookNylon, 0.14, 0}}
	k.Hooks, k.RodsFt = []int{14, 18}, []float64{13}
	return k
}

// BenchmarkHelp is of 60 waters; the aim is well under a second.
func BenchmarkHelp(b *testing.B) {
	var waters []Water
	r := rand.New(rand.NewPCG(7, 8))
	for range 60 {
		waters = append(waters, someWater(r))
	}
	for b.Loop() {
		if _, err := Help(waters, Aim{}, middling()); err != nil {
			b.Fatal(err)
		}
	}
}

// TestHelpCountsOnlyRigsThatAreGiven: Suggest gives three, and what loads a fourth
// pattern alone is no help. In each of these kits there is such a size.
func TestHelpCountsOnlyRigsThatAreGiven(t *testing.T) {
	for _, c := range []struct {
		sizes []string
		water Water
		loads string // only what would come fourth or later
	}{
		{[]string{"AAA", "BB"}, Water{DepthM: 2.642, PaceMPS: 0.472}, "No.4"},
		{[]string{"SSG", "BB"}, Water{DepthM: 1.784, PaceMPS: 0.564}, "No.4"},
	} {
		k := StandardKit()
		k.Sizes, k.OlivettesG = c.sizes, nil
		h := helper{kit: k}
		if err := h.look([]Water{c.water}); err != nil {
			t.Fatal(err)
		}
		for _, aid := range k.weightAids() {
			got, want := h.serves(aid), 1-len(unserved([]Water{c.water}, Aim{}, aid.AddTo(k), aid.What))
			if got != want || aid.Weight.Size == c.loads && got != 0 {
				t.Errorf("%v: %s serves %d, by hand %d", c.sizes, aid.Name, got, want)
			}
		}
	}
}
