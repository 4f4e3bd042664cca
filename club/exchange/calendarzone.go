package exchange

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// zone turns a clock into a moment.
type zone interface {
	at(clock time.Time) time.Time
}

// known is a zone of the machine's own tables.
type known struct{ loc *time.Location }

func (k known) at(c time.Time) time.Time {
	return time.Date(c.Year(), c.Month(), c.Day(), c.Hour(), c.Minute(), c.Second(), 0, k.loc)
}

// spelled is a zone spelled out in the calendar, RFC 5545, 3.6.5.
type spelled struct{ all []observance }

// observance is a time of year of a zone: from its beginning, and again every year where
// month is not zero, the clock goes by offset.
type observance struct {
	begins  time.Time // a clock, by the offset before
	offset  time.Duration
	month   time.Month
	week    int // of the month, from its end below zero
	weekday time.Weekday
	until   time.Time
	more    []time.Time // further beginnings, RDATE
}

// latest is when the observance last began at or before a clock.
func (o observance) latest(c time.Time) (time.Time, bool) {
	best, found := o.begins, !o.begins.After(c)
	try := func(t time.Time) {
		if !t.Before(o.begins) && !t.After(c) && (o.until.IsZero() || !t.After(o.until)) && (!found || t.After(best)) {
			best, found = t, true
		}
	}
	if o.month != 0 {
		for _, year := range []int{c.Year() - 1, c.Year()} {
			try(nthWeekday(year, o.month, o.week, o.weekday, o.begins))
		}
	}
	for _, t := range o.more {
		try(t)
	}
	return best, found
}

// nthWeekday is, say, the second Sunday of a month at the time of day of clock.
func nthWeekday(year int, month time.Month, n int, day time.Weekday, clock time.Time) time.Time {
	h, m, s := clock.Clock()
	if n > 0 {
		first := time.Date(year, month, 1, h, m, s, 0, time.UTC)
		return first.AddDate(0, 0, (int(day)-int(first.Weekday())+7)%7+7*(n-1))
	}
	last := time.Date(year, month+1, 0, h, m, s, 0, time.UTC)
	return last.AddDate(0, 0, -((int(last.Weekday())-int(day)+7)%7)+7*(n+1))
}

func (z spelled) at(c time.Time) time.Time {
	var offset time.Duration
	var newest time.Time
	first := z.all[0]
	found := false
	for _, o := range z.all {
		if o.begins.Before(first.begins) {
			first = o
		}
		if t, ok := o.latest(c); ok && (!found || t.After(newest)) {
			newest, offset, found = t, o.offset, true
		}
	}
	if !found {
		offset = first.offset
	}
	return c.Add(-offset)
}

// calendarZones are the zones that a calendar spells out, by their TZID.
func calendarZones(lines []contentLine) (map[string]zone, error) {
	out := map[string]zone{}
	for at := 0; at < len(lines); at++ {
		if lines[at].name != "BEGIN" || !strings.EqualFold(lines[at].value, "VTIMEZONE") {
			continue
		}
		end := at
		for end < len(lines) && !(lines[end].name == "END" && strings.EqualFold(lines[end].value, "VTIMEZONE")) {
			end++
		}
		id, z, err := zoneOf(lines[at:end])
		if err != nil {
			return nil, err
		}
		out[id] = z
		at = end
	}
	return out, nil
}

func zoneOf(lines []contentLine) (id string, z spelled, err error) {
	for _, l := range lines {
		if l.name == "TZID" {
			id = l.value
		}
	}
	for _, kind := range []string{"STANDARD", "DAYLIGHT"} {
		parts, err := blocks(lines[1:], kind)
		if err != nil {
			return id, z, err
		}
		for _, p := range parts {
			o, ok := observanceOf(p)
			if !ok {
				return id, z, club.Faultf(club.Invalid, "Line %d of the calendar: that part of the time zone “%s” cannot be read.", p[0].at, clipped(id))
			}
			z.all = append(z.all, o)
		}
	}
	if len(z.all) == 0 {
		return id, z, club.Faultf(club.Invalid, "Line %d of the calendar: the time zone “%s” says nothing of its clock.", lines[0].at, clipped(id))
	}
	return id, z, nil
}

