package parse_test

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"levelpeg/club"
	"levelpeg/handlers/parse"
)

var now = time.Date(2026, 11, 25, 9, 3, 0, 0, time.UTC)

func lookBack(t *testing.T, query string) (club.LookBack, error) {
	t.Helper()
	q, err := url.ParseQuery(query)
	if err != nil {
		t.Fatal(err)
	}
	return parse.LookBack(q, now)
}

func TestSpan(t *testing.T) {
	want := map[string]string{"": "2d", "span=": "2d", "days=": "2d",
		"days=2": "2d", "days=7": "10d", "days=30": "6w", "days=365": "1y", "days=1826": "5y", "days=7305": "20y", "span=6h&days=30": "6h"}
	for _, s := range club.Spans() {
		want["span="+s.Slug] = s.Slug
	}
	for query, slug := range want {
		if look, err := lookBack(t, query); err != nil || look.Span.Slug != slug {
			t.Errorf("%q: %+v, %v, want %s", query, look, err, slug)
		}
	}
	for _, query := range []string{"days=3", "days=-7", "days=7.0", "days=x", "days=99999999999999999999", "span=7d", "span=6H", "span=+6h",
		"span=x&days=30", "span=" + strings.Repeat("a", 500), "span=%00", "span=%ff"} {
		look, err := lookBack(t, query+"&to=2026-11-20T10:00")
		if club.KindOf(err) != club.Invalid || look.Span != club.UsualSpan() || look.ToClock.IsZero() {
			t.Errorf("%.30q: %+v, %v, want a refusal, the usual span, and what was right beside it", query, look, err)
		}
		if len([]rune(err.Error())) > 200 {
			t.Errorf("%.30q is answered with %d signs", query, len([]rune(err.Error())))
		}
	}
}

func TestTo(t *testing.T) {
	clock := func(day, hour, minute int) time.Time { return time.Date(2026, 11, day, hour, minute, 0, 0, time.UTC) }
	for text, want := range map[string]club.LookBack{
		"":                     {},
		"2026-11-20":           {ToClock: clock(21, 0, 0)},
		"2026-11-25":           {ToClock: clock(26, 0, 0)}, // today, to its end
		"2026-11-20T10:00":     {ToClock: clock(20, 10, 0)},
		"2026-11-20T10:00:00Z": {To: clock(20, 10, 0)},
		"1799-01-01":           {ToClock: time.Date(1799, 1, 2, 0, 0, 0, 0, time.UTC)},
	} {
		look, err := lookBack(t, "to="+url.QueryEscape(text))
		if err != nil || !look.To.Equal(want.To) || !look.ToClock.Equal(want.ToClock) {
			t.Errorf("%q: %+v, %v, want %+v", text, look, err, want)
		}
	}
	if look, err := lookBack(t, "to=2026-11-20T10:00:00%2B02:00"); err != nil || !look.To.Equal(clock(20, 8, 0)) {
		t.Errorf("with a zone: %+v, %v", look, err)
	}
	for _, text := range []string{"yesterday", "20.11.2026", "2026-11-31", "2026-11-20T25:00", "2026-11-20 10:00", "1", "2027-01-01", "1699-12-30", "99999-01-01",
		"0000-01-01", "-2026-01-01", "2026-11-20T10:00:00", "2026-02-29", "\x00", "\xff", strings.Repeat("2", 500), "<script>"} {
		look, err := lookBack(t, "span=1y&to="+url.QueryEscape(text))
		if club.KindOf(err) != club.Invalid || look.Span.Slug != "1y" || !look.To.IsZero() || !look.ToClock.IsZero() {
			t.Errorf("%.30q: %+v, %v, want a refusal and the span", text, look, err)
		}
		if err != nil && len([]rune(err.Error())) > 200 {
			t.Errorf("%.30q is answered with %d signs", text, len([]rune(err.Error())))
		}
	}
}

func TestLookBackOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringMatching(`[0-9]{1,5}-[0-9]{1,2}-[0-9]{1,2}(T[0-9]{2}:[0-9]{2}(:[0-9]{2}Z)?)?`)).Draw(t, "text")
		look, err := parse.LookBack(url.Values{"span": {rapid.String().Draw(t, "span")}, "to": {text}}, now)
		if look.Span.Slug == "" || !look.To.IsZero() && !look.ToClock.IsZero() {
			t.Fatalf("%+v, %v", look, err)
		}
		for _, to := range []time.Time{look.To, look.ToClock} {
			if !to.IsZero() && (to.After(now.AddDate(0, 0, 3)) || to.Year() < 1700) {
				t.Fatalf("%q is taken as %v", text, to)
			}
		}
	})
}
