package e2e

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// message is one line of the HTML checker.
type message struct {
	Type, SubType string
	URL           string
	LastLine      int
	Message       string
	Extract       string
}

func (m message) String() string {
	return fmt.Sprintf("%s:%d: %s: %s …%s…", filepath.Base(m.URL), m.LastLine, m.Type, m.Message, strings.TrimSpace(m.Extract))
}

// checkHTML runs the checker once over all files: most of its time is its start.
func checkHTML(t *testing.T, files ...string) []message {
	t.Helper()
	jar := filepath.Join("node_modules", "vnu-jar", "build", "dist", "vnu.jar")
	if _, err := os.Stat(jar); err != nil {
		missing(t, "vnu-jar", installModules)
	}
	java, err := exec.LookPath("java")
	if err != nil {
		missing(t, "Java", "apt-get install default-jre-headless")
	}
	// It runs for a second, so Java's best compiler would only cost; without that one
	// the checker needs a deeper stack.
	args := append([]string{"-XX:TieredStopAtLevel=1", "-Xss4m", "-jar", jar, "--also-check-css", "--format", "json", "--exit-zero-always"}, files...)
	cmd := exec.CommandContext(testContext(t, tabLimit), java, args...)
	var said, more strings.Builder
	cmd.Stderr, cmd.Stdout = &said, &more
	if err := cmd.Run(); err != nil {
		t.Fatalf("the checker: %v\n%s%s", err, &said, &more)
	}
	var out struct{ Messages []message }
	if err := json.Unmarshal([]byte(said.String()), &out); err != nil {
		t.Fatalf("the checker's answer: %v\n%s", err, &said)
	}
	return out.Messages
}

var stylesheet = regexp.MustCompile(`<link rel="stylesheet" href="([^"]+)"`)

// morePages are kinds of page that differ in nothing a browser shows but have code
// of their own.
var morePages = []kind{
	{"find-nothing", "/find?q=", http.StatusBadRequest},
	{"find-none", "/find?q=nowhere", http.StatusNotFound},
	{"gauge-old-problem", "/gauges/teasel-bridge?days=9", http.StatusBadRequest},
	{"gauge-old", "/gauges/teasel-bridge?days=30", http.StatusOK},
	{"closures-to-come", "/venues/cinder-bend/closures", http.StatusOK},
	{"bailiff-sheet-stop", closedPeg, http.StatusOK},
	{"bailiff-close-problem", "/venues/sallow-reach/closures?peg=99", http.StatusBadRequest},
	{"lost-venue", "/venues/nowhere", http.StatusNotFound},
	{"lost-gauge", "/gauges/nowhere", http.StatusNotFound},
	{"venue-2", "/venues/tansy-meadow", http.StatusOK},
	{"venue-3", "/venues/cinder-bend", http.StatusOK},
	{"sheet-dry", ordinaryPeg + "?level=-2", http.StatusOK},
}

// Nothing is left out: no message of type error is accepted. Warnings are listed.
func TestPagesAndStylesheetAreValid(t *testing.T) {
	t.Parallel()
	home := site(t)
	dir := t.TempDir()
	var files []string
	save := func(name, text string) {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, path)
	}
	css := ""
	for _, k := range append(kinds(), morePages...) {
		page := mustGet(t, home+k.path, k.status, k.cookies()...)
		save(k.name+".html", page.body)
		if policy := page.header.Get("Content-Security-Policy"); !strings.HasPrefix(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") {
			t.Errorf("%s has the content policy %q", k.path, policy)
		}
		if m := stylesheet.FindStringSubmatch(page.body); m != nil {
			css = m[1]
		}
	}
	if css == "" {
		t.Fatal("no page names a stylesheet")
	}
	save("app.css", mustGet(t, home+css, http.StatusOK).body)
	// The checker sees trouble: a page that is wrong is among those it is given.
	save("wrong.html", "<!DOCTYPE html><title>x</title><p><div></p><img>")
	wrong := 0
	for _, m := range checkHTML(t, files...) {
		switch {
		case filepath.Base(m.URL) == "wrong.html":
			wrong++
		case m.Type == "info":
			t.Logf("%v", m)
		default:
			t.Errorf("%v", m)
		}
	}
	if wrong < 2 {
		t.Errorf("the checker found %d faults in the page that is wrong", wrong)
	}
}
