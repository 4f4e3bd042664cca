package demo

import (
	"time"

	"levelpeg/club"
)

// A match lasts from ten to three, by the club's clock.
const (
	matchFrom = 10
	matchTo   = 15
)

// matches are the club's next ones, a Saturday each. Cinder Bend comes late, when
// the work party on its footbridge is over.
var matches = []struct{ venueSlug, name string }{
	{"sallow-reach", "Members' match"},
	{"tansy-meadow", "Pairs match"},
	{"sallow-reach", "Teams of four"},
	{"tansy-meadow", "Juniors' match, a coach with each"},
	{"cinder-bend", "Roving match"},
	{"sallow-reach", "Open match"},
}

// fixtures are the venue's among the matches on the Saturdays that come. No match
// is held in the close season.
func fixtures(cal calendar, venueSlug string, loc *time.Location) []club.Fixture {
	var out []club.Fixture
	y, m, d := cal.latest.In(loc).Date()
	held := 0
	for day := 0; held < len(matches); day++ {
		starts := time.Date(y, m, d+day, matchFrom, 0, 0, 0, loc)
		if starts.Weekday() != time.Saturday || !starts.After(cal.latest) || club.InCloseSeason(starts, loc) {
			continue
		}
		if match := matches[held]; match.venueSlug == venueSlug {
			ends := time.Date(y, m, d+day, matchTo, 0, 0, 0, loc)
			out = append(out, club.Fixture{Name: match.name, Starts: starts.UTC(), Ends: ends.UTC()})
		}
		held++
	}
	return out
}
