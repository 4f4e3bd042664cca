package handlers_test

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
	"levelpeg/paper"
)

func TestMain(m *testing.M) { dbtest.Main(m) }

// log collects what the server logs.
type log struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *log) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *log) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// site is a server under test, over real HTTP.
type site struct {
	*testing.T
	url string
	log *log
}

func serve(t *testing.T, book handlers.Book) site {
	t.Helper()
	return serveWith(t, book, nil)
}

// serveWith is serve with other settings.
func serveWith(t *testing.T, book handlers.Book, with func(*handlers.Config)) site {
	t.Helper()
	l := &log{}
	c := handlers.Config{
		Book: book, Rigs: club.NewRigMemory(64), Log: slog.New(slog.NewTextHandler(l, nil)),
		Now: func() time.Time { return dbtest.DemoNow }, Paper: paper.Press{},
	}
	if with != nil {
		with(&c)
	}
	server := httptest.NewServer(handlers.New(c))
	t.Cleanup(server.Close)
	return site{t, server.URL, l}
}

// demoSite serves the demo from the database.
func demoSite(t *testing.T) (site, *db.DB) {
	t.Helper()
	book, err := db.Open(context.Background(), dbtest.NewDemo(t), db.Options{MaxConns: 2, Remember: 64})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	return serve(t, book), book
}

type answer struct {
	status int
	header http.Header
	body   string
}

var client = &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	Transport: &http.Transport{DisableCompression: true}}

func (s site) ask(method, path string, header ...string) answer {
	s.Helper()
	req, err := http.NewRequest(method, s.url+path, nil)
	if err != nil {
		s.Fatal(err)
	}
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Set(header[i], header[i+1])
	}
	resp, err := client.Do(req)
	if err != nil {
		s.Fatalf("%s %s: %v", method, path, err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		s.Fatalf("%s %s: %v", method, path, err)
	}
	return answer{resp.StatusCode, resp.Header, string(body)}
}

func (s site) get(path string, header ...string) answer {
	s.Helper()
	return s.ask("GET", path, header...)
}

// want checks status, and that the body has each of the words.
func (s site) want(path string, status int, words ...string) answer {
	s.Helper()
	a := s.get(path)
	if a.status != status {
		s.Errorf("%s: status %d, want %d", path, a.status, status)
	}
	for _, w := range words {
		if !strings.Contains(a.body, w) {
			s.Errorf("%s does not say “%s”:\n%.300s", path, w, a.body)
		}
	}
	return a
}

const (
	isPage = "text/html; charset=utf-8"
	isJSON = "application/json; charset=utf-8"
)
