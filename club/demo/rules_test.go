package demo_test

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
)

func checkHazardsAndClosures(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	kinds, standing, past, planned := map[club.HazardKind]int{}, 0, 0, 0
	for _, v := range b.Venues {
		for _, h := range v.Hazards {
			kinds[h.Kind]++
			checkHazard(t, v, h, now)
		}
		for _, c := range v.Closures {
			switch {
			case c.From.After(now):
				planned++
			case c.To.IsZero():
				standing++
			case c.To.Before(now):
				past++
			}
		}
	}
	if standing != 1 || past != 1 || planned != 1 {
		t.Errorf("closures: %d standing, %d past, %d planned; want one of each", standing, past, planned)
	}
	if kinds[club.PowerLine] < 3 || kinds[club.DeepEdge] == 0 || kinds[club.SlipBank] == 0 || kinds[club.Wading] == 0 {
		t.Errorf("hazards: %v", kinds)
	}
}

func checkHazard(t *testing.T, v club.VenueBook, h club.Hazard, now time.Time) {
	t.Helper()
	if h.Text == "" || h.PegLabel != "" && !slices.ContainsFunc(v.Pegs, func(p club.PegBook) bool { return p.Label == h.PegLabel }) {
		t.Errorf("%s: hazard %+v", v.Slug, h)
	}
	if h.Kind != club.PowerLine {
		return
	}
	// Keep 30 m from overhead lines, carry rods taken down: networks' safety guidance to anglers (facts §2).
	if h.DistanceM < 30 && !closedAt(v, h.PegLabel, now) {
		t.Errorf("%s peg %s: open %.0f m from a power line", v.Slug, h.PegLabel, h.DistanceM)
	}
	if !strings.Contains(h.Text, "carry rods taken down") || h.DistanceM >= 30 && !strings.Contains(h.Text, "30 m") {
		t.Errorf("%s peg %s: %q lacks the usual words", v.Slug, h.PegLabel, h.Text)
	}
}

func TestEveryVenueHasItsRules(t *testing.T) {
	b := demo.Make(nows()[0])
	for _, v := range b.Venues {
		var stop, care float64
		for _, r := range v.Rules {
			if r.FromLabel == "" && r.Effect == club.NoFishing {
				stop = *r.AboveM
			}
			if r.FromLabel == "" && r.Effect == club.Caution {
				care = *r.AboveM
			}
		}
		if g := gaugeOf(t, b, v.GaugeSlug); !(g.HighM < care && care < stop && stop < g.FloodM) {
			t.Errorf("%s: ordinary to %.2f, caution %.2f, no fishing %.2f, flood %.2f m", v.Slug, g.HighM, care, stop, g.FloodM)
		}
	}
}

// A page puts the level before a rule's text, as the board of today shows it.
func TestRulesReadAsTheBoardShows(t *testing.T) {
	b := demo.Make(nows()[0])
	figure := regexp.MustCompile(`\d\.\d\d m`)
	for _, v := range b.Venues {
		zeros := gaugeOf(t, b, v.GaugeSlug).Zeros
		for _, r := range v.Rules {
			words := r.Words(zeros[len(zeros)-1].OffsetM)
			if all := figure.FindAllString(words, -1); len(all) != 1 {
				t.Errorf("%s: %q names %d levels, want one", v.Slug, words, len(all))
			}
		}
		if v.Slug == "cinder-bend" && !strings.HasPrefix(v.Rules[0].Words(zeros[len(zeros)-1].OffsetM), "Above 0.90 m no fishing: ") {
			t.Errorf("%q does not give the level on the board that replaced the first", v.Rules[0].Words(zeros[len(zeros)-1].OffsetM))
		}
	}
}

func checkNotes(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	all, private := 0, 0
	for _, v := range b.Venues {
		for _, p := range v.Pegs {
			for i, n := range p.Notes {
				all++
				if n.Private {
					private++
				}
				if i > 0 && n.At.Before(p.Notes[i-1].At) || n.At.After(now) || inCloseSeason(n.At) {
					t.Errorf("%s peg %s: note at %v", v.Slug, p.Label, n.At)
				}
				checkNote(t, b, v, p, n)
			}
		}
	}
	if all < 20 || private < 2 || private > 6 {
		t.Errorf("%d notes, %d of them private", all, private)
	}
}

func checkNote(t *testing.T, b club.Book, v club.VenueBook, p club.PegBook, n club.Note) {
	t.Helper()
	m := slices.IndexFunc(b.Members, func(m club.Member) bool { return m.Name == n.Author })
	if m < 0 || b.Members[m].Role == club.Junior && !n.Private {
		t.Errorf("%s peg %s: a note by %q, private %v", v.Slug, p.Label, n.Author, n.Private)
	}
	if (n.LowM == nil) != (n.HighM == nil) || n.LowM != nil && *n.LowM >= *n.HighM {
		t.Errorf("%s peg %s: levels of %q", v.Slug, p.Label, n.Text)
	}
	// No lead between 0.06 g and 28.35 g: SI 1986/1992. The notes name no lead at all.
	if regexp.MustCompile(`(?i)\blead\b`).MatchString(n.Text) {
		t.Errorf("%s peg %s: %q", v.Slug, p.Label, n.Text)
	}
}

// TestNotesAboutTheFloodAreTrue: what the notes say the flood did, it did.
func TestNotesAboutTheFloodAreTrue(t *testing.T) {
	_, truth := demo.MakeWithTruth(nows()[0])
	for _, c := range []struct {
		venue, peg, run string
		deeper          bool
	}{
		{"sallow-reach", "6", "inside", true},
		{"sallow-reach", "10", "inside", true},
		{"sallow-reach", "12", "two rods", false},
		{"sallow-reach", "12", "middle", false},
		{"tansy-meadow", "4", "inside", false},
		{"cinder-bend", "10", "two rods", true},
	} {
		moved, ok := truth.MovedM(c.venue, c.peg, c.run)
		if !ok || math.Abs(moved) < 0.1 || moved > 0 != c.deeper {
			t.Errorf("%s peg %s %s: moved by %.2f m (%v)", c.venue, c.peg, c.run, moved, ok)
		}
	}
}
