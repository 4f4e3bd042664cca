package rig

import (
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
	undecided stand = iota
	taken
	dropped
)

// best is up to most columns that leave the fewest pegs and, of such, cost least, no
// worse than a cover already found. To leave one peg costs more than all services can.
func (p *coverProblem) best(found choice, most int) choice {
	s := p.bestSearch(most)
	s.start(found.chosen)
	return s.prove()
}

func (p *coverProblem) bestSearch(most int) *bestSearch {
	s := &bestSearch{problem: p, most: most, left: p.nodes, cost: math.Inf(1), leave: make([]float64, p.waters),
		price: make([]float64, p.waters), worth: make([]float64, len(p.columns))}
	s.value()
	return s
}

// prove has the best choice from a first one on.
func (s *bestSearch) prove() choice {
	state := make([]stand, len(s.problem.columns))
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
			if i != j && state[i] == undecided && state[j] == undecided && cs[i].noBetter(cs[j]) {
				state[i] = dropped
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
