package draw

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var chartNow = time.Date(2025, 10, 18, 10, 0, 0, 0, time.UTC)

// hoursAgo are spans of an hour that begin so many hours ago.
func hoursAgo(lowM, highM float64, hours ...int) []LevelSpan {
	var out []LevelSpan
	for _, h := range hours {
		out = append(out, LevelSpan{At: chartNow.Add(-time.Duration(h) * time.Hour), LowM: lowM, HighM: highM, MidM: (lowM + highM) / 2})
	}
	return out
}

func chart(days int) Levels {
	return Levels{Title: "<none> & 'none'", From: chartNow.AddDate(0, 0, -days), To: chartNow, Loc: time.UTC, Step: time.Hour, Gap: 90 * time.Minute}
}

func classes(all []element, class string) int {
	n := 0
	for _, e := range all {
		if e["class"] == class {
			n++
		}
	}
	return n
}

// TestLevels: what is joined is a band and a course, what stands alone is a stroke,
// and the latest level is where its height says, over any span.
func TestLevels(t *testing.T) {
	for name, c := range map[string]struct {
		spans          []LevelSpan
		bands, courses int
		alone          int
	}{
		"nothing":      {},
		"one":          {spans: hoursAgo(1, 1, 2), alone: 1},
		"two":          {spans: hoursAgo(1, 1.1, 2, 1), bands: 1, courses: 1},
		"readings":     {spans: hoursAgo(1, 1, 3, 2, 1), courses: 1},
		"a gap":        {spans: hoursAgo(1, 1.1, 20, 19, 10, 9), bands: 2, courses: 2},
		"a gap, alone": {spans: hoursAgo(-0.4, -0.2, 20, 19, 10), bands: 1, courses: 1, alone: 1},
	} {
		for _, days := range []int{1, 2, 7, 30, 365, 1826, 7305, 30000} {
			d := chart(days)
			d.Spans, d.Latest = c.spans, &LevelAt{At: chartNow.Add(-20 * time.Minute), LevelM: -0.25}
			svg := drawn(t, d.Draw())
			all := elements(t, svg)
			if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || strings.Contains(svg, "style=") {
				t.Errorf("%s over %d days: %s", name, days, svg)
			}
			if b, k, a := classes(all, "band"), classes(all, "course"), classes(all, "alone"); b != c.bands || k != c.courses || a != c.alone {
				t.Errorf("%s over %d days: %d bands, %d courses, %d alone; want %d, %d, %d", name, days, b, k, a, c.bands, c.courses, c.alone)
			}
			s := d.scale()
			if y := find(t, all, "class", "now").number(t, "cy"); math.Abs(y-s.y(-0.25)) > 0.051 || y < chartT || y > chartB {
				t.Errorf("%s: the latest is at %v, its level at %v", name, y, s.y(-0.25))
			}
		}
	}
}

// TestOldLatest: a latest reading from before the drawing is on the board alone.
func TestOldLatest(t *testing.T) {
	d := chart(2)
	d.Latest = &LevelAt{At: chartNow.AddDate(0, -1, 0), LevelM: 1}
	all := elements(t, drawn(t, d.Draw()))
	if classes(all, "now") != 0 || classes(all, "mark") != 1 {
		t.Errorf("%d dots and %d marks, want none and one", classes(all, "now"), classes(all, "mark"))
	}
	d.Latest = nil
	if all := elements(t, drawn(t, d.Draw())); classes(all, "mark") != 0 {
		t.Error("a history that ends before now has the water's mark")
	}
}

// TestRules: each level has its line, and its words unless they would lie over those
// above.
func TestRules(t *testing.T) {
	d := chart(2)
	d.Spans = hoursAgo(0.5, 0.6, 3, 2, 1)
	d.Rules = []Rule{{1.5, "care above 1.50"}, {1.85, "no fishing above 1.85"}, {1.86, "no fishing above 1.86"}, {1.85, "again"}}
	svg := drawn(t, d.Draw())
	if n := classes(elements(t, svg), "rule"); n != 3 {
		t.Errorf("%d lines, want 3", n)
	}
	for words, want := range map[string]bool{"care above 1.50": true, "no fishing above 1.86": true, "no fishing above 1.85": false, "again": false} {
		if strings.Contains(svg, words) != want {
			t.Errorf("“%s” is said: %v", words, !want)
		}
	}
}

func TestZeros(t *testing.T) {
	d := chart(100)
	day := func(n int) time.Time { return chartNow.AddDate(0, 0, -n) }
	d.Zeros = []time.Time{day(500), day(90), day(89), day(20), day(1)}
	svg := drawn(t, d.Draw())
	if lines, words := classes(elements(t, svg), "plumb"), strings.Count(svg, "new zero"); lines != 4 || words != 2 {
		t.Errorf("%d zeros are marked, %d in words; want 4 and 2, which have room", lines, words)
	}
}

