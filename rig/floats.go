package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Float is a float someone has: its pattern's id and the load it is marked to take,
// in grams of lead.
type Float struct {
	Pattern   string
	CapacityG float64
}

// check says what is wrong with a float.
func (f Float) check() error {
	if !slices.ContainsFunc(registered, func(p Pattern) bool { return p.ID == f.Pattern }) {
		return fmt.Errorf("float pattern %q is not known", f.Pattern)
	}
	return inRange("float's capacity", f.CapacityG, capacityLowG, capacityHighG, "g")
}

// floatsKey is equal for equal floats, whatever their order; nil is not none.
func floatsKey(all []Float) string {
	return listKey(all, func(a, b Float) int {
		return cmp.Or(cmp.Compare(a.Pattern, b.Pattern), cmp.Compare(a.CapacityG, b.CapacityG))
	})
}

// sameG is how near a float's capacity is to a size its pattern is made in for the
// two to be one: floats are marked to a twentieth at best.
const sameG = 0.05

// held are the sizes of a pattern in a kit, lightest first: all that it is made in
// where the kit does not say which floats it holds.
func (p Pattern) held(k Kit) []capacity {
	made := p.ladder(k.Chart)
	if k.Floats == nil {
		return made
	}
	var out []capacity
	for _, f := range k.Floats {
		if f.Pattern != p.ID {
			continue
		}
		c := capacity{f.CapacityG, p.markedAs(f.CapacityG, k.Chart)}
		i := slices.IndexFunc(made, func(m capacity) bool { return math.Abs(m.grams-f.CapacityG) < sameG*f.CapacityG })
		if i >= 0 {
			c = capacity{f.CapacityG, made[i].marking}
		}
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b capacity) int { return cmp.Compare(a.grams, b.grams) })
	return slices.CompactFunc(out, func(a, b capacity) bool { return a.grams == b.grams })
}

// mostMarked is the most shot a float is marked to take.
const mostMarked = 20

// markedAs is how a float of a size its pattern is not usually made in is marked: in a
// whole number of a shot the pattern goes by, where it comes to one on the chart, and
// otherwise in grams, to a twentieth.
func (p Pattern) markedAs(capacityG float64, c Chart) string {
	for _, s := range p.sizes {
		one, ok := floatSize{n: 1, shot: s.shot}.on(c)
		if s.shot == "" || !ok {
			continue
		}
		n := math.Round(capacityG / one.grams)
		if n >= 1 && n <= mostMarked && math.Abs(n*one.grams-capacityG) < 0.005 {
			as, _ := floatSize{n: int(n), shot: s.shot}.on(c)
			return as.marking
		}
	}
	return gramWords(math.Max(math.Round(capacityG*20)/20, 0.05))
}

// clearly is how much better a float that is not in the kit has to be to be worth
// saying so.
const clearly = 0.1

// better says which float would suit a water better than the best of those in the
// kit; empty where none would by much, or the kit does not say what it holds.
func better(best offer, w Water, a Aim, k Kit) Finding {
	if k.Floats == nil {
		return Finding{}
	}
	k.Floats = nil
	all, _ := offersFor(w, a, k)
	if len(all) == 0 {
		return Finding{}
	}
	top := all[0]
	if top.ID == best.ID && top.size() == best.size() || best.outside == "" && top.penalty > best.penalty-clearly {
		return Finding{}
	}
	return Finding{NoteLevel, fmt.Sprintf("%s would suit this water better.", capitalArticle(top.size().marking+" "+top.Name)),
		"Take it along, if there is one to borrow or buy."}
}
