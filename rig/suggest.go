package rig

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// mostRigs is how many rigs Suggest gives.
const mostRigs = 3

// Suggest is up to three rigs of different patterns for a water, best first. A
// pattern is offered where its depth, pace, boil and reach hold the water and
// one of its sizes holds the load the water asks for; if none is, the nearest
// that still fishes is, with a finding that says what it is short of. Lines, hook and
// rod are those of the kit nearest to what the pattern asks, where the kit says what
// it holds, and a Want says where that is a poor stand-in or none; the chosen line
// counts in the lean. Arguments out of range are errors that name the value and the
// range; a water no float here can fish, or a kit without shot or a float for it, is
// a NoRigError that says what to add.
func Suggest(w Water, a Aim, k Kit) ([]Rig, error) {
	if err := firstError(w.check(), a.check(), k.check()); err != nil {
		return nil, err
	}
	if a.Junior && w.DistanceM > JuniorReachM {
		return nil, &NoRigError{fmt.Sprintf("%.0f m out is too far for a junior: fish the inside or a rod length out, no more than %.0f m.", w.DistanceM, JuniorReachM)}
	}
	w = w.known()
	offers, nearest := offersFor(w, a, k)
	if nearest.Pattern.ID != "" {
		offers = append(offers, nearest)
	}
	if len(offers) == 0 {
		if k.Floats != nil && !fits(a, k) {
			return nil, &NoRigError{"There is no float in the kit for this: add one, or leave the floats open."}
		}
		return nil, &NoRigError{notWith(w, a, k)}
	}
	rigs, err := build(offers, k)
	if err != nil {
		return nil, withRemedy(err, offers[0], k)
	}
	if f := better(offers[0], w, a, k); f.Text != "" {
		rigs[0].Findings = append(rigs[0].Findings, f)
		if offers[0].outside != "" {
			rigs[0].want(WantFloat, "No float you carry is made for this water: %s", strings.ToLower(f.Text[:1])+f.Text[1:])
		}
	}
	return rigs, nil
}

// withRemedy says what would load an offer, where one size would.
func withRemedy(err error, o offer, k Kit) error {
	var no *NoRigError
	if lack, bad := Lacks(o.size().grams, o.layout, o.loads(k)); errors.As(err, &no) && bad == nil && lack.Count > 0 {
		return &NoRigError{no.Why + " For " + article(o.size().marking+" "+o.Name) + ", " + lack.String() + "."}
	}
	return err
}

// build makes up to three rigs of the offers that the kit can load, of those that
// suit, or one of the nearest where there is none; an error where it can load none of
// them.
func build(offers []offer, k Kit) ([]Rig, error) {
	var out []Rig
	var failed error
	for _, o := range offers {
		if len(out) == mostRigs || len(out) > 0 && o.outside != "" {
			break
		}
		r, err := o.rig(k)
		if err != nil {
			failed = firstError(failed, err)
			continue
		}
		out = append(out, r)
	}
	if len(out) == 0 {
		return nil, failed
	}
	return out, nil
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// offer is a pattern in a size for a water.
type offer struct {
	plan
	need    need
	sizes   []capacity // those in the kit
	made    []capacity // those the pattern is made in
	at      int        // the size chosen
	base    float64    // how far from ideal the pattern is, whatever the size
	penalty float64    // how far from ideal
	lack    Lack       // what the kit lacks to load it right, where it does
	outside string     // what is outside the pattern's range; empty where nothing is
}

func (o offer) size() capacity { return o.sizes[o.at] }

// offersFor are the patterns that suit, best first, and the nearest of those
// that do not but still fish.
func offersFor(w Water, a Aim, k Kit) (suit []offer, nearest offer) {
	nearest.penalty = math.Inf(1)
	for _, p := range registered {
		o, ok := offerOf(p, w, a, k)
		switch {
		case !ok:
		case o.outside == "":
			suit = append(suit, o)
		case o.penalty < nearest.penalty:
			nearest = o
		}
	}
	slices.SortStableFunc(suit, func(a, b offer) int { return cmp.Compare(a.penalty, b.penalty) })
	return suit, nearest
}

// strainDeg is how far past its limit a line may lean before a float is no use
// there at all.
const strainDeg = 12

// nearly is the share of the need that will do: all the floors are "about".
const nearly = 0.97

// offerOf chooses the size of a pattern. It is not there where even the largest
// leans past all use.
func offerOf(p Pattern, w Water, a Aim, k Kit) (offer, bool) {
	sizes := p.held(k)
	if len(sizes) == 0 {
		return offer{}, false
	}
	o, ok := planned(p, w, a, k)
	if !ok {
		return offer{}, false
	}
	return o.of(sizes)
}

// planned is an offer before its size is chosen.
func planned(p Pattern, w Water, a Aim, k Kit) (offer, bool) {
	o := offer{plan: newPlan(p, w, a).from(k), made: p.ladder(k.Chart)}
	if len(o.made) == 0 || p.unfit(a) {
		return offer{}, false
	}
	o.penalty, o.outside = o.plan.suits(w, a)
	o.need = o.plan.need(o.made[0].grams)
	return o, true
}

// of chooses among sizes, lightest first and one at least.
func (o offer) of(sizes []capacity) (offer, bool) {
	w := o.water
	o.sizes = sizes
	o.at = slices.IndexFunc(o.sizes, func(c capacity) bool { return c.grams >= nearly*o.need.grams })
	if o.at >= 0 {
		o.base = o.penalty
		o.penalty += o.ofSize()
		return o, true
	}
	o.at = len(o.sizes) - 1
	lean := o.tilt(o.outline(o.size().grams), w.PaceMPS)
	o.outside = joinWords(o.outside, fmt.Sprintf("the water asks for %s and it goes to %s",
		gramWords(math.Round(o.need.grams*10)/10), o.size().marking))
	o.penalty += o.need.grams/o.size().grams - 1
	return o, lean <= o.limitDeg()+strainDeg
}

// ofSize is the penalty of the size chosen.
func (o offer) ofSize() float64 {
	if o.outside != "" {
		return overGunned(o) + noRoom(o)
	}
	return overGunned(o) + noRoom(o) + (o.slow() + o.lifts())
}

// overGunned is the penalty of a float heavier than the water asks for.
func overGunned(o offer) float64 {
	asked := max(o.need.paceG, o.otherG(), 0.5)
	return 0.15 * max(0, math.Log2(o.size().grams/asked))
}

// slow is the penalty of a float whose rig is still sinking past the middle of the
// swim.
func (o offer) slow() float64 {
	swim := o.water.SwimM
	if swim == 0 {
		swim = SwimUsualM
	}
	floatMPS := o.water.PaceMPS * (1 - o.hold())
	t80, err := SettleAbout(River(o.water.DepthM, o.water.PaceMPS), floatMPS, o.water.DepthM, o.line(o.outline(o.size().grams)))
	if err != nil {
		return 1
	}
	return 0.3 * min(max(0, t80*floatMPS/swim-0.5), 2)
}

// lifts is the penalty of a line whose lean takes more than a twelfth of the depth,
// which is what the trade's own capacities come to.
func (o offer) lifts() float64 {
	s, err := o.hung(o.outline(o.size().grams), o.water.PaceMPS, o.hold())
	if err != nil {
		return 1
	}
	return 0.5 * max(0, s.LengthM/o.water.DepthM-1-1.0/12)
}

// noRoom is the penalty of a need near the top of the pattern's sizes, where
// there is nothing to go up to should the water rise.
func noRoom(o offer) float64 {
	return max(0, o.need.grams/o.made[len(o.made)-1].grams-0.7)
}
