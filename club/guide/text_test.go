package guide

import (
	"os"
	"strings"
	"testing"

	"levelpeg/rig"
)

// five are set-ups of five patterns, from slow and shallow to deep and fast.
func five(t testing.TB) []Setup {
	t.Helper()
	level := 1.24
	var out []Setup
	for _, of := range []struct {
		pattern string
		w       rig.Water
		aim     rig.Aim
		level   *float64
	}{
		{"stick", rig.Water{DepthM: 1.6, PaceMPS: 0.4, DistanceM: 4}, rig.Aim{Junior: true}, &level},
		{"waggler", rig.Water{DepthM: 1.4, PaceMPS: 0.15, DistanceM: 14}, rig.Aim{}, nil},
		{"avon-short", rig.Water{DepthM: 1.85, PaceMPS: 0.9, Boil: 2, DistanceM: 9}, rig.Aim{Fish: "chub"}, nil},
		{"bolognese", rig.Water{DepthM: 3.4, PaceMPS: 0.6, Boil: 1, DistanceM: 25}, rig.Aim{}, nil},
		{"flat", rig.Water{DepthM: 2.6, PaceMPS: 0.6, DistanceM: 8}, rig.Aim{HeldStill: true}, nil},
	} {
		rigs, err := rig.Suggest(of.w, of.aim, rig.StandardKit())
		if err != nil {
			t.Fatalf("%s: %v", of.pattern, err)
		}
		found := false
		for _, r := range rigs {
			if r.Pattern == of.pattern && !found {
				s := SetupOf(r, of.w)
				s.LevelM = of.level
				out, found = append(out, s), true
			}
		}
		if !found {
			t.Fatalf("no %s for %+v: %s", of.pattern, of.w, rigs[0].Name)
		}
	}
	return out
}

// TestText writes five guides for a person to read through:
//
//	LEVELPEG_GUIDES=/tmp/guides.txt go test ./club/guide -run Text
//
// and in any case sees that each has its steps, in order, with nothing left empty.
func TestText(t *testing.T) {
	var all strings.Builder
	for _, s := range five(t) {
		g, err := For(s)
		if err != nil {
			t.Fatal(err)
		}
		text := g.Text()
		all.WriteString(text + "\n\n")
		at := -1
		for _, title := range []string{"Take a grown-up", "Lay out", "power lines", "Is the river safe", "Keep hooks safe", "keep hands clean", "Watch the sky", "Put up the rod", "Put on the float",
			"Tie a loop", "Join the hook length", "Park the hook", "Plumb the depth", "Set the float", "Dot the tip down", "Put on the bait", "Cast, and", "Spot the bite", "Strike", "Land the fish", "Unhook it", "A hook in a finger", "Put it all away"} {
			i := strings.Index(text, title)
			if i <= at {
				t.Errorf("%s: %q stands at %d, after %d", g.Name, title, i, at)
			}
			at = i
		}
		for i := range g.Steps {
			st := &g.Steps[i]
			if st.Key == "" || st.Part == "" || st.Title == "" || len(st.Do) == 0 || st.Why == "" || st.Done == "" || len(st.Draw.Shapes) == 0 || st.Draw.Title == "" {
				t.Errorf("%s: step %d lacks something: %+v", g.Name, i+1, st)
			}
			if g.At(st.Key) != i {
				t.Errorf("%s: two steps have the address %s", g.Name, st.Key)
			}
		}
	}
	if to := os.Getenv("LEVELPEG_GUIDES"); to != "" {
		if err := os.WriteFile(to, []byte(all.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
