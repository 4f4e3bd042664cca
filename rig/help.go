package rig

import (
	"cmp"
	"fmt"
	"slices"
)

// mostAids is how many additions Help names.
const mostAids = 5

// Help is which one addition to a kit would help most over waters: up to five, the best
// of each kind of tackle, best first, each with how many of the waters it would serve that are not served now. A
// water is served, for a kind of tackle, where [Suggest] gives a rig of a pattern
// that suits it, loaded within its tolerance, with no [Want] of that kind. Equal
// waters are reckoned once and count each. Of what a kit leaves open nothing is
// added, nor lead that may not be fished with.
//
// A water deeper, shallower or faster than can be float fished is one that nothing
// serves; errors for other arguments are those of Suggest, and name the water by its
// place in the list. A kit may be empty here.
func Help(waters []Water, a Aim, k Kit) ([]Aid, error) {
	if err := firstError(a.check(), k.valid()); err != nil {
		return nil, err
	}
	h := helper{aim: a, kit: k}
	if err := h.look(waters); err != nil {
		return nil, err
	}
	var out []Aid
	for _, aid := range k.mayAdd() {
		if aid.Waters = h.serves(aid); aid.Waters > 0 {
			out = append(out, aid)
		}
	}
	slices.SortStableFunc(out, func(a, b Aid) int { return cmp.Compare(b.Waters, a.Waters) })
	return firstOfEach(out), nil
}

// firstOfEach leaves the best addition of each kind of tackle, for three rods of nearly
// one length are one answer; of several that are as good the middle one, which stands in
// for those on either side.
func firstOfEach(aids []Aid) []Aid {
	seen := map[string]bool{}
	var out []Aid
	for _, a := range aids {
		if seen[a.What] || len(out) == mostAids {
			continue
		}
		seen[a.What] = true
		var alike []Aid
		for _, b := range aids {
			if b.What == a.What && b.Waters == a.Waters && b.Float.Pattern == a.Float.Pattern {
				alike = append(alike, b)
			}
		}
		out = append(out, alike[(len(alike)-1)/2])
	}
	return out
}

// helper is a kit and what it makes of waters.
type helper struct {
	aim Aim
	kit Kit
	at  []*looked
}

// looked is a water, how many there are of it and what the kit makes of it.
type looked struct {
	water  Water
	n      int
	plans  []offer // the patterns that suit it, before their size is chosen
	offers []offer // those with a float in the kit that suits, best first
	rigs   []tried // what Suggest gives of them
}

// tried is an offer and its rig.
type tried struct {
	offer offer
	rig   Rig
}

// look looks at each water once.
func (h *helper) look(waters []Water) error {
	seen := map[Water]*looked{}
	for i, w := range waters {
		if seen[w] == nil {
			if err := w.check(); err != nil && w.beyond() == "" {
				return fmt.Errorf("water %d: %w", i+1, err)
			} else if err == nil && !(h.aim.Junior && w.DistanceM > JuniorReachM) {
				seen[w] = h.looked(w.known())
				h.at = append(h.at, seen[w])
			} else {
				seen[w] = &looked{}
			}
		}
		seen[w].n++
	}
	return nil
}

func (h *helper) looked(w Water) *looked {
	l := &looked{water: w}
	l.plans = plansFor(w, h.aim, h.kit)
	l.offers = offersOf(l.plans, h.kit)
	l.rigs = triedOf(l.offers, h.kit)
	return l
}

// plansFor are the patterns that suit a water, before their size is chosen.
func plansFor(w Water, a Aim, k Kit) []offer {
	var out []offer
	for _, p := range registered {
		if _, outside := p.suits(w, a); outside != "" {
			continue
		}
		if o, ok := planned(p, w, a, k); ok {
			out = append(out, o)
		}
	}
	return out
}

// offersOf are plans with the kit's own floats, best first, where one suits.
func offersOf(plans []offer, k Kit) []offer {
	var out []offer
	for _, o := range plans {
		sizes := o.held(k)
		if len(sizes) == 0 {
			continue
		}
		if o, ok := o.of(sizes); ok && o.outside == "" {
			out = append(out, o)
		}
	}
	byPenalty(out)
	return out
}

func byPenalty(offers []offer) {
	slices.SortStableFunc(offers, func(a, b offer) int { return cmp.Or(cmp.Compare(a.penalty, b.penalty), cmp.Compare(a.ID, b.ID)) })
}

// triedOf are the rigs of offers as Suggest gives them.
func triedOf(offers []offer, k Kit) []tried {
	var out []tried
	for _, o := range offers {
		if len(out) == mostRigs {
			break
		}
		if r, err := o.tied(o.loads(k)); err == nil {
			out = append(out, tried{o, r})
		}
	}
	return out
}

// right says whether one of some rigs is loaded right and wants nothing of a kind.
func right(ts []tried, what string) bool {
	return slices.ContainsFunc(ts, func(t tried) bool { return !short(t.rig) && !t.rig.wantsFor(what) })
}

func (r Rig) wantsFor(what string) bool {
	return slices.ContainsFunc(r.Wants, func(w Want) bool { return w.What == what })
}
