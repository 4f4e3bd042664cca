package rig

import (
	"fmt"
	"math"
	"slices"
)

// suits is how far a water and aim are from what a pattern is for: about 0 in
// the middle of it, and over 1 with the reason where something is outside.
func (p Pattern) suits(w Water, a Aim) (float64, string) {
	penalty, outside := 0.0, ""
	for _, q := range []struct {
		v          float64
		in         Span
		weight     float64
		less, more string
	}{
		{w.DepthM, p.DepthM, 0.2, "the water is shallower than it is for", "the water is deeper than it is for"},
		{w.PaceMPS, p.PaceMPS, 0.3, "the water is slower than it is for", "the water is faster than it is for"},
		{float64(w.Boil), p.Boil, 0.1, "", "the water is more broken than it is for"},
		{w.DistanceM, Span{0, p.ReachM}, 0, "", "it is farther out than it is fished"},
		{float64(w.WindForce), Span{0, float64(p.windMost)}, 0, "", "the wind is more than it stands"},
	} {
		in, out := q.in.off(q.v)
		penalty += q.weight*in + 2*out
		if out > 0 {
			words := q.more
			if q.v < q.in.Low {
				words = q.less
			}
			outside = joinWords(outside, words)
		}
	}
	return penalty + p.mismatch(w, a), outside
}

// off is how far v is from the middle of a span in halves of its width, at most
// 1, and how far it is outside in whole widths.
func (s Span) off(v float64) (in, out float64) {
	half := (s.High - s.Low) / 2
	in = min(math.Abs(v-s.Low-half)/half, 1)
	return in, max(s.Low-v, v-s.High, 0) / (2 * half)
}

// mismatch is the penalty of a fish, a bait, a distance or a wind a pattern is
// not for.
func (p Pattern) mismatch(w Water, a Aim) float64 {
	penalty := 0.2 * min(w.DistanceM/p.ReachM, 1)
	if a.Fish != "" && !slices.Contains(p.fish, a.Fish) {
		penalty += 0.3
	}
	if _, b := quarry(a, p); b.Big && !p.bigBait {
		penalty += 0.4
	}
	if p.FarM > 0 {
		penalty += 0.6 * max(0, 1-w.DistanceM/p.FarM)
	}
	if p.mainLine == "floating" {
		penalty += 0.04 * w.against() * float64(w.WindForce)
	}
	return penalty + p.misses(a)
}

// biggerMM is the least hook length for fish bigger than usual, mm (common practice,
// no source).
const biggerMM = 0.12

// misses is the penalty of an aim a pattern is not for.
func (p Pattern) misses(a Aim) float64 {
	penalty := 0.0
	if a.Bigger && p.hookLengthMM[1] < biggerMM {
		penalty += 0.6
	}
	if a.Nuisance && p.style == StrungOut {
		penalty += 0.4
	}
	if a.HeldStill && !p.still {
		penalty += 0.8
	}
	return penalty
}

// unfit says that a pattern cannot do what is asked of it at all: one made to be
// held still does not run, and one fixed by its bottom cannot be held.
func (p Pattern) unfit(a Aim) bool { return p.still && !a.HeldStill || p.runs && a.HeldStill }

// fits is whether a kit holds any float that can do what is asked.
func fits(a Aim, k Kit) bool {
	return slices.ContainsFunc(registered, func(p Pattern) bool { return !p.unfit(a) && len(p.held(k)) > 0 })
}

// notWith says why none of a kit's floats will do, and which would.
func notWith(w Water, a Aim, k Kit) string {
	if k.Floats != nil {
		k.Floats = nil
		if all, _ := offersFor(w, a, k); len(all) > 0 {
			return fmt.Sprintf("None of the floats in the kit holds the line down in %s at %.2f m/s: add %s.",
				lengthWords(w.DepthM), w.PaceMPS, article(all[0].size().marking+" "+all[0].Name))
		}
	}
	return tooMuch(w, a, k)
}

// tooMuch says why no float here will do.
func tooMuch(w Water, a Aim, k Kit) string {
	least, most := math.Inf(1), 0.0
	for _, p := range registered {
		if p.unfit(a) {
			continue
		}
		for _, c := range p.held(k) {
			most = max(most, c.grams)
		}
		least = min(least, newPlan(p, w, a).need(0).grams)
	}
	return fmt.Sprintf("%s at %.2f m/s is too heavy to float fish: it asks for a float of about %.0f g and the heaviest here carries %s. Look for slacker or shallower water.",
		lengthWords(w.DepthM), w.PaceMPS, least, gramWords(most))
}

func joinWords(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", and " + b
}
