package parse_test

import (
	"math"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/rig"
)

func TestLevel(t *testing.T) {
	for text, want := range map[string]float64{
		"1.24": 1.24, "1,24": 1.24, "-0.3": -0.3, "−0.3": -0.3, "+1": 1, "0": 0, "-0": 0, ".5": 0.5, "-.5": -0.5, "1.": 1,
		" 1.24m ": 1.24, "1.24 m": 1.24, "0001.24": 1.24, "1.249999": 1.25, "1.235": 1.24, "50": 50, "-20": -20, "50.000000": 50,
	} {
		v, err := parse.Level(url.Values{"level": {text}})
		if err != nil || v == nil || math.Abs(*v-want) > 1e-12 {
			t.Errorf("%q: %v, %v, want %v", text, v, err, want)
		}
	}
	for _, text := range []string{"", " ", "m", "abc", "1e9", "1E1", "NaN", "nan", "Inf", "-inf", "infinity", "0x1", "0b1", "1_0", "1.2.3", "1,2.3",
		"--1", "+-1", "1-", "1 2", "50.01", "-20.01", "99999", "1.2345678", "²", "١", "1\x00", "\xff", "1\n2", "$1", "1;drop", strings.Repeat("1", 1000)} {
		v, err := parse.Level(url.Values{"level": {text}})
		if club.KindOf(err) != club.Invalid || v != nil {
			t.Errorf("%q: %v, %v, want a refusal", text, v, err)
		}
		if err != nil && len([]rune(err.Error())) > 200 {
			t.Errorf("%.20q is answered with %d signs", text, len([]rune(err.Error())))
		}
	}
	if v, err := parse.Level(url.Values{}); v != nil || err != nil {
		t.Errorf("no level asked: %v, %v", v, err)
	}
	if v, err := parse.Level(url.Values{"level": {"1", "x"}}); err != nil || *v != 1 {
		t.Errorf("asked twice: %v, %v", v, err)
	}
}

// TestLevelOfAnything gives a number in range, or a sentence; never both or neither.
func TestLevelOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringMatching(`[+-]?[0-9.,eExm ]{0,9}`)).Draw(t, "text")
		v, err := parse.Level(url.Values{"level": {text}})
		if (v == nil) == (err == nil) {
			t.Fatalf("%q: %v, %v", text, v, err)
		}
		if v != nil && !(*v >= club.MinLevelM && *v <= club.MaxLevelM) {
			t.Fatalf("%q is taken as %v", text, *v)
		}
	})
}

func TestTackle(t *testing.T) {
	for text, want := range map[string]club.Tackle{
		"": {},
		"chart=retail&shot=tin&olivette=tungsten": {},
		"chart=counts":                       {Chart: "counts"},
		"chart=continental&shot=lead":        {Chart: "continental", Shot: rig.Lead},
		"shot=tungsten&olivette=tin":         {Shot: rig.Tungsten, Olivette: rig.Tin},
		"olivette=lead&chart=counts&chart=x": {Chart: "counts", Olivette: rig.Lead},
	} {
		q, err := url.ParseQuery(text)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := parse.Tackle(q); err != nil || got != want {
			t.Errorf("%s: %+v, %v, want %+v", text, got, err, want)
		}
	}
}

// What is wrong is refused, and what is right beside it is kept.
func TestTackleThatMakesNoSense(t *testing.T) {
	for _, bad := range []string{"", " ", "x", "Counts", "counts ", "lead,tin", "\x00", "\xff", "standard", strings.Repeat("a", 500)} {
		for _, name := range []string{"chart", "shot", "olivette"} {
			q := url.Values{"chart": {"counts"}, "shot": {"lead"}, "olivette": {"tin"}}
			q.Set(name, bad)
			want := club.Tackle{Chart: "counts", Shot: rig.Lead, Olivette: rig.Tin}
			switch name {
			case "chart":
				want.Chart = ""
			case "shot":
				want.Shot = ""
			case "olivette":
				want.Olivette = ""
			}
			got, err := parse.Tackle(q)
			if club.KindOf(err) != club.Invalid || got != want || len([]rune(err.Error())) > 200 {
				t.Errorf("%s=%.20q: %+v, %v, want %+v and a refusal", name, bad, got, err, want)
			}
		}
	}
}

func TestHold(t *testing.T) {
	for _, want := range []int{0, 25, 30, 50, 100} {
		if got, err := parse.Hold(url.Values{"hold": {strconv.Itoa(want)}}); err != nil || got == nil || *got != want {
			t.Errorf("%d: %v, %v", want, got, err)
		}
	}
	if got, err := parse.Hold(url.Values{}); got != nil || err != nil {
		t.Errorf("none asked: %v, %v", got, err)
	}
	for _, bad := range []string{"", " ", "33", "-25", "+25", "025", "25.0", "25 %", "a third", "1e2", "NaN", "99999999999999999999"} {
		if got, err := parse.Hold(url.Values{"hold": {bad}}); got != nil || club.KindOf(err) != club.Invalid {
			t.Errorf("%q: %v, %v, want a refusal", bad, got, err)
		}
	}
}

func TestMoment(t *testing.T) {
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	utc := func(text string) time.Time {
		at, err := time.Parse(time.RFC3339, text)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	for text, want := range map[string]time.Time{
		"2026-11-28T10:00":          utc("2026-11-28T10:00:00Z"),
		"2026-07-04T10:00":          utc("2026-07-04T09:00:00Z"), // summer time
		"2026-07-04 10:00":          utc("2026-07-04T09:00:00Z"),
		"2026-07-04T10:00:30":       utc("2026-07-04T09:00:30Z"),
		" 2026-07-04T10:00 ":        utc("2026-07-04T09:00:00Z"),
		"2026-07-04T10:00:00Z":      utc("2026-07-04T10:00:00Z"),
		"2026-07-04T10:00:00+02:00": utc("2026-07-04T08:00:00Z"),
		"2026-07-04T10:00:00 02:00": utc("2026-07-04T08:00:00Z"),
		"2026-03-29T01:30":          utc("2026-03-29T01:30:00Z"), // the clock skips it
	} {
		w, err := parse.Moment(url.Values{"at": {text}})
		if got := w.In(loc); err != nil || !got.Equal(want) {
			t.Errorf("%q: %v, %v, want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", " ", "tomorrow", "28/11/2026", "2026-11-28", "2026-02-30T10:00", "2026-11-28T25:00", "2026-11-28T10:00\x00", "\xff", "10:00", strings.Repeat("2", 999)} {
		w, err := parse.Moment(url.Values{"at": {text}})
		if club.KindOf(err) != club.Invalid || !w.IsZero() {
			t.Errorf("%.20q: %v, %v, want a refusal", text, w, err)
		}
		if err != nil && len([]rune(err.Error())) > 200 {
			t.Errorf("%.20q is answered with %d signs", text, len([]rune(err.Error())))
		}
	}
	if w, err := parse.Moment(url.Values{"at": {"2026-11-28T10:00"}, "level": {"1"}}); club.KindOf(err) != club.Invalid || !w.IsZero() {
		t.Errorf("a level and an hour: %v, %v", w, err)
	}
	if w, err := parse.Moment(url.Values{}); err != nil || !w.IsZero() {
		t.Errorf("none asked: %v, %v", w, err)
	}
}
