package db_test

import (
	"reflect"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
)

// TestMemoryHoldsNoOldBook changes each thing a sheet is made of, and wants a DB
// that remembers pegs to give what one that does not gives.
func TestMemoryHoldsNoOldBook(t *testing.T) {
	t.Parallel()
	level := 1.85
	plain, s := smallDB(t, func(b *club.Book) {
		b.Venues[0].Hazards = []club.Hazard{{Kind: club.DeepEdge, PegLabel: "1", Text: "deep"}}
		b.Venues[0].Rules = []club.LevelRule{{AboveM: &level, Effect: club.NoFishing, Text: "over"}}
		b.Venues[0].Closures = []club.Closure{{FromLabel: "1", ToLabel: "1", From: now, Reason: "work"}}
	})
	remembers, err := db.Open(background(t), s.conn.Config().ConnString(), db.Options{MaxConns: 2, Remember: 8})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(remembers.Close)
	readPeg(t, remembers, "1", token('b'))
	for _, change := range []string{
		`update club set name = 'Renamed'`,
		`update members set name = 'Annie' where name = 'Ann'`,
		`update gauges set flood_mm = 1300 where slug = 'board'`,
		`update gauge_zeros set offset_mm = 125 where offset_mm = 120`,
		`insert into gauge_zeros (gauge_id, valid_from, offset_mm) select id, now() - interval '10 years', 5 from gauges where slug = 'board'`,
		`update venues set close_season = false`,
		`update pegs set access = 'by the stile' where label = '1'`,
		`update pegs set label = '2B' where label = '2'`,
		`update runs set boil = 3`,
		`insert into runs (peg_id, name, distance_mm) select id, 'middle', 15000 from pegs where label = '1'`,
		`insert into soundings (run_id, zero_id, at, level_mm, depth_mm) select run_id, zero_id, at + interval '1 hour', level_mm, 1500 from soundings`,
		`insert into soundings (run_id, zero_id, at, level_mm, depth_mm, supersedes, withdrawn) select run_id, zero_id, at, level_mm, depth_mm, id, true from soundings where depth_mm = 1500`,
		`update hazards set text = 'deeper'`,
		`delete from hazards`,
		`update level_rules set above_mm = 1800`,
		`update level_rules set text = 'to come', from_at = '2025-10-01Z', to_at = '2025-11-01Z'`,
		`update closures set to_at = from_at + interval '3 days'`,
		`update closures set lifted_at = now()`,
		`insert into outings (peg_id, at, colour, temperature_dc) select id, '2025-10-10 09:00Z', 'a tinge', 95 from pegs where label = '1'`,
		`delete from outings`,
		`delete from level_rules`,
		`delete from closures`,
		`update notes set text = 'other words' where private`,
		`delete from notes where not private`,
		`insert into levels (gauge_id, at, zero_id, level_mm, source) select gauge_id, '2025-10-18 10:05Z', max(zero_id), 1400, 'board' from levels group by gauge_id`,
		`insert into sessions (token_hash, member_id, created_at, expires_at) select decode(repeat('62', 32), 'hex'), id, '2025-01-01Z', '2027-01-01Z' from members where name = 'Bob'`,
		`delete from sessions`,
		`delete from members where name = 'Bob'`,
	} {
		s.do(change)
		for _, session := range [][]byte{nil, token('b')} {
			want, got := readPeg(t, plain, "1", session), readPeg(t, remembers, "1", session)
			if !reflect.DeepEqual(want, got) {
				t.Errorf("after %s\nremembered %+v\nthe book   %+v", change, got, want)
			}
		}
	}
}

// TestMemoryKeepsPrivateNotesApart: the writer's look must not show a visitor more.
func TestMemoryKeepsPrivateNotesApart(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, $2, $3 from members where name = 'Bob'`,
		token('b'), now.Add(-time.Hour), now.AddDate(0, 1, 0))
	book, err := db.Open(background(t), s.conn.Config().ConnString(), db.Options{MaxConns: 2, Remember: 8})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	var all sync.WaitGroup
	for i := range 40 {
		all.Go(func() {
			session, want := []byte(nil), 1
			if i%2 == 0 {
				session, want = token('b'), 2
			}
			v, err := book.Peg(background(t), "near", "1", session, now)
			if err != nil || len(v.Notes) != want {
				t.Errorf("%d notes, want %d, %v", len(v.Notes), want, err)
			}
		})
	}
	all.Wait()
}

// TestMemoryAsTimePasses: what ends with time ends for one that remembers, too.
func TestMemoryAsTimePasses(t *testing.T) {
	t.Parallel()
	plain, s := smallDB(t, func(b *club.Book) {
		b.Venues[0].Closures = []club.Closure{
			{FromLabel: "1", ToLabel: "1", From: now.Add(-time.Hour), To: now.Add(time.Hour), Reason: "work"},
			{From: now.Add(2 * time.Hour), To: now.Add(3 * time.Hour), Reason: "a match"},
		}
		level := 1.5
		b.Venues[0].Rules = []club.LevelRule{
			{AboveM: &level, Effect: club.NoFishing, Text: "for a while", To: now.Add(time.Hour)},
			{AboveM: &level, Effect: club.Caution, Text: "later", From: now.Add(2 * time.Hour)},
		}
		b.Venues[0].Pegs[0].Outings = []club.Outing{{At: now.AddDate(-1, 0, 0).Add(time.Minute)}, {At: now.AddDate(0, -1, 0)}}
	})
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, $2, $3 from members where name = 'Bob'`,
		token('b'), now.Add(-time.Hour), now.Add(90*time.Minute))
	remembers, err := db.Open(background(t), s.conn.Config().ConnString(), db.Options{MaxConns: 2, Remember: 8})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(remembers.Close)
	for _, later := range []time.Duration{0, 59 * time.Minute, time.Hour, 100 * time.Minute, 150 * time.Minute, 200 * time.Minute, 24 * time.Hour} {
		want, err := plain.Peg(background(t), "near", "1", token('b'), now.Add(later))
		if err != nil {
			t.Fatal(err)
		}
		got, err := remembers.Peg(background(t), "near", "1", token('b'), now.Add(later))
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(want, got) {
			t.Errorf("%v later\nremembered %+v\nthe book   %+v", later, got.Closures, want.Closures)
		}
	}
}
