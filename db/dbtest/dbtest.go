// Package dbtest gives tests databases to throw away: each a fresh copy of a
// migrated template, with or without the demo in it. One PostgreSQL serves a
// test binary: the server named in LEVELPEG_TEST_DATABASE_URL, whose role must be
// allowed to create databases, or else a private one in a temporary folder.
//
// Where no PostgreSQL is installed the tests skip aloud, and fail when CI is
// "true". A binary that uses it has the TestMain
//
//	func TestMain(m *testing.M) { dbtest.Main(m) }
package dbtest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"testing"
	"time"

	"levelpeg/club/demo"
	"levelpeg/db"
	"levelpeg/db/private"
)

// DemoNow is the "now" that the demo of NewDemo was made for: past, so that no
// clock finds it in the future, and outside the close season.
var DemoNow = time.Date(2025, time.October, 18, 10, 7, 0, 0, time.UTC)

// atOnce is how many copies are out at a time. The private PostgreSQL takes twenty
// connections, three of them reserved, and a test's pool a few.
const atOnce = 4

var slots = make(chan struct{}, atOnce)

// templates are made once, and only when a test asks for one.
var (
	theServer = sync.OnceValues(start)
	blank     = sync.OnceValues(makeBlank)
	withDemo  = sync.OnceValues(makeDemo)
)

// stop ends the private server; it is replaced when one is started.
var stop = func() {}

// patience is how long one step of the preparation may take.
const patience = 2 * time.Minute

// Main runs the tests and stops the server.
func Main(m *testing.M) {
	code := m.Run()
	stop()
	os.Exit(code)
}

// Empty gives the address of a database with nothing in it, not even a schema. A
// test takes one database at a time: too many wait for one another.
func Empty(t testing.TB) string { return fresh(t, func() (string, error) { return "template0", nil }) }

// New gives the address of a migrated database without a club.
func New(t testing.TB) string { return fresh(t, blank) }

// NewDemo gives the address of a database that holds the demo, made for DemoNow.
func NewDemo(t testing.TB) string { return fresh(t, withDemo) }

// fresh copies a template for the test, and drops the copy at its end.
func fresh(t testing.TB, template func() (string, error)) string {
	t.Helper()
	s := need(t)
	slots <- struct{}{}
	t.Cleanup(func() { <-slots })
	from, err := template()
	if err != nil {
		t.Fatalf("dbtest: %v", err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	name := s.nextName("copy")
	if err := s.copy(ctx, name, from); err != nil {
		t.Fatalf("dbtest: %v", err)
	}
	t.Cleanup(func() {
		if err := s.drop(name); err != nil {
			t.Errorf("dbtest: %v", err)
		}
	})
	return s.url(name)
}

// need gives the server, or skips or fails the test where there is none.
func need(t testing.TB) *server {
	t.Helper()
	s, err := theServer()
	orSkip(t, err)
	return s
}

// orSkip ends a test that has no PostgreSQL.
func orSkip(t testing.TB, err error) {
	t.Helper()
	var none private.ErrNoPostgres
	switch {
	case err == nil:
	case errors.As(err, &none) && os.Getenv("CI") != "true":
		t.Skipf("SKIPPED, not tested: %v", err)
	default:
		t.Fatalf("dbtest: %v", err)
	}
}

func makeBlank() (string, error) {
	s, err := theServer()
	if err != nil {
		return "", err
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	name, err := s.template(ctx, "blank", "template0")
	if err != nil {
		return "", err
	}
	if err := db.Migrate(ctx, s.url(name)); err != nil {
		return "", fmt.Errorf("migrating the template: %w", err)
	}
	return name, nil
}

func makeDemo() (string, error) {
	from, err := blank()
	if err != nil {
		return "", err
	}
	s, err := theServer()
	if err != nil {
		return "", err
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	name, err := s.template(ctx, "demo", from)
	if err != nil {
		return "", err
	}
	return name, load(ctx, s.url(name))
}

// load makes the demo at url, and leaves no connection open: a database in use
// cannot be copied.
func load(ctx context.Context, url string) error {
	book, err := db.Open(ctx, url, db.Options{MaxConns: 1})
	if err != nil {
		return err
	}
	defer book.Close()
	if err := book.LoadDemo(ctx, demo.Make(DemoNow)); err != nil {
		return fmt.Errorf("loading the demo into the template: %w", err)
	}
	return nil
}
