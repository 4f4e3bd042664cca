package handlers_test

import (
	"encoding/csv"
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"levelpeg/db/dbtest"
)

// bring sends a water's file, first to be looked at and then to be kept, as the page
// that shows what it would make does.
func (s secretary) bring(file string) answer {
	s.Helper()
	look := s.upload("/setup/import", file)
	s.says(look, 200, "It would make", "Bring it in")
	carried := form(look, "/setup/import").Get("carried")
	if carried != strings.ReplaceAll(file, "\r\n", "\n") {
		s.Fatalf("the page carries %d bytes of %d", len(carried), len(file))
	}
	return s.upload("/setup/import", "", "carried", carried, "sure", "1")
}

// TestAWaterAsAFile goes into an empty club and comes out the same, byte for byte, with
// all levels and without.
func TestAWaterAsAFile(t *testing.T) {
	t.Parallel()
	from := demoSecretary(t)
	from.rec.do(`update pegs set lat = 52.125 + id * 0.0001, lon = -1.5 where id % 3 = 0`)
	from.rec.do(`update notes set private = false, waits = false`)
	// The levels of twenty years are more than a page takes: cmd/levelpeg carries those.
	from.rec.do(`alter table levels disable trigger levels_keep`)
	from.rec.do(`delete from levels where at < $1`, dbtest.DemoNow.AddDate(0, 0, -30))
	for _, query := range []string{"", "?levels=1"} {
		to := newClub(t)
		sent := from.open("/setup/venues/cinder-bend/export.json" + query)
		if name := sent.header.Get("Content-Disposition"); sent.status != 200 || name != "attachment; filename=cinder-bend.json" {
			t.Fatalf("%d, %q: %.300s", sent.status, name, sent.body)
		}
		page := to.goes(to.bring(sent.body), "/setup/venues/cinder-bend")
		to.says(page, 200, "Brought in: The water “Cinder Bend” with 18 pegs", "It begins closed to visitors.")
		back := to.open("/setup/venues/cinder-bend/export.json" + query)
		if back.status != 200 || back.body != sent.body {
			t.Errorf("%s: %d, %d bytes came back of %d, from byte %d on others: %.300s", query, back.status, len(back.body), len(sent.body), firstDifference(back.body, sent.body), back.body[firstDifference(back.body, sent.body):])
		}
		if withLevels := strings.Contains(sent.body, `"levels"`); withLevels != (query != "") {
			t.Errorf("%q with levels: %v", query, withLevels)
		}
		t.Logf("%q: %d bytes", query, len(sent.body))
		for _, s := range []secretary{from, to} {
			if log := s.log.String(); strings.Contains(log, "ERROR") {
				t.Errorf("logged: %.900s", log)
			}
		}
	}
}

func firstDifference(a, b string) int {
	n := min(len(a), len(b))
	for i := range n {
		if a[i] != b[i] {
			return i
		}
	}
	return n
}

