package exchange

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"levelpeg/club"
)

var carryNow = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

// mmIn draws a length to the millimetre.
func mmIn(t *rapid.T, name string, least, most float64) float64 {
	return math.Round(rapid.Float64Range(least, most).Draw(t, name)*1000) / 1000
}

func pastTime(t *rapid.T, name string) time.Time {
	return time.Unix(rapid.Int64Range(1e9, carryNow.Unix()).Draw(t, name), int64(rapid.IntRange(0, 999999).Draw(t, name+" µs"))*1000).UTC()
}

var someText = rapid.StringMatching(`[A-Za-z0-9é漢"'<&>=+@-][A-Za-z0-9é漢"'<&>=+@-]{0,20}`)

// aVenue draws a venue with everything a file carries.
func aVenue(t *rapid.T) club.Carried {
	var c club.Carried
	c.Gauge = club.GaugeBook{Gauge: club.Gauge{Slug: "g", Name: someText.Draw(t, "gauge"), River: someText.Draw(t, "river"), LowM: mmIn(t, "low", -1, 1), HighM: mmIn(t, "high", 1.1, 3)},
		Zeros: []club.Zero{{From: time.Unix(1e8, 0).UTC()}}}
	if rapid.Bool().Draw(t, "flood") {
		c.Gauge.FloodM = mmIn(t, "flood m", 1.1, 5)
	}
	for range rapid.IntRange(0, 2).Draw(t, "zeros") {
		last := c.Gauge.Zeros[len(c.Gauge.Zeros)-1].From
		c.Gauge.Zeros = append(c.Gauge.Zeros, club.Zero{From: last.Add(time.Duration(rapid.IntRange(1, 1e7).Draw(t, "later")) * time.Second), OffsetM: mmIn(t, "offset", -2, 2), Reason: someText.Draw(t, "reason")})
	}
	v := &c.Venue
	v.Venue, v.GaugeSlug = club.Venue{Slug: "v", Name: someText.Draw(t, "venue"), River: someText.Draw(t, "river"), About: someText.Draw(t, "about"), CloseSeason: rapid.Bool().Draw(t, "season")}, "g"
	for i := range rapid.IntRange(1, 4).Draw(t, "pegs") {
		v.Pegs = append(v.Pegs, aPeg(t, i))
	}
	label := func(name string) string { return v.Pegs[rapid.IntRange(0, len(v.Pegs)-1).Draw(t, name)].Label }
	for range rapid.IntRange(0, 2).Draw(t, "hazards") {
		h := club.Hazard{Kind: rapid.SampledFrom(club.HazardKinds()).Draw(t, "kind"), DistanceM: mmIn(t, "far", 0, 100), Text: someText.Draw(t, "text")}
		if rapid.Bool().Draw(t, "own") {
			h.PegLabel = label("hazard's peg")
		}
		v.Hazards = append(v.Hazards, h)
	}
	for range rapid.IntRange(0, 2).Draw(t, "rules") {
		level := mmIn(t, "level", -1, 4)
		r := club.LevelRule{FromLabel: label("from"), ToLabel: label("to"), Effect: rapid.SampledFrom([]club.Effect{club.NoFishing, club.Caution}).Draw(t, "effect"), Text: someText.Draw(t, "text")}
		if rapid.Bool().Draw(t, "above") {
			r.AboveM = &level
		} else {
			r.BelowM, r.From = &level, pastTime(t, "from")
		}
		v.Rules = append(v.Rules, r)
	}
	for range rapid.IntRange(0, 2).Draw(t, "closures") {
		v.Closures = append(v.Closures, club.Closure{From: pastTime(t, "from"), Reason: someText.Draw(t, "reason")})
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "fixtures") {
		starts := pastTime(t, "starts")
		v.Fixtures = append(v.Fixtures, club.Fixture{UID: fmt.Sprint(i), Name: someText.Draw(t, "name"), Starts: starts, Ends: starts.Add(5 * time.Hour)})
	}
	return c
}

