package rig

import (
	"cmp"
	"math"
	"slices"
)

// bestSearch chooses so many columns that what it costs to serve each water, or to leave
// it, is least in all: a p-median problem. It is branch and bound on which columns are
// chosen. The bound is Lagrange's: each water pays a price λ for being served once, so
// that what is least falls apart by column,
//
//	Σ λ(w) + the least sum over so many columns c of Σ min(0, cost(c, w) − λ(w)) over w
//
// is no more than the least cost whatever the prices are, and the prices climb by
// subgradient steps (Held and Karp; Fisher 1981, from memory).
type bestSearch struct {
	problem *coverProblem
	most    int
	leave   []float64 // by water: what it costs to leave it
	price   []float64
	worth   []float64 // by column: the sum above
	best    []int
	cost    float64
	left    int // nodes
}

// stand is what is settled about a column.
type stand int8

const (
	open stand = iota
	in
	out
)

// best is up to most columns that leave the fewest pegs and, of such, cost least, no
// worse than a cover already found. To leave one peg costs more than all services can.
func (p *coverProblem) best(found choice, most int) choice {
	s := bestSearch{problem: p, most: most, left: nodeMost, leave: make([]float64, p.waters),
		price: make([]float64, p.waters), worth: make([]float64, len(p.columns))}
	s.value()
	s.start(found.chosen)
	state := make([]stand, len(p.columns))
	s.withoutWorse(state)
	s.branch(state, rootSteps)
	slices.Sort(s.best)
	return choice{s.best, s.left > 0}
}

// value sets what it costs to leave each water, and first prices.
func (s *bestSearch) value() {
	highest := make([]int, s.problem.waters)
	for _, c := range s.problem.columns {
		for _, x := range c.serves {
			highest[x.water] = max(highest[x.water], x.cost)
		}
	}
	all := 1
	for _, h := range highest {
		all += h
	}
	covered := s.problem.coverable()
	for w := range s.leave {
		if covered.has(w) {
			s.leave[w] = float64(all * s.problem.pegs[w])
			s.price[w] = float64(highest[w])
		}
	}
}

// start has a first choice: the cover found, or where that is more than may be chosen
// those of it that serve most; and of its neighbours by one exchange the best, until none
// is better.
func (s *bestSearch) start(found []int) {
	s.cost = math.Inf(1)
	var first []int
	for len(first) < min(s.most, len(found)) {
		s.add(&first, found)
	}
	s.consider(first)
	for before := math.Inf(1); s.cost < before; {
		before = s.cost
		s.exchange(slices.Clone(s.best))
	}
}

// add adds the one of some columns that makes a choice cost least.
func (s *bestSearch) add(chosen *[]int, from []int) {
	least, at := math.Inf(1), -1
	for _, c := range from {
		if cost := s.total(append(slices.Clone(*chosen), c)); cost < least && !slices.Contains(*chosen, c) {
			least, at = cost, c
		}
	}
	*chosen = append(*chosen, at)
}

func (s *bestSearch) exchange(chosen []int) {
	for i := range chosen {
		for c := range s.problem.columns {
			if slices.Contains(chosen, c) {
				continue
			}
			other := slices.Clone(chosen)
			other[i] = c
			s.consider(other)
		}
	}
}

// consider keeps a choice that is better than the best.
func (s *bestSearch) consider(chosen []int) {
	if cost := s.total(chosen); cost < s.cost {
		s.best, s.cost = slices.Clone(chosen), cost
	}
}

// total is what a choice costs.
func (s *bestSearch) total(chosen []int) float64 {
	each := slices.Clone(s.leave)
	for _, c := range chosen {
		for _, x := range s.problem.columns[c].serves {
			each[x.water] = min(each[x.water], float64(x.cost))
		}
	}
	sum := 0.0
	for _, x := range each {
		sum += x
	}
	return sum
}

// withoutWorse leaves out the columns that another serves all the waters of, at no more
// cost.
func (s *bestSearch) withoutWorse(state []stand) {
	cs := s.problem.columns
	for i := range cs {
		for j := range cs {
			if i != j && state[i] == open && state[j] == open && cs[i].noBetter(cs[j]) {
				state[i] = out
			}
		}
	}
}

// noBetter says whether another column serves all that this does, at no more cost.
func (c column) noBetter(d column) bool {
	if !c.reach.within(d.reach) {
		return false
	}
	cost := map[int]int{}
	for _, x := range d.serves {
		cost[x.water] = x.cost
	}
	return !slices.ContainsFunc(c.serves, func(x service) bool { return cost[x.water] > x.cost })
}

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
		s.consider(held(state))
		return
	}
	for _, now := range []stand{in, out} {
		settled := slices.Clone(state)
		settled[next] = now
		s.branch(settled, nodeSteps)
	}
}

func held(state []stand) []int {
	var all []int
	for c, st := range state {
		if st == in {
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
		if st == out {
			continue
		}
		s.worth[c] = 0
		for _, x := range s.problem.columns[c].serves {
			s.worth[c] += min(0, float64(x.cost)-s.price[x.water])
		}
		if st == in {
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

// fix leaves out for good the open columns that would bring the bound up to the best, were
// they in the place of the least of those chosen.
func (s *bestSearch) fix(state []stand, chosen []int, low float64) {
	least := 0.0
	if len(chosen) == s.most {
		least = s.worth[chosen[s.most-1]]
		if state[chosen[s.most-1]] == in {
			least = 0
		}
	}
	for c, st := range state {
		if st == open && !slices.Contains(chosen, c) && low+s.worth[c]-least > s.cost-1+whole {
			state[c] = out
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

// next is the open column that is worth most; -1 where none is open or no more may be
// chosen.
func (s *bestSearch) next(state []stand) int {
	next, n := -1, 0
	for c, st := range state {
		if st == in {
			n++
		}
		if st == open && (next < 0 || s.worth[c] < s.worth[next]) {
			next = c
		}
	}
	if n == s.most {
		return -1
	}
	return next
}
