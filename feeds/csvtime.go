package feeds

import (
	"time"

	"levelpeg/club"
)

// timeReader reads the times of a table, one row after the other.
type timeReader struct {
	layout string
	loc    *time.Location

	prev, before int64 // seconds of the last two rows
	rows         int

	block    int64 // quarter of an hour by the clock that the offsets are of
	have     bool
	offsets  [2]int64 // seconds east of UTC; the first is the earlier moment
	possible int      // 0: the clocks skipped it; 2: it was twice
}

// Sentences of times.
const (
	noTime      = "its time cannot be read"
	noClock     = "it has a day and no time"
	noSuchDay   = "there is no such day"
	skippedTime = "there was no such time: the clocks went forward"
)

// read reads a day with its time, or a day and its time apart.
func (t *timeReader) read(text, clock []byte) (time.Time, string) {
	sec, nano, why := t.seconds(text, clock)
	if why != "" {
		return time.Time{}, why
	}
	t.prev, t.before = sec, t.prev
	t.rows++
	return time.Unix(sec, nano).UTC(), ""
}

func (t *timeReader) seconds(text, clock []byte) (sec, nano int64, why string) {
	if t.layout == club.TimeUnix {
		return unixSeconds(text)
	}
	days, rest, why := t.day(text)
	if why != "" {
		return 0, 0, why
	}
	for len(rest) > 0 && (rest[0] == ' ' || rest[0] == 'T' || rest[0] == 't' || rest[0] == ',') {
		rest = rest[1:]
	}
	if len(clock) > 0 {
		rest = clock
	}
	if len(rest) == 0 {
		return 0, 0, noClock
	}
	local, nano, rest, ok := clockOf(rest)
	if !ok {
		return 0, 0, noTime
	}
	local += days * 86400
	for len(rest) > 0 && rest[0] == ' ' {
		rest = rest[1:]
	}
	if len(rest) > 0 {
		east, ok := zoneOf(rest)
		if !ok {
			return 0, 0, noTime
		}
		return local - east, nano, ""
	}
	sec, why = t.inZone(local)
	return sec, nano, why
}

// unixSeconds reads seconds or, from their size, milliseconds since 1970.
func unixSeconds(text []byte) (sec, nano int64, why string) {
	v, ok := plainNumber(text, '.')
	if !ok || v < -1e10 || v > 1e14 {
		return 0, 0, noTime
	}
	if v > 1e11 {
		ms := int64(v)
		return ms / 1000, ms % 1000 * 1e6, ""
	}
	return int64(v), 0, ""
}

// day reads three numbers as a date, and gives it in days since 1970.
func (t *timeReader) day(text []byte) (days int64, rest []byte, why string) {
	var n [3]int
	var widths [3]int
	for i := range n {
		if i > 0 {
			if len(text) == 0 || text[0] != '-' && text[0] != '/' && text[0] != '.' {
				return 0, nil, noTime
			}
			text = text[1:]
		}
		n[i], widths[i], text = digitsOf(text, 4)
		if widths[i] == 0 {
			return 0, nil, noTime
		}
	}
	y, m, d, wide := n[0], n[1], n[2], widths[0]
	switch t.layout {
	case club.TimeDMY:
		d, m, y, wide = n[0], n[1], n[2], widths[2]
	case club.TimeMDY:
		m, d, y, wide = n[0], n[1], n[2], widths[2]
	}
	if wide != 4 {
		return 0, nil, noTime
	}
	if m < 1 || m > 12 || d < 1 || d > daysIn(y, m) {
		return 0, nil, noSuchDay
	}
	return civilDays(y, m, d), text, ""
}

// digitsOf reads up to so many digits.
func digitsOf(text []byte, most int) (n, width int, rest []byte) {
	for width < len(text) && width < most && text[width] >= '0' && text[width] <= '9' {
		n = n*10 + int(text[width]-'0')
		width++
	}
	return n, width, text[width:]
}