func aPeg(t *rapid.T, i int) club.PegBook {
	p := club.PegBook{Peg: club.Peg{Code: fmt.Sprintf("K%dKK", i+2), Label: fmt.Sprint(i + 1), Order: i + 1, Bank: rapid.SampledFrom([]club.Bank{club.LeftBank, club.RightBank}).Draw(t, "bank"),
		BearingDeg: rapid.IntRange(0, 359).Draw(t, "bearing"), Reach: rapid.SampledFrom([]club.Reach{club.OpenReach, club.PastWeir}).Draw(t, "reach"), MarkHeightM: mmIn(t, "mark", 0, 4)}}
	if rapid.Bool().Draw(t, "placed") {
		p.At = &club.Position{LatDeg: rapid.Float64Range(-90, 90).Draw(t, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, "lon")}
	}
	for j := range rapid.IntRange(0, 3).Draw(t, "runs") {
		r := club.RunBook{Run: club.Run{Name: fmt.Sprint("run ", j), DistanceM: float64(j) + mmIn(t, "out", 0, 0.9), Boil: rapid.IntRange(0, 3).Draw(t, "boil"), Snaggy: rapid.Bool().Draw(t, "snaggy"), Bottom: someText.Draw(t, "bottom")}}
		r.DistanceM = mmOf(r.DistanceM)
		for range rapid.IntRange(0, 3).Draw(t, "soundings") {
			s := club.Sounding{At: pastTime(t, "at"), LevelM: mmIn(t, "level", -1, 4), DepthM: mmIn(t, "depth", 0.01, 10)}
			if rapid.Bool().Draw(t, "timed") {
				s.PaceMPS, s.TimedS = mmIn(t, "pace", 0.01, 3), mmIn(t, "secs", 1, 60)
			}
			r.Soundings = append(r.Soundings, s)
		}
		p.Runs = append(p.Runs, r)
	}
	if rapid.Bool().Draw(t, "note") {
		low := mmIn(t, "low", 0, 1)
		p.Notes = append(p.Notes, club.Note{Posted: club.Posted{At: pastTime(t, "at")}, Text: someText.Draw(t, "text"), LowM: &low})
	}
	return p
}

// TestVenueThereAndBack: any venue comes out of its file as it went in.
func TestVenueThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := aVenue(t)
		file, err := WriteVenue(in, Carrying{}, carryNow)
		if err != nil {
			t.Fatal(err)
		}
		out, err := ReadVenue(file, carryNow)
		if err != nil || !reflect.DeepEqual(out, in) {
			t.Fatalf("%v\n%+v\nwant\n%+v", err, out, in)
		}
	})
}

// aFile is the file of a small venue, as a tree that a test may change.
func aFile(t *testing.T) map[string]any {
	t.Helper()
	level := 1.2
	c := club.Carried{Gauge: club.GaugeBook{Gauge: club.Gauge{Slug: "g", Name: "Board", River: "Water", LowM: 0.3, HighM: 1.5}, Zeros: []club.Zero{{From: club.AlwaysHeld}},
		Levels: []club.Level{{At: carryNow.Add(-time.Hour), LevelM: 1, Source: club.Board}}}}
	c.Venue = club.VenueBook{Venue: club.Venue{Name: "Reach", River: "Water"}, Hazards: []club.Hazard{{Kind: club.Wading, Text: "Deep"}},
		Rules:    []club.LevelRule{{AboveM: &level, Effect: club.NoFishing, Text: "High"}},
		Closures: []club.Closure{{From: carryNow, Reason: "Works"}}, Fixtures: []club.Fixture{{UID: "u", Name: "Match", Starts: carryNow, Ends: carryNow.Add(time.Hour)}}}
	for i, label := range []string{"1", "2"} {
		c.Venue.Pegs = append(c.Venue.Pegs, club.PegBook{Peg: club.Peg{Code: fmt.Sprintf("K%dKK", i+2), Label: label, Bank: club.LeftBank, MarkHeightM: 2},
			Runs:  []club.RunBook{{Run: club.Run{Name: "inside", DistanceM: 2}, Soundings: []club.Sounding{{At: carryNow.Add(-time.Hour), LevelM: 1, DepthM: 1.5}}}, {Run: club.Run{Name: "far", DistanceM: 9}}},
			Notes: []club.Note{{Posted: club.Posted{At: carryNow}, Text: "Good"}}})
	}
	text, err := WriteVenue(c, Carrying{Levels: true}, carryNow)
	if err != nil {
		t.Fatal(err)
	}
	var tree map[string]any
	if err := json.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	return tree
}

// set puts a value at a place such as pegs[0].runs[1].name; the value gone takes it away.
func set(t *testing.T, tree any, path string, value any) {
	t.Helper()
	parts := strings.FieldsFunc(path, func(r rune) bool { return r == '.' || r == '[' || r == ']' })
	for i, p := range parts {
		last := i == len(parts)-1
		switch at := tree.(type) {
		case map[string]any:
			switch {
			case last && value == gone:
				delete(at, p)
			case last:
				at[p] = value
			default:
				tree = at[p]
			}
		case []any:
			n := int(p[0] - '0')
			if last {
				at[n] = value
			} else {
				tree = at[n]
			}
		default:
			t.Fatalf("nothing at %s", path)
		}
	}
}

