package rig

import (
	"fmt"
	"slices"
	"strings"
)

// bait is what a bait does to a rig. Hook sizes: single maggot, double maggot
// and maggot bunch from angling guides, widened by common practice; the others
// from memory. Diameters and weights in water are from memory: they matter
// little, since near the bed the water runs at nearly the float's own pace.
type bait struct {
	name      string
	finest    int // the highest hook number
	largest   int // the lowest hook number
	diameterM float64
	sinksG    float64 // weight in water with its hook, grams
	floorG    float64 // what it adds to the capacity in broken water
	big       bool
}

var baits = []bait{
	{name: "single maggot", finest: 22, largest: 18, diameterM: 0.004, sinksG: 0.015},
	{name: "double maggot", finest: 18, largest: 14, diameterM: 0.005, sinksG: 0.025},
	{name: "maggot bunch", finest: 15, largest: 10, diameterM: 0.008, sinksG: 0.05, floorG: 0.5},
	{name: "caster", finest: 20, largest: 16, diameterM: 0.005, sinksG: 0.025},
	{name: "hemp", finest: 18, largest: 14, diameterM: 0.004, sinksG: 0.02},
	{name: "pellet", finest: 18, largest: 14, diameterM: 0.006, sinksG: 0.05},
	{name: "redworm", finest: 16, largest: 12, diameterM: 0.009, sinksG: 0.05, floorG: 0.5},
	{name: "sweetcorn", finest: 16, largest: 10, diameterM: 0.010, sinksG: 0.08, floorG: 0.5, big: true},
	{name: "bread flake", finest: 12, largest: 8, diameterM: 0.018, sinksG: 0.10, floorG: 1, big: true},
	{name: "luncheon meat", finest: 12, largest: 4, diameterM: 0.014, sinksG: 0.15, floorG: 1, big: true},
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
		out = append(out, b.name)
	}
	return out
}

func findBait(name string) (bait, bool) {
	i := slices.IndexFunc(baits, func(b bait) bool { return b.name == name })
	if i < 0 {
		return bait{}, false
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
func quarry(a Aim, p Pattern) (fish, bait) {
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
func hooks(b bait, p Pattern) (finest, largest int) {
	finest, largest = min(b.finest, p.hookFinest), max(b.largest, p.hookLargest)
	if finest < largest {
		return b.finest, b.largest
	}
	return finest, largest
}

// hookFor is the size to start with and how to say the choice: an even size,
// the largest for a stout fish and the finest for a little one.
func hookFor(f fish, b bait, p Pattern) (int, string) {
	finest, largest := hooks(b, p)
	size := largest + int(float64(finest-largest)*(1-f.stout)+0.5)
	size = min(max(size/2*2, largest+largest%2), finest)
	other := size + 2
	if other > finest {
		other = size - 2
	}
	if other < largest {
		return size, fmt.Sprint(size)
	}
	return size, fmt.Sprintf("%d to %d", min(size, other), max(size, other))
}
