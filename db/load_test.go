package db_test

import (
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

func TestLoadDemoReplacesADemo(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	before := one[string](s, tally)
	s.do(`insert into sessions (token_hash, member_id, expires_at) select $1, min(id), now() + interval '1 day' from members`, token('a'))
	if err := book.LoadDemo(background(t), small()); err != nil {
		t.Fatal(err)
	}
	if after := one[string](s, tally); after != before {
		t.Errorf("loaded twice it holds %s, once %s", after, before)
	}
	if n := one[int](s, `select count(*) from sessions`); n != 0 {
		t.Errorf("%d sessions of the demo before are left", n)
	}
	sameRollups(s, "loaded twice")
}

const tally = `select concat_ws(' ', (select count(*) from club), (select count(*) from members), (select count(*) from gauges),
	(select count(*) from levels), (select count(*) from levels_hour), (select count(*) from levels_day),
	(select count(*) from pegs), (select count(*) from soundings), (select count(*) from notes))`

func TestLoadDemoRefusesARealClub(t *testing.T) {
	t.Parallel()
	for name, make := range map[string]string{
		"a club":                `insert into club (name, time_zone, place) values ('Real', 'Europe/London', 'England')`,
		"gauges before a club":  `insert into gauges (slug, name, river, low_mm, high_mm) values ('a', 'A', 'R', 0, 1)`,
		"members before a club": `insert into members (name, role) values ('Someone', 'secretary')`,
	} {
		t.Run(name, func(t *testing.T) {
			url := dbtest.New(t)
			s := connect(t, url)
			s.do(make)
			before := one[string](s, tally)
			err := open(t, url).LoadDemo(background(t), small())
			if club.KindOf(err) != club.Conflict || !strings.Contains(err.Error(), "real club") {
				t.Errorf("got %v, want a refusal", err)
			}
			if after := one[string](s, tally); after != before {
				t.Errorf("it held %s and now %s", before, after)
			}
		})
	}
}

// TestLoaderRefuses what would otherwise mean something else, and leaves nothing.
func TestLoaderRefuses(t *testing.T) {
	t.Parallel()
	level := 1.0
	for _, c := range []struct {
		name, want string
		spoil      func(*club.Book)
	}{
		{"a closure's first peg", `peg "41" is not in the book`, func(b *club.Book) {
			b.Venues[0].Closures = []club.Closure{{FromLabel: "41", ToLabel: "2", From: now, Reason: "x"}}
		}},
		{"a closure's last peg", `peg "41" is not in the book`, func(b *club.Book) {
			b.Venues[0].Closures = []club.Closure{{FromLabel: "2", ToLabel: "41", From: now, Reason: "x"}}
		}},
		{"half a span", "closures_check", func(b *club.Book) {
			b.Venues[0].Closures = []club.Closure{{FromLabel: "2", From: now, Reason: "x"}}
		}},
		{"a hazard's peg", `peg "41" is not in the book`, func(b *club.Book) {
			b.Venues[0].Hazards = []club.Hazard{{Kind: club.PowerLine, PegLabel: "41", Text: "x"}}
		}},
		{"a rule's peg", `peg "41" is not in the book`, func(b *club.Book) {
			b.Venues[0].Rules = []club.LevelRule{{FromLabel: "41", AboveM: &level, Effect: club.NoFishing, Text: "x"}}
		}},
		{"a gauge", `gauge "gone" is not in the book`, func(b *club.Book) { b.Venues[0].GaugeSlug = "gone" }},
		{"a level before the first zero", "no zero is in force", func(b *club.Book) {
			b.Gauges[0].Levels = []club.Level{{At: now.AddDate(-6, 0, 0), LevelM: 1, Source: club.Board}}
		}},
		{"a private note without a writer", "notes", func(b *club.Book) {
			b.Venues[0].Pegs[0].Notes = []club.Note{{Posted: club.Posted{At: now, Author: "Nobody"}, Text: "x", Private: true}}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			url := dbtest.New(t)
			b := small()
			c.spoil(&b)
			err := open(t, url).LoadDemo(background(t), b)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want it to say %s", err, c.want)
			}
			if n := one[int](connect(t, url), `select count(*) from club`); n != 0 {
				t.Error("a book that was refused left a club")
			}
		})
	}
}

func TestState(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	got, err := book.State(background(t))
	if err != nil || !got.HasClub || !got.Demo || !got.LastLevel.Equal(hour(71)) {
		t.Errorf("got %+v, %v", got, err)
	}
	s.do(`update club set demo = false`)
	if got, err = book.State(background(t)); err != nil || !got.HasClub || got.Demo {
		t.Errorf("of a real club: %+v, %v", got, err)
	}
	if got.LastLevel.Sub(now) > time.Hour {
		t.Errorf("the last level is of %v", got.LastLevel)
	}
}