var gone = &struct{}{}

// TestFilesThatMakeNoSense are refused with a sentence that names the place in the file.
func TestFilesThatMakeNoSense(t *testing.T) {
	for _, c := range []struct {
		path  string
		value any
		words string
	}{
		{"levelpeg_venue", gone, "it has no “levelpeg_venue”"},
		{"levelpeg_venue", 2, "At levelpeg_venue: this program reads version 1"},
		{"levelpeg_venue", "1", "At levelpeg_venue: text stands where a number"},
		{"gauge", gone, "At gauge: it is missing"},
		{"venue", gone, "At venue: it is missing"},
		{"gauge.name", "", "At gauge: write a name for the gauge"},
		{"gauge.ordinary_low_m", gone, "At gauge.ordinary_low_m: it is missing"},
		{"gauge.ordinary_high_m", 99, "At gauge.ordinary_high_m: 99 is not from -20 to 50"},
		{"gauge.zeros", []any{}, "At gauge.zeros: a gauge has at least one"},
		{"gauge.zeros[0].above_first_zero_m", 1, "At gauge.zeros[0].above_first_zero_m: the first zero is 0 above itself"},
		{"gauge.zeros[0].from", "yesterday", "At gauge.zeros[0].from: “yesterday” is not a time"},
		{"gauge.levels[0].level_m", gone, "At gauge.levels[0].level_m: it is missing"},
		{"gauge.levels[0].source", "guess", "At gauge.levels[0].source: “guess” is neither"},
		{"gauge.levels[0].at", "2099-01-01T00:00:00Z", "At gauge.levels[0].at: 2099-01-01T00:00:00Z is still to come"},
		{"venue.name", strings.Repeat("x", 81), "At venue: that is 81 signs long"},
		{"venue.close_season", gone, "At venue.close_season: it is missing"},
		{"venue.about", "\u202e", "At venue: there is a sign in it"},
		{"pegs", map[string]any{}, "At pegs: an object stands where a list belongs"},
		{"pegs[1].label", "1", "At pegs[1].label: another peg has the number 1"},
		{"pegs[1].label", "peg 1", "At pegs[1]: a peg's number is"},
		{"pegs[1].code", "K2KK", "At pegs[1].code: “K2KK”"},
		{"pegs[1].code", "OOOO", "At pegs[1].code: “OOOO”"},
		{"pegs[1].bank", "up", "At pegs[1]: choose the bank"},
		{"pegs[1].flow_towards_deg", 360, "At pegs[1]: the water flows towards a bearing"},
		{"pegs[1].flow_towards_deg", 1.5, "At pegs[1].flow_towards_deg: a number stands where a number in range belongs"},
		{"pegs[1].lat", 50, "At pegs[1]: one of lat and lon is missing"},
		{"pegs[1].mark_m", gone, "At pegs[1].mark_m: it is missing"},
		{"pegs[0].runs[1].name", "inside", "At pegs[0].runs[1]: another run of the peg has its name"},
		{"pegs[0].runs[1].distance_m", -1, "At pegs[0].runs[1].distance_m: -1 is not from 0 to 200"},
		{"pegs[0].runs[1].distance_m", "far", "At pegs[0].runs[1].distance_m: text stands where"},
		{"pegs[0].runs[1].boil", 4, "At pegs[0].runs[1]: how broken the water is"},
		{"pegs[1].runs[0].soundings[0].depth_m", 0, "At pegs[1].runs[0].soundings[0].depth_m: 0 is not from 0.01 to 30"},
		{"pegs[1].runs[0].soundings[0].level_m", gone, "At pegs[1].runs[0].soundings[0].level_m: it is missing"},
		{"pegs[1].runs[0].soundings[0].pace_mps", 7, "At pegs[1].runs[0].soundings[0].pace_mps: 7 is not"},
		{"pegs[1].runs[0].soundings[0].timed_s", 7, "At pegs[1].runs[0].soundings[0].timed_s: it was timed"},
		{"pegs[1].runs[0].soundings[0].at", "1850-01-01T00:00:00Z", "before the gauge's first zero"},
		{"pegs[1].notes[0].text", " ", "At pegs[1].notes[0].text: it is empty"},
		{"hazards[0].peg", "9", "At hazards[0].peg: the file has no peg “9”"},
		{"hazards[0].kind", "bears", "At hazards[0]: choose what kind"},
		{"rules[0].below_m", 1, "At rules[0]: a rule has either"},
		{"rules[0].from_peg", "1", "At rules[0]: one of from_peg and to_peg is missing"},
		{"rules[0].effect", "swim", "At rules[0].effect: “swim” is neither"},
		{"closures[0].to", "2000-01-01T00:00:00Z", "At closures[0].to: it ends before it begins"},
		{"fixtures[0].ends_at", "2000-01-01T00:00:00Z", "At fixtures[0]: it ends before it begins"},
		{"fixtures[0].uid", strings.Repeat("é", 128), "At fixtures[0].uid: a UID is at most"},
		{"hazards[0].text", "\x00", "holds a sign that is no text"},
	} {
		tree := aFile(t)
		set(t, tree, c.path, c.value)
		text, err := json.Marshal(tree)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := ReadVenue(text, carryNow); club.KindOf(err) != club.Invalid || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s = %v: %v, want “%s”", c.path, c.value, err, c.words)
		}
	}
	if _, err := ReadVenue([]byte("{\n\"levelpeg_venue\": 1,\n}"), carryNow); err == nil || !strings.Contains(err.Error(), "not JSON: line 3") {
		t.Error(err)
	}
	text, err := json.Marshal(aFile(t))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ReadVenue(text, carryNow); err != nil {
		t.Errorf("unchanged: %v", err)
	}
}

