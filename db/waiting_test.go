package db_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"testing"
	"testing/iotest"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

// waits has a table wait for Ann at a gauge of the demo.
func waits(t *testing.T, book *db.DB, from io.Reader, at time.Time) (club.WaitingTable, error) {
	t.Helper()
	return book.TakeTable(background(t), ann, "teasel-bridge", "old.csv", from, at)
}

var ann = bytes.Repeat([]byte{7}, 32)

func annSignedIn(s sql) {
	s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, min(id), $2, $3 from members`, ann, now.Add(-time.Hour), now.Add(3*time.Hour))
}

// TestAWaitingTableComesBack byte for byte, whatever its length and however it comes, and
// to its sender at its gauge alone, for an hour.
func TestAWaitingTableComesBack(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	book, s := open(t, url), connect(t, url)
	annSignedIn(s)
	noise := rand.NewChaCha8([32]byte{1})
	for _, size := range []int{0, 1, 256<<10 - 1, 256 << 10, 256<<10 + 1, 3<<20 + 12345} {
		whole := make([]byte, size)
		_, _ = noise.Read(whole)
		table, err := waits(t, book, iotest.HalfReader(bytes.NewReader(whole)), now)
		if err != nil || table.Bytes != int64(size) {
			t.Fatalf("%d bytes: %+v, %v", size, table, err)
		}
		got, err := book.WaitingTable(background(t), table.ID, "teasel-bridge", ann, now.Add(59*time.Minute))
		if err != nil || got != table {
			t.Fatalf("%+v, want %+v, %v", got, table, err)
		}
		if back, err := io.ReadAll(book.ReadTable(background(t), got)); err != nil || !bytes.Equal(back, whole) {
			t.Fatalf("of %d bytes %d came back, %v", size, len(back), err)
		}
	}
	table, err := waits(t, book, bytes.NewReader([]byte("a")), now)
	if err != nil {
		t.Fatal(err)
	}
	for name, find := range map[string]func() (club.WaitingTable, error){
		"another gauge": func() (club.WaitingTable, error) {
			return book.WaitingTable(background(t), table.ID, "cinder-lane", ann, now)
		},
		"another session": func() (club.WaitingTable, error) {
			return book.WaitingTable(background(t), table.ID, "teasel-bridge", make([]byte, 32), now)
		},
		"later": func() (club.WaitingTable, error) {
			return book.WaitingTable(background(t), table.ID, "teasel-bridge", ann, now.Add(time.Hour))
		},
		"another number": func() (club.WaitingTable, error) {
			return book.WaitingTable(background(t), "x", "teasel-bridge", ann, now)
		},
	} {
		if _, err := find(); club.KindOf(err) != club.NotFound {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := book.DropTable(background(t), table.ID); err != nil {
		t.Error(err)
	}
	if _, err := io.ReadAll(book.ReadTable(background(t), table)); club.KindOf(err) != club.NotFound {
		t.Errorf("one that is gone is read: %v", err)
	}
	if _, err := book.TakeTable(background(t), make([]byte, 32), "teasel-bridge", "old.csv", bytes.NewReader(nil), now); club.KindOf(err) != club.Forbidden {
		t.Errorf("of nobody: %v", err)
	}
}

// TestATableCutShortIsGone: one that did not come whole is never shown, and leaves nothing.
func TestATableCutShortIsGone(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	book, s := open(t, url), connect(t, url)
	annSignedIn(s)
	for _, broken := range []error{io.ErrUnexpectedEOF, errors.New("hung up")} {
		from := io.MultiReader(bytes.NewReader(make([]byte, 3<<20)), iotest.ErrReader(broken))
		if table, err := waits(t, book, from, now); !errors.Is(err, broken) {
			t.Errorf("%+v, %v", table, err)
		}
	}
	ctx, hangUp := context.WithCancel(background(t))
	from := io.MultiReader(bytes.NewReader(make([]byte, 3<<20)), readerFunc(func([]byte) (int, error) { hangUp(); return 0, ctx.Err() }))
	if _, err := book.TakeTable(ctx, ann, "teasel-bridge", "old.csv", from, now); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if n := one[int](s, `select (select count(*) from waiting_tables) + (select count(*) from waiting_parts)`); n != 0 {
		t.Errorf("%d rows are left", n)
	}
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

// TestTablesThatWaitAreBounded in time and in all their bytes, those that are still coming
// counted too; no change of the book.
func TestTablesThatWaitAreBounded(t *testing.T) {
	t.Parallel()
	url := dbtest.NewDemo(t)
	book, s := open(t, url), connect(t, url)
	annSignedIn(s)
	revision := one[int64](s, `select revision from book_revision`)
	for i := range 4 { // of 200 MB each, as far as the table says
		if _, err := waits(t, book, bytes.NewReader([]byte("a")), now.Add(time.Duration(i)*time.Minute)); err != nil {
			t.Fatal(err)
		}
		s.do(`update waiting_tables set bytes = $1, name = name || $2 where name = 'old.csv'`, 200<<20, fmt.Sprint(i))
	}
	if err := book.TidyTables(background(t), now.Add(4*time.Minute)); err != nil {
		t.Fatal(err)
	}
	if got := one[string](s, `select string_agg(name, ' ' order by name) from waiting_tables`); got != "old.csv2 old.csv3" {
		t.Errorf("%s wait", got)
	}
	// One that is let go of while it comes says so.
	from := io.MultiReader(bytes.NewReader(make([]byte, 1<<20)), readerFunc(func([]byte) (int, error) {
		s.do(`delete from waiting_tables where name = 'old.csv'`)
		return 1, nil
	}))
	if _, err := waits(t, book, io.LimitReader(from, 3<<20), now); club.KindOf(err) != club.Unavailable {
		t.Error(err)
	}
	if err := book.TidyTables(background(t), now.Add(63*time.Minute)); err != nil {
		t.Fatal(err)
	}
	if n := one[int](s, `select (select count(*) from waiting_tables) + (select count(*) from waiting_parts)`); n != 0 {
		t.Errorf("%d rows outlive their hour", n)
	}
	if is := one[int64](s, `select revision from book_revision`); is != revision {
		t.Error("the book's revision went up")
	}
}
