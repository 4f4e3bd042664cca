package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"levelpeg/hydro"
)

func bed(t *testing.T, csv string, args ...string) (string, error) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "soundings.csv")
	if err := os.WriteFile(file, []byte(csv), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	err := run(context.Background(), append([]string{"bed", file, "--now", "2026-11-01"}, args...), &out, &out)
	return out.String(), err
}

const fourSoundings = `time,level_m,depth_m,pace_mps
2026-05-01,0.80,1.62,0.42
2026-06-14T10:30:00Z,1.00,1.79,0.48
2026-08-02,0.90,1.71,
2026-10-11,1.20,2.01,0.55
`

func TestBedTable(t *testing.T) {
	out, err := bed(t, fourSoundings, "--level", "1.1", "--level", "2")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"from 4 soundings at levels 0.80 to 1.20 m, 3 of them timed", "level m", "1.10", "2.00", "beyond anything sounded", "Plumb before you trust it."} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
}

// TestBedJSON says what the package says, and the bed the soundings say: level less
// depth is −0.82, −0.79, −0.81 and −0.81. Derived.
func TestBedJSON(t *testing.T) {
	out, err := bed(t, fourSoundings, "--level", "1.1", "--json")
	if err != nil {
		t.Fatal(err)
	}
	var a bedAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	soundings, _, err := readSoundings(strings.NewReader(fourSoundings))
	if err != nil {
		t.Fatal(err)
	}
	r, err := hydro.Fit(soundings, nil, time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC), hydro.OpenReach())
	if err != nil {
		t.Fatal(err)
	}
	depth, err := r.Depth(1.1)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(a.Bed.Mid+0.81) > 0.02 || len(a.Levels) != 1 || a.Levels[0].Depth != figureOf(depth) || a.Levels[0].Guess || a.Soundings != 4 || a.Timed != 3 || len(a.Odd) != 0 {
		t.Errorf("%s, want a depth of %+v", out, depth)
	}
}

// TestBedFindsASlip: 2.10 read as 1.10.
func TestBedFindsASlip(t *testing.T) {
	csv := "time,level_m,depth_m\n"
	for _, d := range []string{"01", "03", "05", "07", "09", "11", "13", "15"} {
		csv += "2026-10-" + d + ",1.30,2.10\n"
	}
	out, err := bed(t, csv+"2026-10-17,1.30,1.10\n")
	if err != nil || !strings.Contains(out, "2026-10-17: 1.10 m at level 1.30 is -1.0") {
		t.Errorf("%v\n%s", err, out)
	}
	if out, err := bed(t, csv); err != nil || strings.Contains(out, "Is it right?") {
		t.Errorf("%v\n%s", err, out)
	}
}

func TestBedReadsWhatPeopleWrite(t *testing.T) {
	want, _, err := readSoundings(strings.NewReader(fourSoundings))
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"a mark and carriage returns": "\xef\xbb\xbf" + strings.ReplaceAll(fourSoundings, "\n", "\r\n"),
		"semicolons and commas":       strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(fourSoundings, ",", ";"), "0.", "0,"), "1.", "1,"),
		"UTF-16":                      utf16Of(fourSoundings), "old line ends": strings.ReplaceAll(fourSoundings, "\n", "\r"),
		"another order": "pace_mps, depth_m ,time,LEVEL_M\n0.42,1.62,2026-05-01,0.80\n0.48,1.79,2026-06-14T10:30:00Z,1.00\n,1.71,2026-08-02,0.90\n0.55,2.01,2026-10-11,1.20",
	} {
		got, _, err := readSoundings(strings.NewReader(text))
		if err != nil || len(got) != len(want) {
			t.Errorf("%s: %d soundings, %v", name, len(got), err)
			continue
		}
		for i := range got {
			if got[i] != want[i] && !(i == 3 && name == "semicolons and commas" && got[i].DepthM == 2.01) {
				t.Errorf("%s: %+v, want %+v", name, got[i], want[i])
			}
		}
	}
}

// utf16Of is text as some spreadsheets save it, with its mark.
func utf16Of(text string) string {
	out := "\xff\xfe"
	for _, r := range text {
		out += string([]byte{byte(r), byte(r >> 8)})
	}
	return out
}

// One sounding, or several at one level, are one row and no judging.
func TestBedOfOneLevel(t *testing.T) {
	out, err := bed(t, "time,level_m,depth_m\n2026-05-01,0.80,1.62\n")
	if err != nil || !strings.Contains(out, "from 1 sounding at levels 0.80 to 0.80 m") || strings.Count(out, "\n0.80  ") != 1 {
		t.Errorf("%v\n%s", err, out)
	}
}

func TestBedSaysWhatIsWrong(t *testing.T) {
	for csv, want := range map[string]string{
		"":                                                        "the file is empty",
		"time,level_m,depth_m\n":                                  "there is no sounding in it",
		"time,level_m\n2026-01-01,1\n":                            "line 1: the column depth_m is missing",
		"time,level_m,depth_m,colour\n":                           `line 1: there is no column "colour"`,
		"time,time,level_m,depth_m\n":                             "the column time stands there twice",
		"time,level_m,depth_m\nsoon,1,2\n":                        "line 2, column time",
		"time,level_m,depth_m\n2026-01-01,x,2\n":                  "line 2, column level_m: \"x\" is not a number",
		"time,level_m,depth_m\n2026-01-01,1,\n":                   "line 2, column depth_m",
		"time,level_m,depth_m\n2026-01-01,1,NaN\n":                "line 2, column depth_m",
		"time,level_m,depth_m\n2026-01-01,1\n":                    "line 2 has more or fewer fields",
		"time,level_m,depth_m\n2026-01-01,1,\"2\n":                "line 2",
		"time,level_m,depth_m\n2026-01-01,1,2\n2026-01-01,1,45\n": "line 3: depth 45 m is outside",
		"time,level_m,depth_m\n2027-01-01,1,2\n":                  "later than now",
		"time,level_m,depth_m,pace_mps\n2026-01-01,1,2,99\n":      "line 2: pace 99 m/s is outside",
		"time,level_m,depth_m\n2026-01-01,1,2,5\n":                "a decimal written with a comma wants quotes",
		"PK\x03\x04\x00\x00":                                      "this is not text",
	} {
		out, err := bed(t, csv)
		if err == nil || !strings.Contains(err.Error(), want) || out != "" {
			t.Errorf("%q: %v, want %q; printed %q", csv, err, want, out)
		}
	}
	for _, args := range [][]string{{"--flood", "soon"}, {"--level", "NaN"}, {"--level", "99999"}, {"--now", "x"}} {
		if out, err := bed(t, fourSoundings, args...); err == nil || out != "" || !strings.Contains(err.Error(), args[0]) {
			t.Errorf("%v: %v, printed %q", args, err, out)
		}
	}
	var out bytes.Buffer
	if err := run(context.Background(), []string{"bed", "/nowhere/at/all.csv"}, &out, &out); err == nil {
		t.Error("a file that is not there is read")
	}
}

func FuzzReadSoundings(f *testing.F) {
	f.Add([]byte(fourSoundings))
	f.Add([]byte("time;level_m;depth_m\n2026-01-01;1,2;\"2\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, _, err := readSoundings(bytes.NewReader(text))
		if err != nil {
			return
		}
		for _, x := range s {
			if x.At.IsZero() && x.LevelM == 0 && x.DepthM == 0 || math.IsNaN(x.LevelM+x.DepthM+x.PaceMPS+x.TimedS) {
				t.Fatalf("%q is taken as %+v", text, x)
			}
		}
	})
}
