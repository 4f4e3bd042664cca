package handlers_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
	"levelpeg/handlers/measure"
)

// watchedSite writes every line of its log as JSON and counts.
func watchedSite(t *testing.T, book handlers.Book, m *measure.Measures) site {
	t.Helper()
	l := &log{}
	server := httptest.NewServer(handlers.New(handlers.Config{
		Book: book, Rigs: club.NewRigMemory(64), Log: slog.New(slog.NewJSONHandler(l, nil)), LogAll: true, Measures: m,
		Now: func() time.Time { return dbtest.DemoNow },
	}))
	t.Cleanup(server.Close)
	return site{t, server.URL, l}
}

func (s site) lines() []map[string]any {
	s.Helper()
	var out []map[string]any
	for dec := json.NewDecoder(strings.NewReader(s.log.String())); ; {
		var line map[string]any
		err := dec.Decode(&line)
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			s.Fatalf("the log is no JSON: %v\n%s", err, s.log)
		}
		out = append(out, line)
	}
}

// A request's number is taken over where it looks like one, and made where not; it is in
// the answer and in every line of the log.
func TestRequestNumber(t *testing.T) {
	t.Parallel()
	s := watchedSite(t, badBook{fail: func() error { return errors.New("a fault of ours") }}, nil)
	const proxys = "0123456789abcdef0123456789abcdef"
	a := s.get("/venues/a/pegs/1", "X-Request-Id", proxys)
	if got := a.header.Get("X-Request-Id"); got != proxys {
		t.Errorf("the proxy's number came back as %q", got)
	}
	lines := s.lines()
	if len(lines) != 2 {
		t.Fatalf("%d lines, want the fault's and the request's: %v", len(lines), lines)
	}
	for _, line := range lines {
		if line["request"] != proxys || line["path"] != "/venues/a/pegs/1" {
			t.Errorf("a line of the request: %v", line)
		}
	}
	for _, odd := range []string{"", "joan.smith@club.example", "short", strings.Repeat("a", 65), "0123456789abcdef0123456789abcdef;x"} {
		if got := s.get("/healthz", "X-Request-Id", odd).header.Get("X-Request-Id"); got == odd || len(got) != 32 {
			t.Errorf("%q came back as %q", odd, got)
		}
	}
}

// canary is a book that shows its callers everything they sent in its error, as an
// unforeseen fault might.
type canary struct{ badBook }

// secrets are what people send that no log may hold.
var secrets = map[string]string{
	"name": "canaryname", "password": "canarypassword", "note": "canarynote", "query": "canaryquery",
	"token": "canarytoken", "cookie": "canarycookie", "agent": "canaryagent", "referer": "canaryreferer", "typed": "canary typed",
}

// Nothing of what people are called, wrote, or hold as a key comes into the log, whether
// all goes well or the book fails.
func TestLogHoldsNothingOfAnybody(t *testing.T) {
	t.Parallel()
	_, book := demoSite(t)
	failing := canary{badBook{Book: book, fail: func() error { return errors.New("a fault of ours") }}}
	for name, b := range map[string]handlers.Book{"well": book, "failing": failing} {
		t.Run(name, func(t *testing.T) {
			s := watchedSite(t, b, nil)
			for _, r := range handlers.Routes() {
				path := r.Pattern
				for _, p := range []string{"{venue}", "{gauge}", "{peg}", "{code}", "{id}", "{hash}", "{token}", "{file}", "{logger}", "{step}", "*"} {
					path = strings.ReplaceAll(path, p, url.PathEscape(secrets["typed"]))
				}
				s.tell(r.Method, path)
			}
			s.tell("POST", "/join/"+secrets["token"])
			s.tell("GET", "/join/"+secrets["token"])
			s.tell("GET", "/members/"+secrets["typed"])
			s.tell("GET", "/"+url.PathEscape(secrets["typed"]))
			s.tell("BREW", "/venues")
			if n := len(s.lines()); n < len(handlers.Routes()) {
				t.Errorf("%d lines for %d routes", n, len(handlers.Routes()))
			}
			low := strings.ToLower(s.log.String())
			for what, word := range secrets {
				if i := strings.Index(low, word); i >= 0 {
					t.Errorf("the log holds the %s: …%s…", what, low[max(0, i-200):min(len(low), i+100)])
				}
			}
			if strings.Contains(low, "127.0.0.1") {
				t.Error("the log holds where somebody came from")
			}
		})
	}
}

