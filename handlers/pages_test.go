package handlers_test

import (
	"compress/gzip"
	"context"
	"encoding/json"
	"io"
	"net/url"
	"strings"
	"testing"

	"levelpeg/db/dbtest"
	"levelpeg/static"
)

func TestEveryRoute(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for path, kind := range map[string]string{
		"/": isPage, "/venues": isPage, "/venues.json": isJSON,
		"/venues/sallow-reach": isPage, "/venues/sallow-reach.json": isJSON,
		"/venues/sallow-reach/pegs/14": isPage, "/venues/sallow-reach/pegs/14a": isPage, "/venues/sallow-reach/pegs/14.json": isJSON,
		"/venues/sallow-reach/pegs/14?level=1.2&run=two-rods": isPage, "/venues/sallow-reach/pegs/14.json?level=1.2&run=two-rods": isJSON,
		"/gauges/cinder-lane": isPage, "/gauges/cinder-lane?days=365": isPage, "/gauges/cinder-lane?days=7305": isPage,
		"/gauges/cinder-lane?span=all": isPage, "/gauges/cinder-lane.json": isJSON, "/venues/sallow-reach?at=2026-11-28T10:00": isPage,
		"/healthz": isJSON, "/readyz": isJSON, "/words": isPage,
		static.Path("app.css"): "text/css; charset=utf-8", static.Path("app.js"): "text/javascript; charset=utf-8",
	} {
		a := s.get(path)
		if a.status != 200 || a.header.Get("Content-Type") != kind || len(a.body) == 0 {
			t.Errorf("%s: %d, %q, %d bytes", path, a.status, a.header.Get("Content-Type"), len(a.body))
		}
		if kind == isJSON && !json.Valid([]byte(a.body)) {
			t.Errorf("%s is not JSON: %.200s", path, a.body)
		}
		if kind == isPage && !(strings.HasPrefix(a.body, "<!doctype html>") && strings.HasSuffix(strings.TrimSpace(a.body), "</html>") && strings.Contains(a.body, "<h1")) {
			t.Errorf("%s is not a whole page: %.200s", path, a.body)
		}
		head := s.ask("HEAD", path)
		if head.status != 200 || head.body != "" || head.header.Get("Content-Type") != kind {
			t.Errorf("HEAD %s: %d, %q, %d bytes", path, head.status, head.header.Get("Content-Type"), len(head.body))
		}
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %s", log)
	}
}

// levelsThatMakeNoSense are answered 400 with a sentence, and the sheet stays.
func TestLevelsThatMakeNoSense(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, level := range []string{"abc", "1e9", "NaN", "", " ", "Inf", "-Inf", "0x1", "1_0", "1.2.3", "1,2,3", "--1", "1e1", "51", "-20.01", "9999",
		"²", "1 2", "٣", "1.2\x00", "\xff", strings.Repeat("9", 4000), "<script>alert(1)</script>"} {
		a := s.get("/venues/sallow-reach/pegs/14?level=" + url.QueryEscape(level))
		if a.status != 400 || !strings.Contains(a.body, `role="alert"`) || !strings.Contains(a.body, `id="water"`) || !strings.Contains(a.body, "Below is the sheet without it.") {
			t.Errorf("level %.40q: %d, an alert: %v, the sheet: %v", level, a.status, strings.Contains(a.body, `role="alert"`), strings.Contains(a.body, `id="water"`))
		}
		if strings.Contains(a.body, "<script>alert") {
			t.Errorf("level %.40q came back as markup", level)
		}
		j := s.get("/venues/sallow-reach/pegs/14.json?level=" + url.QueryEscape(level))
		var said struct{ Error string }
		if err := json.Unmarshal([]byte(j.body), &said); err != nil || j.status != 400 || said.Error == "" || j.header.Get("Content-Type") != isJSON {
			t.Errorf("level %.40q as JSON: %d %.200s", level, j.status, j.body)
		}
	}
	for level, shown := range map[string]string{"1,24": "1.24 m", "-0.3": "−0.30 m", "−0.3": "−0.30 m", "0": "0.00 m", ".5": "0.50 m", "1.": "1.00 m", " 1.24 m ": "1.24 m", "+1.2": "1.20 m", "1.239": "1.24 m", "-0.001": "0.00 m", "50": "50.00 m", "-20": "−20.00 m"} {
		a := s.get("/venues/sallow-reach/pegs/14?level=" + url.QueryEscape(level))
		if a.status != 200 || !strings.Contains(a.body, "as it would be at <b>"+shown) {
			t.Errorf("level %q: %d, does not show %s", level, a.status, shown)
		}
	}
	s.want("/venues/sallow-reach/pegs/14?run=weir", 400, "no run called “weir”", `id="water"`)
	s.want("/venues/sallow-reach/pegs/14?run=weir&level=x", 400, "is not a level", `id="water"`)
}

