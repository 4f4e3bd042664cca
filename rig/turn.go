package rig

import "math"

// When is a change of wind, water or fish that an angler changes a rig for.
type When string

// The changes.
const (
	WindUp        When = "the wind gets up"
	RiverUp       When = "the river rises"
	SmallNuisance When = "small fish are a nuisance"
	SmallTarget   When = "small fish are the target"
	BiggerFish    When = "bigger fish move in"
)

// Whens are the changes, in the order they are shown.
func Whens() []When { return []When{WindUp, RiverUp, SmallNuisance, SmallTarget, BiggerFish} }

// The wind of WindUp, a strong breeze on the Beaufort scale, and the rise of RiverUp.
const (
	WindUpForce = 6
	RiverUpM    = 0.3
)

// risePower is how the pace goes with the depth: speed = pace·(depth/depth before)^0.7,
// between Leopold and Maddock's hydraulic geometry (0.34/0.40) and Manning's two
// thirds for a wide channel.
const risePower = 0.7

// Of is a water and an aim once the change has come: force 6 in the face; 0.30 m
// deeper with the pace gone up by (depth/depth before)^0.7, which soundings of that
// water know better; small fish to get past; small fish to catch; bigger fish. Ranges
// move with their middle. A water that is no water comes back as it is.
func (when When) Of(w Water, a Aim) (Water, Aim) {
	switch when {
	case WindUp:
		w.WindForce, w.Wind = max(w.WindForce, WindUpForce), WindFacing
	case RiverUp:
		w = w.risen()
	case SmallNuisance:
		a.Nuisance = true
	case SmallTarget:
		a.Fish, a.Bait, a.Bigger, a.Nuisance = "small fish", "", false, false
	case BiggerFish:
		a.Bigger = true
	}
	return w, a
}

func (w Water) risen() Water {
	if w.check() != nil {
		return w
	}
	w = w.known()
	faster := math.Pow((w.DepthM+RiverUpM)/w.DepthM, risePower)
	for _, depth := range []*float64{&w.DepthM, &w.DepthLowM, &w.DepthHighM} {
		*depth += RiverUpM
	}
	for _, pace := range []*float64{&w.PaceMPS, &w.PaceLowMPS, &w.PaceHighMPS} {
		*pace *= faster
	}
	return w
}

// Turn is a rig turned to another water or aim: by hand movements, or by tying
// another.
type Turn struct {
	To    Rig
	Moves Moves // none: this rig still does it
	Tie   bool  // To is tied anew: another pattern or line, or too much to change by hand
}

// hands is how many hand movements tying a rig takes: one for the float, one for the
// hook length, one for the depth and one for each weight.
func (r Rig) hands() int {
	n := 3
	for _, w := range r.Weights {
		n += w.Count
	}
	return n
}

// TurnTo is the least to do to a rig for another water or aim: the same pattern while
// that still suits and asks for fewer hand movements than tying it anew, on the same
// main line with the same olivette; the same pattern tied again; or, where it no longer suits,
// the best there is. Arguments and errors are those of Suggest.
func TurnTo(from Rig, w Water, a Aim, k Kit) (Turn, error) {
	rigs, err := again(from.Pattern, w, a, k)
	if err != nil {
		return Turn{}, err
	}
	if rigs[0].Pattern == from.Pattern {
		return turn(from, rigs[0]), nil
	}
	return Turn{To: rigs[0], Tie: true}, nil
}

// again is the rig of a pattern for a water that it suits, or the best there are.
func again(pattern string, w Water, a Aim, k Kit) ([]Rig, error) {
	if err := firstError(w.check(), a.check(), k.check()); err != nil {
		return nil, err
	}
	for _, p := range registered {
		if p.ID != pattern || a.Junior && w.DistanceM > JuniorReachM {
			continue
		}
		if o, ok := offerOf(p, w.known(), a, k); ok && o.outside == "" {
			if r, err := o.rig(k); err == nil {
				return []Rig{r}, nil
			}
		}
	}
	return Suggest(w, a, k)
}

// turn is by hand where that is less than tying again.
func turn(from, to Rig) Turn {
	t := Turn{To: to, Moves: Diff(from, to)}
	if t.Moves.Hands() >= to.hands() || !sameMain(from, to) || olivettes(from) != olivettes(to) {
		t.Moves, t.Tie = nil, true
	}
	return t
}

// olivettes names the olivettes of a rig: they are threaded on the line, and do not
// come off without everything below.
func olivettes(r Rig) string {
	names := ""
	for _, w := range r.Weights {
		if w.Kind == Olivette {
			names += w.Size + ";"
		}
	}
	return names
}