// TestHostileFiles are refused with a sentence on the page they were chosen on, and make
// nothing. What is wrong within a water's file is tried field by field in club/exchange.
func TestHostileFiles(t *testing.T) {
	t.Parallel()
	s := demoSecretary(t)
	const of = "/setup/venues/sallow-reach"
	good := s.open(of + "/export.json").body
	calendar := s.open("/venues/sallow-reach/fixtures.ics").body
	const all = `select concat((select count(*) from venues), ' ', (select count(*) from gauges), ' ', (select count(*) from pegs), ' ', (select count(*) from fixtures), ' ', (select count(*) from pegs where lat is not null))`
	before := s.rec.text(all)
	for _, c := range []struct{ to, file, words string }{
		{"/setup/import", "", "Choose a file first."},
		{"/setup/import", good[:len(good)/2], "is not JSON: line"},
		{"/setup/import", strings.Replace(good, `"levelpeg_venue": 1`, `"levelpeg_venue": 2`, 1), "this program reads version 1, and the file is of version 2"},
		{"/setup/import", "{}", "it has no “levelpeg_venue”"},
		{"/setup/import", "[]", "a list stands where an object belongs"},
		{"/setup/import", "null", "it has no “levelpeg_venue”"},
		{"/setup/import", "\x89PNG\r\n\x1a\n\x00\x00", "is not JSON: line 1"},
		{"/setup/import", strings.Repeat("[", 5<<19), "is not JSON"},
		{"/setup/import", `{"levelpeg_venue":1,"pegs":` + strings.Repeat(`[`, 9000) + strings.Repeat(`]`, 9000) + `}`, "At pegs[0]"},
		{"/setup/import", good + strings.Repeat(" ", 4<<20), "a file is at most 4 MB"},
		{"/setup/import", strings.Repeat("a", 10<<20), "a file is at most 4 MB"},
		{"/setup/import", regexp.MustCompile(`"mark_m": [0-9.]+`).ReplaceAllString(good, `"mark_m": 1e300`), "1e+300 is not from"},
		{"/setup/import", regexp.MustCompile(`"depth_m": [0-9.]+`).ReplaceAllString(good, `"depth_m": 1e999`), "a number"},
		{"/setup/import", regexp.MustCompile(`"code": "[^"]+"`).ReplaceAllString(good, `"code": "K2KK"`), "“K2KK” is not a peg&#39;s code, or another peg of the file has it"},
		{"/setup/import", regexp.MustCompile(`"label": "[^"]+"`).ReplaceAllString(good, `"label": "7"`), "another peg has the number 7"},
		{"/setup/import", regexp.MustCompile(`"bank": "[^"]+"`).ReplaceAllString(good, `"bank": "<script>alert(1)</script>"`), "choose the bank"},
		{"/setup/import", regexp.MustCompile(`"kind": "[^"]+"`).ReplaceAllString(good, `"kind": "<script>alert(1)</script>"`), "choose what kind"},
		{"/setup/import", regexp.MustCompile(`"from": "[^"]+"`).ReplaceAllString(good, `"from": "<script>alert(1)</script>"`), "is not a time"},
		{of + "/positions/geojson", "", "Choose a file first."},
		{of + "/positions/geojson", good, "a GeoJSON FeatureCollection"},
		{of + "/positions/geojson", `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[200,10]},"properties":{"code":"<script>alert(1)</script>"}}]}`, "No place on the earth"},
		{of + "/positions/geojson", `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[2,10]},"properties":{"code":"<script>alert(1)</script>"}}]}`, "no peg"},
		{of + "/positions/geojson", `{"type":"FeatureCollection","features":[`, "is not JSON"},
		{of + "/fixtures/calendar", "", "Choose a file first."},
		{of + "/fixtures/calendar", good, "not a calendar file"},
		{of + "/fixtures/calendar", calendar[:len(calendar)*2/3], "breaks off"},
		{of + "/fixtures/calendar", "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nSUMMARY:<script>alert(1)</script>\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n", "no match to bring in"},
		{of + "/fixtures/calendar", strings.Repeat("BEGIN:VCALENDAR\r\n", 100000), "breaks off"},
	} {
		a := s.upload(c.to, c.file)
		if a.status != 400 && a.status != 409 || !strings.Contains(a.body, c.words) || strings.Contains(a.body, "<script>alert") {
			t.Errorf("%s with %.60q: %d, want “%s”: %.300s", c.to, c.file, a.status, c.words, alert(a))
		}
	}
	if after := s.rec.text(all); after != before {
		t.Errorf("there is %s, and was %s", after, before)
	}
	// What a file may say is only ever text.
	named := regexp.MustCompile(`"name": "Sallow Reach"`).ReplaceAllString(good, `"name": "<script>alert(1)</script>"`)
	if a := s.upload("/setup/import", named); a.status != 200 || strings.Contains(a.body, "<script>alert") {
		t.Errorf("a water with script for a name: %d", a.status)
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.900s", log)
	}
}

// alert is what a page says is wrong.
func alert(a answer) string {
	_, rest, _ := strings.Cut(a.body, `role="alert">`)
	says, _, _ := strings.Cut(rest, "<")
	if says == "" {
		return a.body
	}
	return says
}

// TestFilesToTakeAway hold to their formats' rules, whatever names are in them.
func TestFilesToTakeAway(t *testing.T) {
	t.Parallel()
	s := demoSecretary(t)
	const long = "=cmd|'/c calc'!A1; \"a\", b\\c\nnext — ÄÖÜ äöü 漢字漢字漢字漢字漢字漢字漢字漢字漢字漢字漢字"
	s.rec.do(`update runs set name = '=1+' || id where id % 5 = 0`)
	s.rec.do(`update fixtures set name = $1`, long)
	s.rec.do(`update pegs set lat = 52.5, lon = -1.25 where label = '3'`)
	s.calendar(s.open("/venues/sallow-reach/fixtures.ics"), long)
	s.geoJSON(s.open("/venues/sallow-reach/pegs.geojson"))
	a := s.table(s.open("/venues/sallow-reach/soundings.csv"), "peg,code,run,distance_m,time,level_m,depth_m,pace_mps,timed_s")
	if len(a) < 100 {
		t.Errorf("%d soundings", len(a))
	}
	levels := s.table(s.open("/gauges/teasel-bridge/levels.csv?from=2025-10-01&to=2025-10-02"), "time,level_m,above_first_zero_m,source")
	if len(levels) < 2*90 {
		t.Errorf("%d levels of two days", len(levels))
	}
	for _, l := range levels {
		if l[0] < "2025-09-30T23:00:00Z" || l[0] >= "2025-10-02T23:00:00Z" {
			t.Errorf("a level of %s", l[0])
		}
	}
	s.says(s.open("/gauges/teasel-bridge/levels.csv?from=soon"), 400, "Ask for days such as")
}