func TestWhatIsNotThere(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	s.want("/venues/sallow-reach/pegs/99", 404, "Sallow Reach has no peg 99. It has 21, 22, 23, 24, 25, 26.", `href="/venues/sallow-reach/pegs/26"`)
	s.want("/venues/sallow-reach/pegs/99.json", 404, `"error":"Sallow Reach has no peg 99.`)
	s.want("/venues/nowhere", 404, "It has Sallow Reach, Tansy Meadow, Cinder Bend.")
	s.want("/venues/nowhere.json", 404, `{"error":`)
	s.want("/venues/nowhere/pegs/1", 404, "Sallow Reach")
	s.want("/gauges/nowhere", 404, "no gauge")
	s.want("/nothing/here", 404, "There is no page at this address.", `href="/"`)
	s.want("/p/ZZZZZ", 404, "No peg has the code “ZZZZZ”")
	s.want("/static/000000000000/app.css", 404)
	s.want("/static/app.css", 404)
	s.want("/static/../routes.go", 404)
	// Odd characters in an address: never an error of ours, never markup.
	for _, odd := range []string{"%00", "a%00b", "%ff%fe", "%3Cscript%3E", "a%20b", "a%2Fb", "%27%20or%201=1", "%F0%9F%8E%A3", strings.Repeat("a", 3000), "%25", "..%2f..", "%0d%0aX-Bad:1"} {
		for _, path := range []string{"/venues/" + odd, "/venues/sallow-reach/pegs/" + odd, "/venues/" + odd + "/pegs/1", "/gauges/" + odd, "/gauges/" + odd + ".json", "/p/" + odd, "/venues/" + odd + ".json", "/venues/sallow-reach/pegs/" + odd + ".json"} {
			if a := s.get(path); a.status != 404 || strings.Contains(a.body, "<script>") || a.header.Get("X-Bad") != "" {
				t.Errorf("%.60s: %d", path, a.status)
			}
		}
		if a := s.get("/find?q=" + odd); a.status >= 500 || strings.Contains(a.body, "<script>") {
			t.Errorf("/find?q=%.40s: %d", odd, a.status)
		}
		if a := s.get("/find?q=3&venue=" + odd); a.status >= 500 {
			t.Errorf("/find?q=3&venue=%.40s: %d", odd, a.status)
		}
	}
	// An address written with more escapes than it needs is the same address.
	s.want("/venues/sallow%2Dreach/pegs/%31%34", 200, "Peg 14")
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.600s", log)
	}
}

func TestOtherMethods(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS"} {
		for _, path := range []string{"/", "/venues/sallow-reach/pegs/14", "/find", "/healthz"} {
			a := s.ask(method, path)
			if a.status != 405 || a.header.Get("Allow") == "" || !strings.Contains(a.body, "does not take "+method) {
				t.Errorf("%s %s: %d, allow %q", method, path, a.status, a.header.Get("Allow"))
			}
		}
	}
	if a := s.ask("POST", "/", "Sec-Fetch-Site", "cross-site"); a.status != 403 && a.status != 405 {
		t.Errorf("a changing request of another site: %d", a.status)
	}
}

