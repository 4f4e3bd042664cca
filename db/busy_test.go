package db_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

// stuckDB is a book with so many connections, and short waits for one.
func stuckDB(t *testing.T, conns int32, within time.Duration, most int64) *db.DB {
	t.Helper()
	book, err := db.Open(context.Background(), dbtest.New(t), db.Options{MaxConns: conns})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	book.SetWaits(within, most)
	return book
}

// hang has so many queries of a kind hang until it is told to end them, or the test ends.
func hang(t *testing.T, book *db.DB, n int, lane string) (end func()) {
	t.Helper()
	return hangIn(t, book, n, club.InLane(context.Background(), lane))
}

func hangIn(t *testing.T, book *db.DB, n int, as context.Context) (end func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(as)
	var all sync.WaitGroup
	for range n {
		all.Go(func() {
			if err := book.Run(ctx, `select pg_sleep(4)`); err != nil && ctx.Err() == nil && !errors.Is(err, db.ErrBusy) {
				t.Errorf("what is to hang: %v", err)
			}
		})
	}
	end = func() { cancel(); all.Wait() }
	t.Cleanup(end)
	return end
}

func awaitInUse(t *testing.T, book *db.DB, n int) {
	t.Helper()
	for deadline := time.Now().Add(5 * time.Second); book.Pool().InUse != n; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%+v, want %d in use", book.Pool(), n)
		}
	}
}

func awaitWaiting(t *testing.T, book *db.DB, n int64) {
	t.Helper()
	for deadline := time.Now().Add(2 * time.Second); int64(book.Pool().Waiting) != n; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%+v, want %d waiting", book.Pool(), n)
		}
	}
}

// Where every connection is in use for long, one more request is told so in a sentence and
// in good time, and it is counted.
func TestNoConnectionComesFree(t *testing.T) {
	t.Parallel()
	book := stuckDB(t, 2, 200*time.Millisecond, 10)
	hang(t, book, 2, "")
	awaitInUse(t, book, 2)
	began := time.Now()
	err := book.Ping(context.Background())
	if took := time.Since(began); took < 150*time.Millisecond || took > 2*time.Second {
		t.Errorf("told after %v", took)
	}
	if club.KindOf(err) != club.Unavailable || !strings.Contains(err.Error(), "Too many are asking") || !errors.Is(err, db.ErrBusy) {
		t.Errorf("told %v", err)
	}
	if p := book.Pool(); p.TurnedAway != 1 || p.Waiting != 0 {
		t.Errorf("%+v", p)
	}
}

// Where many wait already, one more is told so at once.
func TestTooManyWait(t *testing.T) {
	t.Parallel()
	book := stuckDB(t, 1, 3*time.Second, 1)
	hang(t, book, 1, "")
	awaitInUse(t, book, 1)
	awaitWaiting(t, book, 0) // a connection is in use a moment before whoever has it waits no more
	hang(t, book, 1, "")
	awaitWaiting(t, book, 1)
	began := time.Now()
	if err := book.Ping(context.Background()); !errors.Is(err, db.ErrBusy) || time.Since(began) > time.Second {
		t.Errorf("after %v: %v", time.Since(began), err)
	}
}

// A request that its asker gave up is not one of too many.
func TestGivenUpWhileItWaits(t *testing.T) {
	t.Parallel()
	book := stuckDB(t, 1, 3*time.Second, 10)
	hang(t, book, 1, "")
	awaitInUse(t, book, 1)
	ctx, cancel := context.WithCancel(context.Background())
	time.AfterFunc(50*time.Millisecond, cancel)
	if err := book.Ping(ctx); !errors.Is(err, context.Canceled) || book.Pool().TurnedAway != 0 {
		t.Errorf("%v, %+v", err, book.Pool())
	}
}

// However many requests of one kind hang, another kind gets a connection at once; and when
// they end, theirs are free again.
func TestOneKindLeavesRoom(t *testing.T) {
	t.Parallel()
	book := stuckDB(t, 3, time.Second, 50)
	end := hang(t, book, 8, "/hangs")
	awaitInUse(t, book, 2)
	began := time.Now()
	if err := book.Ping(club.InLane(context.Background(), "/other")); err != nil || time.Since(began) > 500*time.Millisecond {
		t.Errorf("another kind: %v after %v", err, time.Since(began))
	}
	end()
	for range 20 {
		if err := book.Ping(club.InLane(context.Background(), "/hangs")); err != nil {
			t.Fatalf("afterwards: %v", err)
		}
	}
	awaitInUse(t, book, 0) // those that were given up are closed in their own time
	if p, n := book.Pool(), book.PlacesHeld(); n != 0 || p.Waiting != 0 {
		t.Errorf("%d places are held, %+v", n, p)
	}
}

