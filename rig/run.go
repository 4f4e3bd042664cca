package rig

import (
	"errors"
	"math"
)

// SetToRun is the length to set for the hook to run clearM above the bed, 0 for
// just touching, below a float that travels at floatMPS; and the shape it hangs
// in. It is [Reach] from that height. clearM is from 0 to the depth less 5 cm,
// the other arguments as [Steady] has them; outside, a RangeError; ErrSlack where
// 20 m of line would not bring the hook so low.
func SetToRun(c Current, floatMPS, clearM float64, l Line, m Model) (setM float64, s Shape, err error) {
	if err := checkRun(c, clearM, l, m); err != nil {
		return 0, Shape{}, err
	}
	s, err = Reach(c, floatMPS, c.DepthM-clearM, mostSetM, l, m)
	return s.LengthM, s, err
}

// mostSetM is the longest line that is reckoned with, m.
const mostSetM = 20

func checkRun(c Current, clearM float64, l Line, m Model) error {
	return firstError(c.check(), inRange("height above the bed", clearM, 0, c.DepthM-0.05, "m"), l.check(), m.check())
}

// ErrNoHold is a bait that runs where it is wanted at no hold-back there is.
var ErrNoHold = errors.New("no hold-back brings the bait there")

// mostHold is the most that is held back of the surface pace short of holding
// still.
const mostHold = 0.9

// HoldToRun is how much to hold back, as a share of the surface pace from 0 to
// 0.9, for the bait to run aheadM ahead of the float, 0 for right under and less
// for behind it, with the length set so that the hook runs clearM above the bed;
// and the shape the line hangs in then. Where more than one hold-back does it,
// the least. It is found by steps of 0.05 and then to 1e−4 m by regula falsi.
// aheadM is from −20 to 20 m, the others as [SetToRun] has them; outside, a
// RangeError; ErrNoHold where none does it, as where nothing runs.
func HoldToRun(c Current, clearM, aheadM float64, l Line, m Model) (hold float64, s Shape, err error) {
	err = firstError(checkRun(c, clearM, l, m), inRange("ahead", aheadM, -mostSetM, mostSetM, "m"))
	if err != nil {
		return 0, Shape{}, err
	}
	if err := inRange("hook's depth", c.DepthM-clearM, 0.05, mostSetM, "m"); err != nil {
		return 0, Shape{}, err
	}
	off := func(hold float64) float64 {
		w := newClimb(c, c.SurfaceMPS*(1-hold), l, m, c.DepthM-clearM)
		if s, err = w.reach(c.DepthM-clearM, mostSetM); err != nil {
			return math.NaN()
		}
		return (s.AheadM - aheadM) * closeM / aheadFineM
	}
	hold, ok := firstRoot(off, mostHold, 18)
	if !ok {
		return 0, Shape{}, ErrNoHold
	}
	_, s, err = SetToRun(c, c.SurfaceMPS*(1-hold), clearM, l, m)
	if err != nil || math.Abs(s.AheadM-aheadM) > aheadCloseM {
		return 0, Shape{}, ErrNoHold
	}
	return hold, s, nil
}

// How near the bait is brought to where it is wanted, m, and how near it has to be
// where it jumps past.
const (
	aheadFineM  = 1e-4
	aheadCloseM = 0.01
)

// firstRoot is the least x from 0 to most, looked for in n steps, at which f is
// within closeM of 0 or passes it on the way up.
func firstRoot(f func(float64) float64, most float64, n int) (float64, bool) {
	last, low := 0.0, f(0)
	if math.Abs(low) <= closeM {
		return 0, true
	}
	for i := 1; i <= n; i++ {
		at := most * float64(i) / float64(n)
		high := f(at)
		if low < 0 && high >= 0 {
			x := at
			ok := root(func(h float64) float64 { x = h; return f(h) }, last, at, low, high)
			return x, ok
		}
		last, low = at, high
	}
	return 0, false
}
