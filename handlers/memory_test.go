package handlers_test

import (
	"compress/gzip"
	"io"
	"log/slog"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

// TestRememberedPagesAreThePages: a server that remembers what it can gives the same
// page, byte for byte, as one that remembers nothing, the first time and the third.
func TestRememberedPagesAreThePages(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	serveWith := func(remember int) string {
		book, err := db.Open(t.Context(), url, db.Options{MaxConns: 2, Remember: remember})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(book.Close)
		server := httptest.NewServer(handlers.New(handlers.Config{Book: book, Rigs: club.NewRigMemory(remember), Remember: remember,
			Log: slog.New(slog.DiscardHandler), Now: func() time.Time { return dbtest.DemoNow }}))
		t.Cleanup(server.Close)
		return server.URL
	}
	fresh, remembers := serveWith(0), serveWith(256)
	paths := []string{"/venues/sallow-reach", "/rig?depth=1.8&pace=0.5", "/venues/sallow-reach/tonight"}
	for _, query := range []string{"", "?level=1.10", "?level=1.11", "?level=1.10&hold=50", "?level=1.10&hold=25", "?run=inside", "?run=middle&level=1.10", "?level=1.90", "?level=0.30",
		"?depth=2.2", "?depth=2.2&pace=slower", "?wind=SW&force=5", "?wind=N&force=5", "?fish=chub", "?chart=counts", "?kit=" + littleKit, "?kit=" + emptyKit, "?at=2025-10-25T10:00", "?at=2025-10-10T10:00", "?at=2025-12-24T10:00"} {
		for _, peg := range []string{"14", "18", "19"} {
			paths = append(paths, "/venues/sallow-reach/pegs/"+peg+query)
		}
	}
	for round := range 3 {
		for _, path := range paths {
			want, got := squeezed(t, fresh+path), squeezed(t, remembers+path)
			if got != want {
				i := 0
				for i < len(got) && i < len(want) && got[i] == want[i] {
					i++
				}
				t.Errorf("round %d, %s: from %d on it is\n%.200s\nand fresh\n%.200s", round, path, i, got[i:], want[i:])
			}
		}
	}
}

// squeezed is a page as a browser that takes gzip reads it.
func squeezed(t *testing.T, url string) string {
	t.Helper()
	s := site{T: t, url: ""}
	a := s.get(url, "Accept-Encoding", "gzip")
	if a.header.Get("Content-Encoding") != "gzip" {
		return a.body
	}
	r, err := gzip.NewReader(strings.NewReader(a.body))
	if err != nil {
		t.Fatal(err)
	}
	html, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(html)
}