// What is to be watched is told of an empty book and of one with feeds.
func TestWatch(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	book := stuckDB(t, 1, time.Second, 10)
	if w, err := book.Watch(ctx); err != nil || w.WaitingForMending != 0 || len(w.Feeds) != 0 {
		t.Errorf("an empty book: %+v, %v", w, err)
	}
	good := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	for _, sql := range []string{
		`insert into gauges (slug, name, river, low_mm, high_mm) values ('weir', 'Weir', 'A', 0, 1000)`,
		`insert into intake (id, form, body, state) values (gen_random_uuid(), 1, 'a', 'needs mending'), (gen_random_uuid(), 1, 'b', 'in the book')`,
		`insert into gauge_zeros (gauge_id, valid_from, offset_mm) select id, '-infinity', 0 from gauges`,
		`insert into feeds (gauge_id, zero_id, format, address, failures, good_at, newest_at) select gauge_id, id, 'csv', 'https://levels.example/?key=secret', 2, '2026-05-01 12:00Z', '2026-05-01 11:45Z' from gauge_zeros`,
		`insert into feeds (gauge_id, zero_id, format, address) select gauge_id, id, 'csv', 'https://levels.example/new' from gauge_zeros`,
		`insert into feeds (gauge_id, zero_id, format, address, active) select gauge_id, id, 'csv', 'https://levels.example/paused', false from gauge_zeros`,
		`insert into feeds (gauge_id, zero_id, format, address, removed_at) select gauge_id, id, 'csv', 'https://levels.example/removed', now() from gauge_zeros`,
	} {
		if err := book.Run(ctx, sql); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
	}
	w, err := book.Watch(ctx)
	if err != nil || w.WaitingForMending != 1 || len(w.Feeds) != 2 {
		t.Fatalf("%+v, %v; want those that are neither paused nor removed", w, err)
	}
	if f := w.Feeds[0]; f.Gauge != "weir" || f.Failures != 2 || !f.Good.Equal(good) || !f.Newest.Equal(good.Add(-15*time.Minute)) {
		t.Errorf("%+v", f)
	}
	if f := w.Feeds[1]; !f.Good.IsZero() || !f.Newest.IsZero() {
		t.Errorf("never fetched: %+v", f)
	}
}

// Who writes down what was recorded gets the next connection, however many who read came
// before and wait.
func TestWhatIsRecordedGoesFirst(t *testing.T) {
	t.Parallel()
	book := stuckDB(t, 1, 5*time.Second, 50)
	end := hang(t, book, 1, "")
	awaitInUse(t, book, 1)
	endOwn := hangIn(t, book, 1, club.First(context.Background()))
	awaitInUse(t, book, 2)
	awaitWaiting(t, book, 0)
	order := make(chan string, 21)
	var all sync.WaitGroup
	waits := func(ctx context.Context, who string, n int64) {
		all.Go(func() {
			if err := book.Run(ctx, `select pg_sleep(0.01)`); err != nil {
				t.Errorf("%s: %v", who, err)
			}
			order <- who
		})
		awaitWaiting(t, book, n)
	}
	for i := range int64(20) {
		waits(context.Background(), "reads", i+1)
	}
	waits(club.First(context.Background()), "records", 21)
	end()
	defer endOwn()
	all.Wait()
	if got := <-order; got != "records" {
		t.Errorf("the first of 21 that got a connection %s", got)
	}
}

// While those who read hold every connection that is theirs, what was recorded has one.
func TestWhatIsRecordedHasItsOwn(t *testing.T) {
	t.Parallel()
	book := stuckDB(t, 2, 200*time.Millisecond, 50)
	hang(t, book, 5, "")
	awaitInUse(t, book, 2)
	began := time.Now()
	if err := book.Ping(club.First(context.Background())); err != nil || time.Since(began) > time.Second {
		t.Errorf("%v after %v", err, time.Since(began))
	}
	if err := book.Ping(context.Background()); !errors.Is(err, db.ErrBusy) {
		t.Errorf("one more who reads: %v", err)
	}
}
