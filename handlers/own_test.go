package handlers_test

import (
	"encoding/json"
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"levelpeg/db/dbtest"
)

// TestOwnWaterOnASheet: the sheet re-rigs at once, says whose the figures are, and its
// links carry what holds where they lead.
func TestOwnWaterOnASheet(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	a := s.want(sheetOfPeg14+"?depth=2.20&pace=slower&wind=SW&force=4&fish=roach", 200, "<b>2.20 m</b> as you plumbed it", "Yours: 2.20 m plumbed, about", "The book says",
		"Nothing is written down", "Wind south-west, force 4 (moderate breeze)", `value="2.20"`, `<option value="slower" selected>`, `<option value="SW" selected>`, "set at 2.", "Loose feed")
	for link, want := range map[string]string{
		`href="\?run=inside&amp;wind=SW&amp;force=4&amp;fish=roach"`:           "the other run loses the wind, or keeps this one's depth",
		`pegs/14A\?wind=SW&amp;force=4&amp;fish=roach"`:                        "the next peg loses the wind, or keeps this one's depth",
		`href="\?run=two-rods&amp;depth=2.20[^"]*&amp;fish=roach&amp;hold=50"`: "another hold-back loses what was plumbed",
		`href="/venues/sallow-reach/pegs/14.json\?run=two-rods[^"]*depth=2.20`: "the JSON is of another sheet",
		`href="\?run=two-rods&amp;wind=SW&amp;force=4&amp;fish=roach">Back to`: "there is no way back to the book",
	} {
		if !regexp.MustCompile(link).MatchString(a.body) {
			t.Errorf("%s: no %s", want, link)
		}
	}
	s.want(sheetOfPeg14+"?over=5&secs=11", 200, "about 0.45 m/s", `name="over" form="own" value="5"`)
	s.want(sheetOfPeg14+"?depth=7+ft+3", 200, "<b>2.21 m</b> as you plumbed it")
	s.want(sheetOfPeg14, 200, "pace by the book", `id="own"`)
	var said struct {
		Own  struct{ Depth_m, Pace_mps float64 }
		Wind struct {
			From, Blows string
			Force       int
		}
		Fish string
		Rigs []struct {
			Set_m float64 `json:"set_m"`
			Bait  string
		}
	}
	body := s.want("/venues/sallow-reach/pegs/14.json?depth=2.20&pace=0.4&wind=SW&force=4&fish=roach", 200).body
	if err := json.Unmarshal([]byte(body), &said); err != nil || said.Own.Depth_m != 2.2 || said.Own.Pace_mps != 0.4 || said.Wind.Blows == "" || said.Fish != "roach" || len(said.Rigs) == 0 || said.Rigs[0].Set_m < 2.2 {
		t.Errorf("%+v, %v", said, err)
	}
}

// TestNonsenseOfOnesOwn is said in a sentence, and what else was asked still stands.
func TestNonsenseOfOnesOwn(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for query, words := range map[string]string{
		"depth=deep":             "“deep” is not a depth",
		"depth=900":              "A depth is from",
		"over=5":                 "give both",
		"pace=quick":             "“quick” is not a pace",
		"wind=SW":                "Say how hard",
		"force=4":                "Say where the wind comes from",
		"fish=whale":             "“whale” is not a fish",
		"bait=<script>alert(1)<": "is not a bait",
		"depth=x&wind=y&force=z": "“z” is not the force of a wind",
	} {
		q, err := url.ParseQuery(query)
		if err != nil {
			t.Fatal(err)
		}
		for path, still := range map[string]string{sheetOfPeg14: `class="rigc"`, "/rig": "Your own water"} {
			a := s.get(path + "?" + q.Encode())
			if a.status != 400 || !strings.Contains(html.UnescapeString(a.body), words) || !strings.Contains(a.body, still) || strings.Contains(a.body, "<script>alert") {
				t.Errorf("%s?%s: %d, wants “%s”", path, query, a.status, words)
			}
		}
		if a := s.get("/rig.json?" + q.Encode()); a.status != 400 || a.header.Get("Content-Type") != isJSON {
			t.Errorf("/rig.json?%s: %d", query, a.status)
		}
	}
	a := s.want(sheetOfPeg14+"?depth=2.20&wind=gale", 400, "as you plumbed it")
	if n := strings.Count(a.body, `role="alert"`); n != 1 {
		t.Errorf("%d alerts", n)
	}
}

func TestRigPage(t *testing.T) {
	t.Parallel()
	s, book := demoSite(t)
	s.want("/rig", 200, "Give the depth and how fast it runs", "No water is named")
	s.want("/rig?depth=1.83&pace=0.8", 200, "<b>1.83 m</b> (6 ft)", "brisk at 0.80 m/s", `class="rigc"`, `data-asks="depth"`, "/rig.json?depth=1.83&amp;pace=0.8")
	s.want("/rig?depth=1.83", 200, "Give the pace as well")
	s.want("/rig?depth=0.2&pace=0.5", 200, "Too shallow for a float")
	s.want("/rig?depth=1.83&pace=0.8&wind=facing&force=6", 200, "Wind force 6 (strong breeze), in your face.")
	s.want("/rig?depth=1.83&pace=0.8&wind=SW&force=6", 400, "say where the wind blows as you stand")
	s.want("/rig?depth=1.83&pace=0.8&shot=lead", 200, "lead")
	s.want("/rig?depth=1.83&pace=0.8&hold=50", 200, "Held back a half")
	v, err := book.Venue(t.Context(), "sallow-reach", nil, dbtest.DemoNow)
	if err != nil {
		t.Fatal(err)
	}
	code := v.Pegs[3].Peg.Code
	a := s.get("/rig?code=" + strings.ToLower(code) + "&depth=2.2&pace=")
	if a.status != 303 || a.header.Get("Location") != "/venues/sallow-reach/pegs/4?depth=2.2&pace=" {
		t.Errorf("by code: %d to %s", a.status, a.header.Get("Location"))
	}
	s.want("/rig?code=99999", 404)
	s.want("/rig?code="+url.QueryEscape("../x"), 400, "is not a peg&#39;s code")
}
