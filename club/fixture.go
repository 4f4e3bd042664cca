package club

import "time"

// fixtureDay is how a page writes a fixture's day.
const fixtureDay = "Mon 2 January"

// Words says when the fixture is, on the club's clock.
func (f Fixture) Words(now time.Time, loc *time.Location) string {
	from, to := f.Starts.In(loc), f.Ends.In(loc)
	until := to.Format("15:04")
	if from.YearDay() != to.YearDay() || from.Year() != to.Year() {
		until = to.Format(fixtureDay + " 15:04")
	}
	if !now.Before(f.Starts) {
		return "on now, until " + until
	}
	return from.Format(fixtureDay+", 15:04") + " to " + until
}
