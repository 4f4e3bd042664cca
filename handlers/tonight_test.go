package handlers_test

import (
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"

	"levelpeg/db/dbtest"
)

// tied is what the tests read of /venues/{venue}/tonight.json.
type tied struct {
	LevelM *float64 `json:"level_m"`
	Stops  []string `json:"do_not_fish"`
	Fewest int      `json:"rigs_that_serve_all"`
	Rigs   []struct {
		Rig    struct{ Name, Bait string }
		Serves []struct {
			Peg, Run string
			SetM     float64 `json:"set_m"`
		}
	}
	Left   []struct{ Peg, Because string } `json:"not_served"`
	Shut   []struct{ Peg, Because string } `json:"may_not_be_fished"`
	Silent []struct{ Peg, Because string } `json:"nothing_to_say_of"`
	Edges  []struct {
		LevelM float64 `json:"level_m"`
		Rigs   []string
	} `json:"at_either_end_of_the_range"`
}

func (s site) tied(path string) tied {
	s.Helper()
	var t tied
	if err := json.Unmarshal([]byte(s.want(path, 200).body), &t); err != nil {
		s.Fatal(err)
	}
	return t
}

const tonight = "/venues/sallow-reach/tonight"

// TestTonight: every peg of the venue is served, shut, left or silent, and once; what
// its sheet says of it is what is said here.
func TestTonight(t *testing.T) {
	t.Parallel()
	s, book := demoSite(t)
	v, err := book.Venue(t.Context(), "sallow-reach", nil, dbtest.DemoNow)
	if err != nil {
		t.Fatal(err)
	}
	got := s.tied(tonight + ".json")
	said := map[string]int{}
	for _, r := range got.Rigs {
		for _, p := range r.Serves {
			said[p.Peg]++
		}
	}
	for _, l := range slices.Concat(got.Left, got.Shut, got.Silent) {
		said[l.Peg]++
		if l.Because == "" {
			t.Errorf("peg %s is left out without a word", l.Peg)
		}
	}
	for _, p := range v.Pegs {
		if said[p.Peg.Label] != 1 {
			t.Errorf("peg %s is spoken of %d times", p.Peg.Label, said[p.Peg.Label])
		}
	}
	if len(got.Rigs) == 0 || len(got.Rigs) != got.Fewest || len(got.Edges) != 0 {
		t.Errorf("%d rigs of %d, %d edges", len(got.Rigs), got.Fewest, len(got.Edges))
	}
	if !slices.ContainsFunc(got.Shut, func(p struct{ Peg, Because string }) bool {
		return p.Peg == "18" && strings.Contains(p.Because, "power line")
	}) {
		t.Errorf("peg 18 is not among those shut: %+v", got.Shut)
	}
	s.want(tonight, 200, "What to tie", "Drawn a peg?", `href="/venues/sallow-reach/pegs/14"`, "Do not fish peg 18 then.", got.Rigs[0].Rig.Name)
}

// TestTonightAtAnHour: the range's ends have an answer each, and the pegs' links ask for
// the hour.
func TestTonightAtAnHour(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	const saturday = "?at=2025-10-25T10:00"
	got := s.tied(tonight + ".json" + saturday)
	if len(got.Edges) != 2 || got.Edges[0].LevelM >= *got.LevelM || got.Edges[1].LevelM <= *got.LevelM || len(got.Edges[1].Rigs) == 0 {
		t.Errorf("level %v, edges %+v", *got.LevelM, got.Edges)
	}
	s.want(tonight+saturday+"&wind=SW&force=4&fish=chub&most=4", 200, "Saturday 25 October 2025, 10:00", "foreseen", "If it comes out at",
		`pegs/14?at=2025-10-25T10:00&amp;wind=SW&amp;force=4&amp;fish=chub"`, `<option value="4" selected>`)
	s.want("/venues/sallow-reach", 200, `href="/venues/sallow-reach/tonight"`, `href="/venues/sallow-reach/tonight?at=2025-10-25T10:00"`)
	s.want("/venues/sallow-reach?at=2025-10-25T10:00", 200, `href="/venues/sallow-reach/tonight?at=2025-10-25T10:00">What do I tie?`)
	text := s.want(tonight+".txt"+saturday, 200, "Sallow Reach: what to tie", "Saturday 25 October", "Tie a ", "Set it at", "Plumb before you trust it")
	if got := text.header.Get("Content-Type"); got != "text/plain; charset=utf-8" || strings.Contains(text.body, "<") {
		t.Errorf("%s: %.200s", got, text.body)
	}
}

