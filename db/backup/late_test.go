package backup_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/db/backup"
	"levelpeg/db/dbtest"
)

// copiedOf is what is written down of the last night's copy.
func (s sql) copiedOf() string {
	s.Helper()
	return one[string](s, `select coalesce(copied::text, 'none') || ' ' || copy_why from backups order by began_at desc, id desc limit 1`)
}

// look has it look whether anything is due.
func look(t *testing.T, n *backup.Nightly, began, at time.Time) {
	t.Helper()
	if made, err := n.IfDue(background(t), began, at); err != nil || made != nil {
		t.Fatalf("made %v, %v", made, err)
	}
}

// TestASecondPlaceThatComesLater: a disk that is put in by day has the last night within the
// minute, those of before that are kept, and their photographs; it is said no longer that
// they are not there; and each comes back.
func TestASecondPlaceThatComesLater(t *testing.T) {
	t.Parallel()
	n, s := folder(t)
	n.Copy = filepath.Join(t.TempDir(), "disk")
	var last backup.Made
	for day := range 12 {
		if day%4 == 0 {
			s.photograph(rand.NewChaCha8([32]byte{byte(day)}), 20_000)
		}
		last = makeNight(t, n, now.AddDate(0, 0, day))
	}
	day := now.AddDate(0, 0, 11).Add(2 * time.Hour)
	look(t, n, now, day)
	if got := s.copiedOf(); !strings.HasPrefix(got, "false") || !strings.Contains(got, "is not there") {
		t.Errorf("while it is not there: %s", got)
	}
	if err := os.Mkdir(n.Copy, 0o700); err != nil {
		t.Fatal(err)
	}
	look(t, n, now, day.Add(time.Minute))
	if got := s.copiedOf(); got != "true " {
		t.Errorf("when it is there: %s", got)
	}
	here, err := backup.Nights(n.Dir)
	there, thereErr := backup.Nights(n.Copy)
	if err != nil || thereErr != nil || len(here) < 8 || !slices.EqualFunc(here, there, time.Time.Equal) {
		t.Errorf("nights %v, there %v, %v, %v", here, there, err, thereErr)
	}
	for _, at := range there {
		if _, _, err := backup.Verify(background(t), filepath.Join(n.Copy, backup.NameOf(at)), nil); err != nil {
			t.Errorf("%v: %v", at, err)
		}
	}
	other := dbtest.Empty(t)
	restore(t, other, filepath.Join(n.Copy, filepath.Base(last.Path)), backup.Restoring{Aside: true})
	sameHoldings(t, connect(t, other).holds("backups"), s.holds("backups"))
}

// TestACopyThatFailsByDayIsTriedEveryHour, and not every minute.
func TestACopyThatFailsByDayIsTriedEveryHour(t *testing.T) {
	t.Parallel()
	n, s := folder(t)
	n.Copy = t.TempDir()
	blocked := filepath.Join(n.Copy, "photographs")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil { // no folder can be made there
		t.Fatal(err)
	}
	makeNight(t, n, now)
	first := now.Add(2 * time.Hour)
	look(t, n, now, first)
	if got := s.copiedOf(); !strings.HasPrefix(got, "false") {
		t.Fatalf("blocked: %s", got)
	}
	if err := os.Remove(blocked); err != nil {
		t.Fatal(err)
	}
	look(t, n, now, first.Add(time.Minute))
	if got := s.copiedOf(); !strings.HasPrefix(got, "false") {
		t.Errorf("a minute later: %s", got)
	}
	look(t, n, now, first.Add(time.Hour))
	if got := s.copiedOf(); got != "true " {
		t.Errorf("an hour later: %s", got)
	}
}
