package jobs_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/feeds"
	"levelpeg/feeds/jobs"
)

func TestMain(m *testing.M) { dbtest.Main(m) }

const gauge = "teasel-bridge" // of the demo

var onMachine = club.Writer{OnMachine: true}

// station serves one level of a few minutes ago.
func station(w http.ResponseWriter, _ *http.Request) {
	fmt.Fprintf(w, `{"items": [{"measure": "a-level-stage-i-15_min-m", "dateTime": %q, "value": 0.77}]}`, time.Now().Add(-time.Minute).UTC().Format(time.RFC3339))
}

func served(t *testing.T, do http.HandlerFunc) string {
	t.Helper()
	s := httptest.NewServer(do)
	t.Cleanup(s.Close)
	return s.URL
}

type bench struct {
	*testing.T
	book *db.DB
	url  string
}

func newBench(t *testing.T) bench {
	t.Helper()
	url := dbtest.NewDemo(t)
	book, err := db.Open(context.Background(), url, db.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	return bench{t, book, url}
}

func (b bench) add(address string) int64 {
	b.Helper()
	id, err := b.book.AddFeed(context.Background(), onMachine, gauge, club.FeedDraft{Format: club.EnvironmentAgency, Address: address, Unit: club.Metres, Every: time.Hour}, time.Now())
	if err != nil {
		b.Fatal(err)
	}
	return id
}

// run starts a server's fetching, and stops it at the test's end.
func (b bench) run() *jobs.Runner {
	b.Helper()
	fetcher := feeds.NewFetcher(feeds.Settings{Allow: []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}, Within: 3 * time.Second})
	r, err := jobs.Open(context.Background(), b.url, jobs.Config{Book: b.book, Fetcher: fetcher, Log: slog.New(slog.NewTextHandler(io.Discard, nil)), Work: true, Look: time.Second})
	if err != nil {
		b.Fatal(err)
	}
	if err := r.Start(context.Background()); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { stop(b.T, r) })
	return r
}

func stop(t *testing.T, r *jobs.Runner) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if err := r.Stop(ctx); err != nil {
		t.Error(err)
	}
}

func (b bench) feed(id int64) club.Feed {
	b.Helper()
	f, err := b.book.Feed(context.Background(), id)
	if err != nil {
		b.Fatal(err)
	}
	return f
}

// until waits for a feed to be as wanted.
func (b bench) until(id int64, what string, is func(club.Feed) bool) club.Feed {
	b.Helper()
	for begun := time.Now(); ; time.Sleep(50 * time.Millisecond) {
		f := b.feed(id)
		if is(f) {
			return f
		}
		if time.Since(begun) > 40*time.Second {
			b.Fatalf("%s: not after %v: %+v", what, time.Since(begun), f)
		}
	}
}

// TestOneFeedStopsNoOther: hostile feeds beside good ones. The good ones have their
// levels, the hostile ones their sentence, and wait.
func TestOneFeedStopsNoOther(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	var bad, good []int64
	for i := range 6 {
		bad = append(bad, b.add(served(t, func(w http.ResponseWriter, r *http.Request) {
			switch i % 3 {
			case 0:
				<-r.Context().Done()
			case 1:
				fmt.Fprint(w, `{"items": [`)
			case 2:
				panic(http.ErrAbortHandler)
			}
		})))
		good = append(good, b.add(served(t, station)))
	}
	b.run()
	for _, id := range good {
		f := b.until(id, "a good feed", func(f club.Feed) bool { return !f.Good.IsZero() })
		if f.Newest.IsZero() || f.Failures != 0 || f.Why != "" || time.Until(f.Due) < 55*time.Minute {
			t.Errorf("%+v", f)
		}
	}
	for _, id := range bad {
		f := b.until(id, "a bad feed", func(f club.Feed) bool { return f.Failures > 0 })
		if f.Why == "" || !f.Newest.IsZero() || time.Until(f.Due) < 4*time.Minute {
			t.Errorf("%+v", f)
		}
	}
}

// TestTwoServersFetchOnce: of two servers on one database one fetches a feed, and one
// that is asked for twice is fetched once.
func TestTwoServersFetchOnce(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	var asked atomic.Int32
	id := b.add(served(t, func(w http.ResponseWriter, r *http.Request) {
		asked.Add(1)
		time.Sleep(300 * time.Millisecond)
		station(w, r)
	}))
	one, two := b.run(), b.run()
	for _, r := range []*jobs.Runner{one, two, one} {
		if err := r.Ask(context.Background(), id); err != nil {
			t.Fatal(err)
		}
	}
	b.until(id, "the feed", func(f club.Feed) bool { return !f.Good.IsZero() })
	time.Sleep(4 * time.Second) // two more looks of both
	if n := asked.Load(); n != 1 {
		t.Errorf("fetched %d times, want once", n)
	}
}

// TestAFeedThatComesBack: after a failure it is fetched again when it is due, and good.
func TestAFeedThatComesBack(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	var up atomic.Bool
	id := b.add(served(t, func(w http.ResponseWriter, r *http.Request) {
		if !up.Load() {
			w.WriteHeader(http.StatusBadGateway)
			return
		}
		station(w, r)
	}))
	r := b.run()
	f := b.until(id, "the failure", func(f club.Feed) bool { return f.Failures == 1 })
	if !strings.Contains(f.Why, "502") {
		t.Errorf("%+v", f)
	}
	up.Store(true)
	if err := b.book.HurryFeed(context.Background(), onMachine, gauge, id, time.Now()); err != nil {
		t.Fatal(err)
	}
	if err := r.Ask(context.Background(), id); err != nil {
		t.Fatal(err)
	}
	if f = b.until(id, "the way back", func(f club.Feed) bool { return !f.Good.IsZero() }); f.Failures != 0 || f.Why != "" {
		t.Errorf("%+v", f)
	}
}

// TestAKilledServersJobs: what a server was at when it was killed looks as if it were still
// under way, and keeps its like from being asked for; after rescueAfter another server does
// it anew.
func TestAKilledServersJobs(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	var asked atomic.Int32
	id := b.add(served(t, func(w http.ResponseWriter, r *http.Request) {
		asked.Add(1)
		station(w, r)
	}))
	conn, err := pgx.Connect(context.Background(), b.url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	r := b.run()
	if err := r.Ask(context.Background(), id); err != nil {
		t.Fatal(err)
	}
	b.until(id, "the first fetch", func(f club.Feed) bool { return !f.Good.IsZero() })
	stop(t, r)
	// As a server that was killed a while ago leaves them, at its look and at its fetch.
	for _, q := range []string{
		`delete from river_leader`,
		`update feeds set due_at = now() - interval '1 minute'`,
		`delete from river_job where kind = 'feeds_due' and id <> (select max(id) from river_job where kind = 'feeds_due')`,
		`update river_job set state = 'running', attempt = 1, finalized_at = null, attempted_by = '{gone}', attempted_at = now() - interval '136 seconds' where kind in ('feeds_due', 'feed')`,
	} {
		if _, err := conn.Exec(context.Background(), q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
	began := time.Now()
	b.run()
	b.until(id, "the feed again", func(f club.Feed) bool { return f.Due.After(time.Now()) })
	if n := asked.Load(); n != 2 {
		t.Errorf("fetched %d times, want twice", n)
	}
	t.Logf("done anew %v after another server began", time.Since(began).Round(time.Millisecond))
}
