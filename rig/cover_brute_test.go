package rig

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

// The brute force below asks the predicate about every rig there is for every water, and
// tries every choice of them. It shares nothing with the search.

// bruteRig is a rig that may be tied: which waters it serves, and how far it is behind
// the best of each.
type bruteRig struct {
	rig    Rig
	serves []bool
	behind []int
}

func bruteRigs(ws []Water, a Aim, k Kit) []bruteRig {
	var out []bruteRig
	for _, w := range ws {
		for _, p := range Patterns() {
			for _, size := range p.held(k) {
				made, _ := serves(Rig{Pattern: p.ID, CapacityG: size.grams}, w, a, k)
				if made.To.Pattern == "" {
					continue
				}
				b := bruteRig{rig: made.To}
				for _, x := range ws {
					_, ok := serves(made.To, x, a, k)
					b.serves = append(b.serves, ok)
					b.behind = append(b.behind, 0)
					if ok {
						b.behind[len(b.behind)-1] = bruteBehind(made.To, x, a, k)
					}
				}
				out = append(out, b)
			}
		}
	}
	return out
}

// bruteBehind is what a rig's float is behind the best, each float asked about as the
// only one in the kit: the best pattern, in the lightest size the kit has weights for
// that is not too heavy to serve.
func bruteBehind(r Rig, w Water, a Aim, k Kit) int {
	mine, best := 0.0, math.Inf(1)
	for _, p := range Patterns() {
		if _, outside := p.suits(w.known(), a); outside != "" {
			continue
		}
		found, carries := false, false
		for _, size := range p.held(k) {
			if found && p.ID != r.Pattern {
				break
			}
			only := k
			only.Floats = []Float{{p.ID, size.grams}}
			o, ok := offerOf(p, w.known(), a, only)
			if !ok || o.outside != "" {
				continue
			}
			if lightest := !carries; bruteLighter(p, k, o) > 1 && !lightest {
				continue
			}
			carries = true
			if p.ID == r.Pattern && size.grams == r.CapacityG {
				mine = o.penalty
			}
			if p.style == ShotBulk {
				only.OlivettesG = nil
			}
			if _, err := Shot(size.grams, o.layout, only); err == nil && !found {
				best, found = min(best, o.penalty), true
			}
		}
	}
	return int(math.Round(1000 * max(0, mine-best)))
}

// bruteLighter is how many lighter sizes the pattern is made in would do.
func bruteLighter(p Pattern, k Kit, o offer) int {
	n := 0
	for _, c := range p.ladder(k.Chart) {
		if c.grams < 0.95*o.size().grams && c.grams >= 0.97*o.need.grams {
			n++
		}
	}
	return n
}

// bruteBest is the choice of n at most that serves most, and of those has the least sum
// behind: how many it serves, and that sum.
func bruteBest(rigs []bruteRig, waters, n int) (served, behind int) {
	var unlike []bruteRig
	for _, r := range rigs {
		if !slices.ContainsFunc(unlike, func(u bruteRig) bool {
			return slices.Equal(u.serves, r.serves) && slices.Equal(u.behind, r.behind)
		}) {
			unlike = append(unlike, r)
		}
	}
	least := make([]int, waters)
	for i := range least {
		least[i] = -1
	}
	var try func(from, left int, least []int)
	try = func(from, left int, least []int) {
		s, b := 0, 0
		for _, x := range least {
			if x >= 0 {
				s, b = s+1, b+x
			}
		}
		if s > served || s == served && b < behind {
			served, behind = s, b
		}
		if left == 0 {
			return
		}
		for i := from; i < len(unlike); i++ {
			with := slices.Clone(least)
			for w, ok := range unlike[i].serves {
				if ok && (with[w] < 0 || unlike[i].behind[w] < with[w]) {
					with[w] = unlike[i].behind[w]
				}
			}
			try(i+1, left-1, with)
		}
	}
	try(0, n, least)
	return served, behind
}

// bruteFewest is how many serve all that can be served.
func bruteFewest(rigs []bruteRig, waters int) int {
	can := 0
	for w := range waters {
		if slices.ContainsFunc(rigs, func(r bruteRig) bool { return r.serves[w] }) {
			can++
		}
	}
	for n := 0; ; n++ {
		if served, _ := bruteBest(rigs, waters, n); served == can {
			return n
		}
	}
}

