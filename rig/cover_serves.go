package rig

import (
	"math"
	"slices"
)

// overSizes is how many of the sizes its pattern is made in, each lighter than a float
// and each enough, leave the float right for a water. It is what [Rig].PaceLowMPS says:
// below it a float two sizes lighter would do. One size over is what anglers put on to
// be safe, for a load of about one and a half times what is asked (common practice, no
// source).
const overSizes = 1

// sized is the offer with another of the kit's sizes.
func (o offer) sized(at int) offer {
	o.at = at
	o.penalty = o.base + o.ofSize()
	return o
}

// over is how many lighter sizes the pattern is made in would do.
func (o offer) over() int {
	n := 0
	for _, c := range o.made {
		if c.grams >= nearly*o.need.grams && c.grams < o.size().grams*(1-sameG) {
			n++
		}
	}
	return n
}

// carrying is an offer that suits in each size of the kit that carries what the water
// asks and is not much too heavy: the smallest that carries it, however heavy that is,
// and those above it with no more than overSizes lighter ones that would do.
func (o offer) carrying() []offer {
	out := []offer{o}
	for at := o.at + 1; at < len(o.sizes); at++ {
		if o.at = at; o.over() > overSizes {
			break
		}
		out = append(out, o.sized(at))
	}
	return out
}

// suiting are a pattern's offers for a water that a rig may serve it with.
func suiting(p Pattern, w Water, a Aim, k Kit) []offer {
	if _, outside := p.suits(w, a); outside != "" {
		return nil // as offerOf would find, with less work
	}
	o, ok := offerOf(p, w, a, k)
	if !ok || o.outside != "" {
		return nil
	}
	return o.carrying()
}

// serves is whether a rig that is tied serves a water, as [CoverWaters] says, with the
// rig it becomes and how. Nothing serves a water, an aim or a kit that is out of range.
func serves(from Rig, w Water, a Aim, k Kit) (Served, bool) {
	if firstError(w.check(), a.check(), k.check()) != nil || tooFar(w, a) {
		return Served{}, false
	}
	for _, p := range registered {
		if p.ID != from.Pattern {
			continue
		}
		os := suiting(p, w.known(), a, k)
		i := slices.IndexFunc(os, func(o offer) bool { return same(o.size().grams, from.CapacityG) })
		if i < 0 {
			return Served{}, false
		}
		to, err := os[i].rig(k)
		if err != nil {
			return Served{}, false
		}
		t := turn(from, to)
		return Served{To: to, Moves: t.Moves}, !t.Tie
	}
	return Served{}, false
}

// tooFar is a water no junior reaches.
func tooFar(w Water, a Aim) bool { return a.Junior && w.DistanceM > JuniorReachM }

// behindBy is how far an offer's penalty is behind the best there is for its water, in
// thousandths; 0 for one that is as good or better.
func behindBy(penalty, best float64) int {
	return int(math.Round(1000 * max(penalty-best, 0)))
}
