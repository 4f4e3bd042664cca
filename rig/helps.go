package rig

import (
	"slices"
)

// serves is how many waters an addition serves that are not served now.
func (h *helper) serves(a Aid) int {
	n := 0
	with := a.AddTo(h.kit)
	for _, l := range h.at {
		if !right(l.rigs, a.What) && h.helps(l, a, with) {
			n += l.n
		}
	}
	return n
}

// helps says whether a kit with an addition serves a water.
func (h *helper) helps(l *looked, a Aid, with Kit) bool {
	switch a.What {
	case WantFloat:
		return l.withFloat(a.Float, with)
	case WantShot, WantOlivette:
		return l.withWeight(a.What, with)
	case WantHook, WantRod:
		return l.inHand(a.What, with)
	}
	return h.withLine(l, a.What, with)
}

// withFloat tries a float: it is taken only where the water asks for no more than it
// takes and nothing lighter in the kit does, and changes its own pattern's offer
// alone.
func (l *looked) withFloat(f Float, with Kit) bool {
	i := slices.IndexFunc(l.plans, func(o offer) bool { return o.ID == f.Pattern })
	if i < 0 || f.CapacityG < nearly*l.plans[i].need.grams {
		return false
	}
	same := func(o offer) bool { return o.ID == f.Pattern }
	if j := slices.IndexFunc(l.offers, same); j >= 0 && l.offers[j].size().grams <= f.CapacityG {
		return false
	}
	o, ok := l.plans[i].of(l.plans[i].held(with))
	if !ok || o.outside != "" {
		return false
	}
	offers := append(slices.DeleteFunc(slices.Clone(l.offers), same), o)
	byPenalty(offers)
	return right(triedOf(offers, with), WantFloat)
}

// withWeight tries a size of shot or an olivette. Where every offer would be given,
// those it does not load right need not be tied to know.
func (l *looked) withWeight(what string, with Kit) bool {
	offers := l.offers
	if len(offers) <= mostRigs {
		offers = slices.DeleteFunc(slices.Clone(offers), func(o offer) bool {
			_, rank, err := load(o.size().grams, o.layout, o.loads(with))
			return err != nil || rank.beyond > 0
		})
	}
	return right(triedOf(offers, with), what)
}

// inHand tries hooks or a rod, which change nothing else of a rig.
func (l *looked) inHand(what string, with Kit) bool {
	return slices.ContainsFunc(l.rigs, func(t tried) bool {
		r := Rig{SetM: t.rig.SetM, RodFtLow: t.offer.leastRodFt(t.rig.SetM), RodFtHigh: t.offer.rodFt.High}
		if what == WantHook {
			t.offer.hook(&r, with)
		} else {
			t.offer.rod(&r, with)
		}
		return !short(t.rig) && !r.wantsFor(what)
	})
}

// withLine tries a line, where one of the patterns that suit, and are held, would
// then want for none: all that hangs on the line's drag is reckoned anew, the size of
// float among it.
func (h *helper) withLine(l *looked, what string, with Kit) bool {
	content := func(o offer) bool {
		pl := newPlan(o.Pattern, l.water, h.aim).from(with)
		return len(o.held(with)) > 0 && !Rig{Wants: pl.tackle.wants}.wantsFor(what)
	}
	if !slices.ContainsFunc(l.plans, content) {
		return false
	}
	return right(triedOf(offersOf(plansFor(l.water, h.aim, with), with), with), what)
}
