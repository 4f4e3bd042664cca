package backup_test

import (
	"context"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

// folder is a database of a real club and a nightly backup of it that has not begun.
func folder(t *testing.T) (n *backup.Nightly, s sql) {
	t.Helper()
	url, _ := little(t, backup.Options{})
	n = backup.NewNightly(url, filepath.Join(t.TempDir(), "backups"), "", slog.New(slog.NewTextHandler(t.Output(), nil)))
	return n, connect(t, url)
}

func makeNight(t *testing.T, n *backup.Nightly, at time.Time) backup.Made {
	t.Helper()
	made, err := n.Make(background(t), at)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

func photos(t *testing.T, dir string) (names []string) {
	t.Helper()
	err := filepath.WalkDir(filepath.Join(dir, "photographs"), func(path string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			names = append(names, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

// TestNightsShareTheirPhotographs: each lies there once, goes when nothing that is kept
// has it, and a night's file comes back whole with them.
func TestNightsShareTheirPhotographs(t *testing.T) {
	t.Parallel()
	n, s := folder(t)
	n.Copy = t.TempDir()
	r := rand.NewChaCha8([32]byte{3})
	first := makeNight(t, n, now)
	s.photograph(r, 50_000)
	second := makeNight(t, n, now.AddDate(0, 0, 1))
	if got := photos(t, n.Dir); len(got) != 2 || second.Bytes > first.Bytes+2000 || second.Manifest.Photographs.Count != 2 {
		t.Errorf("%d photographs, files of %d and %d bytes", len(got), first.Bytes, second.Bytes)
	}
	other := dbtest.Empty(t)
	restore(t, other, filepath.Join(n.Copy, filepath.Base(second.Path)), backup.Restoring{Aside: true})
	sameHoldings(t, connect(t, other).holds("backups"), s.holds("backups"))

	s.do(`delete from pictures`)
	for day := 2; day < 9; day++ {
		makeNight(t, n, now.AddDate(0, 0, day))
	}
	// The week's newest of before and the month's are without; the first night is gone.
	for _, dir := range []string{n.Dir, n.Copy} {
		made, err := backup.Nights(dir)
		if err != nil || len(made) > 9 || len(made) < 7 {
			t.Errorf("%d nights in %s, %v", len(made), dir, err)
		}
		for _, at := range made {
			if _, _, err := backup.Verify(background(t), filepath.Join(dir, backup.NameOf(at)), nil); err != nil {
				t.Errorf("%v: %v", at, err)
			}
		}
	}
	for day := 9; day < 75; day++ {
		makeNight(t, n, now.AddDate(0, 0, day))
	}
	for _, dir := range []string{n.Dir, n.Copy} {
		if got := photos(t, dir); len(got) > 2 {
			t.Errorf("%d photographs are left in %s", len(got), dir)
		}
	}
}

// TestAFlippedByteInThePhotographsIsNoticed, and mended from the book in the nights after.
func TestAFlippedByteInThePhotographsIsNoticed(t *testing.T) {
	t.Parallel()
	n, _ := folder(t)
	made := makeNight(t, n, now)
	path := photos(t, n.Dir)[0]
	whole := content(t, path)
	r, _ := random()
	for range 100 {
		spoilt := append([]byte(nil), whole...)
		at := r.IntN(len(whole))
		spoilt[at] ^= byte(1 + r.IntN(255))
		if err := os.WriteFile(path, spoilt, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, _, err := backup.Verify(background(t), made.Path, nil); club.KindOf(err) != club.Invalid {
			t.Fatalf("byte %d: %v", at, err)
		}
	}
	for day := 1; day <= 7; day++ {
		made = makeNight(t, n, now.AddDate(0, 0, day))
	}
	if _, _, err := backup.Verify(background(t), made.Path, nil); err != nil {
		t.Errorf("a week on: %v", err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	_, _, err := backup.Verify(background(t), made.Path, nil)
	refused(t, err, club.Invalid, "photographs lie in the folder")
}

// TestOneServerMakesIt: two that look at the same time make one backup; and none is made
// of a club that is made up, or of none.
func TestOneServerMakesIt(t *testing.T) {
	t.Parallel()
	n, s := folder(t)
	m := backup.NewNightly(n.URL, filepath.Join(t.TempDir(), "other"), "", n.Log)
	began := now.AddDate(0, 0, -3)
	var wait sync.WaitGroup
	for range 3 {
		for _, x := range []*backup.Nightly{n, m} {
			wait.Add(1)
			go func() {
				defer wait.Done()
				if _, err := x.IfDue(background(t), began, now); err != nil {
					t.Error(err)
				}
			}()
		}
	}
	wait.Wait()
	if got := one[int](s, `select count(*) from backups`); got != 1 {
		t.Errorf("%d backups were made", got)
	}
	s.do(`update club set demo = true`)
	s.do(`truncate backups`)
	if made, err := n.IfDue(background(t), began, now); made != nil || err != nil {
		t.Errorf("of a made-up club: %v, %v", made, err)
	}
	s.do(`delete from club`)
	if made, err := n.IfDue(background(t), began, now); made != nil || err != nil {
		t.Errorf("of no club: %v, %v", made, err)
	}
}

// TestWhatThePagesAreTold of backups that are good, old, failed, and not in their second
// place.
func TestWhatThePagesAreTold(t *testing.T) {
	t.Parallel()
	n, _ := folder(t)
	book, err := db.Open(background(t), n.URL, db.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	told := func(at time.Time) (club.Backups, string) {
		b, err := book.Backups(background(t))
		if err != nil {
			t.Fatal(err)
		}
		return b, strings.Join(b.Worry(at), " ")
	}
	if b, says := told(now); !b.Good.IsZero() || !strings.Contains(says, "no backup of the club's book yet") {
		t.Errorf("of none: %+v, %s", b, says)
	}
	made := makeNight(t, n, now)
	if b, says := told(now); !b.Good.Equal(now) || b.Bytes != made.Bytes || !strings.Contains(says, "one place only") || strings.Contains(says, "old") {
		t.Errorf("of one: %+v, %s", b, says)
	}
	if _, says := told(now.Add(37 * time.Hour)); !strings.Contains(says, "is old") {
		t.Errorf("of an old one: %s", says)
	}
	n.Copy = filepath.Join(t.TempDir(), "gone")
	makeNight(t, n, now.AddDate(0, 0, 1))
	if _, says := told(now.AddDate(0, 0, 1)); !strings.Contains(says, "not in its second place") || !strings.Contains(says, "is not there") {
		t.Errorf("of a second place that is not there: %s", says)
	}
	if _, err := os.Stat(n.Copy); err == nil {
		t.Error("the second place was made where a disk should hang")
	}
	n.Copy = t.TempDir()
	makeNight(t, n, now.AddDate(0, 0, 2))
	if b, says := told(now.AddDate(0, 0, 2)); says != "" || b.Copied == nil || !*b.Copied {
		t.Errorf("when all is well: %+v, %s", b, says)
	}
	dir := n.Dir
	n.Dir = filepath.Join(made.Path, "not-a-folder")
	if _, err := n.Make(background(t), now.AddDate(0, 0, 3)); err == nil {
		t.Error("a backup was made in a file")
	}
	if b, says := told(now.AddDate(0, 0, 3)); !b.Good.Equal(now.AddDate(0, 0, 2)) || !strings.Contains(says, "failed") {
		t.Errorf("of one that failed: %+v, %s", b, says)
	}
	n.Dir = dir
}

// TestAKilledBackupLeavesNothing that is taken for one, and what it left goes in time.
func TestAKilledBackupLeavesNothing(t *testing.T) {
	t.Parallel()
	n, _ := folder(t)
	makeNight(t, n, now)
	ctx, cancel := context.WithCancel(background(t))
	cancel()
	if _, err := n.Make(ctx, now.AddDate(0, 0, 1)); err == nil {
		t.Error("a backup that was given up passed")
	}
	left := filepath.Join(n.Dir, backup.NameOf(now.AddDate(0, 0, 1))+".123.part")
	if err := os.WriteFile(left, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	long := time.Now().Add(-48 * time.Hour)
	if err := os.Chtimes(left, long, long); err != nil {
		t.Fatal(err)
	}
	if made, err := backup.Nights(n.Dir); err != nil || len(made) != 1 {
		t.Errorf("nights %v, %v", made, err)
	}
	makeNight(t, n, now.AddDate(0, 0, 2))
	if _, err := os.Stat(left); err == nil {
		t.Error("what a killed backup left is still there")
	}
}

// TestCheck puts a backup back aside, and leaves nothing of it.
func TestCheck(t *testing.T) {
	t.Parallel()
	_, made := little(t, backup.Options{})
	work, err := os.MkdirTemp("/tmp", "levelpeg-check-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(work) })
	if err := os.Chmod(work, 0o755); err != nil {
		t.Fatal(err)
	}
	left := filepath.Join(work, "aside-killed")
	if err := os.MkdirAll(filepath.Join(left, "postgres"), 0o700); err != nil {
		t.Fatal(err)
	}
	long := time.Now().Add(-48 * time.Hour)
	if err := os.Chtimes(left, long, long); err != nil {
		t.Fatal(err)
	}
	out, err := backup.Check(background(t), made.Path, nil, work, slog.New(slog.NewTextHandler(t.Output(), nil)))
	if err != nil || out.Manifest.Rows() != made.Manifest.Rows() || out.Removed != 0 {
		t.Errorf("%+v, %v", out.Head, err)
	}
	if names := files(t, work); len(names) != 0 {
		t.Errorf("left behind: %v", names)
	}
	// Whole, and yet not what a database takes: only putting it back tells.
	err = backup.Rewrite(background(t), made.Path, func(name string, body []byte) []byte {
		return []byte(strings.ReplaceAll(string(body), "venues_id_seq", "nowhere_id_seq"))
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := backup.Verify(background(t), made.Path, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := backup.Check(background(t), made.Path, nil, work, slog.New(slog.DiscardHandler)); err == nil {
		t.Error("a backup that cannot be put back passes")
	}
}
