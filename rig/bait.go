package rig

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Bait is what a bait is, and does to a rig. Hook sizes: single maggot, double
// maggot and maggot bunch from angling guides, widened by common practice; the
// others from memory, and hook sizes are no standard. Diameters, weights and sinking
// speeds are from memory; that maggot and caster sink slowly and hemp and corn
// faster is common practice. They matter little to the float, since near the bed
// the water runs at nearly the float's own pace.
type Bait struct {
	Name        string
	HookFinest  int     // the highest hook number
	HookLargest int     // the lowest hook number
	DiameterM   float64 // of a sphere that is as big across the flow
	WeightG     float64 // in water, with its hook
	SinkLowMPS  float64 // the slowest it sinks loose, without hook or line
	SinkHighMPS float64 // the fastest
	FloorG      float64 // what it adds to the capacity in broken water
	Big         bool    // it wants a float made to carry it
}

// DragAreaM2 is the area a bait shows the flow, m².
func (b Bait) DragAreaM2() float64 { return math.Pi / 4 * b.DiameterM * b.DiameterM }

// Feed is where the bait, loose, comes to the bottom of a water: how long it sinks
// and how far downstream it is carried, which is how far upstream to throw it. See
// [LooseFeed]; the bait's own range of sinking speeds makes the range. A water out of
// range is an error as in [Suggest].
func (b Bait) Feed(w Water) (FeedDrift, error) {
	if err := w.check(); err != nil {
		return FeedDrift{}, err
	}
	return LooseFeed(River(w.DepthM, w.PaceMPS), b.SinkLowMPS, b.SinkHighMPS)
}

var baits = []Bait{
	{"single maggot", 22, 18, 0.004, 0.015, 0.04, 0.07, 0, false},
	{"double maggot", 18, 14, 0.005, 0.025, 0.04, 0.07, 0, false},
	{"maggot bunch", 15, 10, 0.008, 0.05, 0.04, 0.07, 0.5, false},
	{"caster", 20, 16, 0.005, 0.025, 0.04, 0.08, 0, false},
	{"hemp", 18, 14, 0.004, 0.02, 0.08, 0.12, 0, false},
	{"pellet", 18, 14, 0.006, 0.05, 0.10, 0.16, 0, false},
	{"redworm", 16, 12, 0.009, 0.05, 0.05, 0.10, 0.5, false},
	{"sweetcorn", 16, 10, 0.010, 0.08, 0.12, 0.20, 0.5, true},
	{"bread flake", 12, 8, 0.018, 0.10, 0.03, 0.08, 1, true},
	{"luncheon meat", 12, 4, 0.014, 0.15, 0.08, 0.16, 1, true},
}

// BaitByName finds a bait; an unknown name is an error that names those there are.
func BaitByName(name string) (Bait, error) {
	b, ok := findBait(name)
	if !ok || name == "" {
		return Bait{}, fmt.Errorf("bait %q is not known: %s", name, strings.Join(Baits(), ", "))
	}
	return b, nil
}

// fish is what a fish asks of a rig. All of it is common practice, no source.
type fish struct {
	name   string
	bait   string  // where the angler has not said
	stout  float64 // 0 the finest tackle of the pattern, 1 the stoutest
	snags  bool    // makes for snags and breaks light lines there
	little bool
	tough  string // the bait that gets past small fish where the angler has not said
}

var fishes = []fish{
	{name: "roach", bait: "caster", stout: 0.25, tough: "sweetcorn"},
	{name: "dace", bait: "single maggot", tough: "caster"},
	{name: "chub", bait: "bread flake", stout: 0.6, snags: true, tough: "luncheon meat"},
	{name: "barbel", bait: "luncheon meat", stout: 1, snags: true, tough: "luncheon meat"},
	{name: "bream", bait: "redworm", stout: 0.4, tough: "sweetcorn"},
	{name: "perch", bait: "redworm", stout: 0.4, tough: "redworm"},
	{name: "grayling", bait: "double maggot", stout: 0.3, tough: "redworm"},
	{name: "small fish", bait: "single maggot", little: true, tough: "single maggot"},
}

// Fish are the names an Aim may have.
func Fish() []string {
	var out []string
	for _, f := range fishes {
		out = append(out, f.name)
	}
	return out
}

// Baits are the names an Aim may have.
func Baits() []string {
	var out []string
	for _, b := range baits {
		out = append(out, b.Name)
	}
	return out
}

func findBait(name string) (Bait, bool) {
	i := slices.IndexFunc(baits, func(b Bait) bool { return b.Name == name })
	if i < 0 {
		return Bait{}, false
	}
	return baits[i], true
}

func findFish(name string) (fish, bool) {
	i := slices.IndexFunc(fishes, func(f fish) bool { return f.name == name })
	if i < 0 {
		return fish{}, false
	}
	return fishes[i], true
}

func (a Aim) check() error {
	if _, ok := findFish(a.Fish); !ok && a.Fish != "" {
		return fmt.Errorf("fish %q is not known: %s", a.Fish, strings.Join(Fish(), ", "))
	}
	if _, ok := findBait(a.Bait); !ok && a.Bait != "" {
		return fmt.Errorf("bait %q is not known: %s", a.Bait, strings.Join(Baits(), ", "))
	}
	return nil
}

// quarry is the fish and bait of a rig, the pattern's where the aim is silent.
func quarry(a Aim, p Pattern) (fish, Bait) {
	name := a.Fish
	if name == "" {
		name = p.fish[0]
	}
	f, _ := findFish(name)
	if a.Bigger {
		f.stout = min(f.stout+0.4, 1)
	}
	switch {
	case a.Bait != "":
		b, _ := findBait(a.Bait)
		return f, b
	case a.Nuisance:
		b, _ := findBait(f.tough)
		return f, b
	case a.Fish != "":
		b, _ := findBait(f.bait)
		return f, b
	}
	b, _ := findBait(p.bait)
	return f, b
}

// hooks are the sizes that suit both bait and pattern, finest and largest; the
// bait's own where the two have nothing in common, for the bait has to fit.
func hooks(b Bait, p Pattern) (finest, largest int) {
	finest, largest = min(b.HookFinest, p.hookFinest), max(b.HookLargest, p.hookLargest)
	if finest < largest {
		return b.HookFinest, b.HookLargest
	}
	return finest, largest
}

// hookFor is the size to start with and how to say the choice.
func hookFor(f fish, b Bait, p Pattern) (int, string) {
	size, other := hookPair(f, b, p)
	return size, hookWords(size, other)
}

// hookWords say a size to start with and another to choose from, 0 for none.
func hookWords(size, other int) string {
	if other == 0 {
		return fmt.Sprint(size)
	}
	return fmt.Sprintf("%d to %d", min(size, other), max(size, other))
}

// hookPair is the size to start with and another to choose from, 0 where none is
// within range: an even size, the largest for a stout fish and the finest for a
// little one.
func hookPair(f fish, b Bait, p Pattern) (size, other int) {
	finest, largest := hooks(b, p)
	size = largest + int(float64(finest-largest)*(1-f.stout)+0.5)
	size = min(max(size/2*2, largest+largest%2), finest)
	other = size + 2
	if other > finest {
		other = size - 2
	}
	if other < largest {
		other = 0
	}
	return size, other
}
