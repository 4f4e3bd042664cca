package handlers_test

import (
	"encoding/json"
	"net/url"
	"strings"
	"testing"
	"time"
)

// TestSheetAtAnHour, to come and past, as a page and as JSON; its links keep the hour,
// but for those that ask for a level.
func TestSheetAtAnHour(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	const saturday = sheetOfPeg14 + "?at=2025-10-25T10:00"
	a := s.want(saturday, 200, "Below: <b>Saturday 25 October 2025, 10:00</b>", "foreseen from how this river went on before", "four times in five from",
		`value="2025-10-25T10:00"`, `href="?at=2025-10-25T10:00&amp;run=inside"`, "Members&#39; match, Sat 25 October, 10:00 to 15:00", `class="rigc"`)
	if !strings.Contains(a.body, `href="/venues/sallow-reach/pegs/14A?at=2025-10-25T10:00"`) {
		t.Error("the next peg is not asked for the hour")
	}
	s.want(sheetOfPeg14+"?at=2025-10-10T08:07&run=inside&chart=counts", 200, "Friday 10 October 2025, 08:07", "from the readings about that hour", `name="chart"`,
		`<input type="hidden" name="at" value="2025-10-10T08:07">`)
	for at, words := range map[string]string{
		"2025-12-24T10:00": "That is too far ahead", "1990-01-01T10:00": "Nobody had read the board by then",
	} {
		a := s.want(sheetOfPeg14+"?at="+at, 200, words, "Without a level there is no depth")
		if strings.Contains(a.body, `class="rigc"`) {
			t.Errorf("%s: rigs for a level that nobody knows", at)
		}
	}
	for _, at := range []string{"", "saturday", "2025-10-25", "2025-13-25T10:00", "<script>", "\x00", "1666-09-02T01:00", "2999-01-01T10:00"} {
		a := s.want(sheetOfPeg14+"?at="+url.QueryEscape(at), 400, `role="alert"`, "Below is the sheet without it", `class="rigc"`)
		if strings.Contains(a.body, "<script>") {
			t.Errorf("%q comes back as markup", at)
		}
	}
	s.want(sheetOfPeg14+"?at=2025-10-25T10:00&level=1.1", 400, "not for both", "as it would be at <b>1.10 m</b>")
	s.want("/venues/sallow-reach/pegs/999?at=2025-10-25T10:00", 404)
}

func TestSheetAtAnHourAsJSON(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	var said struct {
		At       *time.Time                        `json:"at"`
		LevelM   float64                           `json:"level_m"`
		Range    *struct{ Mid, Low, High float64 } `json:"level_at_m"`
		Foreseen bool                              `json:"level_is_foreseen"`
		WhyNot   string                            `json:"no_level_because"`
		Rigs     []any
	}
	ask := func(at string) {
		t.Helper()
		said.At, said.Range, said.WhyNot, said.Rigs = nil, nil, "", nil
		a := s.want("/venues/sallow-reach/pegs/14.json"+at, 200)
		if err := json.Unmarshal([]byte(a.body), &said); err != nil {
			t.Fatal(err)
		}
	}
	ask("?at=2025-10-25T10:00")
	if said.At == nil || !said.At.Equal(time.Date(2025, 10, 25, 9, 0, 0, 0, time.UTC)) || !said.Foreseen || said.Range == nil || said.Range.Mid != said.LevelM || said.Range.High-said.Range.Low < 0.05 || len(said.Rigs) == 0 {
		t.Errorf("to come: %+v", said)
	}
	ask("?at=2025-10-10T08:07:00Z")
	if said.At == nil || said.Foreseen || said.Range == nil || said.Range.High-said.Range.Low > 0.05 {
		t.Errorf("past: %+v", said)
	}
	ask("?at=2025-12-24T10:00")
	if said.Range != nil || said.WhyNot == "" || len(said.Rigs) != 0 {
		t.Errorf("too far: %+v", said)
	}
	if ask(""); said.At != nil || said.Range != nil {
		t.Errorf("now: %+v", said)
	}
	s.want("/venues/sallow-reach/pegs/14.json?at=x", 400, "day and an hour")
}