const localStamp = "20060102T150405"

func observanceOf(lines []contentLine) (o observance, ok bool) {
	hasOffset, err := false, error(nil)
	for _, l := range lines[1:] {
		switch l.name {
		case "DTSTART":
			o.begins, err = time.Parse(localStamp, l.value)
		case "TZOFFSETTO":
			o.offset, hasOffset = utcOffset(l.value)
		case "RRULE":
			err = o.rule(l.value)
		case "RDATE":
			for _, text := range strings.Split(l.value, ",") {
				t, bad := time.Parse(localStamp, text)
				o.more, err = append(o.more, t), bad
			}
		}
		if err != nil {
			return o, false
		}
	}
	return o, hasOffset && !o.begins.IsZero()
}

// utcOffset is +0100 or -043000.
func utcOffset(text string) (time.Duration, bool) {
	if len(text) != 5 && len(text) != 7 || text[0] != '+' && text[0] != '-' {
		return 0, false
	}
	n, err := strconv.Atoi((text[1:] + "00")[:6])
	if err != nil || n < 0 {
		return 0, false
	}
	d := time.Duration(n/10000)*time.Hour + time.Duration(n/100%100)*time.Minute + time.Duration(n%100)*time.Second
	if text[0] == '-' {
		d = -d
	}
	return d, true
}

var weekdays = []string{"SU", "MO", "TU", "WE", "TH", "FR", "SA"}

// rule reads how zones repeat: once a year, on a weekday counted in a month.
func (o *observance) rule(text string) error {
	yearly := false
	for _, part := range strings.Split(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		switch name {
		case "FREQ":
			yearly = value == "YEARLY"
		case "BYMONTH":
			n, err := strconv.Atoi(value)
			if err != nil || n < 1 || n > 12 {
				return fmt.Errorf("month %q", value)
			}
			o.month = time.Month(n)
		case "BYDAY":
			if len(value) < 3 {
				return fmt.Errorf("day %q", value)
			}
			n, err := strconv.Atoi(value[:len(value)-2])
			day := slices.Index(weekdays, value[len(value)-2:])
			if err != nil || day < 0 || n == 0 || n < -5 || n > 5 {
				return fmt.Errorf("day %q", value)
			}
			o.week, o.weekday = n, time.Weekday(day)
		case "UNTIL":
			t, err := time.Parse(utcStamp, value)
			if err != nil {
				return err
			}
			// By its own clock a transition is within a day of it, and the next one a year away.
			o.until = t.Add(24 * time.Hour)
		}
	}
	if !yearly || o.month == 0 || o.week == 0 {
		return fmt.Errorf("rule %q", text)
	}
	return nil
}

// momentOf reads a date with its time (RFC 5545, 3.3.5) or a date, or says why not.
func momentOf(l contentLine, zones map[string]zone, loc *time.Location) (time.Time, string) {
	if strings.EqualFold(l.params["VALUE"], "DATE") {
		day, err := time.Parse("20060102", l.value)
		if err != nil {
			return time.Time{}, fmt.Sprintf("“%s” is not a day", clipped(l.value))
		}
		return known{loc}.at(day), ""
	}
	if t, err := time.Parse(utcStamp, l.value); err == nil {
		return t, ""
	}
	clock, err := time.Parse(localStamp, l.value)
	if err != nil {
		return time.Time{}, fmt.Sprintf("“%s” is not a time", clipped(l.value))
	}
	id := l.params["TZID"]
	if id == "" {
		return known{loc}.at(clock).UTC(), ""
	}
	if z, ok := zones[id]; ok {
		return z.at(clock).UTC(), ""
	}
	if there, err := time.LoadLocation(id); err == nil && id != "Local" {
		return known{there}.at(clock).UTC(), ""
	}
	return time.Time{}, fmt.Sprintf("its time zone “%s” is not known", clipped(id))
}
