package exchange

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
)

var now = time.Date(2025, 10, 18, 10, 0, 0, 0, time.UTC)

func marshal(t *testing.T, v any) (string, map[string]any) {
	t.Helper()
	body, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var back map[string]any
	if err := json.Unmarshal(body, &back); err != nil {
		t.Fatal(err)
	}
	return string(body), back
}

// TestListsAreNeverNull: a program may walk every list without looking first.
func TestListsAreNeverNull(t *testing.T) {
	s, err := club.NewSheet(club.PegView{Club: club.Club{TimeZone: "UTC"}}, club.Ask{Now: now}, club.NewRigMemory(0))
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range map[string]any{
		"sheet": NewSheet(s), "venue": NewVenue(club.VenueView{}, now, time.UTC), "venues": NewVenues(club.Home{}, now, time.UTC),
		"a bare venue": NewVenues(club.Home{Venues: make([]club.VenueCard, 1)}, now, time.UTC).Venues[0],
	} {
		_, back := marshal(t, v)
		for _, list := range []string{"do_not_fish", "cautions", "runs", "rigs", "pegs", "peg_list", "venues"} {
			if got, there := back[list]; there {
				if _, ok := got.([]any); !ok {
					t.Errorf("%s: %s is %v", name, list, got)
				}
			}
		}
	}
}

func TestSheetOnAMovedZero(t *testing.T) {
	v := club.PegView{
		Club: club.Club{TimeZone: "UTC"}, Venue: club.Venue{Slug: "near"}, Peg: club.Peg{Label: "14", Code: "2222"},
		Standing: club.Standing{Gauge: club.Gauge{Slug: "board", LowM: 0.6, HighM: 1.4}, Zero: club.Zero{OffsetM: 0.12},
			Latest: &club.Level{At: now.Add(-time.Hour), LevelM: 1.08}, Earlier: &club.Level{At: now.Add(-4 * time.Hour), LevelM: 1.14}},
		Runs: []club.RunBook{{Run: club.Run{Name: "Two rods", DistanceM: 8}, Soundings: []club.Sounding{{At: now.AddDate(0, -1, 0), LevelM: 1.20, DepthM: 1.80}}}},
	}
	s, err := club.NewSheet(v, club.Ask{Now: now}, club.NewRigMemory(0))
	if err != nil {
		t.Fatal(err)
	}
	out := NewSheet(s)
	// 1.08 m on a zero 0.12 m up is 1.20 m on the datum, where it was plumbed; the
	// bed is at −0.60 there and −0.72 on the board. 6 cm in 3 hours is 2 an hour.
	r := out.Runs[0]
	if *out.LevelM != 1.08 || r.Slug != "two-rods" || *r.SoundedLowM != 1.08 || math.Abs(r.Depth.Mid-1.80) > 0.005 || math.Abs(r.Bed.Mid+0.72) > 0.005 {
		t.Errorf("level %v, run %+v, depth %+v, bed %+v", *out.LevelM, r, r.Depth, r.Bed)
	}
	if !r.PaceIsGuess || *out.Gauge.TrendCMPerH != -2 || out.Gauge.OrdinaryLowM != 0.48 || *out.Gauge.ReadAt != "2025-10-18T09:00:00Z" {
		t.Errorf("gauge %+v, pace a guess: %v", out.Gauge, r.PaceIsGuess)
	}
	if len(out.Rigs) == 0 || *out.Chosen != "two-rods" {
		t.Errorf("%d rigs", len(out.Rigs))
	}
	body, _ := marshal(t, out)
	if strings.Contains(body, "-0,") || strings.Contains(body, "null,\"rigs") {
		t.Errorf("%s", body)
	}
}

func TestRound(t *testing.T) {
	for _, c := range []struct {
		v, want  float64
		decimals int
	}{{1.2345, 1.235, 3}, {-0.0004, 0, 3}, {-0.0006, -0.001, 3}, {2, 2, 0}, {1e9, 1e9, 3}} {
		if got := round(c.v, c.decimals); got != c.want || math.Signbit(got) != math.Signbit(c.want) {
			t.Errorf("round(%v, %d) = %v, want %v", c.v, c.decimals, got, c.want)
		}
	}
	if stamp(time.Time{}) != nil {
		t.Error("no time has a stamp")
	}
}