func daysIn(y, m int) int {
	switch m {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if y%4 == 0 && (y%100 != 0 || y%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// civilDays counts the days from 1 January 1970 by the Gregorian calendar. Derived: years
// that begin in March, so that the leap day is the last of its year.
func civilDays(y, m, d int) int64 {
	if m <= 2 {
		y--
		m += 12
	}
	era := y / 400
	inEra := y - era*400
	dayOfYear := (153*(m-3)+2)/5 + d - 1
	return int64(era)*146097 + int64(inEra*365+inEra/4-inEra/100+dayOfYear) - 719468
}

// clockOf reads 14:15, 14:15:30.5, 2:15 pm; 24:00 is the end of the day.
func clockOf(text []byte) (sec, nano int64, rest []byte, ok bool) {
	h, w, text := digitsOf(text, 2)
	if w == 0 || len(text) == 0 || text[0] != ':' && text[0] != '.' {
		return 0, 0, nil, false
	}
	m, w, text := digitsOf(text[1:], 2)
	if w != 2 {
		return 0, 0, nil, false
	}
	s := 0
	if len(text) > 0 && text[0] == ':' {
		if s, w, text = digitsOf(text[1:], 2); w != 2 {
			return 0, 0, nil, false
		}
		nano, text = fraction(text)
	}
	h, text, ok = noon(h, text)
	if !ok || h > 24 || m > 59 || s > 59 || h == 24 && m+s > 0 {
		return 0, 0, nil, false
	}
	return int64(h*3600 + m*60 + s), nano, text, true
}

func fraction(text []byte) (nano int64, rest []byte) {
	if len(text) < 2 || text[0] != '.' && text[0] != ',' {
		return 0, text
	}
	n, w, rest := digitsOf(text[1:], 6) // PostgreSQL keeps microseconds
	for nano = int64(n) * 1000; w < 6; w++ {
		nano *= 10
	}
	_, _, rest = digitsOf(rest, 20)
	return nano, rest
}

// noon reads am and pm.
func noon(h int, text []byte) (int, []byte, bool) {
	at := text
	for len(at) > 0 && at[0] == ' ' {
		at = at[1:]
	}
	if len(at) < 2 || at[1]|0x20 != 'm' || at[0]|0x20 != 'a' && at[0]|0x20 != 'p' {
		return h, text, true
	}
	if h < 1 || h > 12 {
		return 0, nil, false
	}
	h %= 12
	if at[0]|0x20 == 'p' {
		h += 12
	}
	return h, at[2:], true
}

// zoneOf reads Z, +01:00, +0100, +01 as seconds east.
func zoneOf(text []byte) (east int64, ok bool) {
	if len(text) == 1 && text[0]|0x20 == 'z' || string(text) == "UTC" || string(text) == "GMT" {
		return 0, true
	}
	if text[0] != '+' && text[0] != '-' {
		return 0, false
	}
	h, w, rest := digitsOf(text[1:], 2)
	if w != 2 || h > 15 {
		return 0, false
	}
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
	}
	m, w, rest := digitsOf(rest, 2)
	if w == 1 || m > 59 || len(rest) > 0 {
		return 0, false
	}
	east = int64(h*3600 + m*60)
	if text[0] == '-' {
		east = -east
	}
	return east, true
}

// inZone turns the time that a clock showed, in seconds as if it were UTC, into a moment.
// Where the clocks went back and it was twice, the order of the rows tells which.
func (t *timeReader) inZone(local int64) (int64, string) {
	if block := floor(local, 900); !t.have || block != t.block {
		t.look(local)
		t.block, t.have = block, true
	}
	switch t.possible {
	case 0:
		return 0, skippedTime
	case 1:
		return local - t.offsets[0], ""
	}
	first, second := local-t.offsets[0], local-t.offsets[1]
	falling := t.rows > 1 && t.prev < t.before
	if falling && second < t.prev || !falling && t.rows > 0 && first <= t.prev && second > t.prev {
		return second, ""
	}
	return first, ""
}

// look finds which offsets of the zone, of a day before and a day after, the clock can
// have been at.
func (t *timeReader) look(local int64) {
	t.possible = 0
	var tried [2]int64
	for i, at := range []int64{local - 86400, local + 86400} {
		_, off := time.Unix(at, 0).In(t.loc).Zone()
		tried[i] = int64(off)
	}
	if tried[0] == tried[1] {
		t.offsets[0], t.possible = tried[0], 1
		return
	}
	if tried[0] < tried[1] {
		tried[0], tried[1] = tried[1], tried[0]
	}
	for _, off := range tried {
		if _, there := time.Unix(local-off, 0).In(t.loc).Zone(); int64(there) == off {
			t.offsets[t.possible] = off
			t.possible++
		}
	}
}

func floor(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
