package db_test

import (
	"context"
	"net"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

// trips counts round trips: each time something comes back after something was sent.
type trips struct {
	mu   sync.Mutex
	sent bool
	n    int
	down bool // refuse new connections
	open []net.Conn
}

func (c *trips) since() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	n := c.n
	c.n = 0
	return n
}

func (c *trips) dial(ctx context.Context, network, addr string) (net.Conn, error) {
	c.mu.Lock()
	down := c.down
	c.mu.Unlock()
	if down {
		return nil, &net.OpError{Op: "dial", Net: network, Err: net.ErrClosed}
	}
	conn, err := (&net.Dialer{}).DialContext(ctx, network, addr)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	c.open = append(c.open, conn)
	c.mu.Unlock()
	return &counted{conn, c}, nil
}

type counted struct {
	net.Conn
	c *trips
}

func (c *counted) Write(p []byte) (int, error) {
	c.c.mu.Lock()
	c.c.sent = true
	c.c.mu.Unlock()
	return c.Conn.Write(p)
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	c.c.mu.Lock()
	defer c.c.mu.Unlock()
	if n > 0 && c.c.sent {
		c.c.sent = false
		c.c.n++
	}
	return n, err
}

// TestOneRoundTrip: a sheet costs one, whoever asks, from a connection's first use.
func TestOneRoundTrip(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	s := connect(t, url)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, min(id), $2, $3 from members`,
		token('a'), now.Add(-time.Hour), now.AddDate(0, 1, 0))
	for _, remember := range []int{0, 64} {
		count := &trips{}
		book, err := db.Open(background(t), url, db.Options{MaxConns: 1, Dial: count.dial, Remember: remember})
		if err != nil {
			t.Fatal(err)
		}
		defer book.Close()
		peg := func(label string) {
			t.Helper()
			v, err := book.Peg(background(t), "sallow-reach", label, token('a'), now)
			if err != nil || v.Member.ID == 0 {
				t.Fatalf("member %+v, %v", v.Member, err)
			}
		}
		if err := book.Ping(background(t)); err != nil { // connects
			t.Fatal(err)
		}
		count.since()
		for i, label := range []string{"14", "14", "3", "14A", "14"} {
			peg(label)
			if n := count.since(); n != 1 {
				t.Errorf("remembering %d: sheet %d after connecting, of peg %s, took %d round trips, want 1", remember, i+1, label, n)
			}
		}
	}
}

// TestRoundTripsOfOtherPages: one each, once their statements are prepared.
func TestRoundTripsOfOtherPages(t *testing.T) {
	t.Parallel()
	count := &trips{}
	book, err := db.Open(background(t), dbtest.NewDemo(t), db.Options{MaxConns: 1, Dial: count.dial})
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	ctx := background(t)
	pages := map[string]func() error{
		"home": func() error { _, err := book.Home(ctx, token('a'), now); return err },
		"venue's pegs": func() error {
			_, _, err := book.VenuePegs(ctx, "sallow-reach", token('a'), now, now)
			return err
		},
		"who asks":     func() error { _, _, err := book.Asker(ctx, token('a'), now); return err },
		"my own page":  func() error { _, err := book.Me(ctx, token('a'), now); return err },
		"members":      func() error { _, err := book.Members(ctx, token('a'), now); return err },
		"the log":      func() error { _, err := book.Log(ctx, club.LogAsk{}, token('a'), now); return err },
		"the settings": func() error { _, err := book.Settings(ctx, token('a'), now); return err },
		"venue":        func() error { _, err := book.Venue(ctx, "sallow-reach", token('a'), now); return err },
		"gauge":        func() error { _, err := book.Gauge(ctx, "cinder-lane", usual, token('a'), now); return err },
		"gauge, hours": func() error {
			_, err := book.Gauge(ctx, "cinder-lane", club.LookBack{Span: spanOf(t, "10d"), ToClock: now.AddDate(-1, 0, 0)}, nil, now)
			return err
		},
		"gauge, all": func() error {
			_, err := book.Gauge(ctx, "cinder-lane", club.LookBack{Span: spanOf(t, "all")}, token('a'), now)
			return err
		},
		"a peg at an hour": func() error {
			_, _, err := book.PegAt(ctx, "sallow-reach", "14", token('a'), now, now.AddDate(-1, 0, 0))
			return err
		},
		"hours": func() error { _, err := book.Hours(ctx, "cinder-lane", now.AddDate(-3, 0, 0), now); return err },
	}
	for name, read := range pages {
		for i := range 2 {
			count.since()
			if err := read(); err != nil {
				t.Fatal(err)
			}
			n := count.since()
			if i == 1 && n != 1 {
				t.Errorf("%s took %d round trips the second time, want 1", name, n)
			}
			t.Logf("%s, use %d: %d round trips", name, i+1, n)
		}
	}
	// A connection idle for over a second is asked whether it lives.
	time.Sleep(1100 * time.Millisecond)
	count.since()
	if _, err := book.Peg(ctx, "sallow-reach", "14", nil, now); err != nil {
		t.Fatal(err)
	}
	n := count.since()
	t.Logf("a sheet on a connection idle for 1.1 s: %d round trips", n)
	if n > 2 {
		t.Errorf("a sheet on an idle connection took %d round trips, want at most 2", n)
	}
}

// TestOutOfReachAndBack cuts the connections and refuses new ones, then serves again
// from the same DB.
func TestOutOfReachAndBack(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	line := &trips{}
	book, err := db.Open(background(t), url, db.Options{MaxConns: 2, Dial: line.dial})
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	reads := readsOf(t, book)
	for name, read := range reads {
		if err := read(); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	// Idle connections ended by the server: at most the next request may notice.
	connect(t, url).do(`select pg_terminate_backend(pid) from pg_stat_activity where application_name = 'levelpeg' and datname = current_database()`)
	for name, read := range reads {
		if err := read(); err != nil && club.KindOf(err) != club.Unavailable {
			t.Errorf("after the server ended the connections, %s: %v", name, err)
		}
	}
	line.mu.Lock()
	line.down = true
	for _, c := range line.open {
		c.Close()
	}
	line.mu.Unlock()
	for name, read := range reads {
		if err := read(); club.KindOf(err) != club.Unavailable {
			t.Errorf("cut off, %s: %v, want it out of reach", name, err)
		}
	}
	line.mu.Lock()
	line.down = false
	line.mu.Unlock()
	for name, read := range reads {
		if err := read(); err != nil {
			t.Errorf("back again, %s: %v", name, err)
		}
	}
}

func readsOf(t *testing.T, book *db.DB) map[string]func() error {
	ctx := background(t)
	return map[string]func() error{
		"Peg":        func() error { _, err := book.Peg(ctx, "sallow-reach", "14", token('a'), now); return err },
		"Home":       func() error { _, err := book.Home(ctx, token('a'), now); return err },
		"Venue":      func() error { _, err := book.Venue(ctx, "sallow-reach", nil, now); return err },
		"Gauge":      func() error { _, err := book.Gauge(ctx, "cinder-lane", usual, nil, now); return err },
		"FindPegs":   func() error { _, err := book.FindPegs(ctx, "14", nil, nil, now); return err },
		"FindVenues": func() error { _, err := book.FindVenues(ctx, []string{"reach"}, nil, now); return err },
		"State":      func() error { _, err := book.State(ctx); return err },
		"Ready":      func() error { return book.Ready(ctx) },
		"Ping":       func() error { return book.Ping(ctx) },
	}
}

func TestDeadSocket(t *testing.T) {
	t.Parallel()
	book, err := db.Open(background(t), "postgres://nobody@/nothing?host="+t.TempDir(), db.Options{})
	if err != nil {
		t.Fatalf("Open waits for the database: %v", err)
	}
	defer book.Close()
	for name, read := range readsOf(t, book) {
		if err := read(); club.KindOf(err) != club.Unavailable {
			t.Errorf("%s: %v, want it out of reach", name, err)
		}
	}
	if _, err := db.Open(background(t), "postgres://%zz", db.Options{}); club.KindOf(err) != club.Invalid {
		t.Errorf("an address that is none: %v", err)
	}
}