func TestPegCode(t *testing.T) {
	t.Parallel()
	s, book := demoSite(t)
	h, err := book.Home(context.Background(), nil, dbtest.DemoNow)
	if err != nil {
		t.Fatal(err)
	}
	v := h.Venues[0]
	for _, p := range []int{0, 14} {
		for _, code := range []string{v.Pegs[p].Code, strings.ToLower(v.Pegs[p].Code)} {
			if a := s.get("/p/" + code); a.status != 302 || a.header.Get("Location") != "/venues/"+v.Venue.Slug+"/pegs/"+v.Pegs[p].Label {
				t.Errorf("/p/%s: %d to %q", code, a.status, a.header.Get("Location"))
			}
		}
	}
}

// codeOf is the lasting code of a peg.
func codeOf(t *testing.T, s site, venue, label string) string {
	t.Helper()
	var peg struct{ Code string }
	if err := json.Unmarshal([]byte(s.get("/venues/"+venue+"/pegs/"+label+".json").body), &peg); err != nil || peg.Code == "" {
		t.Fatalf("no code of peg %s: %v", label, err)
	}
	return peg.Code
}

func TestFind(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, c := range []struct {
		query  string
		status int
		want   string // where to, or what it says
	}{
		{"q=14a", 303, "/venues/sallow-reach/pegs/14A"},
		{"q=peg+14A", 303, "/venues/sallow-reach/pegs/14A"},
		{"q=sallow+14", 303, "/venues/sallow-reach/pegs/14"},
		{"q=14+CINDER", 303, "/venues/cinder-bend/pegs/14"},
		{"q=3&venue=tansy-meadow", 303, "/venues/tansy-meadow/pegs/3"},
		{"q=99&venue=tansy-meadow", 303, "/venues/tansy-meadow/pegs/99"},
		{"q=sallow+3&venue=tansy-meadow", 303, "/venues/sallow-reach/pegs/3"},
		{"q=tansy", 303, "/venues/tansy-meadow"},
		{"q=tansy+99", 303, "/venues/tansy-meadow/pegs/99"},
		{"q=" + codeOf(t, s, "sallow-reach", "14"), 303, "/venues/sallow-reach/pegs/14"},
		{"q=" + strings.ToLower(codeOf(t, s, "sallow-reach", "14")), 303, "/venues/sallow-reach/pegs/14"},
		{"q=14", 200, "Which one?"},
		{"q=lathern", 200, "Which one?"},
		{"q=lathern+99", 200, "Which one?"},
		{"q=nowhere", 404, "No peg or venue answers to “nowhere”"},
		{"q=999", 404, "No peg or venue answers"},
		{"q=", 400, "Write a peg"},
		{"", 400, "Write a peg"},
		{"q=peg", 400, "Write a peg"},
		{"q=" + strings.Repeat("a", 81), 400, "too long"},
		{"q=%3Cscript%3Ealert(1)%3C/script%3E", 404, "&lt;script&gt;"},
		{"q=3&venue=%2F%2Fevil.example", 303, "/venues/evil-example/pegs/3"},
	} {
		a := s.get("/find?" + c.query)
		if a.status != c.status || c.status == 303 && a.header.Get("Location") != c.want || c.status != 303 && !strings.Contains(a.body, c.want) {
			t.Errorf("/find?%.50s: %d to %q, want %d %q", c.query, a.status, a.header.Get("Location"), c.status, c.want)
		}
	}
}

func TestSecurityHeaders(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, path := range []string{"/", "/venues.json", "/venues/sallow-reach", "/venues/sallow-reach/pegs/14", "/venues/sallow-reach/pegs/14.json",
		"/gauges/cinder-lane", "/p/ZZZZZ", "/find?q=14a", "/find", "/kit", "/kit.json", "/nothing", "/healthz", "/readyz", static.Path("app.css"), "/static/x/app.css",
		"/venues/sallow-reach/pegs/14?level=x"} {
		for _, method := range []string{"GET", "HEAD", "POST"} {
			a := s.ask(method, path)
			csp := a.header.Get("Content-Security-Policy")
			if !strings.Contains(csp, "default-src 'none'") || !strings.Contains(csp, "frame-ancestors 'none'") || strings.Contains(csp, "unsafe") {
				t.Errorf("%s %s: policy %q", method, path, csp)
			}
			if a.header.Get("X-Content-Type-Options") != "nosniff" || a.header.Get("Referrer-Policy") == "" || a.header.Get("Permissions-Policy") == "" {
				t.Errorf("%s %s lacks a header: %v", method, path, a.header)
			}
		}
	}
}