// FuzzReadVenue: no file brings the reader down, and what it reads it writes again.
func FuzzReadVenue(f *testing.F) {
	f.Add([]byte(`{"levelpeg_venue":1,"gauge":{"name":"a","river":"b","ordinary_low_m":0,"ordinary_high_m":1,"zeros":[{"from":"2000-01-01T00:00:00Z","above_first_zero_m":0}]},"venue":{"name":"v","river":"b","close_season":true},"pegs":[{"label":"1","bank":"left","flow_towards_deg":3,"mark_m":2}]}`))
	f.Add([]byte(`{"levelpeg_venue":1,"pegs":[{"runs":[[]]}]}`))
	f.Fuzz(func(t *testing.T, file []byte) {
		c, err := ReadVenue(file, carryNow)
		if err != nil {
			if club.KindOf(err) != club.Invalid {
				t.Errorf("%v", err)
			}
			return
		}
		again, err := WriteVenue(c, Carrying{Levels: true}, carryNow)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := ReadVenue(again, carryNow); err != nil {
			t.Errorf("%v\n%s", err, again)
		}
	})
}

// TestGeoJSONOfTheRFC: RFC 7946's own example of a collection (section 1.5), whose first
// feature is a point 102 degrees east and half a degree north.
func TestGeoJSONOfTheRFC(t *testing.T) {
	const example = `{
       "type": "FeatureCollection",
       "features": [{
           "type": "Feature",
           "geometry": {
               "type": "Point",
               "coordinates": [102.0, 0.5]
           },
           "properties": {
               "prop0": "value0"%s
           }
       }%s]
   }`
	const lineString = `, {
           "type": "Feature",
           "geometry": {
               "type": "LineString",
               "coordinates": [
                   [102.0, 0.0],
                   [103.0, 1.0],
                   [104.0, 0.0],
                   [105.0, 1.0]
               ]
           },
           "properties": {
               "prop0": "value0",
               "prop1": 0.0%s
           }
       }`
	places, err := ReadGeoJSON(fmt.Appendf(nil, example, `, "code": "k2kk"`, ""))
	if want := []club.PegPlace{{Code: "K2KK", At: &club.Position{LatDeg: 0.5, LonDeg: 102}}}; err != nil || !reflect.DeepEqual(places, want) {
		t.Errorf("%+v, %v", places, err)
	}
	for words, file := range map[string]string{
		"At features[0].properties.code: a peg's lasting code is missing": fmt.Sprintf(example, "", ""),
		"At features[1].geometry.type: a peg is a Point":                  fmt.Sprintf(example, `, "code": "K2KK"`, fmt.Sprintf(lineString, `, "code": "K3KK"`)),
		"this is “Point”":                                      `{"type": "Point", "coordinates": [100.0, 0.0]}`, // appendix A.1
		"No place on the earth is at 102, 0.5":                 strings.Replace(fmt.Sprintf(example, `, "code": "K2KK"`, ""), "102.0, 0.5", "0.5, 102.0", 1),
		"At features[0].geometry.coordinates: write longitude": strings.Replace(fmt.Sprintf(example, `, "code": "K2KK"`, ""), "102.0, 0.5", "102.0", 1),
		"At features: text stands where a list belongs":        `{"type": "FeatureCollection", "features": "x"}`,
		"At features[0].properties.code: a number stands":      fmt.Sprintf(example, `, "code": 7`, ""),
		"The file places no peg":                               `{"type": "FeatureCollection", "features": []}`,
		"not JSON":                                             `{"type"`,
		"peg K2KK is placed twice":                             `{"type":"FeatureCollection","features":[` + strings.Repeat(`{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"code":"K2KK"}},`, 1) + `{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"code":"K2KK"}}]}`,
	} {
		if _, err := ReadGeoJSON([]byte(file)); club.KindOf(err) != club.Invalid || !strings.Contains(strings.ToLower(err.Error()), strings.ToLower(words)) {
			t.Errorf("%v, want “%s”", err, words)
		}
	}
}