// TestTonightOfAPart: a section, one run, every run, few rigs.
func TestTonightOfAPart(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, query := range []string{"?from=3&to=6", "?from=6&to=3", "?from=3&to=6&level=&at=&fish=&bait=&wind=&force=&run="} {
		got := s.tied(tonight + ".json" + query)
		var pegs []string
		for _, r := range got.Rigs {
			for _, p := range r.Serves {
				pegs = append(pegs, p.Peg)
			}
		}
		slices.Sort(pegs)
		if fmt.Sprint(pegs) != "[3 4 5 6]" {
			t.Errorf("%s: %v", query, pegs)
		}
	}
	inside := s.tied(tonight + ".json?run=inside")
	for _, r := range inside.Rigs {
		for _, p := range r.Serves {
			if p.Run != "inside" {
				t.Errorf("peg %s is answered for %s", p.Peg, p.Run)
			}
		}
	}
	all := s.tied(tonight + ".json?run=all&most=8")
	n := len(all.Left)
	for _, r := range all.Rigs {
		n += len(r.Serves)
	}
	if n < 80 {
		t.Errorf("every run of every peg is %d", n)
	}
	chub := s.tied(tonight + ".json?fish=chub&bait=bread+flake")
	for _, r := range chub.Rigs {
		if r.Rig.Bait != "bread flake" {
			t.Errorf("%s with %s", r.Rig.Name, r.Rig.Bait)
		}
	}
}

// TestTonightWhereNobodyMayFish: over the club's level and in the close season there is
// no rig to tie, by page, text or JSON.
func TestTonightWhereNobodyMayFish(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for query, why := range map[string]string{"?level=1.90": "Above 1.85 m no fishing", "?at=2026-04-01T10:00": "Close season"} {
		if got := s.tied(tonight + ".json" + query); len(got.Rigs) != 0 || len(got.Stops) == 0 || !strings.Contains(got.Stops[0], why) {
			t.Errorf("%s: %d rigs, %v", query, len(got.Rigs), got.Stops)
		}
		a := s.want(tonight+query, 200, `class="stop"`, why)
		if strings.Contains(a.body, `class="rigc"`) {
			t.Errorf("%s: a rig is shown", query)
		}
		a = s.want(tonight+".txt"+query, 200, "DO NOT FISH: "+why)
		if strings.Contains(a.body, "Tie ") {
			t.Errorf("%s: a rig is told", query)
		}
	}
}

func TestNonsenseForTonight(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for query, words := range map[string]string{
		"most=2": "from 3 to 8", "most=99": "from 3 to 8", "most=x": "not a number of rigs", "level=x": "is not a level", "level=99": "is not a level",
		"at=soon": "", "at=2025-10-25T10:00&level=1": "not for both", "from=999": "There is no peg", "to=<b>": "is not a peg", "from=1&to=zz": "There is no peg",
		"run=outside": "No peg here has a run", "fish=whale": "is not a fish", "wind=SW": "Say how hard", "depth=2.2": "",
	} {
		q, err := url.ParseQuery(query)
		if err != nil {
			t.Fatal(err)
		}
		want := 400
		if query == "depth=2.2" { // of a peg, and nothing to do with a venue
			want = 200
		}
		a := s.get(tonight + "?" + q.Encode())
		if a.status != want || !strings.Contains(a.body, words) || !strings.Contains(a.body, `class="rigc"`) {
			t.Errorf("%s: %d, wants “%s”", query, a.status, words)
		}
		for _, form := range []string{".json", ".txt"} {
			if a := s.get(tonight + form + "?" + q.Encode()); a.status != want {
				t.Errorf("%s%s: %d", form, query, a.status)
			}
		}
	}
	s.want("/venues/nowhere/tonight", 404)
	s.want("/venues/nowhere/tonight.json", 404)
}
