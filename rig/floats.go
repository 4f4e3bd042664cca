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
// where the kit does not say which floats it holds. A float of a size its pattern is
// not usually made in is marked in grams.
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
		c := capacity{f.CapacityG, gramWords(f.CapacityG)}
		i := slices.IndexFunc(made, func(m capacity) bool { return math.Abs(m.grams-f.CapacityG) < sameG*f.CapacityG })
		if i >= 0 {
			c = capacity{f.CapacityG, made[i].marking}
		}
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b capacity) int { return cmp.Compare(a.grams, b.grams) })
	return slices.CompactFunc(out, func(a, b capacity) bool { return a.grams == b.grams })
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