// TestGeoJSONThereAndBack: pegs that are placed come back where they were.
func TestGeoJSONThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pegs := []club.Peg{{Code: "KKKK", Label: "0", At: &club.Position{}}}
		for i := range rapid.IntRange(0, 5).Draw(t, "n") {
			pegs = append(pegs, aPeg(t, i).Peg)
		}
		file, err := WriteGeoJSON(pegs)
		if err != nil {
			t.Fatal(err)
		}
		places, err := ReadGeoJSON(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pegs {
			if p.At == nil {
				continue
			}
			if len(places) == 0 || places[0].Code != p.Code || *places[0].At != *p.At {
				t.Fatalf("%+v, want %+v first", places, p)
			}
			places = places[1:]
		}
		if len(places) > 0 {
			t.Fatalf("too many: %+v", places)
		}
	})
}

// TestCSVIsSafeInASpreadsheet: no cell of text begins like a formula, numbers below zero
// are numbers, lines end with CRLF (RFC 4180, 2), and text comes back but for its guard.
func TestCSVIsSafeInASpreadsheet(t *testing.T) {
	names := []string{"=1+1", "+44", "-2", "@x", "\tx", "\rx", `say "a", b`, "two\nlines", "plain", "a=1", ""}
	var pegs []club.PegBook
	for i, name := range names {
		pegs = append(pegs, club.PegBook{Peg: club.Peg{Label: fmt.Sprint(i), Code: "KKKK"}, Runs: []club.RunBook{{Run: club.Run{Name: name, DistanceM: 2},
			Soundings: []club.Sounding{{At: carryNow, LevelM: -0.25, DepthM: 1.5, PaceMPS: 0.4}}}}})
	}
	var b bytes.Buffer
	if err := WriteSoundings(&b, pegs); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(b.String(), "peg,code,run,distance_m,time,level_m,depth_m,pace_mps,timed_s\r\n") || strings.Contains(strings.ReplaceAll(b.String(), "\r\n", ""), "\n") {
		t.Errorf("%q", b.String())
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != len(names)+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, row := range rows[1:] {
		name := row[2]
		if name != "" && strings.ContainsRune("=+-@\t\r", rune(name[0])) {
			t.Errorf("the cell %q is taken for a formula", name)
		}
		if back := strings.TrimPrefix(name, "'"); back != names[i] && back != strings.ReplaceAll(names[i], "\r", "") {
			t.Errorf("%q came back as %q", names[i], back)
		}
		if row[5] != "-0.25" || row[8] != "" || row[7] != "0.4" {
			t.Errorf("%q", row)
		}
	}
}

// TestQuotesOfTheRFC: RFC 4180, 2, rules 6 and 7: fields with commas or quotes stand in
// quotes, and a quote in them is doubled.
func TestQuotesOfTheRFC(t *testing.T) {
	var b bytes.Buffer
	c, err := table(&b, "aaa", `b"bb`, "c,cc")
	if err != nil {
		t.Fatal(err)
	}
	if c.Flush(); b.String() != "aaa,\"b\"\"bb\",\"c,cc\"\r\n" {
		t.Errorf("%q", b.String())
	}
}

// TestLevelsThereAndBack: numbers and times are as they were.
func TestLevelsThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := club.Level{At: pastTime(t, "at").Truncate(time.Second), LevelM: mmIn(t, "level", -20, 50), Source: club.Station}
		datum := mmIn(t, "datum", -20, 50)
		var b bytes.Buffer
		w, err := NewLevelTable(&b)
		if err == nil {
			err = w.Add(l, datum)
		}
		if err == nil {
			err = w.Close()
		}
		rows, bad := csv.NewReader(&b).ReadAll()
		if err != nil || bad != nil || len(rows) != 2 {
			t.Fatal(err, bad, rows)
		}
		var level, on float64
		at, bad := time.Parse(time.RFC3339, rows[1][0])
		if _, err := fmt.Sscan(rows[1][1]+" "+rows[1][2], &level, &on); err != nil || bad != nil || level != l.LevelM || on != datum || !at.Equal(l.At) {
			t.Fatalf("%v of %+v, %g", rows[1], l, datum)
		}
	})
}