func fanOf(hours ...int) []FanPoint {
	var out []FanPoint
	for _, h := range hours {
		out = append(out, FanPoint{At: chartNow.Add(time.Duration(h) * time.Hour), MidM: 1, LowM: 1 - float64(h)/100, HighM: 1 + float64(h)/100})
	}
	return out
}

// TestFan: what is foretold comes after now, in words too, and takes no more than
// its share of the drawing.
func TestFan(t *testing.T) {
	d := chart(2)
	d.Spans, d.Latest, d.Fan = hoursAgo(1, 1, 3, 2, 1), &LevelAt{At: chartNow, LevelM: 1}, fanOf(0, 6, 12, 24, 30, 72)
	svg := drawn(t, d.Draw())
	all := elements(t, svg)
	if classes(all, "fan") != 1 || classes(all, "foretold") != 1 || classes(all, "nowline") != 1 || !strings.Contains(svg, ">expected<") {
		t.Errorf("the fan is not drawn: %s", svg)
	}
	d.Fan = d.fanShown()
	s := d.scale()
	if n := len(d.Fan); n != 5 || !s.to.Equal(chartNow.Add(30*time.Hour)) {
		t.Errorf("%d points to %v, want those up to 30 hours", n, s.to)
	}
	if share := (chartR - s.x(chartNow)) / (chartR - chartL); share > fanShare+1e-9 {
		t.Errorf("it takes %v of the drawing", share)
	}
	if low := s.lowM; low > 1-0.30 {
		t.Errorf("the drawing ends at %v, and the range at 0.70", low)
	}
	// Over a year three days have no room for a word, but are there.
	year := chart(365)
	year.Spans, year.Fan = hoursAgo(1, 1, 3, 2, 1), fanOf(0, 72)
	if svg := drawn(t, year.Draw()); strings.Contains(svg, "expected") || classes(elements(t, svg), "fan") != 1 {
		t.Error("a narrow fan has words, or is not drawn")
	}
	for _, fan := range [][]FanPoint{nil, fanOf(3), fanOf(200, 300)} {
		d.Fan = fan
		if classes(elements(t, drawn(t, d.Draw())), "fan") != 0 {
			t.Errorf("%v makes a fan", fan)
		}
	}
}

// TestTicks: over any time in any zone, at most a dozen, in order, inside it, each at
// the round time it says.
func TestTicks(t *testing.T) {
	zones := []string{"Europe/London", "UTC", "Asia/Kathmandu", "America/St_Johns", "Pacific/Apia"}
	rapid.Check(t, func(t *rapid.T) {
		loc, err := time.LoadLocation(rapid.SampledFrom(zones).Draw(t, "zone"))
		if err != nil {
			t.Skip(err)
		}
		to := time.Unix(rapid.Int64Range(-3e9, 3e9).Draw(t, "to"), 0)
		length := time.Duration(math.Exp(rapid.Float64Range(math.Log(3600), math.Log(4e9)).Draw(t, "length")) * 1e9)
		from := to.Add(-length)
		all := ticks(from, to, loc)
		if len(all) > mostTicks+2 {
			t.Fatalf("%d ticks over %v", len(all), length)
		}
		if len(all) < 1 && length > 26*time.Hour {
			t.Fatalf("no tick over %v", length)
		}
		for i, k := range all {
			if !k.at.After(from) || !k.at.Before(to) || i > 0 && !k.at.After(all[i-1].at) || k.label == "" {
				t.Fatalf("tick %d of %v to %v: %+v", i, from, to, all)
			}
		}
	})
}

func TestTicksOfTheSpans(t *testing.T) {
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Skip("SKIPPED: no time zones on this machine: ", err)
	}
	now := time.Date(2025, 10, 27, 9, 7, 0, 0, time.UTC)
	for _, c := range []struct {
		from time.Time
		want string
	}{
		{now.Add(-6 * time.Hour), "04:00 05:00 06:00 07:00 08:00 09:00"},
		{now.AddDate(0, 0, -2), "12:00 Sun 26 12:00 Mon 27"}, // the clocks went back on the 26th
		{now.AddDate(0, 0, -10), "Sun 19 Tue 21 Thu 23 Sat 25 Mon 27"},
		{now.AddDate(0, 0, -42), "29 Sep 13 Oct 27 Oct"},
		{now.AddDate(-1, 0, 0), "2025 Apr Jul Oct"},
		{now.AddDate(-5, 0, 0), "2021 2022 2023 2024 2025"},
		{now.AddDate(-20, 0, 0), "2010 2015 2020 2025"},
	} {
		var got []string
		for _, k := range ticks(c.from, now, london) {
			got = append(got, k.label)
		}
		if words := strings.Join(got, " "); words != c.want {
			t.Errorf("from %v: %s, want %s", c.from, words, c.want)
		}
	}
}
