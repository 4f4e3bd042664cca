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

var london = func() *time.Location {
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		panic(err)
	}
	return loc
}()

func TestClosure(t *testing.T) {
	for query, want := range map[string]club.ClosureDraft{
		"from_peg=&reason=Works":                           {Reason: "Works"},
		"from_peg=14&reason=Works":                         {From: club.PegRef{Label: "14"}, Reason: "Works"},
		"from_peg=14.ABCD&to_peg=16.EFGH&own=+Mine+":       {From: club.PegRef{Label: "14", Code: "ABCD"}, To: club.PegRef{Label: "16", Code: "EFGH"}, Reason: "Mine"},
		"from_peg=&own=Mine&reason=Tree+down":              {Reason: "Mine"}, // Enter presses the first button, whatever it says
		"from_peg=&reason=x&from=2026-07-04T10:00&to=":     {Reason: "x", Starts: time.Date(2026, 7, 4, 10, 0, 0, 0, london)},
		"from_peg=&reason=x&from=&to=2026-11-28T10:00:00Z": {Reason: "x", Ends: time.Date(2026, 11, 28, 10, 0, 0, 0, time.UTC)},
	} {
		q, err := url.ParseQuery(query)
		if err != nil {
			t.Fatal(err)
		}
		got, err := parse.Closure(q, london)
		if err != nil || got.From != want.From || got.To != want.To || got.Reason != want.Reason || !got.Starts.Equal(want.Starts) || !got.Ends.Equal(want.Ends) {
			t.Errorf("%s: %+v, %v", query, got, err)
		}
	}
	for query, words := range map[string]string{
		"reason=x": "Choose the pegs", "from_peg=?&reason=x": "Choose the pegs", "from_peg=1&to_peg=?": "Choose the pegs",
		"from_peg=1&from=soon": "“soon” is not a day", "from_peg=1&to=2026-02-30T10:00": "is not a day",
	} {
		q, err := url.ParseQuery(query)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parse.Closure(q, london); club.KindOf(err) != club.Invalid || !strings.Contains(err.Error(), words) {
			t.Errorf("%s: %v", query, err)
		}
	}
}

// TestRuleOfAnything gives a rule whose level a board reads, or a sentence.
func TestRuleOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := url.Values{"from_peg": {""}}
		for _, name := range []string{"from_peg", "to_peg", "side", "level", "effect", "text", "from", "to"} {
			if rapid.Bool().Draw(t, "has "+name) {
				q.Set(name, rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"below", "1.2", "caution", "2026-11-28T10:00"})).Draw(t, name))
			}
		}
		d, err := parse.Rule(q, london)
		if err == nil {
			d, err = d.Checked(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
		}
		switch {
		case err != nil && (club.KindOf(err) != club.Invalid || len([]rune(err.Error())) > 250):
			t.Fatalf("%v: %v", q, err)
		case err == nil && !(d.LevelM >= club.MinLevelM && d.LevelM <= club.MaxLevelM && d.Text != "" && (d.Effect == club.Caution || d.Effect == club.NoFishing)):
			t.Fatalf("%v is taken as %+v", q, d)
		}
	})
}
