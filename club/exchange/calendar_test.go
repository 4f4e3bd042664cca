package exchange

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"levelpeg/club"
)

// wrapped is a calendar around lines, which end with CRLF.
func wrapped(lines string) []byte {
	return []byte("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n" + strings.ReplaceAll(lines, "\n", "\r\n") + "END:VCALENDAR\r\n")
}

func zoneFile(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// The time zone of RFC 5545, section 3.6.5, "America/New_York" as it has been observed
// from 2007 on, here by a name that no machine knows.
const newYork = `BEGIN:VTIMEZONE
TZID:Of the RFC
LAST-MODIFIED:20050809T050000Z
BEGIN:STANDARD
DTSTART:20071104T020000
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
TZNAME:EST
RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:20070311T020000
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
TZNAME:EDT
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU
END:DAYLIGHT
END:VTIMEZONE
`

// TestCalendarsOfTheRFC: the examples of RFC 5545 that hold an event, sections 3.6.1 (its
// first), 3.2.19, 3.3.5 and 3.3.11.
func TestCalendarsOfTheRFC(t *testing.T) {
	// 3.6.1, the first example: a meeting with a name of its organiser left out.
	const meeting = `BEGIN:VEVENT
UID:19970901T130000Z-123401@example.com
DTSTAMP:19970901T130000Z
DTSTART:19970903T163000Z
DTEND:19970903T190000Z
SUMMARY:Annual Employee Review
CLASS:PRIVATE
CATEGORIES:BUSINESS,HUMAN RESOURCES
END:VEVENT
`
	// 3.6.1, the third: an event of seven days.
	const festival = `BEGIN:VEVENT
UID:20070423T123432Z-541111@example.com
DTSTAMP:20070423T123432Z
DTSTART;VALUE=DATE:20070628
DTEND;VALUE=DATE:20070709
SUMMARY:Festival International de Jazz de Montreal
TRANSP:TRANSPARENT
END:VEVENT
`
	// 3.3.5, form 3: 1997-07-14 13:30 in New York is 17:30 UTC.
	const local = `BEGIN:VEVENT
UID:form3
DTSTART;TZID=America/New_York:19970714T133000
DURATION:PT1H0M0S
SUMMARY:Project XYZ Final Review\nConference Room - 3B\nCome Prepared.
END:VEVENT
`
	// The zone spelled out; 3.3.6's duration of fifteen days is too long for a match, so PT5H.
	const spelledOut = newYork + `BEGIN:VEVENT
UID:summer
DTSTART;TZID=Of the RFC:20070714T133000
DURATION:PT5H
SUMMARY:Summer
END:VEVENT
BEGIN:VEVENT
UID:winter
DTSTART;TZID="Of the RFC":20071204T133000
DURATION:PT5H
SUMMARY:Winter
END:VEVENT
`
	utc := func(y, m, d, h, min int) time.Time { return time.Date(y, time.Month(m), d, h, min, 0, 0, time.UTC) }
	london := zoneFile(t, "Europe/London")
	for _, c := range []struct {
		name, lines string
		want        []club.Fixture
	}{
		{"meeting", meeting, []club.Fixture{{UID: "19970901T130000Z-123401@example.com", Name: "Annual Employee Review", Starts: utc(1997, 9, 3, 16, 30), Ends: utc(1997, 9, 3, 19, 0)}}},
		{"festival", festival, []club.Fixture{{UID: "20070423T123432Z-541111@example.com", Name: "Festival International de Jazz de Montreal",
			Starts: time.Date(2007, 6, 28, 0, 0, 0, 0, london), Ends: time.Date(2007, 7, 9, 0, 0, 0, 0, london)}}},
		{"form 3", local, []club.Fixture{{UID: "form3", Name: "Project XYZ Final Review Conference Room - 3B Come Prepared.", Starts: utc(1997, 7, 14, 17, 30), Ends: utc(1997, 7, 14, 18, 30)}}},
		{"spelled out", spelledOut, []club.Fixture{{UID: "summer", Name: "Summer", Starts: utc(2007, 7, 14, 17, 30), Ends: utc(2007, 7, 14, 22, 30)},
			{UID: "winter", Name: "Winter", Starts: utc(2007, 12, 4, 18, 30), Ends: utc(2007, 12, 4, 23, 30)}}},
	} {
		got, err := ReadCalendar(wrapped(c.lines), london)
		if err != nil || len(got.Skipped) > 0 || len(got.Fixtures) != len(c.want) {
			t.Errorf("%s: %+v, %v", c.name, got, err)
			continue
		}
		for i, f := range got.Fixtures {
			if w := c.want[i]; f.UID != w.UID || f.Name != w.Name || !f.Starts.Equal(w.Starts) || !f.Ends.Equal(w.Ends) {
				t.Errorf("%s: %+v, want %+v", c.name, f, w)
			}
		}
	}
}

// TestFoldingOfTheRFC: section 3.1's own example folds and unfolds to one line.
func TestFoldingOfTheRFC(t *testing.T) {
	const folded = "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\n"
	lines, err := contentLines([]byte(folded))
	if err != nil || len(lines) != 1 || lines[0].value != "This is a long description that exists on a long line." {
		t.Errorf("%+v, %v", lines, err)
	}
}

// TestDaylightSaving: the zone spelled out goes by the machine's own New York, hour by
// hour through two years, but for the hour that comes twice or never.
func TestDaylightSaving(t *testing.T) {
	lines, err := contentLines(wrapped(newYork))
	if err != nil {
		t.Fatal(err)
	}
	zones, err := calendarZones(lines)
	if err != nil {
		t.Fatal(err)
	}
	loc, off := zoneFile(t, "America/New_York"), 0
	for c := time.Date(2008, 1, 1, 0, 30, 0, 0, time.UTC); c.Year() < 2010; c = c.Add(time.Hour) {
		want := known{loc}.at(c)
		if got := zones["Of the RFC"].at(c); !got.Equal(want) {
			off++
			if h := c.Hour(); h != 1 && h != 2 {
				t.Errorf("%v is %v, want %v", c, got, want.UTC())
			}
		}
	}
	if off > 4 {
		t.Errorf("%d hours are off", off)
	}
}

// TestNthWeekday against days of a printed calendar.
func TestNthWeekday(t *testing.T) {
	for _, c := range []struct {
		year  int
		month time.Month
		n     int
		day   time.Weekday
		want  int
	}{{2026, 3, -1, time.Sunday, 29}, {2026, 10, -1, time.Sunday, 25}, {2026, 11, 1, time.Sunday, 1}, {2026, 3, 2, time.Sunday, 8}, {2026, 2, -2, time.Friday, 20}} {
		if got := nthWeekday(c.year, c.month, c.n, c.day, time.Time{}); got.Day() != c.want || got.Month() != c.month {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

// TestCalendarsThatMakeNoSense give a sentence with the line, or leave the event out.
func TestCalendarsThatMakeNoSense(t *testing.T) {
	event := func(lines string) []byte {
		return wrapped("BEGIN:VEVENT\n" + lines + "END:VEVENT\n")
	}
	for words, file := range map[string][]byte{
		"does not begin with BEGIN:VCALENDAR": []byte("hello: world\r\n"),
		"not UTF-8":                           []byte("BEGIN:VCALENDAR\r\n\xff\r\n"),
		"breaks off after line 2":             []byte("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"),
		"Line 3 of the calendar is not one":   wrapped("no colon\n"),
		"Line 4 of the calendar ends":         wrapped("BEGIN:VEVENT\nEND:VTODO\n"),
		"says nothing of its clock":           wrapped("BEGIN:VTIMEZONE\nTZID:x\nEND:VTIMEZONE\n"),
		"cannot be read":                      wrapped("BEGIN:VTIMEZONE\nTZID:x\nBEGIN:STANDARD\nDTSTART:1\nEND:STANDARD\nEND:VTIMEZONE\n"),
		"2001 events":                         wrapped(strings.Repeat("BEGIN:VEVENT\nEND:VEVENT\n", 2001)),
	} {
		if _, err := ReadCalendar(file, time.UTC); club.KindOf(err) != club.Invalid || !strings.Contains(err.Error(), words) {
			t.Errorf("%v, want “%s”", err, words)
		}
	}
	const whole = "UID:1\nSUMMARY:x\nDTSTART:20261128T100000Z\nDTEND:20261128T150000Z\n"
	for words, lines := range map[string]string{
		"it has no UID":                         "SUMMARY:x\nDTSTART:20261128T100000Z\nDTEND:20261128T150000Z\n",
		"it has no beginning":                   "UID:1\nSUMMARY:x\n",
		"it has no end":                         "UID:1\nSUMMARY:x\nDTSTART:20261128T100000Z\n",
		"write the match's name":                "UID:1\nDTSTART:20261128T100000Z\nDTEND:20261128T150000Z\n",
		"it ends before it begins":              "UID:1\nSUMMARY:x\nDTSTART:20261128T100000Z\nDTEND:20261128T100000Z\n",
		"longer than fourteen days":             "UID:1\nSUMMARY:x\nDTSTART:20261128T100000Z\nDURATION:P3W\n",
		"“P1X” is not how long":                 "UID:1\nSUMMARY:x\nDTSTART:20261128T100000Z\nDURATION:P1X\n",
		"“-PT1H” is not how long":               "UID:1\nSUMMARY:x\nDTSTART:20261128T100000Z\nDURATION:-PT1H\n",
		"it repeats":                            whole + "RRULE:FREQ=WEEKLY\n",
		"it is cancelled":                       whole + "STATUS:CANCELLED\n",
		"“soon” is not a time":                  "UID:1\nSUMMARY:x\nDTSTART:soon\n",
		"its time zone “Nowhere/At” is not":     "UID:1\nSUMMARY:x\nDTSTART;TZID=Nowhere/At:20261128T100000\n",
		"“20261399” is not a day":               "UID:1\nSUMMARY:x\nDTSTART;VALUE=DATE:20261399\n",
		"a match in the year 0001":              "",
		"another event of the file has its UID": whole + "END:VEVENT\nBEGIN:VEVENT\n" + whole,
	} {
		if lines == "" {
			continue
		}
		got, err := ReadCalendar(event(lines), time.UTC)
		if err != nil || len(got.Skipped) != 1 || !strings.Contains(strings.ToLower(got.Skipped[0]), strings.ToLower(words)) || !strings.HasPrefix(got.Skipped[0], "Left out, line ") {
			t.Errorf("%q: %+v, %v, want “%s”", lines, got, err, words)
		}
	}
}

// TestCalendarThereAndBack: any fixtures come back as they went, in lines of at most 75
// octets that end with CRLF.
func TestCalendarThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[A-Za-zé;,\\:"'ÅΩ漢 -]{0,70}[A-Za-z]`)
		var in []club.Fixture
		for i := range rapid.IntRange(0, 4).Draw(t, "n") {
			starts := time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "starts"), 0).UTC()
			in = append(in, club.Fixture{UID: fmt.Sprintf("%d-%s", i, rapid.StringMatching(`[a-z0-9;,\\@é-]{1,80}`).Draw(t, "uid")), Name: strings.Join(strings.Fields(name.Draw(t, "name")), " "),
				Starts: starts, Ends: starts.Add(time.Duration(rapid.IntRange(1, 14*24*3600).Draw(t, "lasts")) * time.Second)})
		}
		file := WriteCalendar(name.Draw(t, "venue"), in, time.Unix(0, 0))
		for _, line := range bytes.SplitAfter(file, []byte("\r\n")) {
			if len(line) > 77 || bytes.ContainsAny(bytes.TrimSuffix(line, []byte("\r\n")), "\r\n") || len(line) > 0 && !bytes.HasSuffix(line, []byte("\r\n")) {
				t.Fatalf("line %q", line)
			}
		}
		out, err := ReadCalendar(file, time.UTC)
		if err != nil || len(out.Skipped) > 0 || !reflect.DeepEqual(out.Fixtures, in) {
			t.Fatalf("%+v, %v\nwant %+v\n%s", out, err, in, file)
		}
	})
}
