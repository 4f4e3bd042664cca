package draw

import "time"

// tick is a time below a chart.
type tick struct {
	at    time.Time
	label string
}

// pace is a distance between ticks: hours, or days, or months.
type pace struct{ hours, days, months int }

// paces are from short to long; every one divides the next larger unit, so that
// ticks stand at round times.
var paces = []pace{{hours: 1}, {hours: 2}, {hours: 3}, {hours: 6}, {hours: 12}, {days: 1}, {days: 2}, {days: 7}, {days: 14},
	{months: 1}, {months: 2}, {months: 3}, {months: 6}, {months: 12}, {months: 24}, {months: 60}, {months: 120}, {months: 240}, {months: 600}}

// mostTicks is how many dates have room below a chart on a narrow phone; of those that
// are written "28 Oct", one less.
const mostTicks = 6

func (p pace) room() time.Duration {
	if p.days > 2 {
		return mostTicks - 1
	}
	return mostTicks
}

// about is the pace's length.
func (p pace) about() time.Duration {
	return time.Duration(p.hours+24*p.days+30*24*p.months) * time.Hour
}

// ticks are round times between from and to, at most about six.
func ticks(from, to time.Time, loc *time.Location) []tick {
	p := paces[len(paces)-1]
	for _, try := range paces {
		if to.Sub(from) <= try.room()*try.about() {
			p = try
			break
		}
	}
	var out []tick
	for at := p.first(from, loc); at.Before(to) && len(out) < 2*mostTicks; at = p.after(at) {
		if at.After(from) {
			out = append(out, tick{at, p.label(at)})
		}
	}
	return out
}

// first is the last round time at or before from.
func (p pace) first(from time.Time, loc *time.Location) time.Time {
	y, m, d := from.In(loc).Date()
	switch {
	case p.hours > 0:
		return time.Date(y, m, d, 0, 0, 0, 0, loc)
	case p.days > 0:
		return time.Date(y, m, d, 0, 0, 0, 0, loc)
	case p.months >= 12:
		years := p.months / 12
		return time.Date(y-y%years, time.January, 1, 0, 0, 0, 0, loc)
	}
	return time.Date(y, time.January, 1, 0, 0, 0, 0, loc)
}

// after is the next round time. Hours are counted by the clock, so that they stay
// round over a change of it.
func (p pace) after(at time.Time) time.Time {
	y, m, d := at.Date()
	hour := at.Hour()
	next := time.Date(y, m+time.Month(p.months), d+p.days, hour+p.hours, 0, 0, 0, at.Location())
	if !next.After(at) {
		next = at.Add(time.Duration(p.hours) * time.Hour) // the hour that comes twice
	}
	return next
}

func (p pace) label(at time.Time) string {
	switch {
	case p.hours > 0 && at.Hour() != 0:
		return at.Format("15:04")
	case p.hours > 0 || p.days == 1 || p.days == 2:
		return at.Format("Mon 2")
	case p.days > 0:
		return at.Format("2 Jan")
	case p.months < 12 && at.Month() != time.January:
		return at.Format("Jan")
	}
	return at.Format("2006")
}
