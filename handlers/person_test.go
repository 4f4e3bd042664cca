package handlers_test

import (
	"context"
	"crypto/sha256"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

// records is a connection beside the book under test.
type records struct {
	*testing.T
	conn *pgx.Conn
}

func recordsAt(t *testing.T, address string) records {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return records{t, conn}
}

func (c records) do(query string, args ...any) {
	c.Helper()
	if _, err := c.conn.Exec(context.Background(), query, args...); err != nil {
		c.Fatalf("%s: %v", query, err)
	}
}

// text is the single value of a query, as text.
func (c records) text(query string, args ...any) string {
	c.Helper()
	var v *string
	if err := c.conn.QueryRow(context.Background(), `select (`+query+`)::text`, args...).Scan(&v); err != nil {
		c.Fatalf("%s: %v", query, err)
	}
	if v == nil {
		return ""
	}
	return *v
}

// session signs the first member with a role in, by a token.
func (c records) session(token string, role club.Role) {
	c.Helper()
	sum := sha256.Sum256([]byte(url.QueryEscape(token)))
	c.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, min(id), $2, $3 from members where role = $4 and left_at is null`,
		sum[:], dbtest.DemoNow.Add(-time.Hour), dbtest.DemoNow.Add(time.Hour), role)
}

func (c records) cookie(token string) string { return "levelpeg_session=" + url.QueryEscape(token) }

// siteAt serves a database.
func siteAt(t *testing.T, address string, with func(*handlers.Config)) site {
	t.Helper()
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 2, Remember: 64})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	return serveWith(t, book, with)
}

func peopleSite(t *testing.T) (site, records) {
	t.Helper()
	address := dbtest.NewDemo(t)
	return siteAt(t, address, nil), recordsAt(t, address)
}

// walk asks for something as somebody who has just signed in.
func (s site) walk(c records, token string, role club.Role, method, path string) answer {
	s.Helper()
	header := []string{"Sec-Fetch-Site", "same-origin"}
	if role != "" {
		c.session(token, role)
		header = append(header, "Cookie", c.cookie(token))
	}
	if method == "POST" {
		return s.post(path, nil, header...)
	}
	return s.ask(method, path, header...)
}

// person is somebody's browser: it keeps the cookies it is given.
type person struct {
	site
	cookies map[string]string
}

func (s site) person() *person { return &person{s, map[string]string{}} }

func (p *person) header() []string {
	var all []string
	for name, value := range p.cookies {
		all = append(all, name+"="+value)
	}
	return []string{"Sec-Fetch-Site", "same-origin", "Cookie", strings.Join(all, "; ")}
}

func (p *person) keep(a answer) answer {
	for _, line := range a.header.Values("Set-Cookie") {
		pair, rest, _ := strings.Cut(line, ";")
		name, value, _ := strings.Cut(pair, "=")
		if p.cookies[name] = value; strings.Contains(rest, "Max-Age=0") {
			delete(p.cookies, name)
		}
	}
	return a
}

func (p *person) open(path string) answer {
	p.Helper()
	return p.keep(p.ask("GET", path, p.header()...))
}

func (p *person) send(path string, pairs ...string) answer {
	p.Helper()
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Add(pairs[i], pairs[i+1])
	}
	return p.keep(p.post(path, q, p.header()...))
}

// goes wants a form to lead on, and gives the page it leads to.
func (p *person) goes(a answer, to string) answer {
	p.Helper()
	if a.status != 303 || a.header.Get("Location") != to {
		p.Fatalf("%d to %q, want %q: %.500s", a.status, a.header.Get("Location"), to, a.body)
	}
	return p.open(to)
}

// says wants a page with a status that says the words.
func (s site) says(a answer, status int, words ...string) answer {
	s.Helper()
	if a.status != status {
		s.Errorf("%d, want %d: %.300s", a.status, status, a.body)
	}
	for _, w := range words {
		if !strings.Contains(a.body, w) {
			s.Errorf("it does not say “%s”: %.1500s", w, a.body)
		}
	}
	return a
}

var linkShape = regexp.MustCompile(`href="http://[^/"]+(/join/[A-Za-z0-9_-]{43})"`)

// links are the links that a page shows.
func (s site) links(a answer) []string {
	var out []string
	for _, m := range linkShape.FindAllStringSubmatch(a.body, -1) {
		out = append(out, m[1])
	}
	return out
}

const goodWord = "three grey swans"
