package club_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
)

func TestParseWanted(t *testing.T) {
	for _, c := range []struct{ text, label, words string }{
		{"14", "14", ""}, {"14a", "14a", ""}, {" peg  14 ", "14", ""}, {"Peg 14A", "14A", ""}, {"no 7", "7", ""},
		{"sallow reach 14", "14", "sallow reach"}, {"14 sallow", "14", "sallow"}, {"Sallow Reach", "", "Sallow Reach"},
		{"", "", ""}, {"peg", "", ""}, {"12345", "", "12345"}, {"14ab", "", "14ab"}, {"-3", "", "-3"}, {"３", "", "３"},
		{"3 4", "4", ""},
	} {
		w := club.ParseWanted(c.text)
		if w.Label != c.label || strings.Join(w.Words, " ") != c.words {
			t.Errorf("%q: %+v, want %q and %q", c.text, w, c.label, c.words)
		}
	}
}

func TestNearestLabels(t *testing.T) {
	posts := strings.Fields("1 2 3 9 14 14A 15 20")
	for _, c := range []struct{ asked, want string }{
		{"16", "14 14A 15"}, {"14B", "14 14A 15"}, {"0", "1 2 3"}, {"999", "14 15 20"}, {"99999999999999", "14 15 20"},
		{"", "1 2 3"}, {"weir", "1 2 3"}, {"7", "2 3 9"},
	} {
		if got := strings.Join(club.NearestLabels(posts, c.asked, 3), " "); got != c.want {
			t.Errorf("%q: %s, want %s", c.asked, got, c.want)
		}
	}
	if got := club.NearestLabels(nil, "3", 3); len(got) != 0 {
		t.Errorf("of no pegs: %v", got)
	}
	if got := club.NearestLabels(posts, "3", 100); !slices.Equal(got, posts) {
		t.Errorf("more than there are: %v", got)
	}
}

func TestSlug(t *testing.T) {
	for name, want := range map[string]string{
		"Two rods": "two-rods", "inside": "inside", "  The -- Deep  Hole! ": "the-deep-hole", "Pool 2": "pool-2",
		"": "", "***": "", "Größe": "gr-e", "a/b?c": "a-b-c",
	} {
		if got := club.Slug(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

func TestFloodEvents(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2025, 1, n, 0, 0, 0, 0, time.UTC) }
	late := day(200)
	for _, c := range []struct {
		name string
		days []time.Time
		now  time.Time
		want []time.Time
	}{
		{"none", nil, late, nil},
		{"one day ends at its end", []time.Time{day(3)}, late, []time.Time{day(4)}},
		{"days that follow are one flood", []time.Time{day(3), day(4), day(6)}, late, []time.Time{day(7)}},
		{"three days between are still one", []time.Time{day(3), day(6)}, late, []time.Time{day(7)}},
		{"four days apart are two", []time.Time{day(3), day(7)}, late, []time.Time{day(4), day(8)}},
		{"one going on ends now", []time.Time{day(3)}, day(3).Add(9 * time.Hour), []time.Time{day(3).Add(9 * time.Hour)}},
	} {
		if got := club.FloodEvents(c.days, c.now); !slices.EqualFunc(got, c.want, time.Time.Equal) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestClosureCovers(t *testing.T) {
	labels := strings.Fields("1 2 3 14A 15")
	for _, c := range []struct{ from, to, want string }{
		{"", "", "1 2 3 14A 15"}, {"2", "2", "2"}, {"2", "14A", "2 3 14A"}, {"14A", "2", "2 3 14A"}, {"1", "15", "1 2 3 14A 15"},
		{"2", "99", ""}, {"99", "2", ""},
	} {
		var got []string
		for i, l := range labels {
			if club.ClosureCovers(club.Closure{FromLabel: c.from, ToLabel: c.to}, labels, i) {
				got = append(got, l)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s to %s covers %v, want %s", c.from, c.to, got, c.want)
		}
	}
}

func TestCloseSeason(t *testing.T) {
	// 15 March to 15 June inclusive: freshwater rod fishing rules, gov.uk. In June
	// London is an hour ahead of UTC; in mid March it is not.
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	for at, closed := range map[string]bool{
		"2026-03-14T23:59:59Z": false, "2026-03-15T00:00:00Z": true, "2026-04-30T12:00:00Z": true,
		"2026-06-15T22:59:59Z": true, "2026-06-15T23:00:00Z": false, "2026-06-16T00:00:00Z": false,
		"2026-03-14T12:00:00Z": false, "2026-06-16T12:00:00Z": false, "2028-02-29T12:00:00Z": false,
	} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		if got := club.InCloseSeason(when, london); got != closed {
			t.Errorf("%s: %v, want %v", at, got, closed)
		}
	}
}
