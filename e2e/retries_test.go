package e2e

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// retries are how often each step had to be done again.
type retries struct {
	*testing.T
	of map[string]int
}

// mostRetries is more than a person would try; a step that needs them fails.
const mostRetries = 20

// step does something until it is done.
func (r retries) step(name string, try func() bool) {
	r.Helper()
	for n := range mostRetries {
		if try() {
			r.of[name] += n
			return
		}
		time.Sleep(250 * time.Millisecond)
	}
	r.Fatalf("%s: not done after %d tries", name, mostRetries)
}

// loads goes to an address and says whether its page came.
func (b *tab) loads(at string) bool {
	ctx, cancel := context.WithTimeout(b.ctx, 10*time.Second)
	defer cancel()
	a, err := chromedp.Run(ctx, chromedp.NavigateResponse(at))
	return err == nil && a != nil && a.Status == http.StatusOK
}

// shows sends a form by a script and says whether the page that comes has the words, and
// not the proxy's own.
func (b *tab) shows(send, words string) bool {
	b.Helper()
	if _, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](`(window.before = true, (() => {`+send+`})(), true)`)); err != nil {
		return false
	}
	for deadline := time.Now().Add(8 * time.Second); time.Now().Before(deadline); time.Sleep(30 * time.Millisecond) {
		text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`window.before || document.readyState !== "complete" ? "" : document.body?.innerText ?? ""`))
		switch {
		case err != nil || text == "":
		case strings.Contains(text, words):
			return true
		default:
			b.Logf("instead of %q: %.120q", words, text)
			return false
		}
	}
	return false
}

func treeDown(i int) string { return fmt.Sprintf("Tree number %d down", i) }

// walk looks at a peg, writes a level and a sounding by the phone's queue, and closes the
// peg.
func (r retries) walk(p *handset, home string, i int, last float64, sheet sheetJSON) {
	r.Helper()
	r.step("look at a peg", func() bool { return p.loads(home + ordinaryPeg) })
	r.step("the page of recording", func() bool {
		return p.loads(home+"/record") && eval[bool](p.tab, `document.querySelector("#record")?.dataset.ready === "1" || !!document.querySelector("#record")`)
	})
	p.until("the page is ready", func() bool { return eval[bool](p.tab, `document.querySelector("#record")?.dataset.ready === "1"`) })
	p.level(last + 0.01*float64(i%2))
	p.sounding(strings.ToLower(sheet.Runs[0].Name), sheet.Runs[0].Depth.Mid+0.01*float64(i%3))
	r.step("what the phone keeps", func() bool {
		for range 20 {
			if len(p.onList("kept"))+len(p.onList("on its way")) == 0 && len(p.onList("in the book")) > 0 {
				return true
			}
			time.Sleep(50 * time.Millisecond)
		}
		return eval[bool](p.tab, `dispatchEvent(new Event("online")), false`)
	})
	r.step("close a peg", func() bool {
		if !p.loads(home + "/venues/sallow-reach/closures?peg=14") {
			return false
		}
		if strings.Contains(p.text("main"), treeDown(i)) {
			return true // it went in, and the answer got lost
		}
		return p.shows(`const own = document.querySelector("#own"); own.value = "`+treeDown(i)+`"; own.form.requestSubmit(own.form.querySelector("button:not([name])"));`, treeDown(i))
	})
}

// tableAcross sends a table to one server, which is killed, and keeps it on the other.
func (r retries) tableAcross(p *handset, home string, f *front, one *twin) {
	r.Helper()
	file := filepath.Join(r.TempDir(), "notebook.csv")
	day := time.Now().AddDate(-1, 0, 0).Format("02/01/2006")
	if err := os.WriteFile(file, fmt.Appendf(nil, "day;time;board (cm)\n%[1]s;08:01;64,5\n%[1]s;09:01;flood\n%[1]s;10:01;66\n", day), 0o600); err != nil {
		r.Fatal(err)
	}
	f.pin(one.i)
	r.step("send a table", func() bool {
		if !p.loads(home + gaugeAt + "/import") {
			return false
		}
		p.do(chromedp.SetUploadFiles("#import-file", []string{file}))
		return p.shows(`document.querySelector("#import-file").form.requestSubmit()`, "2 rows can be kept")
	})
	preview := p.where()
	f.pin(1 - one.i) // nobody is sent to the one that is killed while the proxy has no other
	one.killed()
	r.step("look at it on the other", func() bool { return p.loads(preview) && strings.Contains(p.text("main"), "2 rows can be kept") })
	r.step("keep it", func() bool {
		p.choose("source", "board")
		p.choose("bad", "leave")
		return p.shows(`document.querySelector("#keep + form").requestSubmit()`, "Levels: 2 new.")
	})
	f.pin(-1)
}
