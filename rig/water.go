package rig

import (
	"fmt"
	"slices"
)

// Water is a run as it is today.
type Water struct {
	// DepthM is the middle figure, DepthLowM and DepthHighM its 80 % range;
	// 0 for a bound that is not known, which is then taken as the middle.
	DepthM, DepthLowM, DepthHighM float64
	// PaceMPS is the surface pace, with its range in the same way.
	PaceMPS, PaceLowMPS, PaceHighMPS float64
	Boil                             int     // 0 smooth to 3 boily
	DistanceM                        float64 // out from the angler
	WindForce                        int     // on the Beaufort scale; 0 where it was not asked
	Wind                             Wind    // where it blows; empty: in the angler's face
	SwimM                            float64 // how long the swim is, for the float to settle and fish in; 0: SwimUsualM
	Snaggy                           bool    // roots, boulders or weed that a hooked fish can reach
}

// Wind is where a wind blows as the angler stands.
type Wind string

// The winds. A wind named by where it goes, as anglers on a river name it: an
// upstream wind blows up the river.
const (
	WindFacing     Wind = "facing"
	WindBehind     Wind = "behind"
	WindUpstream   Wind = "upstream"
	WindDownstream Wind = "downstream"
)

// Winds are the names a wind may have.
func Winds() []Wind { return []Wind{WindFacing, WindBehind, WindUpstream, WindDownstream} }

// against is the share of the wind that stands against the cast and pulls at the
// line: all of one in the face, half of one along the river, nothing of one from
// behind (common practice, no source).
func (w Water) against() float64 {
	switch w.Wind {
	case WindBehind:
		return 0
	case WindUpstream, WindDownstream:
		return 0.5
	}
	return 1
}

// Aim is what is fished for and with. Empty: the pattern says.
type Aim struct {
	Fish, Bait string
	Bigger     bool // bigger fish of the kind than usual are about
	Nuisance   bool // small fish take the bait before those it is meant for
	HeldStill  bool // the float is to stand still on a tight line
	Junior     bool // tied and fished by a child with an adult beside them
}

// The water this calculation holds for.
const (
	DepthLeastM   = 0.4
	DepthMostM    = 6.0
	PaceMostMPS   = 1.6
	DistanceMostM = 60
	BoilMost      = 3
	WindMost      = 8
)

// SwimUsualM is how long a swim is where nobody has said: pegs stand 15 yards apart
// where they can, and a swim runs from just above one to just above the next (rule
// pages of clubs).
const SwimUsualM = 13.7

// NoRigError says why no float here suits a water, in a sentence for the angler.
type NoRigError struct{ Why string }

func (e *NoRigError) Error() string { return e.Why }

// known fills in the bounds that were left out.
func (w Water) known() Water {
	w.DepthLowM, w.DepthHighM = bounds(w.DepthM, w.DepthLowM, w.DepthHighM)
	w.PaceLowMPS, w.PaceHighMPS = bounds(w.PaceMPS, w.PaceLowMPS, w.PaceHighMPS)
	return w
}

func bounds(mid, low, high float64) (float64, float64) {
	if low == 0 {
		low = mid
	}
	if high == 0 {
		high = mid
	}
	return low, high
}

// check says what is wrong with a water. The bounds may lie outside what can be
// fished, but must be numbers on either side of the middle.
func (w Water) check() error {
	err := firstError(
		inRange("depth", w.DepthM, DepthLeastM, DepthMostM, "m"),
		inRange("surface pace", w.PaceMPS, 0, PaceMostMPS, "m/s"),
		inRange("swim's length", w.SwimM, 0, 500, "m"), inRange("distance", w.DistanceM, 0, DistanceMostM, "m"),
		inRange("boil", float64(w.Boil), 0, BoilMost, "on the scale of 0 smooth to 3 boily"),
		inRange("wind force", float64(w.WindForce), 0, WindMost, "on the Beaufort scale"),
		w.Wind.check(),
	)
	if err != nil {
		return unfishable(w, err)
	}
	k := w.known()
	const far = 100
	return firstError(
		inRange("lowest depth", k.DepthLowM, 0, w.DepthM, "m"),
		inRange("highest depth", k.DepthHighM, w.DepthM, far, "m"),
		inRange("lowest pace", k.PaceLowMPS, 0, w.PaceMPS, "m/s"),
		inRange("highest pace", k.PaceHighMPS, w.PaceMPS, far, "m/s"),
	)
}

func (w Wind) check() error {
	if w != "" && !slices.Contains(Winds(), w) {
		return fmt.Errorf("wind %q is not known: it may be %s, %s, %s or %s", string(w), WindFacing, WindBehind, WindUpstream, WindDownstream)
	}
	return nil
}

// unfishable puts the reason before a range error where the water itself, and
// not a slip of the pen, is what is outside.
func unfishable(w Water, err error) error {
	if why := w.beyond(); why != "" {
		return fmt.Errorf("%s: %w", why, err)
	}
	return err
}

// beyond says why no float is fished in a water that may well be as it is told;
// empty where it may be fished, or is no water.
func (w Water) beyond() string {
	switch {
	case w.DepthM > 0 && w.DepthM < DepthLeastM:
		return "too shallow to float fish"
	case w.DepthM > DepthMostM && w.DepthM < 100:
		return "too deep for these floats"
	case w.PaceMPS > PaceMostMPS && w.PaceMPS < 10:
		return "too heavy to float fish"
	}
	return ""
}
