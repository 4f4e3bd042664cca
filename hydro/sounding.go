package hydro

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Sounding is a depth plumbed on a run, and where it was timed the surface pace.
//
// The level is metres above one datum shared by every sounding of the run, from
// −10,000 to 10,000; the depth 0.01 to 30 m; the pace 0.001 to 10 m/s, or 0 where
// the surface was not timed; TimedS the seconds the float was timed for, to 3,600,
// or 0 where that is unknown. Under 10 s is rough and counts for less.
type Sounding struct {
	At      time.Time
	LevelM  float64
	DepthM  float64
	PaceMPS float64
	TimedS  float64
}

// The ranges a value must lie in; outside them it is a slip, not a river.
const (
	maxLevelM = 10_000
	minDepthM = 0.01
	maxDepthM = 30
	minPace   = 0.001
	maxPace   = 10
	maxTimedS = 3600
)

// clockSkew is how far after now a sounding may be and count as made now: a
// phone's clock may run ahead.
const clockSkew = 24 * time.Hour

// check returns an error naming the first value that cannot be so.
func (s *Sounding) check(now time.Time) error {
	switch {
	case s.At.IsZero():
		return errors.New("it has no time")
	case s.At.Sub(now) > clockSkew:
		return fmt.Errorf("it is later than now, %s", now.Format(time.RFC3339))
	}
	if err := s.checkDepth(); err != nil {
		return err
	}
	return s.checkPace()
}

func (s *Sounding) checkDepth() error {
	if err := checkLevel(s.LevelM); err != nil {
		return err
	}
	if !within(s.DepthM, minDepthM, maxDepthM) {
		return rangeError("depth", s.DepthM, "m", minDepthM, maxDepthM)
	}
	return nil
}

// checkPace looks at the depth as well, since a pace is one at a depth.
func (s *Sounding) checkPace() error {
	if !within(s.DepthM, minDepthM, maxDepthM) {
		return rangeError("depth", s.DepthM, "m", minDepthM, maxDepthM)
	}
	if s.PaceMPS != 0 && !within(s.PaceMPS, minPace, maxPace) {
		return rangeError("pace", s.PaceMPS, "m/s", minPace, maxPace)
	}
	if !within(s.TimedS, 0, maxTimedS) {
		return rangeError("timing", s.TimedS, "s", 0, maxTimedS)
	}
	return nil
}

func checkLevel(levelM float64) error {
	if !within(levelM, -maxLevelM, maxLevelM) {
		return rangeError("level", levelM, "m", -maxLevelM, maxLevelM)
	}
	return nil
}

func checkLevelFigure(l Figure) error {
	for _, v := range [...]float64{l.Low, l.Mid, l.High} {
		if err := checkLevel(v); err != nil {
			return err
		}
	}
	if !(l.Low <= l.Mid && l.Mid <= l.High) {
		return fmt.Errorf("level %g m, %g to %g, is not in order; it must lie in its range", l.Mid, l.Low, l.High)
	}
	return nil
}

// within is false for NaN.
func within(v, low, high float64) bool { return v >= low && v <= high }

func rangeError(what string, v float64, unit string, low, high float64) error {
	if unit != "" {
		unit = " " + unit
	}
	if math.IsNaN(v) {
		return fmt.Errorf("%s is not a number (NaN); %g to %g%s is allowed", what, low, high, unit)
	}
	return fmt.Errorf("%s %g%s is outside %g to %g%s", what, v, unit, low, high, unit)
}
