package rig

import (
	"cmp"
	"slices"
)

// coverProblem is a set-covering problem: columns, each serving some of the waters at a
// cost, from which to choose.
type coverProblem struct {
	waters  int
	pegs    []int // by water: how many are equal to it
	columns []column
	nodes   int // how many each search may look at
}

// column is what may be chosen.
type column struct {
	reach  waterSet
	serves []service
}

// service is a water and what it costs a column to serve it.
type service struct{ water, cost int }

// choice is columns chosen, and whether it is proven that none are better.
type choice struct {
	chosen []int
	proven bool
}

// nodeMost is how many nodes each of the two searches looks at: about a second. No venue
// tried, of up to 250 different waters, has taken 256.
const nodeMost = 5000

// coverable are the waters that any column serves.
func (p *coverProblem) coverable() waterSet {
	out := newWaterSet(p.waters)
	for _, c := range p.columns {
		for _, s := range c.serves {
			out.add(s.water)
		}
	}
	return out
}

// shared deals out the waters among the columns chosen, each to the one that serves it at
// the least cost and of equals to the first.
func (p *coverProblem) shared(chosen []int) []waterSet {
	out := make([]waterSet, len(chosen))
	owner, least := make([]int, p.waters), make([]int, p.waters)
	for i := range owner {
		owner[i] = -1
	}
	for i, c := range chosen {
		out[i] = newWaterSet(p.waters)
		for _, s := range p.columns[c].serves {
			if owner[s.water] < 0 || s.cost < least[s.water] {
				owner[s.water], least[s.water] = i, s.cost
			}
		}
	}
	for w, i := range owner {
		if i >= 0 {
			out[i].add(w)
		}
	}
	return out
}

// fewest is the fewest columns that serve all that can be served: by one more and one
// more from the number of waters no two of which a column serves, each looked for by the
// water that fewest columns serve.
func (p *coverProblem) fewest() choice {
	all := p.coverable()
	s := fewestSearch{problem: p, by: p.byWater(), left: p.nodes}
	greedy := p.greedy(all)
	for n := s.apart(all); n < len(greedy); n++ {
		if found := s.within(n, all); found != nil {
			return choice{found, true}
		}
		if s.left <= 0 {
			return choice{greedy, false}
		}
	}
	return choice{greedy, true}
}

// byWater are the columns that serve each water, those whose reach is within another's
// left out.
func (p *coverProblem) byWater() [][]int {
	out := make([][]int, p.waters)
	for i, c := range p.columns {
		if p.inAnother(i) {
			continue
		}
		for _, w := range c.reach.each() {
			out[w] = append(out[w], i)
		}
	}
	return out
}

// inAnother says whether a column's reach is within another's; of equals the first is not.
func (p *coverProblem) inAnother(i int) bool {
	mine := p.columns[i].reach
	for j, c := range p.columns {
		if j != i && mine.within(c.reach) && (j < i || !c.reach.within(mine)) {
			return true
		}
	}
	return false
}

// greedy takes the column that serves most of what is left, again and again.
func (p *coverProblem) greedy(left waterSet) []int {
	var out []int
	for !left.empty() {
		most, at := 0, 0
		for i, c := range p.columns {
			if n := left.count() - left.without(c.reach).count(); n > most {
				most, at = n, i
			}
		}
		out = append(out, at)
		left = left.without(p.columns[at].reach)
	}
	return out
}

// fewestSearch looks for covers.
type fewestSearch struct {
	problem *coverProblem
	by      [][]int
	left    int // nodes
}

// within is n columns at most that serve the waters, or nil.
func (s *fewestSearch) within(n int, waters waterSet) []int {
	if waters.empty() {
		return []int{}
	}
	if s.left--; s.left <= 0 || s.apart(waters) > n {
		return nil
	}
	for _, c := range s.by[s.hardest(waters)] {
		if rest := s.within(n-1, waters.without(s.problem.columns[c].reach)); rest != nil {
			return append(rest, c)
		}
	}
	return nil
}

// hardest is the water that fewest columns serve.
func (s *fewestSearch) hardest(waters waterSet) int {
	return slices.MinFunc(waters.each(), func(a, b int) int { return cmp.Compare(len(s.by[a]), len(s.by[b])) })
}

// apart is a number of waters no two of which one column serves: no fewer will do.
func (s *fewestSearch) apart(waters waterSet) int {
	n := 0
	ws := waters.each()
	slices.SortStableFunc(ws, func(a, b int) int { return cmp.Compare(len(s.by[a]), len(s.by[b])) })
	left := slices.Clone(waters)
	for _, w := range ws {
		if !left.has(w) {
			continue
		}
		n++
		for _, c := range s.by[w] {
			left = left.without(s.problem.columns[c].reach)
		}
	}
	return n
}
