package db_test

import (
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

// kitsSeen are the member's kit as every page's own query gives it.
func kitsSeen(t *testing.T, book *db.DB, venue, label, gauge string, session []byte) map[string]string {
	t.Helper()
	ctx, out := background(t), map[string]string{}
	keep := func(page string, m club.Member, err error) {
		if err != nil {
			t.Fatalf("%s: %v", page, err)
		}
		out[page] = m.Kit
	}
	h, err := book.Home(ctx, session, now)
	keep("home", h.Member, err)
	v, err := book.Venue(ctx, venue, session, now)
	keep("venue", v.Member, err)
	p, err := book.Peg(ctx, venue, label, session, now)
	keep("peg", p.Member, err)
	p, _, err = book.PegAt(ctx, venue, label, session, now, now.Add(-time.Hour))
	keep("peg at an hour", p.Member, err)
	g, err := book.Gauge(ctx, gauge, usual, session, now)
	keep("gauge", g.Member, err)
	_, m, err := book.Asker(ctx, session, now)
	keep("asker", m, err)
	return out
}

func TestKits(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, func(b *club.Book) {
		b.Members = append(b.Members, club.Member{Name: "Jo", Role: club.Junior})
	})
	sessions := map[string][]byte{"Bob": token('b'), "Jo": token('j')}
	for name, session := range sessions {
		s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, $2, $3 from members where name = $4`,
			session, now.Add(-time.Hour), now.AddDate(0, 1, 0), name)
	}
	all := func(who, want string) {
		t.Helper()
		for page, got := range kitsSeen(t, book, "near", "1", "board", sessions[who]) {
			if got != want {
				t.Errorf("%s's kit on the page of the %s is %q, want %q", who, page, got, want)
			}
		}
	}
	save := func(who, code string) {
		t.Helper()
		if err := book.SaveKit(background(t), sessions[who], code, now); err != nil {
			t.Fatal(err)
		}
	}
	all("Bob", "")
	revision := one[int64](s, `select revision from book_revision`)
	save("Bob", "1~sBB")
	save("Jo", "1~s8~r11")
	all("Bob", "1~sBB")
	all("Jo", "1~s8~r11")
	all("nobody", "")
	save("Bob", "1~sAAA")
	all("Bob", "1~sAAA")
	if got := one[time.Time](s, `select changed_at from kits k join members m on m.id = k.member_id where m.name = 'Bob'`); !got.Equal(now) {
		t.Errorf("changed at %v, want %v", got, now)
	}
	save("Bob", "")
	save("Bob", "")
	all("Bob", "")
	all("Jo", "1~s8~r11")
	if got := one[int64](s, `select revision from book_revision`); got != revision {
		t.Error("a kit makes every server read the book again")
	}
	s.do(`delete from members where name = 'Jo'`)
	if n := one[int](s, `select count(*) from kits`); n != 0 {
		t.Errorf("%d kits outlive their members", n)
	}
}

func TestKitsOfNobody(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, $2, $3 from members where name = 'Bob'`,
		token('o'), now.Add(-2*time.Hour), now.Add(-time.Hour))
	for name, session := range map[string][]byte{"none": nil, "made up": token('x'), "over": token('o')} {
		if err := book.SaveKit(background(t), session, "1~sBB", now); club.KindOf(err) != club.NotFound {
			t.Errorf("a session that is %s: %v", name, err)
		}
		if err := book.SaveKit(background(t), session, "", now); err != nil {
			t.Errorf("forgetting by a session that is %s: %v", name, err)
		}
		if _, m, err := book.Asker(background(t), session, now); err != nil || m.ID != 0 {
			t.Errorf("a session that is %s is %+v's, %v", name, m, err)
		}
	}
	if n := one[int](s, `select count(*) from kits`); n != 0 {
		t.Errorf("%d kits of nobody", n)
	}
}

// TestKitLength: the longest code is kept, and what is longer than any is not.
func TestKitLength(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, $2, $3 from members where name = 'Bob'`,
		token('b'), now.Add(-time.Hour), now.AddDate(0, 1, 0))
	if err := book.SaveKit(background(t), token('b'), strings.Repeat("1", 2000), now); err != nil {
		t.Error(err)
	}
	s.refused(checkViolation, `update kits set kit = repeat('1', 4001)`)
	s.refused(checkViolation, `update kits set kit = ''`)
}

// TestKitRoundTrips: who asks costs one, and so does keeping a kit.
func TestKitRoundTrips(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	connect(t, url).do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, min(id), $2, $3 from members`,
		token('a'), now.Add(-time.Hour), now.AddDate(0, 1, 0))
	count := &trips{}
	book, err := db.Open(background(t), url, db.Options{MaxConns: 1, Dial: count.dial})
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	for name, do := range map[string]func() error{
		"asker":  func() error { _, _, err := book.Asker(background(t), token('a'), now); return err },
		"save":   func() error { return book.SaveKit(background(t), token('a'), "1~sBB", now) },
		"forget": func() error { return book.SaveKit(background(t), token('a'), "", now) },
	} {
		for i := range 2 {
			count.since()
			if err := do(); err != nil {
				t.Fatal(err)
			}
			if n := count.since(); i == 1 && n != 1 {
				t.Errorf("%s took %d round trips the second time, want 1", name, n)
			}
		}
	}
}
