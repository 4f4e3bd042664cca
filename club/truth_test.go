package club_test

import (
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
	"levelpeg/rig"
)

// demoNow is a moment outside the close season.
var demoNow = time.Date(2025, time.October, 18, 10, 7, 0, 0, time.UTC)

// TestRangesHoldTheTruth reads the demo's sheets at today's level and counts how
// often the hidden truth lies in the range that is said to hold it four times in
// five. The data are invented, by rules the estimate was not told, and hold some
// wrong soundings: this shows that the ranges are not absurd, not that they are
// right on a river.
func TestRangesHoldTheTruth(t *testing.T) {
	b, truth := demo.MakeWithTruth(demoNow)
	var depth, pace share
	for _, v := range b.Venues {
		g := gaugeOf(b, v.GaugeSlug)
		zero := g.Zeros[len(g.Zeros)-1]
		latest := g.Levels[len(g.Levels)-1]
		for _, p := range v.Pegs {
			view := club.PegView{Club: b.Club, Venue: v.Venue, Peg: p.Peg,
				Standing: club.Standing{Gauge: g.Gauge, Zero: zero, Latest: &latest, Floods: floodsOf(g)}}
			kept := map[string]bool{}
			for _, r := range p.Runs {
				view.Runs = append(view.Runs, onDatum(g, r))
				kept[r.Name] = sinceFlood(r, truth) >= 3
			}
			s, err := club.NewSheet(view, club.Ask{Now: demoNow}, noRigs{})
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range s.Runs {
				if !kept[r.Name] || r.Dry {
					continue
				}
				d, ok := truth.DepthM(v.Slug, p.Label, r.Name, s.DatumM(), demoNow)
				m, ok2 := truth.PaceMPS(v.Slug, p.Label, r.Name, s.DatumM(), demoNow)
				if !ok || !ok2 {
					t.Fatalf("%s %s %s has no truth", v.Slug, p.Label, r.Name)
				}
				depth.count(r.Depth.Low <= d && d <= r.Depth.High)
				if r.Basis.Timed >= 3 {
					pace.count(r.Pace.Low <= m && m <= r.Pace.High)
				}
			}
		}
	}
	t.Logf("the range holds the true depth on %d of %d runs (%.0f %%), the true pace on %d of %d (%.0f %%)",
		depth.in, depth.all, depth.percent(), pace.in, pace.all, pace.percent())
	if depth.all < 50 || depth.percent() < 65 || depth.percent() > 92 {
		t.Errorf("depth: %.0f %% of %d runs, want 65 to 92 %%", depth.percent(), depth.all)
	}
	// A pace's range is of what an angler will meet, scatter and all, so it should
	// hold the run's own curve more often than four times in five.
	if pace.all < 50 || pace.percent() < 80 {
		t.Errorf("pace: %.0f %% of %d runs, want 80 %% or more", pace.percent(), pace.all)
	}
}

type share struct{ in, all int }

func (s *share) count(in bool) {
	s.all++
	if in {
		s.in++
	}
}

func (s *share) percent() float64 { return 100 * float64(s.in) / float64(max(1, s.all)) }

// noRigs works out none, as the question here is the water.
type noRigs struct{}

func (noRigs) Answer(now, risen *rig.Water, aim rig.Aim, kit club.Kit) (club.Answer, error) {
	return club.Answer{}, nil
}

func gaugeOf(b club.Book, slug string) club.GaugeBook {
	for _, g := range b.Gauges {
		if g.Slug == slug {
			return g
		}
	}
	return club.GaugeBook{}
}

func offsetAt(g club.GaugeBook, at time.Time) float64 {
	offset := 0.0
	for _, z := range g.Zeros {
		if !at.Before(z.From) {
			offset = z.OffsetM
		}
	}
	return offset
}

// floodsOf are the gauge's floods, as the book's days over the flood level give them.
func floodsOf(g club.GaugeBook) []time.Time {
	var days []time.Time
	for _, l := range g.Levels {
		day := l.At.UTC().Truncate(24 * time.Hour)
		if l.LevelM+offsetAt(g, l.At) > g.FloodM && (len(days) == 0 || !days[len(days)-1].Equal(day)) {
			days = append(days, day)
		}
	}
	return club.FloodEvents(days, demoNow)
}

// onDatum is a run as a sheet takes it: with its soundings' levels on the datum.
func onDatum(g club.GaugeBook, r club.RunBook) club.RunBook {
	out := club.RunBook{Run: r.Run}
	for _, x := range r.Soundings {
		x.LevelM += offsetAt(g, x.At)
		out.Soundings = append(out.Soundings, x)
	}
	return out
}

func sinceFlood(r club.RunBook, truth demo.Truth) int {
	n := 0
	for _, x := range r.Soundings {
		if x.At.After(truth.FloodPeak()) {
			n++
		}
	}
	return n
}

// TestRangesHoldTheNextSounding asks each run before its newest timed sounding what
// that one will find. A pace's range is of what an angler will meet, a watch's error
// and all; a depth's is of the true depth, so that a plummet's error leaves it more
// often. Invented data, wrong soundings among them.
func TestRangesHoldTheNextSounding(t *testing.T) {
	b, _ := demo.MakeWithTruth(demoNow)
	var depth, pace share
	for _, v := range b.Venues {
		g := gaugeOf(b, v.GaugeSlug)
		for _, p := range v.Pegs {
			for _, r := range p.Runs {
				n := len(r.Soundings)
				if n < 4 || r.Soundings[n-1].PaceMPS == 0 {
					continue
				}
				next := r.Soundings[n-1]
				run := onDatum(g, r)
				run.Soundings = run.Soundings[:n-1]
				s, err := club.NewSheet(club.PegView{Club: b.Club, Venue: v.Venue, Peg: p.Peg, Runs: []club.RunBook{run},
					Standing: club.Standing{Gauge: g.Gauge, Zero: club.Zero{OffsetM: offsetAt(g, next.At)}, Floods: before(floodsOf(g), next.At)},
				}, club.Ask{LevelM: &next.LevelM, Now: next.At}, noRigs{})
				if err != nil {
					t.Fatal(err)
				}
				x := s.Runs[0]
				depth.count(x.Depth.Low <= next.DepthM && next.DepthM <= x.Depth.High)
				pace.count(x.Pace.Low <= next.PaceMPS && next.PaceMPS <= x.Pace.High)
			}
		}
	}
	t.Logf("the range holds the next plumbed depth on %d of %d runs (%.0f %%), the next timed pace on %d (%.0f %%)",
		depth.in, depth.all, depth.percent(), pace.in, pace.percent())
	if depth.all < 50 || depth.percent() < 50 || depth.percent() > 92 {
		t.Errorf("depth: %.0f %% of %d runs, want 50 to 92 %%", depth.percent(), depth.all)
	}
	if pace.percent() < 70 || pace.percent() > 97 {
		t.Errorf("pace: %.0f %%, want 70 to 97 %%", pace.percent())
	}
}

func before(times []time.Time, at time.Time) []time.Time {
	var out []time.Time
	for _, x := range times {
		if x.Before(at) {
			out = append(out, x)
		}
	}
	return out
}
