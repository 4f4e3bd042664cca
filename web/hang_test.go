package web

import (
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/rig"
)

// The wording that the functions' own comments promise.
func TestHangWords(t *testing.T) {
	for want, h := range map[string]club.Hang{
		"Held back a third, as advised: line 15° off upright (downstream, drawn to the right), bait 4 cm behind the float, lifted 8 cm.": {HoldBack: 30, TiltDeg: 15.2, AheadM: -0.04, LiftM: 0.08},
		"Running free: line 3° off upright (upstream, drawn to the left), bait 1.20 m behind the float, lifted 0 cm.":                    {Asked: true, TiltDeg: -3, AheadM: -1.2},
		"Held still: line 67° off upright (downstream, drawn to the right), bait 1.00 m ahead of the float, lifted 92 cm.":               {Asked: true, HoldBack: 100, TiltDeg: 67, AheadM: 0.996, LiftM: 0.92},
		"Held back a quarter: line upright, bait right under the float, lifted 0 cm.":                                                    {Asked: true, HoldBack: 25, TiltDeg: -0.3, AheadM: -0.004},
		"Held back a half: line upright, bait right under the float, lifted 0 cm, dragging on the bed: set it shallower.":                {Asked: true, HoldBack: 50, OnBed: true},
		"Held still, the weights do not hold the line down in this pace.":                                                                {Asked: true, HoldBack: 100, Slack: true},
	} {
		if got := hangWords(&h); got != want {
			t.Errorf("got  %s\nwant %s", got, want)
		}
	}
	for want, h := range map[string]club.Hang{"leans downstream": {TiltDeg: 3}, "leans upstream": {TiltDeg: -3}, "The float alone": {Slack: true}} {
		if got := hangDesc(&h); !strings.Contains(got, want) {
			t.Errorf("the drawing's description says %q, want in it %q", got, want)
		}
	}
}

// A card of lead says so before its weights, and draws every weight once.
func TestCardOfLead(t *testing.T) {
	kit := rig.StandardKit()
	kit.ShotMaterial, kit.OlivetteMaterial = rig.Lead, rig.Lead
	w := rig.Water{DepthM: 2.6, PaceMPS: 0.6, DistanceM: 9}
	rigs, err := rig.Suggest(w, rig.Aim{}, kit)
	if err != nil {
		t.Fatal(err)
	}
	for i := range rigs {
		c := rigCard(&rigs[i], w, i)
		page := html(t, rigCardFirst(c))
		if len(c.Stops) == 0 || strings.Index(page, c.Stops[0]) > strings.Index(page, `class="string"`) {
			t.Errorf("%s: %d stops, which are not before the weights", c.Name, len(c.Stops))
		}
		pieces := 0
		for _, w := range rigs[i].Weights {
			pieces += w.Count
		}
		if n := strings.Count(page, `class="shot"`); n != pieces {
			t.Errorf("%s: %d weights drawn of %d", c.Name, n, pieces)
		}
	}
}
