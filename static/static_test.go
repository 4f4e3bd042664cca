package static

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
)

func TestPathCarriesTheHash(t *testing.T) {
	for name, f := range byName {
		sum := sha256.Sum256(f.plain)
		if want := "/static/" + hex.EncodeToString(sum[:6]) + "/" + name; Path(name) != want {
			t.Errorf("%s is at %s, want %s", name, Path(name), want)
		}
		if !strings.HasPrefix(f.kind, "text/") && !strings.HasPrefix(f.kind, "image/") {
			t.Errorf("%s has the type %q", name, f.kind)
		}
	}
	if len(byName) < 2 {
		t.Errorf("%d files", len(byName))
	}
}

func TestWrongHash(t *testing.T) {
	right := Path("app.css")
	for _, path := range []string{strings.Replace(right, right[8:12], "0000", 1), "/static/app.css", "/static/", right + "/", strings.ToUpper(right)} {
		w := httptest.NewRecorder()
		Handler().ServeHTTP(w, httptest.NewRequest("GET", path, nil))
		if w.Code != 404 || w.Header().Get("Cache-Control") != "" {
			t.Errorf("%s: %d, kept %q", path, w.Code, w.Header().Get("Cache-Control"))
		}
	}
}

// bugReports are links in comments, which no browser follows.
var bugReports = regexp.MustCompile(`https://bug[a-z.]+/\S+`)

// TestNothingFromElsewhere: the files name no other host, so that the policy of the
// pages lets them work.
func TestNothingFromElsewhere(t *testing.T) {
	for name, f := range byName {
		for _, bad := range []string{"http://", "https://", "//cdn", "@import"} {
			body := strings.ReplaceAll(string(f.plain), "http://www.w3.org/", "")
			// The map's library names its own home, in words that our map does not show.
			// And its style says which browsers' faults it works around.
			switch name {
			case "leaflet.js":
				body = strings.ReplaceAll(body, "https://leafletjs.com", "")
			case "leaflet.css":
				body = bugReports.ReplaceAllString(body, "")
			}
			if strings.Contains(body, bad) {
				t.Errorf("%s holds %q", name, bad)
			}
		}
	}
}
