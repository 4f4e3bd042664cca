package e2e

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"levelpeg/club"
	"levelpeg/db"
)

// twin is one of two servers on one database.
type twin struct {
	*testing.T
	front *front
	i     int
	url   string // of the database
	prog  *program
}

func (w *twin) start() {
	w.Helper()
	p, err := launch("serve", "--listen", "127.0.0.1:0", "--database", w.url, "--no-links", "--drain", "1s", "--feeds-allow", "127.0.0.1", "--trust-proxy", "127.0.0.1/32")
	if err != nil {
		w.Error(err)
		return
	}
	w.prog = p
	at, err := p.awaitURL(startWithin)
	if err != nil {
		w.Error(err)
		return
	}
	u, err := url.Parse(at)
	if err != nil {
		w.Error(err)
		return
	}
	w.front.set(w.i, u)
}

// killed ends a server without a word, and starts another in its place. The proxy has to
// find out.
func (w *twin) killed() {
	w.Helper()
	w.prog.kill()
	w.start()
}

// killedAt does so at a request that writes: as it comes, or after it is done and before
// its answer is passed on.
func (w *twin) killedAt(path string, late bool) func() {
	return func() {
		w.Helper()
		w.front.fall(&blow{on: path, i: w.i, late: late, kill: w.prog.kill})
		w.start()
	}
}

// relieved tells a server to stop, as an upgrade does, and starts another in its place.
func (w *twin) relieved() {
	w.Helper()
	if err := w.prog.stop(); err != nil {
		w.Error(err)
	}
	w.start()
}

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

// countedStation is a server of levels that counts how often it is asked.
func countedStation(t *testing.T) (string, *atomic.Int32) {
	var asked atomic.Int32
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		asked.Add(1)
		time.Sleep(200 * time.Millisecond)
		fmt.Fprintf(w, `{"items": [{"measure": "a-level-stage-i-15_min-m", "dateTime": %q, "value": 0.77}]}`, time.Now().UTC().Add(-time.Hour).Truncate(time.Minute).Format(time.RFC3339))
	}))
	t.Cleanup(s.Close)
	return s.URL, &asked
}

// reader asks for pages all along, as a member who is signed in: each comes, whatever
// becomes of the servers.
func reader(ctx context.Context, t *testing.T, home string, cookies []*http.Cookie, asked *atomic.Int32) {
	client := &http.Client{Timeout: 20 * time.Second}
	for i := 0; ctx.Err() == nil; i++ {
		path := []string{ordinaryPeg, "/me", ordinaryPeg + ".json", "/"}[i%4]
		r, err := http.NewRequest("GET", home+path, nil)
		if err != nil {
			t.Error(err)
			return
		}
		for _, c := range cookies {
			r.AddCookie(c)
		}
		a, err := client.Do(r)
		if err != nil {
			t.Errorf("reading %s: %v", path, err)
			continue
		}
		_, err = io.Copy(io.Discard, a.Body)
		a.Body.Close()
		if a.StatusCode != http.StatusOK {
			t.Errorf("reading %s: %d, %v", path, a.StatusCode, err)
		} else if err == nil { // an answer may be cut off in the middle: the reader asks again
			asked.Add(1)
		}
		time.Sleep(40 * time.Millisecond)
	}
}

