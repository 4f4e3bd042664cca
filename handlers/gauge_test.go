package handlers_test

import (
	"context"
	"encoding/json"
	"html"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

type historyJSON struct {
	Gauge struct {
		LevelM *float64 `json:"level_m"`
		ReadAt *string  `json:"read_at"`
		ZeroM  float64  `json:"zero_above_first_zero_m"`
	}
	Span, Each string
	From, To   time.Time
	Gap        float64 `json:"gap_over_hours"`
	Levels     []struct {
		From     time.Time
		Least    float64 `json:"least_m"`
		Most     float64 `json:"most_m"`
		Mean     float64 `json:"mean_m"`
		Readings int
	}
	Expected []any
	Zeros    []struct {
		Above float64 `json:"above_first_zero_m"`
	}
	Rules []struct {
		Above     *float64 `json:"above_m"`
		NoFishing bool     `json:"no_fishing"`
	}
	Venues []string
}

func (s site) history(query string) historyJSON {
	s.Helper()
	var h historyJSON
	if err := json.Unmarshal([]byte(s.want("/gauges/cinder-lane.json?"+query, 200).body), &h); err != nil {
		s.Fatal(err)
	}
	return h
}

// link finds the address behind the words of a link.
func link(body, words string) string {
	m := regexp.MustCompile(`<a href="([^"]+)"[^>]*>` + regexp.QuoteMeta(words) + `</a>`).FindStringSubmatch(body)
	if m == nil {
		return ""
	}
	return html.UnescapeString(m[1])
}

func TestEverySpanOfAGauge(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, span := range club.Spans() {
		page := s.want("/gauges/cinder-lane?span="+span.Slug, 200, "<svg", "<table", "JSON", "no fishing above 0.90", `aria-current>`+span.Words+`</a>`, " to now")
		if n := strings.Count(page.body, "aria-current"); n != 1 {
			t.Errorf("%s: %d spans are marked as chosen", span.Slug, n)
		}
		if link(page.body, "Later") != "" || link(page.body, "To now") != "" {
			t.Errorf("%s: a page up to now has a later one", span.Slug)
		}
		h := s.history("span=" + span.Slug)
		if h.Span != span.Slug || !h.To.Equal(dbtest.DemoNow) || len(h.Levels) == 0 || len(h.Levels) > 800 || span.By != "" && h.Each != string(span.By) {
			t.Errorf("%s: %d levels by %s to %v", span.Slug, len(h.Levels), h.Each, h.To)
		}
		for _, l := range h.Levels {
			if l.Least > l.Mean+1e-3 || l.Mean > l.Most+1e-3 || l.Readings < 1 {
				t.Fatalf("%s: %+v", span.Slug, l)
			}
		}
		if len(h.Zeros) != 2 || len(h.Rules) != 2 || len(h.Venues) != 1 || h.Expected == nil {
			t.Errorf("%s: %+v", span.Slug, h)
		}
	}
}

// TestGaugeInTime goes earlier until there is no more, and later again to now: each
// page goes on where the one before it ended, and none is missed.
func TestGaugeInTime(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	at := "/gauges/cinder-lane?span=1y"
	pages := 0
	before := s.history("span=1y")
	for ; pages < 10; pages++ {
		next := link(s.want(at, 200).body, "Earlier")
		if next == "" {
			break
		}
		h := s.history(strings.SplitN(next, "?", 2)[1])
		if h.To.Before(before.From) || h.To.Sub(before.From) > time.Minute {
			t.Errorf("%s goes to %v, and the page before from %v", next, h.To, before.From)
		}
		at, before = next, h
	}
	if pages != 3 { // the demo has three years, and its first hours lie before the third of them began
		t.Errorf("%d pages back in three years of levels", pages)
	}
	for pages = 0; pages < 10; pages++ {
		next := link(s.want(at, 200).body, "Later")
		if next == "" {
			break
		}
		at = next
	}
	if pages != 3 || strings.Contains(at, "to=") {
		t.Errorf("%d pages later it is %s", pages, at)
	}
	past := s.want("/gauges/cinder-lane?span=2d&to=2025-07-01T12:00", 200, "from Sun 29 June, 12:00 to Tue 1 July, 12:00", `value="2025-07-01"`)
	if got := link(past.body, "a year"); got != "/gauges/cinder-lane?span=1y&to=2025-07-01T12:00" {
		t.Errorf("another span at the same time is %s", got)
	}
	if strings.Contains(past.body, `class="now"`) || !strings.Contains(past.body, "min ago") {
		t.Error("the past has the water's mark of now, or the page does not begin with the level now")
	}
}

// TestGaugeTurnsLevelsToTheZeroInForce: before the board was replaced, 12 cm higher,
// the demo's readings on the old zero read 12 cm less on the one of today.
func TestGaugeTurnsLevelsToTheZeroInForce(t *testing.T) {
	t.Parallel()
	s, book := demoSite(t)
	to := dbtest.DemoNow.AddDate(-2, 0, 0)
	h := s.history("span=6h&to=" + to.Format("2006-01-02T15:04:05Z"))
	peg, v, err := book.PegAt(context.Background(), "cinder-bend", "3", nil, dbtest.DemoNow, to)
	v = slices.DeleteFunc(v, func(r club.Reading) bool { return !r.At.After(to.Add(-6*time.Hour)) || r.At.After(to) })
	if peg.Standing.Gauge.Slug != "cinder-lane" || err != nil || len(v) != len(h.Levels) || len(v) < 20 || h.Gauge.ZeroM != 0.12 {
		t.Fatalf("%d and %d levels, on a zero %v above the first, %v", len(h.Levels), len(v), h.Gauge.ZeroM, err)
	}
	for i, l := range h.Levels {
		if math.Abs(l.Mean-(v[i].DatumM-0.12)) > 1e-6 || !l.From.Equal(v[i].At) {
			t.Errorf("%v reads %v, on the datum %v", l.From, l.Mean, v[i].DatumM)
		}
	}
	s.want("/gauges/cinder-lane?span=5y", 200, "new zero", "0.12 m from the first one")
}

func TestGaugeAddressesThatMakeNoSense(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for query, words := range map[string]string{
		"span=7d": "“7d” is not a span this page looks back over. It may be 6h, 2d, 10d, 6w, 1y, 5y, 20y, all.",
		"days=3":  "“3” is not a span", "days=-7": "“-7” is not a span",
		"to=soon": "“soon” is not a time. Write a day such as 2026-11-20", "to=2031-01-01": "is not a time that has levels",
		"to=0001-01-01T00:00": "is not a time that has levels", "span=x&to=y": "“x” is not a span", "to=%3Cscript%3E": "&lt;script&gt;",
	} {
		a := s.want("/gauges/cinder-lane?"+query, 400, `role="alert"`, words, "<svg", "min ago")
		if strings.Contains(a.body, "<script>") {
			t.Errorf("%s comes back as markup", query)
		}
		j := s.get("/gauges/cinder-lane.json?" + query)
		var said struct{ Error string }
		if err := json.Unmarshal([]byte(j.body), &said); err != nil || j.status != 400 || !strings.Contains(html.EscapeString(said.Error), html.EscapeString(html.UnescapeString(words))) {
			t.Errorf("%s as JSON: %d %.200s", query, j.status, j.body)
		}
	}
	s.want("/gauges/nowhere.json", 404, `{"error":`)
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.600s", log)
	}
}

