package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// The brute force below is written from the cost model in Diff's documentation
// and shares nothing with it: it makes the hand movements one by one, in every
// order, until the second rig lies there. A shot lifted may be set again for
// nothing more; one is pinched on new for one.

// bit is a weight on the line: its size, its place in steps and whether a hand
// has been on it.
type bit struct {
	size string
	oliv bool
	step int
	done bool
}

type bank struct {
	line []bit
	hand []string // sizes lifted, sorted
}

func (s bank) key() string { return fmt.Sprint(s.line, s.hand) }

// bits are a rig's weights from the hook up, in one place the lightest lowest on
// either side of an olivette.
func bits(r Rig) []bit {
	type w struct {
		bit
		massG float64
	}
	var ws []w
	for _, x := range r.Weights {
		ws = append(ws, w{bit{x.Size, x.Kind == Olivette, int(math.Round(x.AtM * 20)), false}, x.EachG})
	}
	slices.SortStableFunc(ws, func(a, b w) int { return cmp.Compare(a.step, b.step) })
	for i := range ws { // bubbles shot down within a place, but never past an olivette
		for j := i; j > 0 && ws[j].step == ws[j-1].step && !ws[j].oliv && !ws[j-1].oliv && ws[j].massG < ws[j-1].massG; j-- {
			ws[j], ws[j-1] = ws[j-1], ws[j]
		}
	}
	var out []bit
	for _, x := range ws {
		out = append(out, x.bit)
	}
	return out
}

// leastHands is the fewest movements from one rig's weights to another's, looked
// for by their number: all that takes none, then one, and so on.
func leastHands(a, b Rig) int {
	goal := bits(b)
	seen := map[string]bool{}
	layer := []bank{{line: bits(a)}}
	for hands := 0; ; hands++ {
		var next []bank
		for len(layer) > 0 {
			s := layer[len(layer)-1]
			layer = layer[:len(layer)-1]
			if k := s.key(); seen[k] {
				continue
			} else {
				seen[k] = true
			}
			if reached(s.line, goal) {
				return hands
			}
			layer = append(layer, s.setFromHand(goal)...)
			next = append(next, s.lift()...)
			next = append(next, s.thread(goal)...)
			next = append(next, s.slideGroups(goal)...)
			next = append(next, s.pinch(goal)...)
		}
		layer = next
	}
}

func reached(line, goal []bit) bool {
	return slices.EqualFunc(line, goal, func(x, y bit) bool { return x.size == y.size && x.step == y.step })
}

func (s bank) with(line []bit, hand []string) bank {
	slices.Sort(hand)
	return bank{line, hand}
}

func (s bank) lift() []bank {
	var out []bank
	for i, x := range s.line {
		if !x.oliv && !x.done {
			out = append(out, s.with(slices.Delete(slices.Clone(s.line), i, i+1), append(slices.Clone(s.hand), x.size)))
		}
	}
	return out
}

// insert puts a weight in at every place where the line stays in order.
func (s bank) insert(x bit, hand []string) []bank {
	var out []bank
	for i := range len(s.line) + 1 {
		if i > 0 && s.line[i-1].step > x.step || i < len(s.line) && s.line[i].step < x.step {
			continue
		}
		out = append(out, s.with(slices.Insert(slices.Clone(s.line), i, x), slices.Clone(hand)))
	}
	return out
}

func (s bank) setFromHand(goal []bit) []bank {
	var out []bank
	for i, size := range s.hand {
		for _, g := range goal {
			if g.size == size && s.wants(g, goal) {
				g.done = true
				out = append(out, s.insert(g, slices.Delete(slices.Clone(s.hand), i, i+1))...)
			}
		}
	}
	return out
}

// wants says whether another weight of a size is still to be set at a place: what
// a hand has been on stays where it was put.
func (s bank) wants(g bit, goal []bit) bool {
	n := 0
	for _, x := range goal {
		if x.size == g.size && x.step == g.step {
			n++
		}
	}
	for _, x := range s.line {
		if x.done && x.size == g.size && x.step == g.step {
			n--
		}
	}
	return n > 0
}

func (s bank) pinch(goal []bit) []bank {
	var out []bank
	for _, g := range goal {
		if !g.oliv && s.wants(g, goal) {
			g.done = true
			out = append(out, s.insert(g, s.hand)...)
		}
	}
	return out
}

// thread takes the lowest weight off where it is an olivette, or puts one on below
// all.
func (s bank) thread(goal []bit) []bank {
	var out []bank
	if len(s.line) > 0 && s.line[0].oliv {
		out = append(out, s.with(slices.Clone(s.line[1:]), slices.Clone(s.hand)))
	}
	for _, g := range goal {
		if g.oliv && (len(s.line) == 0 || g.step <= s.line[0].step) {
			g.done = true
			out = append(out, s.with(slices.Insert(slices.Clone(s.line), 0, g), slices.Clone(s.hand)))
		}
	}
	return out
}

// slideGroups slides every run of untouched neighbours to where all of them are
// wanted.
func (s bank) slideGroups(goal []bit) []bank {
	var out []bank
	for i := range s.line {
		for j := i + 1; j <= len(s.line) && !s.line[j-1].done; j++ {
			for d := -20; d <= 20; d++ {
				if d == 0 || max(d, -d) > 6 && slices.ContainsFunc(s.line[i:j], func(x bit) bool { return !x.oliv }) {
					continue
				}
				if line, ok := s.slid(i, j, d, goal); ok {
					out = append(out, s.with(line, slices.Clone(s.hand)))
				}
			}
		}
	}
	return out
}

func (s bank) slid(i, j, d int, goal []bit) ([]bit, bool) {
	line := slices.Clone(s.line)
	for k := i; k < j; k++ {
		line[k].step += d
		line[k].done = true
		if !slices.ContainsFunc(goal, func(g bit) bool { return g.size == line[k].size && g.step == line[k].step }) {
			return nil, false
		}
	}
	return line, slices.IsSortedFunc(line, func(a, b bit) int { return cmp.Compare(a.step, b.step) })
}
