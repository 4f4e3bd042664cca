package rig

import (
	"fmt"
	"slices"
)

// Fit is how well a rig does for a water, and with how much change.
type Fit string

// The fits, best first.
const (
	AsTied      Fit = "as tied"        // nothing to change but the depth it is set at
	SmallChange Fit = "a small change" // no more than smallHands hand movements
	LargeChange Fit = "much to move"   // more, though fewer than tying it anew
	WillDo      Fit = "will do"        // another float would suit the water clearly better
)

// smallHands is how many hand movements, the setting of the depth among them, are a
// small change (common practice, no source): the depth, the bulk and the droppers, and
// one thing more.
const smallHands = 4

// Words say it in a sentence for the angler.
func (f Fit) Words() string {
	switch f {
	case AsTied:
		return "As it is tied: there is only the depth to set."
	case SmallChange:
		return "A small change by hand, a minute's work."
	case LargeChange:
		return "Much of it is moved by hand: less than tying another, but leave time for it."
	case WillDo:
		return "It will do, though another float would suit this water better."
	}
	return ""
}

// howWell is how well a rig does that is so far behind the best.
func howWell(ms Moves, behind int, best offer) (f Fit, better string) {
	setting := func(m Move) bool { return m.Kind == SetDepth || m.Hands == 0 }
	switch {
	case float64(behind) >= 1000*clearly:
		return WillDo, best.name()
	case !slices.ContainsFunc(ms, func(m Move) bool { return !setting(m) }):
		return AsTied, ""
	case ms.Hands() <= smallHands:
		return SmallChange, ""
	}
	return LargeChange, ""
}

func (o offer) name() string { return o.size().marking + " " + o.Name }

// left are the waters that none of the rigs serves, and why.
func (v *venue) left(rigs []Tied, most int) []Left {
	served := map[int]bool{}
	for _, t := range rigs {
		for _, s := range t.Serves {
			served[s.Water] = true
		}
	}
	why := map[int]string{}
	for i, w := range v.waters {
		if !served[w.given[0]] {
			for _, g := range w.given {
				why[g] = v.wants(i, most)
			}
		}
	}
	var out []Left
	for i, w := range v.given {
		if served[i] {
			continue
		}
		if why[i] == "" {
			why[i] = v.refusal(w)
		}
		out = append(out, Left{i, why[i]})
	}
	return out
}

// wants is why a water that can be fished is left, and the rig it wants.
func (v *venue) wants(i, most int) string {
	w := v.waters[i]
	if v.reached(i) {
		return fmt.Sprintf("It wants %s, and that is more than the %s you tie.", article(w.best.name()), countOf(most, rigWord(most)))
	}
	if offers, nearest := offersFor(w.Water, v.aim, v.kit); len(offers) == 0 && nearest.ID != "" {
		if r, err := nearest.rig(v.kit); err == nil {
			return fmt.Sprintf("%s Tie %s for it alone, if you draw it.", nearest.outsideFinding().Text, article(r.Name))
		}
	}
	return v.refusal(w.Water)
}

// refusal is what Suggest has against a water.
func (v *venue) refusal(w Water) string {
	if _, err := Suggest(w, v.aim, v.kit); err != nil {
		return err.Error()
	}
	return "No rig that can be tied here serves it."
}

// reached says whether any rig that may be tied serves a water.
func (v *venue) reached(i int) bool {
	return slices.ContainsFunc(v.kins, func(kn *kin) bool {
		return slices.ContainsFunc(kn.reach, func(r waterSet) bool { return r.has(i) })
	})
}

func rigWord(n int) string {
	if n == 1 {
		return "rig"
	}
	return "rigs"
}