// bruteClosest is the rigs as they serve with the least slack that takes no more than
// most of them, how many they then are, and whether that is the least of all, a quarter
// of the penalty.
func bruteClosest(rigs []bruteRig, waters, most int) (within []bruteRig, fewest int, near bool) {
	for _, slack := range []float64{0.2505, 0.5005, math.Inf(1)} {
		within = nil
		for _, r := range rigs {
			r.serves = slices.Clone(r.serves)
			for w := range r.serves {
				r.serves[w] = r.serves[w] && float64(r.behind[w]) < 1000*slack
			}
			within = append(within, r)
		}
		if fewest = bruteFewest(within, waters); fewest <= most {
			return within, fewest, slack < 0.3
		}
	}
	return within, fewest, false
}

// smallVenue is a venue that can be tried by brute force, an aim and a kit.
func smallVenue(rnd *rand.Rand) ([]Water, Aim, Kit) {
	ws := pegs(rnd, 2+rnd.IntN(6))
	if rnd.IntN(3) == 0 {
		ws = wide(rnd, 2+rnd.IntN(5))
	}
	a, k := Aim{}, StandardKit()
	if rnd.IntN(2) == 0 {
		a.Fish = Fish()[rnd.IntN(len(Fish()))]
	}
	if rnd.IntN(4) == 0 {
		a.Bait = Baits()[rnd.IntN(len(Baits()))]
	}
	switch rnd.IntN(10) {
	case 7: // loads few floats
		k.Sizes, k.OlivettesG = [][]string{{"SSG"}, {"AAA", "4"}, {"BB"}}[rnd.IntN(3)], nil
	case 0:
		a.HeldStill = true
	case 1:
		a.Nuisance = true
	case 2:
		a.Bigger = true
	case 3:
		a.Junior = true
	case 4:
		k.Sizes = []string{"BB", "6", "8"}
	case 5:
		k.OlivettesG = nil
	case 6:
		k.Floats = []Float{}
		for _, p := range Patterns() {
			for _, f := range p.Floats(k.Chart) {
				if rnd.IntN(3) == 0 {
					k.Floats = append(k.Floats, f.Float)
				}
			}
		}
	}
	return ws, a, k
}

func venues(few, many int) int {
	if os.Getenv("LEVELPEG_LONG") != "" {
		return many
	}
	return few
}

func TestCoverAgainstBruteForce(t *testing.T) {
	fewests := map[int]int{}
	bound := 0
	for seed := range venues(30, 500) {
		rnd := rand.New(rand.NewPCG(uint64(seed), 17))
		ws, a, k := smallVenue(rnd)
		all := bruteRigs(ws, a, k)
		for _, most := range []int{MostTied, 1, 2} {
			rigs, fewest, near := bruteClosest(all, len(ws), most)
			fewests[fewest]++
			c, err := CoverWaters(ws, a, k, most)
			if err != nil {
				t.Fatal(err)
			}
			if !c.Exact || c.Fewest != fewest || len(c.Rigs) != min(fewest, most) || c.Close != near {
				t.Errorf("seed %d: %d rigs of at most %d, fewest %d, exact %v, close %v; by brute force %d, close %v", seed, len(c.Rigs), most, c.Fewest, c.Exact, c.Close, fewest, near)
			}
			if fewest > most {
				bound++
			}
			wantServed, wantBehind := bruteBest(rigs, len(ws), min(fewest, most))
			served, behind := 0, 0
			for _, r := range c.Rigs {
				for _, s := range r.Serves {
					served, behind = served+1, behind+bruteBehind(r.Rig, ws[s.Water], a, k)
				}
			}
			if served != wantServed || behind != wantBehind {
				t.Errorf("seed %d: at most %d rigs serve %d, %d behind; by brute force %d, %d behind", seed, most, served, behind, wantServed, wantBehind)
			}
			checkCover(t, c, ws, a, k)
			checkHands(t, c, rigs)
		}
	}
	t.Logf("venues by fewest rigs: %v; asked for fewer than that %d times", fewests, bound)
}

// checkHands: no other rig of that pattern and size that serves the same waters, and is
// for one of them, is fewer hand movements from all of them.
func checkHands(t *testing.T, c Cover, rigs []bruteRig) {
	t.Helper()
	for _, tied := range c.Rigs {
		mine := 0
		for _, s := range tied.Serves {
			mine += Diff(tied.Rig, s.To).Hands()
		}
		for _, s := range tied.Serves {
			i := slices.IndexFunc(rigs, func(b bruteRig) bool { return sameRig(b.rig, s.To) })
			if i < 0 {
				t.Fatalf("%s set at %g is no rig that may be tied", s.To.Name, s.To.SetM)
			}
			hands, all := 0, true
			for _, x := range tied.Serves {
				hands += Diff(s.To, x.To).Hands()
				all = all && rigs[i].serves[x.Water]
			}
			if all && hands < mine {
				t.Errorf("%s for water %d is %d hand movements, for water %d %d", tied.Rig.Name, tied.For, mine, s.Water, hands)
			}
		}
	}
}