// TestTwoServersOnOneDatabase: a member walks through the pair of them behind a proxy while
// one is killed and started again, then the other, then one is told to stop, and started
// again. Nothing fails that a retry does not mend; what is written is in the book once; the
// session holds; no answer is a 500; and a feed is fetched once each time it is due.
func TestTwoServersOnOneDatabase(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	began := time.Now()
	address := other(t, dir).URL()
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	conn := inside(t, dir)
	f, home := newFront(t)
	one, two := &twin{T: t, front: f, i: 0, url: address}, &twin{T: t, front: f, i: 1, url: address}
	station, fetched := countedStation(t)
	addFeed(t, address, station)
	one.start() // it leads
	two.start()
	for _, w := range []*twin{one, two} {
		t.Cleanup(func() {
			if err := w.prog.stop(); err != nil {
				t.Error(err)
			}
		})
	}
	f.both()
	awaitCount(t, fetched, 1)

	g := newGate(t, home)
	g.set(noFault, home)
	m := joined(t, home)
	tell(t, conn, `update members set role = 'bailiff' where sign_in = 'una'`)
	p := newHandset(t, g)
	r := retries{t, map[string]int{}}
	r.step("sign in", func() bool {
		return p.loads(g.url()+"/sign-in?to="+url.QueryEscape("/me")) && p.shows(`const f = document.querySelector('form[action="/sign-in"]');
			f.elements.name.value = "una"; f.elements.password.value = "`+secretWord+`"; f.elements.own.checked = true; f.requestSubmit(f.querySelector("button:not([data-key])"));`, "Una V.")
	})
	r.step("look at a peg", func() bool { return p.loads(g.url() + ordinaryPeg) })
	sheet := mustJSON[sheetJSON](t, g.url()+ordinaryPeg+".json")
	r.step("the page of recording", func() bool { return p.loads(g.url() + "/record") })
	p.installed()
	last := eval[float64](p.tab, `Number(document.querySelector("#gauge").selectedOptions[0].dataset.level)`)

	ctx, enough := context.WithCancel(context.Background())
	var reading, breaking sync.WaitGroup
	var pages atomic.Int32
	t.Cleanup(func() { enough(); reading.Wait(); breaking.Wait() })
	reading.Go(func() { reader(ctx, t, home, m, &pages) })
	var broken atomic.Bool
	tell(t, conn, `update feeds set due_at = now()`)
	breaking.Go(func() {
		defer broken.Store(true)
		for _, fail := range []func(){one.killedAt("/closures", false), two.killedAt("/closures", true), one.killedAt("/api/1/entries", true), two.relieved} {
			fail()
			f.both()
		}
	})
	t.Logf("ready to walk after %v", time.Since(began).Round(time.Millisecond))
	rounds := 0
	for ; rounds < 2 || !broken.Load(); rounds++ {
		r.walk(p, g.url(), rounds, last, sheet)
	}
	breaking.Wait()
	t.Logf("%d rounds done after %v", rounds, time.Since(began).Round(time.Millisecond))
	r.tableAcross(p, g.url(), f, one)

	awaitCount(t, fetched, 2)
	time.Sleep(2500 * time.Millisecond) // one more look of each for work
	enough()
	reading.Wait()
	if n := fetched.Load(); n != 2 {
		t.Errorf("the feed was due twice, and was fetched %d times", n)
	}
	w, levels, soundings := whatIsWritten(t, dir)
	if levels != rounds || soundings != rounds || len(w.states) != 2*rounds {
		t.Errorf("%d levels, %d soundings, %d entries taken in, want %d, %d and %d", levels, soundings, len(w.states), rounds, rounds, 2*rounds)
	}
	for i := range rounds {
		var n int
		if err := conn.QueryRow(testContext(t, tabLimit), `select count(*) from closures where reason = $1`, treeDown(i)).Scan(&n); err != nil || n != 1 {
			t.Errorf("%s stands %d times, %v", treeDown(i), n, err)
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.counts[http.StatusInternalServerError] > 0 || f.by[0] == 0 || f.by[1] == 0 {
		t.Errorf("statuses %v, by each %v", f.counts, f.by)
	}
	t.Logf("%d rounds and %d pages in %v; statuses %v; by each %v; the proxy asked the other %d times; steps done again: %v",
		rounds, pages.Load(), time.Since(began).Round(time.Millisecond), f.counts, f.by, f.retried, r.of)
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

// joined is somebody who joins by the tests' link, and the cookie of their session.
func joined(t *testing.T, home string) []*http.Cookie {
	t.Helper()
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err := http.NewRequest("POST", home+"/join/"+demoLink, strings.NewReader(url.Values{"name": {"Una V."}, "sign_in": {"una"}, "password": {secretWord}}.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	a, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	body, _ := io.ReadAll(a.Body)
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("joining: %d %.400s", a.StatusCode, body)
	}
	return a.Cookies()
}

// addFeed sets a feed up that is due now, and then not for a quarter of an hour.
func addFeed(t *testing.T, address, station string) {
	t.Helper()
	book, err := db.Open(testContext(t, tabLimit), address, db.Options{MaxConns: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	if _, err := book.AddFeed(testContext(t, tabLimit), club.Writer{OnMachine: true}, "teasel-bridge",
		club.FeedDraft{Format: club.EnvironmentAgency, Address: station, Unit: club.Metres, Every: 15 * time.Minute}, time.Now()); err != nil {
		t.Fatal(err)
	}
}

func awaitCount(t *testing.T, n *atomic.Int32, want int32) {
	t.Helper()
	for deadline := time.Now().Add(40 * time.Second); n.Load() < want; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("fetched %d times, want %d", n.Load(), want)
		}
	}
}
