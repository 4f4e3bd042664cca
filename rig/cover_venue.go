package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// venue is waters with all that may be tied for them.
type venue struct {
	aim    Aim
	kit    Kit
	given  []Water
	waters []kindOf // those that can be fished, each once, in an order of their own
	// members are all the rigs that may be tied, and kins those among them that serve
	// within the slack there is now.
	members []*member
	kins    []*kin
}

// kindOf is a water, and which of those given are equal to it.
type kindOf struct {
	Water
	given []int
	best  offer // the one that suits it best; its penalty is infinite where none does
}

// newVenue finds all the rigs that may be tied.
func newVenue(ws []Water, a Aim, k Kit) *venue {
	v := &venue{aim: a, kit: k, given: ws}
	v.merge()
	for i := range v.waters {
		v.members = append(v.members, v.membersOf(i)...)
	}
	return v
}

// within leaves the rigs no further behind the best of their waters than slack, in
// thousandths, and groups them by float.
func (v *venue) within(slack int) *venue {
	v.kins = nil
	kins := map[string]*kin{}
	for _, m := range v.members {
		if v.behind(m) > slack {
			continue
		}
		key := m.offer.floatKey()
		if kins[key] == nil {
			kins[key] = &kin{}
			v.kins = append(v.kins, kins[key])
		}
		kins[key].members = append(kins[key].members, m)
	}
	slices.SortFunc(v.kins, func(a, b *kin) int { return cmp.Compare(a.key(), b.key()) })
	for _, kn := range v.kins {
		kn.trust(len(v.waters), v.kit)
	}
	return v
}

// floatKey puts floats in an order: by pattern and size.
func (o offer) floatKey() string { return fmt.Sprintf("%s %09.4f", o.ID, o.size().grams) }

func (kn *kin) key() string { return kn.members[0].offer.floatKey() }

// merge has each water that can be fished once, in an order that does not depend on the
// one they were given in.
func (v *venue) merge() {
	at := map[Water]int{}
	for i, w := range v.given {
		if w.check() != nil || tooFar(w, v.aim) {
			continue
		}
		w = w.known()
		j, ok := at[w]
		if !ok {
			j = len(v.waters)
			at[w] = j
			v.waters = append(v.waters, kindOf{Water: w})
		}
		v.waters[j].given = append(v.waters[j].given, i)
	}
	slices.SortFunc(v.waters, func(a, b kindOf) int { return a.compare(b.Water) })
}

// compare puts waters in an order, any that tells all of them apart.
func (w Water) compare(x Water) int {
	return cmp.Or(
		cmp.Compare(w.DepthM, x.DepthM), cmp.Compare(w.PaceMPS, x.PaceMPS), cmp.Compare(w.Boil, x.Boil),
		cmp.Compare(w.DistanceM, x.DistanceM), cmp.Compare(w.DepthLowM, x.DepthLowM), cmp.Compare(w.DepthHighM, x.DepthHighM),
		cmp.Compare(w.PaceLowMPS, x.PaceLowMPS), cmp.Compare(w.PaceHighMPS, x.PaceHighMPS), cmp.Compare(w.WindForce, x.WindForce),
		cmp.Compare(w.Wind, x.Wind), cmp.Compare(w.SwimM, x.SwimM), cmp.Compare(fmt.Sprint(w.Snaggy), fmt.Sprint(x.Snaggy)))
}

// membersOf are the rigs that may be tied for a water; it finds the best of them, each
// pattern in the lightest size that the kit loads.
func (v *venue) membersOf(i int) []*member {
	w := &v.waters[i]
	w.best.penalty = math.Inf(1)
	var out []*member
	for _, p := range registered {
		first := len(out)
		for _, o := range suiting(p, w.Water, v.aim, v.kit) {
			if ws, err := Shot(o.size().grams, o.layout, o.loads(v.kit)); err == nil {
				out = append(out, &member{water: i, offer: o, load: loadOf(ws), olivettes: olivettes(Rig{Weights: ws})})
			}
		}
		if len(out) > first && out[first].offer.penalty < w.best.penalty {
			w.best = out[first].offer
		}
	}
	return out
}

// loadOf names weights, whatever their places and what they are there for.
func loadOf(ws []Weight) string {
	count := map[string]int{}
	for _, w := range ws {
		count[fmt.Sprint(w.Kind, w.Size, w.Material)] += w.Count
	}
	return fmt.Sprint(count)
}

// candidates are the rigs to choose from: of a kin, those whose reach is within no
// other's.
func (v *venue) candidates() []candidate {
	var out []candidate
	for _, kn := range v.kins {
		first := len(out)
		for _, reach := range kn.reach {
			within := func(c candidate) bool { return reach.within(c.reach) }
			if reach.empty() || slices.ContainsFunc(out[first:], within) {
				continue
			}
			own := slices.DeleteFunc(out[first:], func(c candidate) bool { return c.reach.within(reach) })
			out = append(out[:first+len(own)], candidate{kin: kn, reach: slices.Clone(reach)})
		}
	}
	return out
}

// candidate is a rig that may be tied, for any of the waters from which it reaches so
// many.
type candidate struct {
	kin   *kin
	reach waterSet
}

// problem is the candidates in figures.
func (v *venue) problem(cs []candidate) *coverProblem {
	p := &coverProblem{waters: len(v.waters), nodes: nodeMost}
	for _, w := range v.waters {
		p.pegs = append(p.pegs, len(w.given))
	}
	for _, c := range cs {
		col := column{reach: c.reach}
		for _, m := range c.kin.members {
			if c.reach.has(m.water) {
				col.serves = append(col.serves, service{m.water, v.behind(m)})
			}
		}
		p.columns = append(p.columns, col)
	}
	return p
}

// behind is how far a member is behind the best of its water.
func (v *venue) behind(m *member) int {
	return behindBy(m.offer.penalty, v.waters[m.water].best.penalty)
}
