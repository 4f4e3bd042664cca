package e2e

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

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
