package db_test

import (
	"reflect"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

// TestVenuePegsAreThePegs: what a venue gives of a peg is what the peg's own page
// reads, private notes and all, also once both are remembered and after a change.
func TestVenuePegsAreThePegs(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	s := connect(t, url)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, min(id), $2, $3 from members where name = 'Priya S.'`,
		token('a'), now.Add(-time.Hour), now.AddDate(0, 1, 0))
	for _, remember := range []int{0, 8, 512} {
		book, err := db.Open(background(t), url, db.Options{MaxConns: 2, Remember: remember})
		if err != nil {
			t.Fatal(err)
		}
		defer book.Close()
		for round, change := range []string{`select 1`, `select 1`, `update venues set about = about || '.'`, `update soundings set by_member = null where id = 1`} {
			s.do(change)
			for _, session := range [][]byte{nil, token('a')} {
				v, readings, err := book.VenuePegs(background(t), "sallow-reach", session, now, time.Time{})
				if err != nil || readings != nil || len(v.Pegs) != 27 {
					t.Fatalf("%d pegs, %d readings, %v", len(v.Pegs), len(readings), err)
				}
				for _, p := range v.Pegs {
					want, err := book.Peg(background(t), "sallow-reach", p.Peg.Label, session, now)
					if err != nil || !reflect.DeepEqual(p, want) {
						t.Fatalf("remembering %d, round %d, peg %s: %+v, want %+v; %v", remember, round, p.Peg.Label, p, want, err)
					}
					if !reflect.DeepEqual(p.Venue, v.Venue) || !reflect.DeepEqual(p.Standing, v.Standing) || p.Member != v.Member || p.Club != v.Club {
						t.Fatalf("the venue is %+v, and to peg %s %+v", v.Venue, p.Peg.Label, p.Venue)
					}
				}
			}
		}
	}
}

func TestVenuePegsAtAMoment(t *testing.T) {
	t.Parallel()
	book, err := db.Open(background(t), dbtest.NewDemo(t), db.Options{MaxConns: 1, Remember: 64})
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	at := now.Add(-10 * 24 * time.Hour)
	_, got, err := book.VenuePegs(background(t), "sallow-reach", nil, now, at)
	if err != nil || len(got) < 24 {
		t.Fatalf("%d readings, %v", len(got), err)
	}
	_, want, err := book.PegAt(background(t), "sallow-reach", "1", nil, now, at)
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%d readings, the peg's own sheet has %d; %v", len(got), len(want), err)
	}
	if _, _, err := book.VenuePegs(background(t), "nowhere", nil, now, at); club.KindOf(err) != club.NotFound {
		t.Errorf("a venue there is not: %v", err)
	}
}
