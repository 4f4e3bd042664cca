package e2e

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

const gaugeAt = "/gauges/teasel-bridge"

// A bailiff sets a feed up, and its levels stand on the gauge's page with whose they are;
// with script and without.
func TestABailiffAddsAFeed(t *testing.T) {
	t.Parallel()
	station := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		fmt.Fprintf(w, `{"items": [{"measure": "a-level-stage-i-15_min-m", "dateTime": %q, "value": 0.77}]}`, time.Now().UTC().Format(time.RFC3339))
	}))
	t.Cleanup(station.Close)
	dir := withDemo(t)
	_, home := serve(t, "--data", dir, "--feeds-allow", "127.0.0.1")
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	for i, noScript := range []bool{false, true} {
		v := phone
		v.noScript = noScript
		b := open(t, v)
		b.signIn(home, true)
		b.goTo(home + gaugeAt)
		b.tap(`main a[href$="/feeds"]`)
		b.do(chromedp.Tap(chromedp.CSS("#add summary")))
		b.fill("#feed-address", fmt.Sprintf("%s/readings?%d", station.URL, i))
		b.fill("#feed-acknowledge", fmt.Sprintf("Thanks to station %d.", i))
		b.tap("#add form button")
		if got := b.text("[role=status]"); !strings.HasPrefix(got, "The feed is set up.") {
			t.Errorf("the page says %q", got)
		}
		b.fits()
		b.until("a good fetch", func() bool {
			b.goTo(home + gaugeAt + "/feeds")
			return strings.Count(b.text("#feeds + ul"), "Good.") == i+1
		})
		b.goTo(home + gaugeAt)
		if got := b.text("main"); !strings.Contains(got, "0.77 m") || !strings.Contains(got, "read by a station") || !strings.Contains(got, fmt.Sprintf("Thanks to station %d.", i)) {
			t.Errorf("the gauge's page says %.900s", got)
		}
		b.quiet(home)
	}
}

// A bailiff takes an old notebook in: what it is read as is seen first, a bad row by its
// number, and the rest is kept; with script and without.
func TestABailiffTakesATableIn(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	for i, noScript := range []bool{false, true} {
		file := filepath.Join(t.TempDir(), "notebook.csv")
		day := time.Now().AddDate(-1, 0, -i).Format("02/01/2006")
		if err := os.WriteFile(file, fmt.Appendf(nil, "day;time;board (cm)\n%[1]s;08:01;64,5\n%[1]s;09:01;flood\n%[1]s;10:01;66\n", day), 0o600); err != nil {
			t.Fatal(err)
		}
		v := phone
		v.noScript = noScript
		b := open(t, v)
		b.signIn(home, true)
		b.goTo(home + gaugeAt + "/feeds")
		b.tap(`main a[href$="/import"]`)
		b.do(chromedp.SetUploadFiles("#import-file", []string{file}))
		b.tap("main form button")
		got := b.text("main")
		for _, want := range []string{"notebook.csv", "2 rows can be kept", "Row 3: its level is not a number", "0.645"} {
			if !strings.Contains(got, want) {
				t.Fatalf("the preview lacks %q: %.900s", want, got)
			}
		}
		b.fits()
		b.choose("source", "board")
		b.choose("bad", "leave")
		b.tap("#keep + form button")
		if got := b.text("[role=status]"); got != "Levels: 2 new. 1 bad row was left out." {
			t.Errorf("the page says %q", got)
		}
		b.quiet(home)
	}
}
