package handlers_test

import (
	"regexp"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/handlers"
)

const isPDF = "application/pdf"

// TestPaper prints what the pages beside show, for whoever may see those.
func TestPaper(t *testing.T) {
	t.Parallel()
	s, conn := peopleSite(t)
	code := regexp.MustCompile(`href="(/guide/[0-9A-Z]+)"`).FindStringSubmatch(s.get("/venues/sallow-reach/pegs/14").body)
	if code == nil {
		t.Fatal("the sheet leads to no guide")
	}
	for path, name := range map[string]string{
		"/venues/sallow-reach/pegs/14.pdf":                               "peg-14.pdf",
		"/venues/sallow-reach/pegs/18.pdf":                               "peg-18.pdf", // closed
		"/venues/sallow-reach/pegs/14.pdf?level=1.10&run=inside&hold=50": "peg-14.pdf",
		"/venues/sallow-reach/pegs/14.pdf?depth=2.20&wind=SW&force=4":    "peg-14.pdf",
		"/venues/sallow-reach/pegs/14.pdf?at=2025-10-19T10:00":           "peg-14.pdf",
		"/venues/sallow-reach.pdf":                                       "sallow-reach.pdf",
		"/venues/sallow-reach.pdf?level=1.90":                            "sallow-reach.pdf",
		"/venues/sallow-reach.pdf?at=2025-10-19T10:00":                   "sallow-reach.pdf",
		"/venues/tansy-meadow/tonight.pdf?run=all&most=3":                "what-to-tie-tansy-meadow.pdf",
		code[1] + ".pdf": "set-up-",
	} {
		a := s.get(path)
		if a.status != 200 || a.header.Get("Content-Type") != isPDF || !strings.HasPrefix(a.body, "%PDF-") || !strings.HasSuffix(strings.TrimSpace(a.body), "%%EOF") {
			t.Errorf("%s: %d %s %.200s", path, a.status, a.header.Get("Content-Type"), a.body)
		}
		if got := a.header.Get("Content-Disposition"); !strings.Contains(got, `inline; filename="`+name) {
			t.Errorf("%s is called %s", path, got)
		}
		if got := a.header.Get("Cache-Control"); got != "private, no-cache" {
			t.Errorf("%s: Cache-Control %q", path, got)
		}
		if again := s.get(path); again.body != a.body {
			t.Errorf("%s prints other bytes the second time", path)
		}
	}
	const labels = "/venues/sallow-reach/labels.pdf?per=24"
	if a := s.walk(conn, "labels", club.Angler, "GET", labels); a.status != 200 || a.header.Get("Content-Type") != isPDF {
		t.Errorf("labels: %d %.200s", a.status, a.body)
	}
	if a := s.get(labels); a.status != 403 {
		t.Errorf("labels for a visitor: %d", a.status)
	}
	if a := s.walk(conn, "labels 7", club.Angler, "GET", "/venues/sallow-reach/labels.pdf?per=7"); a.status != 400 || !strings.Contains(a.body, "A page of labels has 2, 4, 8") {
		t.Errorf("seven labels: %d %.200s", a.status, a.body)
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.600s", log)
	}
}

// TestPaperProblems: what makes no sense is a sentence on a page, and nothing is printed.
func TestPaperProblems(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for path, want := range map[string]struct {
		status int
		words  string
	}{
		"/venues/sallow-reach/pegs/99.pdf":             {404, "Not in the book"},
		"/venues/nowhere/pegs/14.pdf":                  {404, "Not in the book"},
		"/venues/nowhere.pdf":                          {404, "Not in the book"},
		"/venues/nowhere/tonight.pdf":                  {404, "Not in the book"},
		"/venues/sallow-reach/pegs/14.pdf?level=high":  {400, "That was not understood"},
		"/venues/sallow-reach/pegs/14.pdf?run=nowhere": {400, "no run called"},
		"/venues/sallow-reach.pdf?level=99":            {400, "from -20 to 50"},
		"/venues/sallow-reach.pdf?at=saturday":         {400, "That was not understood"},
		"/venues/sallow-reach/tonight.pdf?most=1":      {400, "That was not understood"},
		"/guide/nothing.pdf":                           {400, "That was not understood"},
	} {
		a := s.want(path, want.status, want.words)
		if got := a.header.Get("Content-Type"); got != isPage {
			t.Errorf("%s comes as %s", path, got)
		}
	}
}

// TestNoPaper: a server that does not print says so.
func TestNoPaper(t *testing.T) {
	t.Parallel()
	_, book := demoSite(t)
	s := serveWith(t, book, func(c *handlers.Config) { c.Paper = nil })
	s.want("/venues/sallow-reach/pegs/14.pdf", 503, "cannot be printed here")
}