// calendar checks RFC 5545: 3.1 lines of at most 75 octets that end with CRLF, folded
// between letters; 3.3.11 text escaped; 3.3.5 times in UTC; 3.6.1 what an event has to
// have.
func (s secretary) calendar(a answer, name string) {
	s.Helper()
	if a.status != 200 || a.header.Get("Content-Type") != "text/calendar; charset=utf-8" || !strings.HasSuffix(a.body, "END:VCALENDAR\r\n") {
		s.Errorf("%d %q ends with %q", a.status, a.header.Get("Content-Type"), a.body[max(0, len(a.body)-30):])
	}
	for _, line := range strings.SplitAfter(a.body, "\r\n") {
		if len(strings.TrimSuffix(line, "\r\n")) > 75 || strings.Contains(strings.TrimSuffix(line, "\r\n"), "\n") || !utf8.ValidString(line) {
			s.Errorf("a line of %d octets: %q", len(line), line)
		}
	}
	whole := strings.ReplaceAll(a.body, "\r\n ", "")
	want := "SUMMARY:" + strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(name) + "\r\n"
	events := strings.Count(whole, "BEGIN:VEVENT\r\n")
	if n := strings.Count(whole, want); events == 0 || n != events {
		s.Errorf("%d of %d events have the name", n, events)
	}
	for _, shape := range []string{`\r\nDTSTART:\d{8}T\d{6}Z\r\n`, `\r\nDTEND:\d{8}T\d{6}Z\r\n`, `\r\nDTSTAMP:\d{8}T\d{6}Z\r\n`, `\r\nUID:[^\r]+\r\n`} {
		if n := len(regexp.MustCompile(shape).FindAllString(whole, -1)); n != events {
			s.Errorf("%d of %d events have %s", n, events, shape)
		}
	}
	for _, line := range []string{"BEGIN:VCALENDAR\r\n", "VERSION:2.0\r\n", "PRODID:"} {
		if strings.Count(whole, line) != 1 {
			s.Errorf("%q stands there %d times", line, strings.Count(whole, line))
		}
	}
}

// geoJSON checks RFC 7946: 3.1.1 longitude before latitude; 3.2 a feature without a place
// has a null geometry; 4 no other system of coordinates; 12 its media type.
func (s secretary) geoJSON(a answer) {
	s.Helper()
	var got struct {
		Type     string
		CRS      any
		Features []struct {
			Type     string
			Geometry *struct {
				Type        string
				Coordinates []float64
			}
			Properties map[string]any
		}
	}
	if err := json.Unmarshal([]byte(a.body), &got); err != nil || a.header.Get("Content-Type") != "application/geo+json" || got.Type != "FeatureCollection" || got.CRS != nil || len(got.Features) != 27 {
		s.Fatalf("%v, %q, %d features", err, a.header.Get("Content-Type"), len(got.Features))
	}
	placed := 0
	for _, f := range got.Features {
		if f.Type != "Feature" || f.Properties["code"] == "" {
			s.Errorf("%+v", f)
		}
		if f.Geometry == nil {
			continue
		}
		placed++
		if c := f.Geometry.Coordinates; f.Properties["label"] == "3" && (f.Geometry.Type != "Point" || c[0] != -1.25 || c[1] != 52.5) {
			s.Errorf("%+v", f.Geometry)
		}
	}
	if placed == 0 || !strings.Contains(a.body, `"geometry":null`) && placed != len(got.Features) {
		s.Errorf("%d pegs are placed", placed)
	}
}

// table checks RFC 4180: every line ends with CRLF and has as many fields as the header.
// No field begins as a formula does, unless it is a number.
func (s secretary) table(a answer, header string) [][]string {
	s.Helper()
	if a.status != 200 || !strings.HasPrefix(a.header.Get("Content-Type"), "text/csv") || !strings.HasPrefix(a.body, header+"\r\n") || !strings.HasSuffix(a.body, "\r\n") || strings.Count(a.body, "\n") != strings.Count(a.body, "\r\n") {
		s.Fatalf("%d %q: %.200q", a.status, a.header.Get("Content-Type"), a.body)
	}
	rows, err := csv.NewReader(strings.NewReader(a.body)).ReadAll()
	if err != nil {
		s.Fatal(err)
	}
	guarded := 0
	for _, row := range rows[1:] {
		for _, field := range row {
			if field != "" && strings.ContainsRune("=+-@\t\r", rune(field[0])) && !regexp.MustCompile(`^-[0-9.]+$`).MatchString(field) {
				s.Errorf("a spreadsheet would take %q for a formula", field)
			}
			if strings.HasPrefix(field, "'=1+") {
				guarded++
			}
		}
	}
	if strings.HasPrefix(header, "peg") && guarded == 0 {
		s.Error("no name that begins as a formula does was in the table")
	}
	return rows[1:]
}

// TestAnEmptyCalendar is still one: RFC 5545, 3.6, wants a component in it.
func TestAnEmptyCalendar(t *testing.T) {
	t.Parallel()
	address := dbtest.NewDemo(t)
	s, c := siteAt(t, address, nil), recordsAt(t, address)
	c.do(`delete from fixtures`)
	a := s.get("/venues/sallow-reach/fixtures.ics")
	if a.status != 200 || strings.Count(a.body, "BEGIN:") < 2 || strings.Count(a.body, "BEGIN:") != strings.Count(a.body, "END:") {
		t.Errorf("%d %q", a.status, a.body)
	}
}
