package rig

import (
	"errors"
	"strings"
	"testing"
)

// TestNoDeadEnds: where a kit cannot fish a water, the sentence says what to add.
func TestNoDeadEnds(t *testing.T) {
	easy, fast := Water{DepthM: 1.5, PaceMPS: 0.45, DistanceM: 6}, Water{DepthM: 1.8, PaceMPS: 1.1, Boil: 1, DistanceM: 8}
	for _, c := range []struct {
		water Water
		kit   Kit
		say   []string
	}{
		{easy, Kit{Chart: ChartRetail, ShotMaterial: Tin, Sizes: []string{}}, []string{"holds no shot", "add at least one size"}},
		{easy, Kit{Chart: ChartRetail, ShotMaterial: Tin, Floats: []Float{}}, []string{"no float in the kit", "add one"}},
		{easy, Kit{Chart: ChartRetail, ShotMaterial: Tin, Sizes: []string{"SSG"}, Floats: []Float{{"stick", 1}}}, []string{"light enough", "For a 5 × No.4 stick, ", "would do it."}},
		{fast, Kit{Chart: ChartRetail, ShotMaterial: Tin, Floats: []Float{{"stick", 0.6}}}, []string{"None of the floats in the kit holds the line down", "add a 5 g short-bodied Avon"}},
	} {
		_, err := Suggest(c.water, Aim{}, c.kit)
		var no *NoRigError
		if !errors.As(err, &no) {
			t.Errorf("%v: %v", c.say, err)
			continue
		}
		for _, s := range c.say {
			if !strings.Contains(no.Why, s) {
				t.Errorf("%q does not say %q", no.Why, s)
			}
		}
	}
}

func TestAFloatIsWantedWhereNoneHeldIsMadeForIt(t *testing.T) {
	k := StandardKit()
	k.Floats = []Float{{"stick", 1.6}}
	rs, err := Suggest(Water{DepthM: 1.5, PaceMPS: 0.75, Boil: 1, DistanceM: 8}, Aim{Fish: "roach"}, k)
	if err != nil || !strings.HasPrefix(wantOf(rs[0], WantFloat), "No float you carry is made for this water: a 5 BB straight balsa would suit") {
		t.Errorf("%v %+v", err, rs)
	}
	k.Floats = append(k.Floats, Float{"balsa", 1.6}, Float{"balsa", 2})
	if rs, err = Suggest(Water{DepthM: 1.5, PaceMPS: 0.75, Boil: 1, DistanceM: 8}, Aim{Fish: "roach"}, k); err != nil || wantOf(rs[0], WantFloat) != "" {
		t.Errorf("%v %+v", err, rs)
	}
}

func TestWhatWouldLoadAFloatIsWanted(t *testing.T) {
	k := StandardKit()
	k.OlivettesG, k.Sizes = []float64{2}, []string{"8"}
	k.Held = map[string]int{"8": 8}
	rs, err := Suggest(Water{DepthM: 1.83, PaceMPS: 0.8}, Aim{}, k)
	if err != nil {
		t.Fatal(err)
	}
	said := 0
	for _, r := range rs {
		for _, what := range []string{WantShot, WantOlivette} {
			if s := wantOf(r, what); s != "" && strings.Contains(s, "would do it") && strings.Contains(s, r.Name) {
				said++
			}
		}
	}
	if said == 0 {
		t.Errorf("nothing is wanted: %+v", rs)
	}
}