func TestGaugeWithAForecast(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	s.want("/gauges/cinder-lane", 200, `class="fan"`, `class="foretold"`, ">expected<", "Expected by Sun 19 October, ", "and four times in five between")
	a := s.want("/gauges/cinder-lane.json", 200)
	var said struct {
		Expected []struct {
			At    time.Time                        `json:"at"`
			Level struct{ Mid, Low, High float64 } `json:"level_m"`
		}
	}
	if err := json.Unmarshal([]byte(a.body), &said); err != nil || len(said.Expected) < 20 {
		t.Fatalf("%d levels to come, %v", len(said.Expected), err)
	}
	for i, p := range said.Expected {
		if !(p.Level.Low <= p.Level.Mid && p.Level.Mid <= p.Level.High) || i > 0 && !p.At.After(said.Expected[i-1].At) {
			t.Errorf("level to come %d: %+v", i, p)
		}
	}
	first, last := said.Expected[0].Level, said.Expected[len(said.Expected)-1].Level
	if last.High-last.Low <= first.High-first.Low {
		t.Errorf("the range does not widen: %+v, %+v", first, last)
	}
	if a := s.want("/gauges/cinder-lane?to=2025-07-01", 200); strings.Contains(a.body, "xpected") {
		t.Error("a page of the past foretells")
	}
}

func TestFixturesOnPages(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	// 18 October 2025 is a Saturday, and at seven minutes past ten in UTC the clocks in
	// London show seven past eleven: the first match is a week on, when they have not
	// gone back yet; the next ones begin at ten by winter time.
	const first, third = "/venues/sallow-reach?at=2025-10-25T10:00#pegs", "/venues/sallow-reach?at=2025-11-08T10:00#pegs"
	s.want("/venues/sallow-reach", 200, "Fixtures", "Members&#39; match", "Sat 25 October, 10:00 to 15:00", `href="`+first+`"`, `href="`+third+`"`)
	s.want("/", 200, "Members&#39; match", `href="`+first+`"`, "Pairs match")
	s.want("/venues.json", 200, `"next_fixture":{"name":"Members' match","starts_at":"2025-10-25T09:00:00Z","ends_at":"2025-10-25T14:00:00Z"}`)
	s.want("/venues/sallow-reach.json", 200, `"fixtures":[{"name":"Members' match"`, `"starts_at":"2025-11-08T10:00:00Z"`)
	s.want("/venues/sallow-reach?at=2025-10-25T10:00", 200, "As on <b>Sat 25 October 2025, 10:00</b>", `href="/venues/sallow-reach/pegs/14?at=2025-10-25T10:00"`)
	for _, at := range []string{"", "saturday", "2025-10-25", "2025-13-25T10:00", "<script>", "\x00"} {
		a := s.want("/venues/sallow-reach?at="+url.QueryEscape(at), 400, `role="alert"`, "day and an hour", `href="/venues/sallow-reach/pegs/14"`)
		if strings.Contains(a.body, "<script>") {
			t.Errorf("%q comes back as markup", at)
		}
	}
}
