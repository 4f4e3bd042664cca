package feeds_test

import (
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"levelpeg/club"
	"levelpeg/feeds"
)

func scan(t testing.TB, plan club.CSVPlan, unit club.Unit, text string) (good []feeds.LevelRow, bad map[int]string) {
	t.Helper()
	bad = map[int]string{}
	err := feeds.ScanLevels(strings.NewReader(text), plan, unit, 1<<20, now, func(r feeds.LevelRow) error {
		if r.Why != "" {
			bad[r.N] = r.Why
		} else if !r.None {
			r.Line = nil
			good = append(good, r)
		}
		return nil
	})
	if err != nil {
		t.Errorf("%.60q: %v", text, err)
	}
	return good, bad
}

// TestBadRowsByNumber: each bad row is named by its line in the file, and nothing else is
// lost.
func TestBadRowsByNumber(t *testing.T) {
	t.Parallel()
	rows := []string{"time,level", "2026-11-01 10:00,1.20", "", "2026-11-01 10:15,high", "# a remark", "2026-11-31 10:30,1.2", "01/11/2026 10:45,1.2", "2026-11-01 11:00",
		"2026-11-01 11:15,99", "2027-01-01 10:00,1", "2026-11-01,1.2", `"2026-11-01 11:30","1.25"`, "2026-11-01 11:45,", "2026-11-01 25:00,1", "2026-11-01 12:00,1.3\r", "2026-11-01 12:15," + strings.Repeat("1", 70<<10)}
	plan := club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "UTC"}
	good, bad := scan(t, plan, club.Metres, strings.Join(rows, "\n"))
	want := map[int]string{4: "its level is not a number", 6: "there is no such day", 7: "its time cannot be read", 8: "it has no column 2", 9: "that is no level a board reads",
		10: "its time has not come yet", 11: "it has a day and no time", 14: "its time cannot be read", 16: "the row is too long"}
	if fmt.Sprint(bad) != fmt.Sprint(want) {
		t.Errorf("bad %v, want %v", bad, want)
	}
	if len(good) != 3 || good[1].N != 12 || good[1].LevelM != 1.25 || good[2].LevelM != 1.3 {
		t.Errorf("good %+v", good)
	}
}

// TestWaysToWrite: units, decimal commas, days first, times apart. Derived by hand.
func TestWaysToWrite(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 10, 5, 13, 15, 0, 0, time.UTC)
	cases := []struct {
		plan club.CSVPlan
		unit club.Unit
		row  string
	}{
		{club.CSVPlan{Comma: ";", Time: "1", Level: "2", Layout: club.TimeDMY, Zone: "Europe/London", DecimalComma: true}, club.Metres, "5.10.2026 14:15;1,24"},
		{club.CSVPlan{Comma: "tab", Time: "2", Level: "1", Layout: club.TimeMDY, Zone: "Europe/London"}, club.Centimetres, "124\t10/05/2026 2:15 pm"},
		{club.CSVPlan{Comma: ",", Time: "1", Clock: "2", Level: "3", Layout: club.TimeISO, Zone: "UTC"}, club.Millimetres, "2026-10-05,13:15,1240"},
		{club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeUnix, Zone: "UTC"}, club.Metres, fmt.Sprint(at.Unix(), ",1.24")},
		{club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeUnix, Zone: "UTC"}, club.Metres, fmt.Sprint(at.UnixMilli(), ",1.24")},
		{club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "UTC"}, club.Feet, "2026-10-05T15:15:00.000+02:00,4.0682"},
		{club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "Europe/London"}, club.Metres, "2026-10-05T13:15Z,1.24"},
	}
	for _, c := range cases {
		good, bad := scan(t, c.plan, c.unit, c.row)
		if len(good) != 1 || !good[0].At.Equal(at) || good[0].LevelM != 1.24 {
			t.Errorf("%q: %+v, %v", c.row, good, bad)
		}
	}
}

// TestClocksThatChange: in the night the clocks go back an hour is there twice, and the
// order of the rows tells which; in the other night an hour is missing. Derived from the
// zone's own rule, 25 October 2026 and 29 March 2026 in London.
func TestClocksThatChange(t *testing.T) {
	t.Parallel()
	plan := club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "Europe/London"}
	good, bad := scan(t, plan, club.Metres, "2026-10-25 00:30,1\n2026-10-25 01:00,1\n2026-10-25 01:30,1\n2026-10-25 01:00,1\n2026-10-25 01:30,1\n2026-10-25 02:00,1\n")
	if len(bad) > 0 || len(good) != 6 {
		t.Fatalf("%v, bad %v", good, bad)
	}
	first := time.Date(2026, 10, 24, 23, 30, 0, 0, time.UTC)
	for i, g := range good {
		if want := first.Add(time.Duration(i) * 30 * time.Minute); !g.At.Equal(want) {
			t.Errorf("row %d: %v, want %v", i+1, g.At, want)
		}
	}
	if _, bad := scan(t, plan, club.Metres, "2026-03-29 00:30,1\n2026-03-29 01:30,1\n"); !strings.Contains(bad[2], "no such time") {
		t.Errorf("the missing hour: %v", bad)
	}
}

