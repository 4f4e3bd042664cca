package exchange

import (
	"bytes"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"levelpeg/club"
)

// utcStamp is RFC 5545's form 2 of a date with its time, 3.3.5.
const utcStamp = "20060102T150405Z"

// foldAt is how many octets a line of a calendar has at most, RFC 5545, 3.1.
const foldAt = 75

// emptyCalendar stands in a calendar without fixtures, which has to hold something: RFC
// 5545, 3.6. It is the zone of the times that would be there.
const emptyCalendar = "BEGIN:VTIMEZONE\r\nTZID:UTC\r\nBEGIN:STANDARD\r\nDTSTART:19700101T000000\r\nTZOFFSETFROM:+0000\r\nTZOFFSETTO:+0000\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n"

// WriteCalendar gives a venue's fixtures as iCalendar (RFC 5545): lines end with CRLF and
// are folded, times are UTC. Each fixture has its UID. stamped is when it was written.
func WriteCalendar(venue string, fixtures []club.Fixture, stamped time.Time) []byte {
	var b bytes.Buffer
	line := func(name, value string) { b.WriteString(fold(name + ":" + value)) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//Levelpeg//Fixtures//EN")
	line("CALSCALE", "GREGORIAN")
	if len(fixtures) == 0 {
		b.WriteString(emptyCalendar)
	}
	for _, f := range fixtures {
		line("BEGIN", "VEVENT")
		line("UID", calendarText(f.UID))
		line("DTSTAMP", stamped.UTC().Format(utcStamp))
		line("DTSTART", f.Starts.UTC().Format(utcStamp))
		line("DTEND", f.Ends.UTC().Format(utcStamp))
		line("SUMMARY", calendarText(f.Name))
		line("LOCATION", calendarText(venue))
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	return b.Bytes()
}

// calendarText escapes text, RFC 5545, 3.3.11. Signs that a calendar may not hold are
// left out.
func calendarText(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || r >= ' ' && r != 0x7f {
			return r
		}
		return -1
	}, s)
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(s)
}

// fold is a content line in pieces of at most 75 octets, none of which ends within a
// letter.
func fold(line string) string {
	var b strings.Builder
	most := foldAt
	for len(line) > most {
		at := most
		for at > 0 && !utf8.RuneStart(line[at]) {
			at--
		}
		b.WriteString(line[:at] + "\r\n ")
		line = line[at:]
		most = foldAt - 1 // the space counts
	}
	return b.String() + line + "\r\n"
}

// Calendar is what was read of a calendar.
type Calendar struct {
	Fixtures []club.Fixture
	Skipped  []string // sentences: what was left out, and why
}

// Sizes of calendars.
const (
	eventsMost = 2000
	uidMost    = 255 // octets
)

// contentLine is a line of a calendar, RFC 5545, 3.1.
type contentLine struct {
	at          int // of the file, from 1
	name, value string
	params      map[string]string
}

// ReadCalendar reads the fixtures of an iCalendar file. Times without a zone are by the
// clock of loc. It fails with a fault whose sentence names the line where it is no
// calendar at all; an event that makes no sense, or repeats, is left out with a sentence.
func ReadCalendar(file []byte, loc *time.Location) (Calendar, error) {
	var out Calendar
	if first, _, _ := bytes.Cut(bytes.TrimPrefix(file, []byte("\ufeff")), []byte("\n")); !strings.EqualFold(strings.TrimSpace(string(first)), "BEGIN:VCALENDAR") {
		return out, club.Faultf(club.Invalid, "That is not a calendar file: it does not begin with BEGIN:VCALENDAR.")
	}
	lines, err := contentLines(file)
	if err != nil {
		return out, err
	}
	if last := lines[len(lines)-1]; last.name != "END" || !strings.EqualFold(last.value, "VCALENDAR") {
		return out, club.Faultf(club.Invalid, "The calendar breaks off after line %d: it does not end with END:VCALENDAR.", last.at)
	}
	zones, err := calendarZones(lines)
	if err != nil {
		return out, err
	}
	events, err := blocks(lines, "VEVENT")
	if err != nil {
		return out, err
	}
	if len(events) > eventsMost {
		return out, club.Faultf(club.Invalid, "The calendar has %d events. Bring in %d or fewer at a time.", len(events), eventsMost)
	}
	seen := map[string]bool{}
	for _, e := range events {
		f, why := fixtureOf(e, zones, loc)
		if why == "" && seen[f.UID] {
			why = "another event of the file has its UID"
		}
		if why != "" {
			out.Skipped = append(out.Skipped, fmt.Sprintf("Left out, line %d: %s.", e[0].at, why))
			continue
		}
		seen[f.UID] = true
		out.Fixtures = append(out.Fixtures, f)
	}
	return out, nil
}

