package demo_test

import (
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
)

// checkFixtures: matches are on Saturdays from ten to three as London's clocks show
// it, to come, outside the close season, and on no peg-closing day of their venue.
func checkFixtures(t *testing.T, now time.Time, b club.Book, _ demo.Truth) {
	days := map[string]bool{}
	for _, v := range b.Venues {
		if len(v.Fixtures) == 0 {
			t.Errorf("%s has no fixture", v.Slug)
		}
		for i, f := range v.Fixtures {
			from, to := f.Starts.In(london), f.Ends.In(london)
			if from.Weekday() != time.Saturday || from.Format("15:04") != "10:00" || to.Format("15:04") != "15:00" || to.YearDay() != from.YearDay() {
				t.Errorf("%s is from %v to %v", f.Name, from, to)
			}
			if f.Name == "" || f.Starts.Before(now.Add(-20*time.Minute)) || f.Starts.Location() != time.UTC {
				t.Errorf("fixture %+v at %v", f, now)
			}
			if club.InCloseSeason(f.Starts, london) {
				t.Errorf("%s is in the close season, on %v", f.Name, from)
			}
			if i > 0 && !f.Starts.After(v.Fixtures[i-1].Ends) {
				t.Errorf("%s comes before %s", f.Name, v.Fixtures[i-1].Name)
			}
			if day := from.Format("2006-01-02"); days[day] {
				t.Errorf("two matches on %s", day)
			} else {
				days[day] = true
			}
			for _, c := range v.Closures {
				if !c.To.IsZero() && f.Starts.Before(c.To) && f.Ends.After(c.From) {
					t.Errorf("%s is while pegs %s to %s are closed", f.Name, c.FromLabel, c.ToLabel)
				}
			}
		}
	}
	if len(days) != 6 {
		t.Errorf("%d matches, want 6", len(days))
	}
}
