package backup

import (
	"fmt"
	"slices"
	"time"
)

// How many nightly backups are kept: of the last days, weeks and months that have one the
// newest each.
const (
	keepDays   = 7
	keepWeeks  = 4
	keepMonths = 12
)

// Keep chooses which of the backups made at some times are kept, newest first. Days are
// those of loc.
func Keep(made []time.Time, loc *time.Location) []time.Time {
	sorted := slices.Clone(made)
	slices.SortFunc(sorted, func(a, b time.Time) int { return b.Compare(a) })
	kept := map[time.Time]bool{}
	newestOfEach(sorted, kept, keepDays, func(at time.Time) string { return at.In(loc).Format(time.DateOnly) })
	newestOfEach(sorted, kept, keepWeeks, func(at time.Time) string {
		year, week := at.In(loc).ISOWeek()
		return fmt.Sprint(year, week)
	})
	newestOfEach(sorted, kept, keepMonths, func(at time.Time) string { return at.In(loc).Format("2006-01") })
	return slices.DeleteFunc(sorted, func(at time.Time) bool { return !kept[at] })
}

// newestOfEach keeps the newest of each of the last n spans that have any.
func newestOfEach(sorted []time.Time, kept map[time.Time]bool, n int, span func(time.Time) string) {
	last := ""
	for _, at := range sorted {
		if s := span(at); s != last {
			if n--; n < 0 {
				return
			}
			last, kept[at] = s, true
		}
	}
}
