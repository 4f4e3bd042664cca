package rig

import (
	"fmt"
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
	// WindForce is on the Beaufort scale; 0 where it was not asked. It is taken
	// as blowing against the cast.
	WindForce int
	Snaggy    bool // roots, boulders or weed that a hooked fish can reach
}

// Aim is what is fished for and with. Empty: the pattern says.
type Aim struct {
	Fish, Bait string
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
		inRange("distance", w.DistanceM, 0, DistanceMostM, "m"),
		inRange("boil", float64(w.Boil), 0, BoilMost, "on the scale of 0 smooth to 3 boily"),
		inRange("wind force", float64(w.WindForce), 0, WindMost, "on the Beaufort scale"),
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

// unfishable puts the reason before a range error where the water itself, and
// not a slip of the pen, is what is outside.
func unfishable(w Water, err error) error {
	switch {
	case w.DepthM > 0 && w.DepthM < DepthLeastM:
		return fmt.Errorf("too shallow to float fish: %w", err)
	case w.DepthM > DepthMostM && w.DepthM < 100:
		return fmt.Errorf("too deep for these floats: %w", err)
	case w.PaceMPS > PaceMostMPS && w.PaceMPS < 10:
		return fmt.Errorf("too heavy to float fish: %w", err)
	}
	return err
}