// contentLines unfolds a calendar's lines. Line ends of LF alone are taken as they are
// meant.
func contentLines(file []byte) ([]contentLine, error) {
	if !utf8.Valid(file) || bytes.IndexByte(file, 0) >= 0 {
		return nil, club.Faultf(club.Invalid, "The calendar is not UTF-8 text.")
	}
	var out []contentLine
	var whole strings.Builder
	began := 0
	flush := func() error {
		defer whole.Reset()
		if strings.TrimSpace(whole.String()) == "" {
			return nil
		}
		l, ok := splitLine(whole.String())
		if !ok {
			return club.Faultf(club.Invalid, "Line %d of the calendar is not one: “%s”.", began, clipped(whole.String()))
		}
		l.at = began
		out = append(out, l)
		return nil
	}
	text := strings.TrimPrefix(string(file), "\ufeff")
	for i, raw := range strings.Split(text, "\n") {
		raw = strings.TrimSuffix(raw, "\r")
		if began > 0 && raw != "" && (raw[0] == ' ' || raw[0] == '\t') {
			whole.WriteString(raw[1:])
			continue
		}
		if err := flush(); err != nil {
			return nil, err
		}
		whole.WriteString(raw)
		began = i + 1
	}
	return out, flush()
}

func clipped(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// splitLine is NAME;PARAM=value;PARAM="quoted":value.
func splitLine(line string) (contentLine, bool) {
	l := contentLine{params: map[string]string{}}
	quoted, colon := false, -1
	for i := 0; i < len(line) && colon < 0; i++ {
		switch line[i] {
		case '"':
			quoted = !quoted
		case ':':
			if !quoted {
				colon = i
			}
		}
	}
	if colon < 1 {
		return l, false
	}
	l.value = line[colon+1:]
	parts := splitOutside(line[:colon], ';')
	l.name = strings.ToUpper(strings.TrimSpace(parts[0]))
	for _, p := range parts[1:] {
		name, value, found := strings.Cut(p, "=")
		if !found {
			return l, false
		}
		l.params[strings.ToUpper(name)] = strings.Trim(value, `"`)
	}
	return l, l.name != ""
}

// splitOutside splits at a sign where it is not within quotes.
func splitOutside(s string, at byte) []string {
	var out []string
	quoted, from := false, 0
	for i := range len(s) {
		switch {
		case s[i] == '"':
			quoted = !quoted
		case s[i] == at && !quoted:
			out, from = append(out, s[from:i]), i+1
		}
	}
	return append(out, s[from:])
}

// blocks are the lines of each component of a kind, without those of components in it.
// The first line is its BEGIN.
func blocks(lines []contentLine, kind string) ([][]contentLine, error) {
	var out [][]contentLine
	var open []contentLine // the BEGINs
	var current []contentLine
	inside := -1
	for _, l := range lines {
		switch l.name {
		case "BEGIN":
			open = append(open, l)
			if strings.EqualFold(l.value, kind) && inside < 0 {
				inside, current = len(open), []contentLine{l}
			}
			continue
		case "END":
			if len(open) == 0 || !strings.EqualFold(open[len(open)-1].value, l.value) {
				return nil, club.Faultf(club.Invalid, "Line %d of the calendar ends “%s”, which is not what began last.", l.at, clipped(l.value))
			}
			if len(open) == inside {
				out, inside = append(out, current), -1
			}
			open = open[:len(open)-1]
			continue
		}
		if len(open) == inside {
			current = append(current, l)
		}
	}
	return out, nil
}

// plainText is the other way round of calendarText.
func plainText(s string) string {
	return strings.TrimSpace(strings.NewReplacer(`\\`, `\`, `\;`, ";", `\,`, ",", `\n`, "\n", `\N`, "\n").Replace(s))
}

// fixtureOf reads an event, or says why not.
func fixtureOf(event []contentLine, zones map[string]zone, loc *time.Location) (f club.Fixture, why string) {
	var duration string
	for _, l := range event[1:] {
		switch l.name {
		case "UID":
			f.UID = plainText(l.value)
		case "SUMMARY":
			f.Name = strings.Join(strings.Fields(plainText(l.value)), " ")
		case "DTSTART":
			f.Starts, why = momentOf(l, zones, loc)
		case "DTEND":
			f.Ends, why = momentOf(l, zones, loc)
		case "DURATION":
			duration = l.value
		case "RRULE", "RDATE":
			return f, "it repeats, which a fixture does not"
		case "STATUS":
			if strings.EqualFold(l.value, "CANCELLED") {
				return f, "it is cancelled"
			}
		}
		if why != "" {
			return f, why
		}
	}
	if duration != "" {
		if f.Ends, why = lasting(f.Starts, duration); why != "" {
			return f, why
		}
	}
	if f.Ends.IsZero() && !f.Starts.IsZero() && wholeDay(event) {
		f.Ends = f.Starts.AddDate(0, 0, 1) // RFC 5545, 3.6.1
	}
	switch {
	case f.UID == "" || len(f.UID) > uidMost:
		return f, "it has no UID, or one over 255 octets"
	case f.Starts.IsZero():
		return f, "it has no beginning"
	case f.Ends.IsZero():
		return f, "it has no end"
	}
	d, err := club.FixtureDraft{Name: f.Name, Starts: f.Starts, Ends: f.Ends}.Checked()
	if err != nil {
		return f, strings.TrimSuffix(err.Error(), ".")
	}
	f.Name = d.Name
	return f, ""
}

func wholeDay(event []contentLine) bool {
	for _, l := range event {
		if l.name == "DTSTART" {
			return strings.EqualFold(l.params["VALUE"], "DATE")
		}
	}
	return false
}

// lasting adds a duration, RFC 5545, 3.3.6: P15DT5H0M20S, P7W.
func lasting(from time.Time, text string) (time.Time, string) {
	wrong := fmt.Sprintf("“%s” is not how long an event lasts", clipped(text))
	rest, ok := strings.CutPrefix(strings.TrimPrefix(text, "+"), "P")
	if !ok || from.IsZero() || rest == "" {
		return from, wrong
	}
	n, digits, inTime := 0, 0, false
	for _, r := range rest {
		switch {
		case r >= '0' && r <= '9' && digits < 6:
			n, digits = n*10+int(r-'0'), digits+1
			continue
		case r == 'T' && digits == 0 && !inTime:
			inTime = true
			continue
		case digits == 0:
			return from, wrong
		case r == 'W' && !inTime:
			from = from.AddDate(0, 0, 7*n)
		case r == 'D' && !inTime:
			from = from.AddDate(0, 0, n)
		case r == 'H' && inTime:
			from = from.Add(time.Duration(n) * time.Hour)
		case r == 'M' && inTime:
			from = from.Add(time.Duration(n) * time.Minute)
		case r == 'S' && inTime:
			from = from.Add(time.Duration(n) * time.Second)
		default:
			return from, wrong
		}
		n, digits = 0, 0
	}
	if digits > 0 {
		return from, wrong
	}
	return from, ""
}
