package club

import "time"

// The coarse close season on rivers, both days inclusive. Source: freshwater rod
// fishing rules, gov.uk.
const (
	closeFromMonth, closeFromDay = time.March, 15
	closeToMonth, closeToDay     = time.June, 15
)

// InCloseSeason says whether a moment falls on a day from 15 March to 15 June
// inclusive, by the calendar of loc.
func InCloseSeason(at time.Time, loc *time.Location) bool {
	year, month, day := at.In(loc).Date()
	d := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	from := time.Date(year, closeFromMonth, closeFromDay, 0, 0, 0, 0, time.UTC)
	to := time.Date(year, closeToMonth, closeToDay, 0, 0, 0, 0, time.UTC)
	return !d.Before(from) && !d.After(to)
}
