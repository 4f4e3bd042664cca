package rig

import (
	"math"
	"testing"
)

// TestHangAtTheRigsOwnHoldBack gives what the rig says of itself.
func TestHangAtTheRigsOwnHoldBack(t *testing.T) {
	w := Water{DepthM: 1.83, PaceMPS: 0.8}
	for _, r := range suggest(t, w, Aim{}) {
		s, err := HangAt(r, w, r.HoldBack)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(s.TiltDeg-r.TiltDeg) > 1e-6 || math.Abs(s.AheadM-r.AheadM) > 1e-6 {
			t.Errorf("%s: %g° and %g m, it says %g° and %g m", r.Name, s.TiltDeg, s.AheadM, r.TiltDeg, r.AheadM)
		}
	}
}

func TestHangAtGoesFromBehindToAhead(t *testing.T) {
	w := Water{DepthM: 2, PaceMPS: 0.6}
	r := suggest(t, w, Aim{})[0]
	last := math.Inf(-1)
	for _, hold := range []float64{0, 0.25, 0.3, 0.5, 1} {
		s, err := HangAt(r, w, hold)
		if err != nil {
			t.Fatal(err)
		}
		if s.AheadM <= last {
			t.Errorf("held back %g the bait is %g m ahead, no more than before", hold, s.AheadM)
		}
		last = s.AheadM
	}
	if s, _ := HangAt(r, w, 0); s.AheadM >= 0 {
		t.Errorf("running free the bait should trail: %g", s.AheadM)
	}
	for _, bad := range []float64{-0.1, 1.1, math.NaN(), math.Inf(1)} {
		if _, err := HangAt(r, w, bad); err == nil {
			t.Errorf("held back %g is taken", bad)
		}
	}
}
