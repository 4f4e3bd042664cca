package handlers_test

import (
	"encoding/json"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

const sheetOfPeg14 = "/venues/sallow-reach/pegs/14"

type shotJSON struct {
	Shot struct{ Chart, Shot, Olivette string }
	Rigs []struct {
		Name    string
		Weights []struct {
			Kind, Size, Material string
			EachG                float64 `json:"each_g"`
		} `json:"weights_from_hook"`
		OnLineG  float64 `json:"on_line_g"`
		Findings []string
	}
	Hang *struct {
		HoldBack float64 `json:"hold_back_share"`
		Asked    bool    `json:"hold_back_asked"`
		Held     bool    `json:"weights_hold_it_down"`
		AheadM   float64 `json:"bait_ahead_m"`
		Line     []struct {
			DownstreamM float64 `json:"downstream_m"`
			BelowM      float64 `json:"below_surface_m"`
		} `json:"line_from_float"`
	} `json:"first_rig_hangs"`
}

func (s site) shot(query string) shotJSON {
	s.Helper()
	var out shotJSON
	a := s.want(sheetOfPeg14+".json"+query, 200)
	if err := json.Unmarshal([]byte(a.body), &out); err != nil || len(out.Rigs) == 0 || out.Hang == nil {
		s.Fatalf("%s: %v\n%.300s", query, err, a.body)
	}
	return out
}

// TestChartChangesTheGrams: every weight of a rig is on the chosen chart, of the
// chosen material. A No.4 is 0.2 g by the shop's guide, 0.167 g by the old counts and
// 0.16 g by the continental table (facts on the charts: rig/chart.go).
func TestChartChangesTheGrams(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	seen := map[float64]bool{}
	for chart, no4 := range map[string]float64{"retail": 0.2, "counts": 0.167, "continental": 0.16} {
		j := s.shot("?level=0.9&chart=" + chart)
		found := false
		for _, r := range j.Rigs {
			for _, w := range r.Weights {
				if w.Size == "No.4" {
					found = true
					if w.EachG != no4 {
						t.Errorf("%s: a No.4 of %v g, want %v", chart, w.EachG, no4)
					}
				}
			}
		}
		if !found || j.Shot.Chart != chart {
			t.Errorf("%s: rigs of the %q chart, a No.4 in one: %v", chart, j.Shot.Chart, found)
		}
		seen[j.Rigs[0].OnLineG] = true
		s.want(sheetOfPeg14+"?level=0.9&chart="+chart, 200, `<option value="`+chart+`" selected>`, chart+" chart; olivettes tungsten")
	}
	if len(seen) != 3 {
		t.Errorf("three charts load the first rig with %v g", seen)
	}
}

func TestMaterialsAreThoseChosen(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, query := range []string{"shot=tungsten&olivette=tin", "shot=lead&olivette=tungsten", "shot=tin&olivette=lead"} {
		want, err := url.ParseQuery(query)
		if err != nil {
			t.Fatal(err)
		}
		j := s.shot("?run=middle&" + query)
		kinds := map[string]bool{}
		for _, r := range j.Rigs {
			for _, w := range r.Weights {
				kinds[w.Kind] = true
				if w.Material != want.Get(w.Kind) {
					t.Errorf("%s: a %s of %s in the %s", query, w.Kind, w.Material, r.Name)
				}
			}
		}
		if !kinds["shot"] || !kinds["olivette"] {
			t.Errorf("%s: only %v", query, kinds)
		}
	}
}

// TestLeadIsStoppedFirst: a rig with lead of a mass that is not lawful (SI 1986/1992)
// says so in the answer, and on the card before its weights; the other rigs in their
// closed line.
func TestLeadIsStoppedFirst(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	a := s.want(sheetOfPeg14+"?shot=lead&olivette=lead", 200, "Do not use it with this shot", "not lawful in England and Wales")
	card := a.body[strings.Index(a.body, `id="rig-first"`):]
	stop, list := strings.Index(card, `class="stop more"`), strings.Index(card, `class="string"`)
	if stop < 0 || stop > list {
		t.Errorf("the stop is at %d of the card, the weights at %d", stop, list)
	}
	if n, want := strings.Count(a.body, "<b>Do not use it</b>"), len(s.shot("?shot=lead&olivette=lead").Rigs)-1; n != want {
		t.Errorf("%d of %d folded rigs say that they are not to be used", n, want)
	}
	if plain := s.get(sheetOfPeg14); strings.Contains(plain.body, "Do not use it") {
		t.Error("the standard kit, which has no lead, is stopped")
	}
}

func TestHoldBackChangesTheHang(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	own := s.shot("")
	if own.Hang.Asked || len(own.Hang.Line) < 10 {
		t.Errorf("without asking: %+v", own.Hang)
	}
	last := -10.0
	for _, c := range []struct{ hold, words string }{
		{"0", "Running free"}, {"25", "Held back a quarter"}, {"30", "Held back a third"}, {"50", "Held back a half"}, {"100", "Held still"},
	} {
		j := s.shot("?hold=" + c.hold)
		if !j.Hang.Asked || !j.Hang.Held || j.Hang.AheadM <= last {
			t.Errorf("held back %s %%: %+v, want the bait farther ahead than %v", c.hold, j.Hang, last)
		}
		last = j.Hang.AheadM
		a := s.want(sheetOfPeg14+"?hold="+c.hold, 200, `class="hang">`+c.words)
		current := regexp.MustCompile(`<a href="[^"]*hold=([0-9]+)" aria-current>`).FindStringSubmatch(a.body)
		if current == nil || current[1] != c.hold {
			t.Errorf("held back %s %%: the link marked is %v", c.hold, current)
		}
	}
	thread := regexp.MustCompile(`<g class="rig">.*?</g>`)
	if free, still := thread.FindString(s.get(sheetOfPeg14+"?hold=0").body), thread.FindString(s.get(sheetOfPeg14+"?hold=100").body); free == "" || free == still {
		t.Error("the drawing of a rig held still is that of one running free")
	}
}

// pegLinks is every link of the sheet that leads to a peg's sheet.
var pegLinks = regexp.MustCompile(`href="((?:/venues/[^"]+/pegs/|\?)[^"]+)"`)

// TestLinksCarryTheChoice: every link to a sheet carries the shot that was chosen,
// and all but those that choose another carry the hold-back.
func TestLinksCarryTheChoice(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	main := func(query string) string {
		_, body, _ := strings.Cut(s.want(sheetOfPeg14+query, 200).body, `id="main"`)
		return body
	}
	body := main("?level=0.95&run=inside&chart=counts&shot=tungsten&olivette=tin&hold=50")
	links := pegLinks.FindAllStringSubmatch(body, -1)
	if len(links) < 4+2+2+5+1 { // runs, level, along the bank, hold-backs, JSON
		t.Errorf("only %d links to sheets", len(links))
	}
	holds := map[string]bool{}
	for _, l := range links {
		u, err := url.Parse(strings.ReplaceAll(l[1], "&amp;", "&"))
		if err != nil {
			t.Fatal(err)
		}
		q := u.Query()
		if q.Get("chart") != "counts" || q.Get("shot") != "tungsten" || q.Get("olivette") != "tin" || q.Get("hold") == "" {
			t.Errorf("%s leaves out what was chosen", l[1])
		}
		holds[q.Get("hold")] = true
		page, err := url.Parse(sheetOfPeg14)
		if err != nil {
			t.Fatal(err)
		}
		s.want(page.ResolveReference(u).String(), 200)
	}
	if len(holds) != 5 {
		t.Errorf("the hold-backs that are linked are %v", holds)
	}
	for _, form := range []string{`class="level"`, `id="shot-choice"`} {
		_, part, _ := strings.Cut(body, form)
		part, _, _ = strings.Cut(part, "</form>")
		for _, keep := range []string{`name="run" value="inside"`, `name="hold" value="50"`} {
			if !strings.Contains(part, keep) {
				t.Errorf("the form in %s does not keep %s", form, keep)
			}
		}
	}
	_, part, _ := strings.Cut(body, `id="shot-choice"`)
	if !strings.Contains(part, `type="hidden" name="level" value="0.95"`) {
		t.Error("choosing shot loses the level")
	}
	// What is usual is not in any address.
	for _, l := range pegLinks.FindAllStringSubmatch(main("?chart=retail&shot=tin&olivette=tungsten"), -1) {
		if strings.Contains(l[1], "chart=") || strings.Contains(l[1], "shot=") || strings.Contains(l[1], "olivette=") {
			t.Errorf("%s carries what is usual", l[1])
		}
	}
}

// TestChoicesThatMakeNoSense are answered 400 with a sentence, and the sheet stays,
// with what else was chosen.
func TestChoicesThatMakeNoSense(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, name := range []string{"chart", "shot", "olivette", "hold"} {
		for _, value := range []string{"", "x", "Retail", "brass", "33", "-1", "1e2", "100%", "030", "\x00", "\xff", strings.Repeat("9", 4000), "<script>alert(1)</script>"} {
			query := "?" + name + "=" + url.QueryEscape(value) + "&run=middle"
			a := s.get(sheetOfPeg14 + query)
			if a.status != 400 || !strings.Contains(a.body, `role="alert"`) || !strings.Contains(a.body, "Below is the sheet without it.") || !strings.Contains(a.body, `class="rigc"`) {
				t.Errorf("%s=%.30q: %d", name, value, a.status)
			}
			if strings.Contains(a.body, "<script>alert") || !strings.Contains(a.body, `name="run" value="middle"`) {
				t.Errorf("%s=%.30q came back as markup, or lost the run", name, value)
			}
			var said struct{ Error string }
			j := s.get(sheetOfPeg14 + ".json" + query)
			if err := json.Unmarshal([]byte(j.body), &said); err != nil || j.status != 400 || said.Error == "" || len(said.Error) > 300 {
				t.Errorf("%s=%.30q as JSON: %d %.200s", name, value, j.status, j.body)
			}
		}
	}
	s.want(sheetOfPeg14+"?chart=brass&shot=lead", 400, "“brass” is not a chart", "retail, counts, continental", "Do not use it")
	// A closed peg stays closed whatever is chosen.
	s.want("/venues/sallow-reach/pegs/18?chart=counts&hold=50", 200, "Do not fish here now.")
}
