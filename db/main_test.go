package db_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

func TestMain(m *testing.M) { dbtest.Main(m) }

// now is the present of every test here.
var now = dbtest.DemoNow

func background(t *testing.T) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	t.Cleanup(cancel)
	return ctx
}

func open(t *testing.T, url string) *db.DB {
	t.Helper()
	book, err := db.Open(background(t), url, db.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	return book
}

// sql is a connection beside the book, to write what no function of the room
// writes yet and to look behind it.
type sql struct {
	*testing.T
	conn *pgx.Conn
}

func connect(t *testing.T, url string) sql {
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
	if _, err := s.conn.Exec(background(s.T), query, args...); err != nil {
		s.Fatalf("%s: %v", query, err)
	}
}

// one scans the single row of a query.
func one[T any](s sql, query string, args ...any) T {
	s.Helper()
	var v T
	if err := s.conn.QueryRow(background(s.T), query, args...).Scan(&v); err != nil {
		s.Fatalf("%s: %v", query, err)
	}
	return v
}

// refused wants PostgreSQL to refuse a statement with an error code.
func (s sql) refused(code, query string, args ...any) {
	s.Helper()
	tag, err := s.conn.Exec(background(s.T), query, args...)
	var pg *pgconn.PgError
	switch {
	case err == nil:
		s.Errorf("%s: allowed (%s), want it refused", query, tag)
	case !errors.As(err, &pg) || pg.Code != code:
		s.Errorf("%s: %v, want code %s", query, err, code)
	}
}

// Codes of PostgreSQL's manual, appendix A.
const (
	restrictViolation = "23001"
	notNullViolation  = "23502"
	foreignKey        = "23503"
	uniqueViolation   = "23505"
	checkViolation    = "23514"
)

// rezeroed is when the small book's board was replaced, 12 cm higher.
var rezeroed = now.AddDate(0, -3, 0)

// small is a made-up book of a size to reckon by hand: one gauge with two zeros
// and hourly levels over three days, two venues, five pegs.
func small() club.Book {
	levels := make([]club.Level, 72)
	for i := range levels {
		levels[i] = club.Level{At: hour(i), LevelM: 1.00 + float64(i%24)/100, Source: club.Station}
	}
	gauge := club.GaugeBook{
		Gauge:  club.Gauge{Slug: "board", Name: "The board", River: "Water", FloodM: 2, LowM: 0.5, HighM: 1.5},
		Zeros:  []club.Zero{{From: now.AddDate(-5, 0, 0)}, {From: rezeroed, OffsetM: 0.12, Reason: "replaced"}},
		Levels: levels,
	}
	other := club.GaugeBook{Gauge: club.Gauge{Slug: "other", Name: "Another", River: "Brook", LowM: 0, HighM: 1},
		Zeros: []club.Zero{{From: now.AddDate(-5, 0, 0)}}}
	return club.Book{
		Club:    club.Club{Name: "Test club", TimeZone: "Europe/London", Place: "England", Demo: true},
		Members: []club.Member{{Name: "Ann", Role: club.Secretary}, {Name: "Bob", Role: club.Angler}},
		Gauges:  []club.GaugeBook{gauge, other},
		Venues:  []club.VenueBook{smallVenue(), {Venue: club.Venue{Slug: "far", Name: "Far Meadow", River: "Brook", Open: true}, GaugeSlug: "other"}},
	}
}

// hour is the beginning of the i-th of the small book's 72 hours, the last of
// which began within the hour before now.
func hour(i int) time.Time { return now.Truncate(time.Hour).Add(time.Duration(i-71) * time.Hour) }

func smallVenue() club.VenueBook {
	v := club.VenueBook{Venue: club.Venue{Slug: "near", Name: "Near Bank", River: "Water", CloseSeason: true, Open: true}, GaugeSlug: "board"}
	codes := []string{"2222", "3333", "4444", "5555", "6666"}
	for i, label := range []string{"1", "2", "3", "14A", "15"} {
		peg := club.PegBook{Peg: club.Peg{Code: codes[i], Label: label, Order: i + 1, Bank: club.LeftBank, BearingDeg: 90,
			Reach: club.OpenReach, MarkHeightM: 2}}
		peg.Runs = []club.RunBook{{
			Run: club.Run{Name: "inside", DistanceM: 3},
			Soundings: []club.Sounding{
				{At: rezeroed.AddDate(0, -1, 0), LevelM: 1.20, DepthM: 1.80, By: "Ann"},
				{At: rezeroed.AddDate(0, 1, 0), LevelM: 1.08, DepthM: 1.81, PaceMPS: 0.4, TimedS: 12, By: "Bob"},
			},
		}}
		v.Pegs = append(v.Pegs, peg)
	}
	v.Pegs[0].Notes = []club.Note{
		{Posted: club.Posted{At: now.AddDate(0, 0, -3), Author: "Ann"}, Text: "for the club"},
		{Posted: club.Posted{At: now.AddDate(0, 0, -2), Author: "Bob"}, Text: "Bob's own", Private: true},
	}
	return v
}

// smallDB is a database that holds the small book, changed by with.
func smallDB(t *testing.T, with func(*club.Book)) (*db.DB, sql) {
	t.Helper()
	url := dbtest.New(t)
	book := open(t, url)
	b := small()
	if with != nil {
		with(&b)
	}
	if err := book.LoadDemo(background(t), b); err != nil {
		t.Fatal(err)
	}
	return book, connect(t, url)
}

func readPeg(t *testing.T, book *db.DB, label string, session []byte) club.PegView {
	t.Helper()
	v, err := book.Peg(background(t), "near", label, session, now)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// usual is what a gauge's page shows where nothing is asked.
var usual = club.LookBack{Span: club.UsualSpan()}

func near(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }
