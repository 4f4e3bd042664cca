package rig

import (
	"strings"
	"testing"
)

func TestWindWords(t *testing.T) {
	// Common practice, no source: what has to be said of each wind.
	w := Water{DepthM: 2.2, PaceMPS: 0.4, DistanceM: 9}
	for _, c := range []struct {
		pattern string
		wind    Wind
		force   int
		n       int
		says    []string
	}{
		{"avon-slim", WindFacing, 2, 0, nil},
		{"avon-slim", WindFacing, 3, 1, []string{"in your face", "cast low"}},
		{"avon-slim", "", 4, 1, []string{"in your face"}},
		{"avon-slim", WindBehind, 3, 1, []string{"power lines and trees"}},
		{"waggler", WindBehind, 6, 2, []string{"power lines and trees"}},
		{"avon-slim", WindUpstream, 4, 1, []string{"against the flow", "Mend less"}},
		{"avon-slim", WindDownstream, 4, 1, []string{"ahead of the float", "mend the line upstream", "longest rod"}},
		{"avon-slim", WindDownstream, 5, 2, []string{"It is strong", "waggler with the line sunk"}},
		{"waggler", WindDownstream, 5, 2, []string{"sink all the line", "under the water"}},
	} {
		at := w
		at.Wind, at.WindForce = c.wind, c.force
		o, ok := offerOf(byID(t, c.pattern), at.known(), Aim{}, StandardKit())
		if !ok {
			t.Fatal(c.pattern)
		}
		got := o.windWords()
		if len(got) != c.n {
			t.Errorf("%+v: %q", c, got)
		}
		for _, s := range c.says {
			if !strings.Contains(strings.Join(got, " "), s) {
				t.Errorf("%+v: %q", c, got)
			}
		}
		if c.pattern == "waggler" && strings.Contains(strings.Join(got, " "), "fish a waggler") {
			t.Errorf("a waggler is told to be one: %q", got)
		}
	}
}

func TestAGaleIsACaution(t *testing.T) {
	for force := range WindMost + 1 {
		r := suggest(t, Water{DepthM: 1.5, PaceMPS: 0.3, DistanceM: 6, WindForce: force, Wind: WindBehind}, Aim{})[0]
		if got := finding(r, "near gale"); got != (force >= 7) || len(r.Wind) == 0 != (force < 3) {
			t.Errorf("force %d: %v %q", force, got, r.Wind)
		}
	}
}
