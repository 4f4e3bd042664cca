package web

import (
	"math"
	"slices"
	"time"

	"levelpeg/club"
)

// LevelTable is a gauge's history for those who do not see the drawing.
type LevelTable struct {
	By   string // "by day"
	Rows []LevelRow
}

// LevelRow is one line of it: figures in metres on the zero in force.
type LevelRow struct{ When, Least, Most, Mean string }

// period is what a row of the table stands for.
type period struct {
	by    string
	begin func(time.Time) time.Time
	name  string // layout of its beginning
}

// period is one that makes a short table of the history. Pieces longer than an hour
// begin and end by UTC, and so do the months and years they are gathered into.
func (h history) period() period {
	const day = 24 * time.Hour
	switch length := h.v.To.Sub(h.v.From); {
	case length <= day:
		return period{"by hour", func(t time.Time) time.Time { return t.In(h.loc).Truncate(time.Hour) }, "Mon 2 Jan, 15:04"}
	case length <= 12*day:
		return period{"by day", func(t time.Time) time.Time { return daysBefore(t.In(h.loc), 0) }, "Mon 2 Jan"}
	case length <= 60*day:
		return period{"by week", func(t time.Time) time.Time { return daysBefore(t.UTC(), (int(t.UTC().Weekday())+6)%7) }, "week of 2 Jan"}
	case length <= 732*day:
		return period{"by month", func(t time.Time) time.Time { return daysBefore(t.UTC(), t.UTC().Day()-1) }, "January 2006"}
	}
	return period{"by year", func(t time.Time) time.Time { return daysBefore(t.UTC(), t.UTC().YearDay()-1) }, "2006"}
}

// daysBefore is the beginning of the day so many days before a time's own.
func daysBefore(t time.Time, days int) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d-days, 0, 0, 0, 0, t.Location())
}

// table gathers the pieces of the drawing, the newest first.
func (h history) table() LevelTable {
	p, off := h.period(), h.v.Standing.Zero.OffsetM
	out := LevelTable{By: p.by}
	var sum club.LevelSpan
	row := func() {
		if sum.Readings > 0 {
			out.Rows = append(out.Rows, LevelRow{sum.From.Format(p.name), metres(sum.LeastM - off), metres(sum.MostM - off), metres(sum.Mid - off)})
		}
	}
	for _, s := range h.v.Spans {
		if begin := p.begin(s.From); !begin.Equal(sum.From) {
			row()
			sum = club.LevelSpan{From: begin, LeastM: math.Inf(1), MostM: math.Inf(-1)}
		}
		sum.LeastM, sum.MostM = math.Min(sum.LeastM, s.LeastM), math.Max(sum.MostM, s.MostM)
		sum.Readings += s.Readings
		sum.Mid += (s.Mid - sum.Mid) * float64(s.Readings) / float64(max(1, sum.Readings))
	}
	row()
	slices.Reverse(out.Rows)
	return out
}
