package handlers_test

import (
	"errors"
	"regexp"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/handlers"
)

// aGuide is the code of a guide: a junior's stick at a level.
const aGuide = "165B150C0T60808Y1J8102MP068DRAAF10M0M080AG7REABT"

var guideLink = regexp.MustCompile(`href="(/guide/[0-9A-Z]+)"`)

// TestGuideFromASheet: the sheet, one's own water and tonight's rigs lead to guides, each
// of the rig that is shown, and every step of it is a page with its drawing, its reason
// and its way on. None of them names the water it came from.
func TestGuideFromASheet(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, path := range []string{sheetOfPeg14, "/rig?depth=1.83&pace=0.8&boil=1&out=9&fish=chub", "/venues/sallow-reach/tonight"} {
		a := s.want(path, 200, "Set it up, step by step")
		links := guideLink.FindAllStringSubmatch(a.body, -1)
		if len(links) == 0 {
			t.Fatalf("%s leads to no guide", path)
		}
		for _, link := range links {
			list := s.want(link[1], 200, "Take a grown-up with you", "Plumb the depth", "Put it all away")
			name := regexp.MustCompile(`<h1>([^<]+)</h1>`).FindStringSubmatch(list.body)[1]
			if !strings.Contains(a.body, name) {
				t.Errorf("%s leads to the guide of a %s, which it does not show", path, name)
			}
			for _, place := range []string{"Sallow Reach", "sallow-reach", "Peg 14", "Teasel"} {
				if strings.Contains(list.body, place) {
					t.Errorf("%s names %s", link[1], place)
				}
			}
		}
		s.everyStep(links[0][1])
	}
	if a := s.get("/venues/sallow-reach/pegs/18"); strings.Contains(a.body, "/guide/") {
		t.Error("a closed peg leads to a guide")
	}
	if a := s.get(sheetOfPeg14 + "?shot=lead&olivette=lead"); strings.Contains(a.body, "Do not use it") && strings.Contains(regexp.MustCompile(`(?s)<p class="answer">.*?<div class="draw"`).FindString(a.body), "/guide/") {
		t.Error("a rig that is not to be used leads to a guide")
	}
}

// everyStep follows a guide by its own links, from its first step to the last.
func (s site) everyStep(guide string) {
	s.Helper()
	list := s.want(guide, 200)
	at := guideStart.FindStringSubmatch(list.body)[1]
	for n := 1; ; n++ {
		a := s.want(at, 200, `<svg class="sketch" role="img"`, "<b>Why?</b>", "<b>Done when:</b>", `rel="prev"`, `rel="next"`)
		next := regexp.MustCompile(`href="([^"]+)" rel="next"`).FindStringSubmatch(a.body)[1]
		if next == guide {
			if want := strings.Count(list.body, "data-step="); n != want {
				s.Errorf("%s: %d steps lead on from one another, of %d", guide, n, want)
			}
			return
		}
		if n > 60 {
			s.Fatalf("%s does not end", guide)
		}
		at = next
	}
}

var guideStart = regexp.MustCompile(`<a class="go" href="([^"]+)">Start at the first step`)

// TestGuideWithoutABook: a guide, the knots and the words are made from the code alone.
func TestGuideWithoutABook(t *testing.T) {
	t.Parallel()
	s := serveWith(t, nil, func(c *handlers.Config) { c.Book = nil })
	s.want("/guide/"+aGuide, 200, "5 × No.4 stick", "1.24 m on its board")
	s.want("/guide/"+strings.ToLower(aGuide)+"/plumb", 200, "Plumb the depth", "/words#plumb")
	s.want("/guide/"+aGuide+"/loop", 200, `href="/knots#loop"`)
	s.want("/knots", 200, `id="loop"`, `id="join"`, `id="spade"`, "A grown-up ties this")
	s.want("/words", 200, `id="plumb"`, `id="olivette"`)
}

// TestCodesThatAreNone are said in a sentence, and so are steps that are not there.
func TestCodesThatAreNone(t *testing.T) {
	t.Parallel()
	s := serveWith(t, nil, func(c *handlers.Config) { c.Book = nil })
	for _, code := range []string{"1", "ZZZZ", aGuide[:len(aGuide)-1], aGuide + "0", strings.Replace(aGuide, "5", "6", 1), "2" + aGuide[1:], "%00", "%C3%A9", strings.Repeat("1", 3000), "<script>"} {
		a := s.want("/guide/"+code, 400, "code")
		if strings.Contains(a.body, "<script>") && code == "<script>" {
			t.Error("a code came back as markup")
		}
		s.want("/guide/"+code+"/plumb", 400, "code")
	}
	for _, step := range []string{"99", "nowhere", "0", "-1", "Plumb", "%00"} {
		s.want("/guide/"+aGuide+"/"+step, 404, "This guide has no such step.", "Plumb the depth")
	}
	serve(t, badBook{fail: func() error { return errors.New("a guide asks the book for nothing") }}).want("/guide/", 404)
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %s", log)
	}
}

// TestGuideForAJunior: signed in, a junior finds the welfare contact on every step, and a
// visitor does not.
func TestGuideForAJunior(t *testing.T) {
	t.Parallel()
	s, conn := peopleSite(t)
	for i, path := range []string{"/guide/" + aGuide, "/guide/" + aGuide + "/hooklength", "/knots"} {
		a := s.walk(conn, "guide junior "+string(rune('a'+i)), club.Junior, "GET", path)
		if a.status != 200 || !strings.Contains(a.body, "welfare contact") {
			t.Errorf("%s: %d, and a junior reads of no welfare contact", path, a.status)
		}
		if a := s.get(path); strings.Contains(a.body, "welfare contact") {
			t.Errorf("%s: a visitor reads the welfare contact", path)
		}
	}
}