// TestTimesAsTheLibraryReadsThem holds our reader of times against the standard library.
func TestTimesAsTheLibraryReadsThem(t *testing.T) {
	t.Parallel()
	plan := club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "UTC"}
	rapid.Check(t, func(r *rapid.T) {
		at := time.Unix(rapid.Int64Range(-4e9, 1.79e9).Draw(r, "at"), 0).In(time.FixedZone("", 60*rapid.IntRange(-14*60, 14*60).Draw(r, "zone")))
		good, bad := scan(t, plan, club.Metres, at.Format(time.RFC3339)+",1")
		if len(good) != 1 || !good[0].At.Equal(at) {
			r.Fatalf("%v: %v %v", at, good, bad)
		}
	})
}

// TestGuesses: what a table's beginning looks like.
func TestGuesses(t *testing.T) {
	t.Parallel()
	cases := []struct {
		text  string
		plan  club.CSVPlan
		unit  club.Unit
		both  bool
		fails string
	}{
		{"Date;Uhrzeit;Stage [cm]\n31.10.2026;14:15;124,5\n31.10.2026;14:30;124\n", club.CSVPlan{Comma: ";", Time: "1", Clock: "2", Level: "3", Layout: club.TimeDMY, DecimalComma: true}, club.Centimetres, false, ""},
		{"id,when,flow,level_m\n7,2026-10-31 14:15,12,1.2\n7,2026-10-31 14:30,12,1.3\n", club.CSVPlan{Comma: ",", Time: "2", Level: "4", Layout: club.TimeISO}, club.Metres, false, ""},
		{"05/11/2026 14:15\t1240\n05/11/2026 14:30\t2240\n", club.CSVPlan{Comma: "tab", Time: "1", Level: "2", Layout: club.TimeDMY}, club.Millimetres, true, ""},
		{"1793888100,0.5\n1793889000,0.6\n", club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeUnix}, club.Metres, false, ""},
		{"one\ntwo\n", club.CSVPlan{}, "", false, "one column"},
		{"", club.CSVPlan{}, "", false, "empty"},
		{"\x00\x00", club.CSVPlan{}, "", false, "not plain text"},
	}
	for _, c := range cases {
		g, err := feeds.GuessCSV(strings.NewReader(c.text))
		switch {
		case c.fails != "":
			if err == nil || !strings.Contains(err.Error(), c.fails) {
				t.Errorf("%q: %v, want %q", c.text, err, c.fails)
			}
		case err != nil || g.Plan != c.plan || g.Unit != c.unit || g.BothWays != c.both:
			t.Errorf("%q: %+v %v both ways %v, %v", c.text, g.Plan, g.Unit, g.BothWays, err)
		}
	}
}

// endless is a table without end.
type endless struct{ line []byte }

func (e endless) Read(p []byte) (int, error) { return copy(p, e.line), nil }

func TestBoundsOfATable(t *testing.T) {
	t.Parallel()
	plan := club.CSVPlan{Comma: ",", Time: "1", Level: "2", Layout: club.TimeISO, Zone: "UTC"}
	for _, r := range []io.Reader{endless{[]byte("2026-10-31 14:15,1\n")}, endless{[]byte("xxxxxxxx")}} {
		if err := feeds.ScanCSV(r, plan, 1<<20, func(feeds.Row) error { return nil }); err == nil || !strings.Contains(err.Error(), "too long") {
			t.Errorf("%v", err)
		}
	}
}

func TestPosts(t *testing.T) {
	t.Parallel()
	cases := []struct {
		kind, body       string
		levels, refused  int
		first, wholeSays string
	}{
		{"application/json", `{"levels": [{"at": "2026-11-05T14:15:00Z", "level_m": 1.24}, {"at": "2026-11-05T14:15:00", "level_m": 1}, {"at": "2026-11-05T14:15:00Z", "level_m": -999999}, {"level_m": 1}, 7, null, {"at": "2026-11-05T14:15:00Z", "level_m": 70}]}`, 1, 6, "its time has no zone", ""},
		{"application/json", `[{"at": "2026-11-05T14:15:00+01:00", "level_m": "1.24"}]`, 1, 0, "", ""},
		{"application/json", `{}`, 0, 0, "", "not JSON with a list"}, {"application/json", `{"levels": 1}`, 0, 0, "", "not JSON"}, {"application/json", `{`, 0, 0, "", "not JSON"}, {"application/json", ``, 0, 0, "", "not JSON"},
		{"text/csv", "at,level_m\n2026-11-05T14:15:00Z,1.24\n2026-11-05T14:30:00Z,x\n", 1, 1, "its level is not a number", ""},
		{"application/json", `[` + strings.Repeat("0,", 20000) + `0]`, 0, 0, "", "no more than 20000"},
	}
	for _, c := range cases {
		levels, refused, err := feeds.ParsePost(c.kind, strings.NewReader(c.body), 1<<20, now)
		if c.wholeSays != "" {
			if err == nil || !strings.Contains(err.Error(), c.wholeSays) {
				t.Errorf("%.60s: %v, want %q", c.body, err, c.wholeSays)
			}
			continue
		}
		if err != nil || len(levels) != c.levels || len(refused) != c.refused || c.refused > 0 && refused[0].Why != c.first {
			t.Errorf("%.60s: %v, %v, %v", c.body, levels, refused, err)
		}
	}
}