func TestCompressed(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, path := range []string{"/venues/sallow-reach/pegs/14", "/venues/sallow-reach.json", static.Path("app.css")} {
		plain := s.get(path)
		small := s.get(path, "Accept-Encoding", "gzip")
		if plain.header.Get("Content-Encoding") != "" || small.header.Get("Content-Encoding") != "gzip" || len(small.body) > len(plain.body)/2 {
			t.Errorf("%s: %d bytes as %q and %d as %q", path, len(plain.body), plain.header.Get("Content-Encoding"), len(small.body), small.header.Get("Content-Encoding"))
			continue
		}
		r, err := gzip.NewReader(strings.NewReader(small.body))
		if err != nil {
			t.Fatal(err)
		}
		if body, err := io.ReadAll(r); err != nil || string(body) != plain.body {
			t.Errorf("%s unpacks to something else, %v", path, err)
		}
		if !strings.Contains(small.header.Get("Vary"), "Accept-Encoding") {
			t.Errorf("%s varies by %q", path, small.header.Get("Vary"))
		}
	}
	if a := s.get(static.Path("app.css")); !strings.Contains(a.header.Get("Cache-Control"), "immutable") {
		t.Errorf("static files may be kept for %q", a.header.Get("Cache-Control"))
	}
	if a := s.get("/"); !strings.Contains(a.header.Get("Cache-Control"), "private") {
		t.Errorf("a page may be kept for %q", a.header.Get("Cache-Control"))
	}
}

// TestClosedPeg: peg 18 of the demo lies under a power line and is closed.
func TestClosedPeg(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	a := s.want("/venues/sallow-reach/pegs/18", 200, "Do not fish here now.", "Closed until the club opens it again")
	stop, runs := strings.Index(a.body, `class="stop"`), strings.Index(a.body, `class="draw"`)
	if stop < 0 || runs < stop || strings.Contains(a.body, `class="rigc"`) || strings.Contains(a.body, `class="answer"`) || strings.Contains(a.body, `class="rig"`) {
		t.Errorf("the stop is at %d, the drawing at %d, a rig: %v", stop, runs, strings.Contains(a.body, `class="rigc"`))
	}
	var j struct {
		Stops []string `json:"do_not_fish"`
		Rigs  []any
		Runs  []any
	}
	if err := json.Unmarshal([]byte(s.get("/venues/sallow-reach/pegs/18.json").body), &j); err != nil || len(j.Stops) < 2 || len(j.Rigs) != 0 || len(j.Runs) == 0 || !strings.HasPrefix(j.Stops[0], "Closed") {
		t.Errorf("as JSON %+v, %v", j, err)
	}
	if open := s.get("/venues/sallow-reach/pegs/14"); strings.Contains(open.body, `class="stop"`) || !strings.Contains(open.body, `class="rigc"`) {
		t.Error("peg 14 is stopped or has no rig")
	}
	// The club's rule stops fishing above 1.85 m.
	if over := s.get("/venues/sallow-reach/pegs/14?level=1.86"); !strings.Contains(over.body, `class="stop"`) || strings.Contains(over.body, `class="rigc"`) {
		t.Error("over the club's rule a rig is offered")
	}
}

// TestLevelPastAnyRun: a level no float can fish keeps a page.
func TestLevelPastAnyRun(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, level := range []string{"-20", "-2", "5", "50"} {
		for _, peg := range []string{"sallow-reach/pegs/14", "cinder-bend/pegs/1", "tansy-meadow/pegs/20"} {
			s.want("/venues/"+peg+"?level="+level, 200, "</html>")
			s.want("/venues/"+peg+".json?level="+level, 200, `"level_asked":true`)
		}
	}
}
