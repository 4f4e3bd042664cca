package db_test

import (
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
)

func inDays(days, hour int) time.Time {
	y, m, d := now.Date()
	return time.Date(y, m, d+days, hour, 0, 0, 0, time.UTC)
}

func fixtureDB(t *testing.T) (*db.DB, sql) {
	return smallDB(t, func(b *club.Book) {
		b.Venues[0].Fixtures = []club.Fixture{
			{Name: "Past", Starts: inDays(-7, 9), Ends: inDays(-7, 14)},
			{Name: "Two days", Starts: inDays(-1, 9), Ends: inDays(1, 14)},
			{Name: "Short", Starts: inDays(0, 8), Ends: inDays(0, 10)}, // over at seven minutes past ten
			{Name: "Next week", Starts: inDays(7, 9), Ends: inDays(7, 14)},
		}
	})
}

func names(all []club.Fixture) (out []string) {
	for _, f := range all {
		out = append(out, f.Name)
	}
	return out
}

func sameNames(t *testing.T, where string, got []club.Fixture, want ...string) {
	t.Helper()
	n := names(got)
	if len(n) != len(want) {
		t.Errorf("%s has the fixtures %v, want %v", where, n, want)
		return
	}
	for i := range n {
		if n[i] != want[i] {
			t.Errorf("%s has the fixtures %v, want %v", where, n, want)
		}
	}
}

func TestFixtures(t *testing.T) {
	t.Parallel()
	book, _ := fixtureDB(t)
	sameNames(t, "the peg", readPeg(t, book, "1", nil).Fixtures, "Two days", "Next week")
	v, err := book.Venue(background(t), "near", nil, now)
	if err != nil {
		t.Fatal(err)
	}
	sameNames(t, "the venue", v.Fixtures, "Two days", "Next week")
	if f := v.Fixtures[1]; !f.Starts.Equal(inDays(7, 9)) || !f.Ends.Equal(inDays(7, 14)) {
		t.Errorf("the fixture reads %+v", f)
	}
	h, err := book.Home(background(t), nil, now)
	if err != nil {
		t.Fatal(err)
	}
	if n := h.Venues[0].Next; n == nil || n.Name != "Two days" || !n.Ends.Equal(inDays(1, 14)) {
		t.Errorf("the next on the list of venues is %+v", n)
	}
	if n := h.Venues[1].Next; n != nil {
		t.Errorf("a venue without fixtures has %+v", n)
	}
}

// TestFixturesOfARememberedPeg: what is over goes, though nothing was written; and
// what is written comes.
func TestFixturesOfARememberedPeg(t *testing.T) {
	t.Parallel()
	_, s := fixtureDB(t)
	book, err := db.Open(background(t), s.conn.Config().ConnString(), db.Options{MaxConns: 1, Remember: 8})
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	for _, c := range []struct {
		at   time.Time
		want []string
	}{{now, []string{"Two days", "Next week"}}, {inDays(2, 10), []string{"Next week"}}, {inDays(8, 10), nil}, {now, []string{"Two days", "Next week"}}} {
		v, err := book.Peg(background(t), "near", "1", nil, c.at)
		if err != nil {
			t.Fatal(err)
		}
		sameNames(t, c.at.String(), v.Fixtures, c.want...)
	}
	before := one[int64](s, `select revision from book_revision`)
	s.do(`update fixtures set name = 'Moved' where name = 'Next week'`)
	sameNames(t, "after a change", readPeg(t, book, "1", nil).Fixtures, "Two days", "Moved")
	s.do(`delete from fixtures where name = 'Two days'`)
	s.do(`insert into fixtures (venue_id, name, starts_at, ends_at) select id, 'More', $1, $2 from venues where slug = 'near'`, inDays(9, 9), inDays(9, 14))
	sameNames(t, "after more", readPeg(t, book, "1", nil).Fixtures, "Moved", "More")
	if after := one[int64](s, `select revision from book_revision`); after != before+3 {
		t.Errorf("three changes took the book's revision from %d to %d", before, after)
	}
}

func TestFixturesThatCannotBe(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	const insert = `insert into fixtures (venue_id, name, starts_at, ends_at) select id, $1, $2, $3 from venues where slug = 'near'`
	s.refused(checkViolation, insert, "", inDays(1, 9), inDays(1, 10))
	s.refused(checkViolation, insert, "  ", inDays(1, 9), inDays(1, 10))
	s.refused(checkViolation, insert, "Backwards", inDays(1, 9), inDays(1, 8))
	s.refused(checkViolation, insert, "No time", inDays(1, 9), inDays(1, 9))
	s.refused(notNullViolation, insert, "No end", inDays(1, 9), nil)
	s.do(`insert into fixtures (venue_id, name, starts_at, ends_at) select id, 'Good', $1, $2 from venues where slug = 'far'`, inDays(1, 9), inDays(1, 10))
	s.do(`delete from venues where slug = 'far'`)
	if n := one[int](s, `select count(*) from fixtures`); n != 0 {
		t.Errorf("%d fixtures of a venue that is gone", n)
	}
}