// tell sends a form in which every field is one of the secrets, and does not look at the
// answer.
func (s site) tell(method, path string) {
	s.Helper()
	f := url.Values{"name": {secrets["name"]}, "password": {secrets["password"]}, "text": {secrets["note"]}, "reason": {secrets["note"]}, "caption": {secrets["note"]}}
	var body io.Reader
	if method != "GET" {
		body = strings.NewReader(f.Encode())
	}
	req, err := http.NewRequest(method, s.url+path+"?q="+secrets["query"]+"&name="+secrets["name"], body)
	if err != nil {
		s.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("User-Agent", secrets["agent"])
	req.Header.Set("Referer", s.url+"/"+secrets["referer"])
	req.Header.Set("X-Request-Id", secrets["name"])
	req.AddCookie(&http.Cookie{Name: "levelpeg_session", Value: secrets["cookie"]})
	resp, err := client.Do(req)
	if err != nil {
		s.Fatalf("%s %s: %v", method, path, err)
	}
	_, _ = io.Copy(io.Discard, resp.Body)
	resp.Body.Close()
}

// measured is everything that is measured, as Prometheus reads it.
func measured(t *testing.T, m *measure.Measures) string {
	t.Helper()
	w := httptest.NewRecorder()
	m.Handler().ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
	if w.Code != http.StatusOK {
		t.Fatalf("measures: %d %s", w.Code, w.Body)
	}
	return w.Body.String()
}

// Requests are counted by the pattern of their route, and nothing that somebody typed is
// a label.
func TestMeasures(t *testing.T) {
	t.Parallel()
	backup := time.Now().Add(-time.Hour)
	m := measure.New(measure.Source{
		Pool: func() measure.Pool { return measure.Pool{InUse: 2, Idle: 1, Most: 3, Waiting: 4, TurnedAway: 5} },
		Book: func(context.Context) (measure.Book, error) {
			return measure.Book{WaitingForMending: 7, Feeds: []measure.Feed{
				{ID: 3, Gauge: "weir", Good: time.Now().Add(-time.Minute), Newest: time.Now().Add(-time.Hour), Failures: 2}, {ID: 4, Gauge: "new"}}}, nil
		},
		Serving:    func() bool { return true },
		LastBackup: func(context.Context) (time.Time, error) { return backup, nil },
	})
	s := watchedSite(t, badBook{fail: func() error { return nil }}, m)
	s.get("/venues/a/pegs/1?q=canaryquery")
	s.get("/venues/b/pegs/2")
	s.get("/canarytyped")
	s.ask("CANARY", "/venues")
	got := measured(t, m)
	for _, want := range []string{
		`levelpeg_requests_total{method="GET",route="/venues/{venue}/pegs/{peg}",status="`,
		`levelpeg_requests_total{method="GET",route="none",status="404"} 1`,
		`levelpeg_requests_total{method="other",route="none",status="405"} 1`,
		`levelpeg_request_seconds_count{route="/venues/{venue}/pegs/{peg}"} 2`,
		`levelpeg_requests_under_way 0`,
		`levelpeg_database_connections{state="in use"} 2`, `levelpeg_database_connections_most 3`,
		`levelpeg_database_waiting 4`, `levelpeg_database_turned_away_total 5`, `levelpeg_database_up 1`,
		`levelpeg_entries_waiting_for_mending 7`, `levelpeg_entries_total{outcome="repeated"} 0`,
		`levelpeg_feed_age_seconds{feed="3",gauge="weir"} 6`, `levelpeg_feed_newest_level_age_seconds{feed="3",gauge="weir"} 36`,
		`levelpeg_feed_failures{feed="4",gauge="new"} 0`, `levelpeg_backup_age_seconds 36`, `levelpeg_serving 1`,
		`go_goroutines`, `process_resident_memory_bytes`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("not measured: %s", want)
		}
	}
	for _, never := range []string{"canary", `levelpeg_feed_age_seconds{feed="4"`} {
		if i := strings.Index(strings.ToLower(got), never); i >= 0 {
			t.Errorf("measured, and should not be: %s", got[i:min(len(got), i+100)])
		}
	}
}

// A database that says nothing leaves out what it would tell, and the rest is told.
func TestMeasuresWithoutTheBook(t *testing.T) {
	t.Parallel()
	m := measure.New(measure.Source{
		Book:       func(context.Context) (measure.Book, error) { return measure.Book{}, errors.New("away") },
		LastBackup: func(context.Context) (time.Time, error) { return time.Time{}, nil },
	})
	got := measured(t, m)
	if !strings.Contains(got, "levelpeg_database_up 0") || !strings.Contains(got, "go_goroutines") {
		t.Errorf("measured: %.300s", got)
	}
	for _, never := range []string{"levelpeg_entries_waiting", "levelpeg_feed", "levelpeg_backup"} {
		if strings.Contains(got, never) {
			t.Errorf("%s… is told all the same", never)
		}
	}
}

// Told to stop, a server is not ready any more and answers all the same.
func TestReadinessFailsFirst(t *testing.T) {
	t.Parallel()
	stop := make(chan struct{})
	s := serveWith(t, badBook{fail: func() error { return nil }}, func(c *handlers.Config) { c.Stopping = stop })
	s.want("/readyz", 200, `"ready":true`)
	close(stop)
	a := s.want("/readyz", 503, `"ready":false`, "stopping")
	if a.header.Get("Cache-Control") == "" {
		t.Error("what it says may be kept by a proxy")
	}
	s.want("/healthz", 200, "true")
	s.want("/", 200)
}

// endless is a body of so many bytes that counts those that were taken.
type endless struct{ left, taken int64 }

func (e *endless) Read(p []byte) (int, error) {
	n := int64(min(len(p), 64<<10))
	if n = min(n, e.left); n == 0 {
		return 0, io.EOF
	}
	copy(p[:n], bytes.Repeat([]byte("a"), int(n)))
	e.left -= n
	e.taken += n
	return int(n), nil
}

// A body of a gigabyte is taken by no route, whoever sends it: it is answered or hung up
// on after a little more than the largest photograph and what may be thrown away.
func TestNoRouteTakesAGigabyte(t *testing.T) {
	t.Parallel()
	const most = 80 << 20
	s, c := peopleSite(t)
	c.session("secretary", club.Secretary)
	for _, r := range handlers.Routes() {
		path := r.Pattern
		for _, p := range []string{"{venue}", "{gauge}", "{peg}", "{code}", "{id}", "{hash}", "{token}", "{file}", "{logger}", "{step}", "*"} {
			path = strings.ReplaceAll(path, p, "1")
		}
		kinds := []string{"application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "application/json"}
		if r.Method == "GET" {
			kinds = kinds[:1] // none reads a body at all
		}
		for _, kind := range kinds {
			body := &endless{left: 1 << 30}
			req, err := http.NewRequest(r.Method, s.url+path, body)
			if err != nil {
				t.Fatal(err)
			}
			req.Header.Set("Content-Type", kind)
			if r.Pattern != "/sign-out" {
				req.Header.Set("Cookie", c.cookie("secretary"))
			}
			if resp, err := client.Do(req); err == nil {
				if resp.StatusCode >= 500 {
					t.Errorf("%s %s with a gigabyte: %d", r.Method, path, resp.StatusCode)
				}
				resp.Body.Close()
			}
			if body.taken > most {
				t.Errorf("%s %s took %d MB of %s", r.Method, path, body.taken>>20, kind)
			}
		}
	}
	if strings.Contains(s.log.String(), "panic") {
		t.Errorf("logged: %.500s", s.log)
	}
}

// stuck is a book that answers nobody until they give up.
type stuck struct{ badBook }

func (stuck) Home(ctx context.Context, _ []byte, _ time.Time) (club.Home, error) {
	until, ok := ctx.Deadline()
	return club.Home{}, club.Faultf(club.NotFound, "%s", fmt.Sprint(ok, time.Until(until) <= 20*time.Second))
}

// Whatever a handler asks of the book ends with the request's time.
func TestEveryRequestHasItsTime(t *testing.T) {
	t.Parallel()
	serve(t, stuck{}).want("/", 404, "true true")
}
