package rig

import (
	"math"
	"testing"
)

// TestFeedOfBaits: maggot and caster sink slowly, hemp and corn faster, so they are
// thrown less far upstream (common practice, no source).
func TestFeedOfBaits(t *testing.T) {
	w := Water{DepthM: 2, PaceMPS: 0.6}
	carried := map[string]FeedDrift{}
	for _, name := range Baits() {
		b, err := BaitByName(name)
		if err != nil {
			t.Fatal(err)
		}
		d, err := b.Feed(w)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !(0 < d.Least.M && d.Least.M < d.Middle.M && d.Middle.M < d.Most.M) {
			t.Errorf("%s: %+v", name, d)
		}
		carried[name] = d
	}
	for _, slow := range []string{"single maggot", "caster"} {
		for _, fast := range []string{"hemp", "sweetcorn"} {
			if carried[slow].Middle.M <= carried[fast].Middle.M {
				t.Errorf("%s is carried %.1f m, %s %.1f", slow, carried[slow].Middle.M, fast, carried[fast].Middle.M)
			}
		}
	}
	// By hand: hemp at 0.12 m/s sinks 2 m in 16.7 s; the mean of a sixth-power law is
	// 6/7 of 0.6, 0.514 m/s: 8.6 m, and a little more for the bed's own 3 cm.
	if got := carried["hemp"].Least; math.Abs(got.S-16.67) > 0.01 || math.Abs(got.M-8.57) > 0.05 {
		t.Errorf("hemp: %+v", got)
	}
	if _, err := (Bait{SinkLowMPS: 0.1, SinkHighMPS: 0.2}).Feed(Water{DepthM: math.NaN()}); err == nil {
		t.Error("a depth that is no number is taken")
	}
	if _, err := BaitByName("cake"); err == nil {
		t.Error("cake is a bait")
	}
}
