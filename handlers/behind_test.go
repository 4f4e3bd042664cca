package handlers_test

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

// followed is a site that has a copy to read from.
type followed struct {
	site
	plain site // without the copy
	book  *db.DB
	at    string // the address of the database itself
	copy  *dbtest.Follower
	told  chan error
}

// followedSite serves the demo with a copy to read from, which has caught up.
func followedSite(t *testing.T) followed {
	t.Helper()
	at, follower := dbtest.Follow(t, func(at string) { giveSessions(t, at) })
	told := make(chan error, 1000)
	book, err := db.Open(context.Background(), at, db.Options{MaxConns: 2, Remember: 64, ReadFrom: follower.URL(t, at), Told: func(err error) {
		t.Logf("told: %v", err)
		told <- err
	}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	awaitCopy(t, book, func(c db.Copy) bool { return c.Behind < 2*time.Second })
	s := serveWith(t, book, func(c *handlers.Config) { c.Copy = true })
	return followed{site: s, plain: serve(t, book), book: book, at: at, copy: follower, told: told}
}

// copyWithin is how long a copy may take to catch up on a busy machine.
const copyWithin = 2 * time.Minute

func awaitCopy(t *testing.T, book *db.DB, is func(db.Copy) bool) {
	t.Helper()
	for deadline := time.Now().Add(copyWithin); ; time.Sleep(20 * time.Millisecond) {
		c, ok := book.Copy()
		if ok && is(c) {
			return
		}
		if time.Now().After(deadline) {
			t.Fatalf("the copy stands at %+v, %v", c, ok)
		}
	}
}

// copyReads is how many reads the copy has had.
func copyReads(t *testing.T, book *db.DB) int64 {
	t.Helper()
	c, ok := book.Copy()
	if !ok {
		t.Fatal("there is no copy")
	}
	return c.Reads
}

// TestPagesReadFromACopy: every page that anyone may read comes from the copy, the same to
// the byte, and none of them tries to write there; whoever wrote just now reads from the book
// itself and finds it, while the copy stands still; a copy that holds another club's book than
// the database is not read from, however far it has got; and one that is gone is missed by
// nobody. One after the other: to copy a cluster takes seconds.
func TestPagesReadFromACopy(t *testing.T) {
	t.Parallel()
	s := followedSite(t)
	s.readFromTheCopy()
	s.writtenWhileHeld()
	s.holdsAnotherBook()

	s.copy.Stop(t)
	for range 5 {
		if a := s.get(copiedPeg); a.status != http.StatusOK || !strings.Contains(a.body, slipped) {
			t.Errorf("with the copy gone: %d", a.status)
		}
	}
}

func (s followed) readFromTheCopy() {
	s.Helper()
	for _, path := range copiedPages {
		for _, who := range []string{"", cookieOf(club.Bailiff)} {
			before := copyReads(s.T, s.book)
			got, want := s.get(path, "Cookie", who), s.plain.get(path, "Cookie", who)
			if got.status != want.status || got.body != want.body || got.status >= 400 {
				s.Errorf("%s %q: %d from the copy, %d from the book, the same to the byte: %v", path, who, got.status, want.status, got.body == want.body)
			}
			if copyReads(s.T, s.book) == before {
				s.Errorf("%s %q: nothing was read from the copy", path, who)
			}
		}
	}
	for _, path := range []string{"/record", "/me", "/incidents", "/waiting"} {
		before := copyReads(s.T, s.book)
		if a := s.get(path, "Cookie", cookieOf(club.Bailiff)); a.status != http.StatusOK || copyReads(s.T, s.book) != before {
			s.Errorf("%s: %d, and read from the copy %d times", path, a.status, copyReads(s.T, s.book)-before)
		}
	}
	if strings.Contains(s.log.String(), "level=ERROR") {
		s.Errorf("the log: %s", s.log)
	}
}

// holdsAnotherBook has the database become another club's while the copy stands still.
func (s followed) holdsAnotherBook() {
	s.Helper()
	s.copy.Hold(s)
	recordsAt(s.T, s.at).do(`update club set id = gen_random_uuid()`)
	awaitTold(s.T, s.told, "another club's book")
	awaitCopy(s.T, s.book, func(c db.Copy) bool { return c.Behind > club.MostBehind })
	before := copyReads(s.T, s.book)
	if a := s.get(copiedPeg); a.status != http.StatusOK || copyReads(s.T, s.book) != before {
		s.Errorf("%d, and %d reads from it", a.status, copyReads(s.T, s.book)-before)
	}
	s.copy.Release(s)
	awaitTold(s.T, s.told, "")
}

// slipped is why a peg is closed.
const slipped = "The bank has slipped at the old willow"

// writtenWhileHeld closes a peg while the copy stands still.
func (s followed) writtenWhileHeld() {
	s.Helper()
	s.copy.Hold(s)
	a := s.postAs(closuresOfSallow, club.Bailiff, url.Values{"from_peg": {"14"}, "to_peg": {"14"}, "own": {slipped}})
	if a.status != http.StatusSeeOther {
		s.Fatalf("closing: %d:\n%.500s", a.status, a.body)
	}
	if a := s.get(copiedPeg, "Cookie", cookieOf(club.Bailiff)+"; "+wroteOf(s.T, a)); !strings.Contains(a.body, slipped) {
		s.Error("whoever closed the peg does not see that it is closed")
	}
	// That is not so because the copy had it: the others see the peg as it was.
	if a := s.get(copiedPeg); strings.Contains(a.body, slipped) {
		s.Error("a copy that was held has what was written since")
	}
	// And not for long: a copy that is farther behind is not read from.
	awaitCopy(s.T, s.book, func(c db.Copy) bool { return c.Behind > club.MostBehind })
	if a := s.get(copiedPeg); !strings.Contains(a.body, slipped) {
		s.Error("a copy that is far behind was read from")
	}
	awaitTold(s.T, s.told, "more than 10s behind")
	s.copy.Release(s)
	awaitCopy(s.T, s.book, func(c db.Copy) bool { return c.Behind < 2*time.Second })
	awaitTold(s.T, s.told, "")
	before := copyReads(s.T, s.book)
	if a := s.get(copiedPeg); !strings.Contains(a.body, slipped) || copyReads(s.T, s.book) == before {
		s.Error("the copy has caught up and is not read from")
	}
}

const copiedPeg = "/venues/sallow-reach/pegs/14"

// copiedPages are pages of every kind that anyone may read.
var copiedPages = []string{"/", "/venues.json", "/venues/sallow-reach", "/venues/sallow-reach.json", closuresOfSallow,
	copiedPeg, copiedPeg + ".json", copiedPeg + "?level=0.8", copiedPeg + "?at=2025-10-19T07:00", copiedPeg + "/notes", "/venues/sallow-reach/notes",
	"/venues/sallow-reach/tonight", "/venues/sallow-reach/tonight.json", "/venues/sallow-reach/tonight.txt", "/venues/sallow-reach/saved.json",
	"/gauges/teasel-bridge", "/gauges/teasel-bridge.json", "/find?q=14", "/find?q=sallow", "/venues/sallow-reach/map", "/venues/sallow-reach/pegs.geojson",
	"/venues/sallow-reach/fixtures.ics", "/kit"}

func wroteOf(t *testing.T, a answer) string {
	t.Helper()
	for _, c := range (&http.Response{Header: a.header}).Cookies() {
		if c.Name == "levelpeg_wrote" && c.MaxAge == 30 && c.HttpOnly && c.Path == "/" {
			return c.Name + "=" + c.Value
		}
	}
	t.Fatalf("no cookie says that something was written: %v", a.header["Set-Cookie"])
	return ""
}

func awaitTold(t *testing.T, told <-chan error, words string) {
	t.Helper()
	for {
		select {
		case err := <-told:
			if words == "" && err == nil || err != nil && words != "" && strings.Contains(err.Error(), words) {
				return
			}
		case <-time.After(copyWithin):
			t.Fatalf("nobody was told %q", words)
		}
	}
}
