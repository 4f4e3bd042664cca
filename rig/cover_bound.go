package rig

import (
	"cmp"
	"math"
	"slices"
)

// Steps of the prices at the root, and at each node below.
const (
	rootSteps = 300
	nodeSteps = 25
)

// whole is how near to a whole number a bound comes by rounding.
const whole = 1e-3

// branch looks for what is better than the best with what is settled.
func (s *bestSearch) branch(state []stand, steps int) {
	if s.left--; s.left <= 0 {
		return
	}
	next, may := s.bound(state, steps)
	if !may {
		return
	}
	if next < 0 {
		s.consider(takenOf(state))
		return
	}
	for _, now := range []stand{taken, dropped} {
		settled := slices.Clone(state)
		settled[next] = now
		s.branch(settled, nodeSteps)
	}
}

func takenOf(state []stand) []int {
	var all []int
	for c, st := range state {
		if st == taken {
			all = append(all, c)
		}
	}
	return all
}

// bound climbs with the prices. It is false where nothing better is to be had, and
// otherwise the column to settle next; none is left where it is below 0.
func (s *bestSearch) bound(state []stand, steps int) (next int, may bool) {
	scale, best, since := 2.0, math.Inf(-1), 0
	for range steps {
		chosen, low := s.relaxed(state)
		if len(chosen) > 0 {
			s.consider(chosen)
		}
		if low > s.cost-1+whole {
			return 0, false
		}
		s.fix(state, chosen, low)
		if since++; low > best {
			best, since = low, 0
		}
		if since > 8 {
			scale, since = scale/2, 0
		}
		if !s.step(chosen, scale*(s.cost-low)) {
			break
		}
	}
	return s.next(state), true
}

// relaxed is the choice at the prices as they are, and the bound.
func (s *bestSearch) relaxed(state []stand) (chosen []int, low float64) {
	for _, x := range s.price {
		low += x
	}
	var may []int
	for c, st := range state {
		if st == dropped {
			continue
		}
		s.worth[c] = 0
		for _, x := range s.problem.columns[c].serves {
			s.worth[c] += min(0, float64(x.cost)-s.price[x.water])
		}
		if st == taken {
			chosen = append(chosen, c)
		} else if s.worth[c] < 0 {
			may = append(may, c)
		}
	}
	slices.SortStableFunc(may, func(a, b int) int { return cmp.Compare(s.worth[a], s.worth[b]) })
	chosen = append(chosen, may[:min(len(may), s.most-len(chosen))]...)
	for _, c := range chosen {
		low += s.worth[c]
	}
	return chosen, low
}

// fix leaves out for good the undecided columns that would bring the bound up to the best, were
// they in the place of the least of those chosen.
func (s *bestSearch) fix(state []stand, chosen []int, low float64) {
	least := 0.0
	if len(chosen) == s.most {
		least = s.worth[chosen[s.most-1]]
		if state[chosen[s.most-1]] == taken {
			least = 0
		}
	}
	for c, st := range state {
		if st == undecided && !slices.Contains(chosen, c) && low+s.worth[c]-least > s.cost-1+whole {
			state[c] = dropped
		}
	}
}

// step moves the prices: up for a water that none of the chosen serves, down for one that
// several do. False where each is served once, and nothing moves.
func (s *bestSearch) step(chosen []int, by float64) bool {
	off := s.unserved(chosen)
	sum := 0.0
	for _, x := range off {
		sum += x * x
	}
	if sum == 0 {
		return false
	}
	for w, x := range off {
		s.price[w] = min(max(s.price[w]+by/sum*x, 0), s.leave[w])
	}
	return true
}

// unserved is one less the number of chosen columns that serve each water at less than
// its price; none short for one that is as dear as to leave it.
func (s *bestSearch) unserved(chosen []int) []float64 {
	off := make([]float64, s.problem.waters)
	for _, c := range chosen {
		for _, x := range s.problem.columns[c].serves {
			if float64(x.cost) < s.price[x.water] {
				off[x.water]--
			}
		}
	}
	for w := range off {
		if off[w]++; off[w] > 0 && s.price[w] >= s.leave[w] {
			off[w] = 0
		}
	}
	return off
}

// next is the undecided column that is worth most; -1 where none is left or no more may be
// chosen.
func (s *bestSearch) next(state []stand) int {
	next, n := -1, 0
	for c, st := range state {
		if st == taken {
			n++
		}
		if st == undecided && (next < 0 || s.worth[c] < s.worth[next]) {
			next = c
		}
	}
	if n == s.most {
		return -1
	}
	return next
}
