package backup_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

// TestWhoWasRemovedStaysRemoved from a backup of before, though the database that knew is
// lost; and nobody else who has their number since.
func TestWhoWasRemovedStaysRemoved(t *testing.T) {
	t.Parallel()
	n, s := folder(t)
	s.do(`insert into members (name, role) values ('Secretary', 'secretary'), ('Bob', 'member')`)
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, id, now(), now() + interval '1 day' from members where name = 'Secretary'`, []byte(strings.Repeat("a", 32)))
	bob := one[int64](s, `select id from members where name = 'Bob'`)
	s.do(`insert into intake (id, member_id, form, body, state) values (gen_random_uuid(), $1, 1, 'his words', 'in the book'), (gen_random_uuid(), $1, 1, 'his words', 'received')`, bob)
	made := makeNight(t, n, now)

	book, err := db.Open(background(t), n.URL, db.Options{Removed: n.Removed})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	if _, err := book.RemoveMember(background(t), club.Writer{Session: []byte(strings.Repeat("a", 32))}, bob, time.Now()); err != nil {
		t.Fatal(err)
	}
	list := filepath.Join(n.Dir, backup.RemovalsName)
	if err := backup.KeepRemovals(background(t), n.URL, list); err != nil {
		t.Fatal(err)
	}
	if text := string(content(t, list)); strings.Contains(text, "Bob") || strings.Count(text, "\n") != 2 {
		t.Errorf("the list says %s", text)
	}

	since, found, err := backup.RemovalsFor(made.Path, nil)
	if err != nil || !found || len(since) != 1 {
		t.Fatalf("the list beside it: %v, %v, %v", since, found, err)
	}
	other := dbtest.Empty(t)
	out := restore(t, other, made.Path, backup.Restoring{Removals: since})
	o := connect(t, other)
	if out.Removed != 1 || one[int](o, `select count(*) from members where name = 'Bob'`) != 0 || one[int](o, `select count(*) from members where name = 'Secretary'`) != 1 {
		t.Errorf("%d removed again", out.Removed)
	}
	if left := one[string](o, `select coalesce(string_agg(convert_from(body, 'UTF8') || state, ';'), '') from intake`); left != "in the book" {
		t.Errorf("of what he sent is left %q", left)
	}
	if next := one[int64](o, `insert into members (name, role) values ('New', 'member') returning id`); next <= bob {
		t.Errorf("a new member has the number %d", next)
	}

	// The next backup of that database knows by itself, and a newcomer of his number stays.
	o.do(`insert into members (id, name, role) overriding system value values ($1, 'Newcomer', 'member')`, bob)
	again := toFile(t, other, backup.Options{})
	_ = o.conn.Close(background(t))
	third := dbtest.Empty(t)
	if out := restore(t, third, again.Path, backup.Restoring{Removals: since}); out.Removed != 0 {
		t.Error("somebody else who has his number was removed")
	}
}

func TestRemovalsOfAnotherClub(t *testing.T) {
	t.Parallel()
	url, _ := little(t, backup.Options{})
	s := connect(t, url)
	made := toFile(t, url, backup.Options{})
	member := one[int64](s, `select min(id) from members`)
	since := one[time.Time](s, `select min(created_at) from members`)
	other := dbtest.Empty(t)
	out := restore(t, other, made.Path, backup.Restoring{Removals: []backup.Removal{{ClubID: "0b6e1c9e-0000-4000-8000-000000000000", Member: member, Since: since, Removed: now}}})
	if out.Removed != 0 {
		t.Error("another club's list removed somebody")
	}
}

func TestADamagedListOfRemovals(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, backup.RemovalsName)
	good := "Levelpeg: members removed since, form 1. Keep this file beside the backups.\n0b6e1c9e-0000-4000-8000-000000000000 3 2025-10-18T10:07:00Z 2025-10-18T10:07:00Z\n"
	for _, spoilt := range []string{"", "x\n", good[:len(good)-1], good[:len(good)-20], strings.Replace(good, " 3 ", " x ", 1), strings.Replace(good, "form 1", "form 2", 1)} {
		if err := os.WriteFile(path, []byte(spoilt), 0o600); err != nil {
			t.Fatal(err)
		}
		_, _, err := backup.RemovalsFor(filepath.Join(dir, "x"), nil)
		refused(t, err, club.Invalid, "list of removed members")
	}
	if err := os.WriteFile(path, []byte(good), 0o600); err != nil {
		t.Fatal(err)
	}
	if all, found, err := backup.RemovalsFor(filepath.Join(dir, "x"), nil); err != nil || !found || len(all) != 1 {
		t.Errorf("%v, %v, %v", all, found, err)
	}
	_, _, err := backup.RemovalsFor(filepath.Join(dir, "x"), []string{filepath.Join(dir, "none")})
	refused(t, err, club.Invalid, "cannot be read")
	if all, found, err := backup.RemovalsFor(filepath.Join(t.TempDir(), "x"), nil); err != nil || found || len(all) != 0 {
		t.Errorf("of none: %v, %v, %v", all, found, err)
	}
}
