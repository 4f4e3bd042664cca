package backup_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

func TestMain(m *testing.M) { dbtest.Main(m) }

var now = dbtest.DemoNow

func background(t testing.TB) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// sql is a connection to look behind and to write what nothing else writes.
type sql struct {
	testing.TB
	conn *pgx.Conn
}

func connect(t testing.TB, url string) sql {
	t.Helper()
	conn, err := pgx.Connect(background(t), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return sql{t, conn}
}

func (s sql) do(query string, args ...any) {
	s.Helper()
	if _, err := s.conn.Exec(background(s.TB), query, args...); err != nil {
		s.Fatalf("%s: %v", query, err)
	}
}

func one[T any](s sql, query string, args ...any) T {
	s.Helper()
	var v T
	if err := s.conn.QueryRow(background(s.TB), query, args...).Scan(&v); err != nil {
		s.Fatalf("%s: %v", query, err)
	}
	return v
}

// photograph adds one of n random bytes, which is as hard to compress as a real one's.
func (s sql) photograph(r *rand.ChaCha8, n int) [32]byte {
	s.Helper()
	data := make([]byte, n)
	r.Read(data)
	sum := sha256.Sum256(data)
	s.do(`insert into picture_data (hash, kind, width, height, data) values ($1, 'image/jpeg', 640, 480, $2)`, sum[:], data)
	s.do(`insert into pictures (hash, small, venue_id, caption, at, by_member) select $1, $1, min(v.id), $2, $3, min(m.id) from venues v, members m`,
		sum[:], "tab\there, newline\nthere, \\ and “”", now)
	return sum
}

// odd is a value of every column's type that a copy could spoil.
func (s sql) odd() {
	s.Helper()
	s.do(`insert into members (name, role) values (e'tab\there \\N \\. "quoted", ''so'' \u00e9\U0001F41F', 'junior')`)
	s.do(`insert into log (what, about, detail) values ('odd', e'\\.', '{"a": [1, 2.50, "x\\ty"], "b": null}')`)
	s.do(`insert into invitations (token_hash, kind, role, expires_at) values ('\x` + strings.Repeat("005c0a09", 8) + `', 'join', 'member', '2025-10-18 10:07:00.123456+00')`)
}

// filled is a database with the demo, photographs and odd values in it.
func filled(t testing.TB) (url string, s sql) {
	t.Helper()
	url = dbtest.NewDemo(t)
	s = connect(t, url)
	r := rand.NewChaCha8([32]byte{1})
	for range 3 {
		s.photograph(r, 20_000)
	}
	s.odd()
	return url, s
}

func toFile(t testing.TB, url string, o backup.Options) backup.Made {
	t.Helper()
	made, err := backup.ToFile(background(t), url, filepath.Join(t.TempDir(), "club"+backup.Suffix), o, now)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

func restore(t testing.TB, url, path string, o backup.Restoring) backup.Restored {
	t.Helper()
	out, err := backup.Restore(background(t), url, path, o, now)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// holds reads what a database holds, table by table, by a way of its own: the rows as
// PostgreSQL writes them, counted and summed by it. The queue of jobs, which no backup has,
// keeps its own accounts.
func (s sql) holds(but ...string) map[string]string {
	s.Helper()
	rows, err := s.conn.Query(background(s.TB), `select relname from pg_class where relkind = 'r' and relnamespace = 'public'::regnamespace and relname not like 'river\_%' and not relname = any($1)`,
		append(but, "sessions", "ceremonies", "tries", "waiting_tables", "waiting_parts", "schema_migrations"))
	if err != nil {
		s.Fatal(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		s.Fatal(err)
	}
	out := map[string]string{}
	for _, n := range names {
		out[n] = one[string](s, fmt.Sprintf(`select count(*) || ' rows, ' || coalesce(md5(string_agg(md5(t::text), '' order by md5(t::text))), '') from %s t`, n))
	}
	return out
}

func sameHoldings(t testing.TB, got, want map[string]string) {
	t.Helper()
	if len(got) != len(want) || len(want) < 25 {
		t.Errorf("%d tables, want %d", len(got), len(want))
	}
	for name, w := range want {
		if got[name] != w {
			t.Errorf("%s holds %s, want %s", name, got[name], w)
		}
	}
}

// refused wants an error with a sentence that has the words in it.
func refused(t testing.TB, err error, kind club.Kind, words string) {
	t.Helper()
	var f *club.Fault
	if !errors.As(err, &f) || f.Kind != kind || !strings.Contains(f.Say, words) {
		t.Errorf("got %v, want a sentence of kind %d with %q", err, kind, words)
	}
}

func files(t testing.TB, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func content(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Clone(b)
}
