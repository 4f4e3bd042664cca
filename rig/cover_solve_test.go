package rig

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// randomProblem is a covering problem of no shape at all, harder than waters make.
func randomProblem(rnd *rand.Rand, waters, columns int) *coverProblem {
	p := &coverProblem{waters: waters, nodes: nodeMost}
	for range waters {
		p.pegs = append(p.pegs, 1+rnd.IntN(3))
	}
	dear := 10 + rnd.IntN(90)
	for range columns {
		c := column{reach: newWaterSet(waters)}
		for w := range waters {
			if rnd.IntN(3) == 0 {
				c.reach.add(w)
				c.serves = append(c.serves, service{w, rnd.IntN(4) * rnd.IntN(dear)})
			}
		}
		p.columns = append(p.columns, c)
	}
	return p
}

// bruteChoice tries every choice of most columns: the pegs left, and the cost.
func bruteChoice(p *coverProblem, most int) [2]int {
	best := [2]int{1 << 30, 0}
	for set := range 1 << len(p.columns) {
		var chosen []int
		for c := range p.columns {
			if set>>c&1 == 1 {
				chosen = append(chosen, c)
			}
		}
		if len(chosen) > most {
			continue
		}
		if got := chosenCost(p, chosen); slices.Compare(got[:], best[:]) < 0 {
			best = got
		}
	}
	return best
}

// chosenCost is the pegs a choice leaves of those that can be served, and what it costs.
func chosenCost(p *coverProblem, chosen []int) (cost [2]int) {
	least, can := make([]int, p.waters), make([]bool, p.waters)
	for w := range least {
		least[w] = -1
	}
	for i, c := range p.columns {
		has := slices.Contains(chosen, i)
		for _, s := range c.serves {
			can[s.water] = true
			if has && (least[s.water] < 0 || s.cost < least[s.water]) {
				least[s.water] = s.cost
			}
		}
	}
	for w, x := range least {
		if x >= 0 {
			cost[1] += x
		} else if can[w] {
			cost[0] += p.pegs[w]
		}
	}
	return cost
}

func TestCoverSearchAgainstEveryChoice(t *testing.T) {
	for seed := range venues(1500, 30000) {
		rnd := rand.New(rand.NewPCG(uint64(seed), 23))
		p := randomProblem(rnd, 4+rnd.IntN(12), 4+rnd.IntN(7))
		all := p.fewest()
		fewest := 0
		for bruteChoice(p, fewest)[0] > 0 {
			fewest++
		}
		if !all.proven || len(all.chosen) != fewest || chosenCost(p, all.chosen)[0] != 0 {
			t.Errorf("seed %d: %v of %d, proven %v", seed, all.chosen, fewest, all.proven)
		}
		for most := 1; most <= fewest; most++ {
			want := bruteChoice(p, most)
			plain := p.bestSearch(most) // from nothing, with no exchanges first
			plain.consider(nil)
			for _, got := range []choice{p.best(all, most), plain.prove()} {
				if cost := chosenCost(p, got.chosen); !got.proven || len(got.chosen) > most || cost != want {
					t.Errorf("seed %d, most %d: %v costs %v, proven %v; want %v", seed, most, got.chosen, cost, got.proven, want)
				}
			}
		}
	}
}

// TestCoverSearchSaysWhereItStopped: what is found with too few nodes still covers, and
// is not said to be proven.
func TestCoverSearchSaysWhereItStopped(t *testing.T) {
	unproven := 0
	for seed := range uint64(20) {
		p := randomProblem(rand.New(rand.NewPCG(seed, 29)), 60, 40)
		p.nodes = 2
		all := p.fewest()
		best := p.best(all, len(all.chosen))
		if chosenCost(p, all.chosen)[0] != 0 || chosenCost(p, best.chosen)[0] != 0 {
			t.Errorf("seed %d: %v and %v leave some", seed, all.chosen, best.chosen)
		}
		if !all.proven && !best.proven {
			unproven++
		}
	}
	if unproven < 10 {
		t.Errorf("%d of 20 were not proven in two nodes", unproven)
	}
}

// TestCoverTrust: what is taken on trust, that rigs of one float, line and load turn into
// each other by hand, is so, what is not reached does not, and the movements are Diff's.
func TestCoverTrust(t *testing.T) {
	pairs := 0
	for seed := range venues(20, 200) {
		ws, a, k := smallVenue(rand.New(rand.NewPCG(uint64(seed), 31)))
		for _, kn := range newVenue(ws, a, k).within(math.MaxInt).kins {
			for i, m := range kn.members {
				for _, x := range kn.members {
					hands, ok := kn.hands(m, x, k)
					if firstError(m.err, x.err) != nil {
						continue
					}
					pairs++
					if c := turn(*m.rig, *x.rig); c.Tie == ok || ok && c.Moves.Hands() != hands || ok != kn.reach[i].has(x.water) {
						t.Errorf("seed %d: %s from %.2f to %.2f m: %v, %d hand movements", seed, m.offer.name(), m.rig.SetM, x.rig.SetM, ok, hands)
					}
				}
			}
		}
	}
	t.Logf("%d pairs", pairs)
}

func TestWaterSet(t *testing.T) {
	s := newWaterSet(130)
	for _, i := range []int{0, 63, 64, 129} {
		s.add(i)
	}
	u := slices.Clone(s)
	u.remove(64)
	if !slices.Equal(s.each(), []int{0, 63, 64, 129}) || s.count() != 4 || u.has(64) || !u.within(s) || s.within(u) || !u.without(s).empty() {
		t.Errorf("%v and %v", s.each(), u.each())
	}
}
