package e2e

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"levelpeg/e2e/forgetful"
)

// cutCommand runs a command and loses the power of the disk at dir after a while; it says
// whether the command had ended by then.
func cutCommand(t *testing.T, disk *forgetful.Disk, dir string, random *rand.Rand, after time.Duration, args ...string) (ended bool) {
	t.Helper()
	p, err := launch(args...)
	if err != nil {
		t.Fatal(err)
	}
	select {
	case <-p.gone:
		if p.how != nil {
			t.Fatalf("it ended so: %v\n%s", p.how, &p.logged)
		}
		ended = true
	case <-time.After(after):
	}
	losePower(t, disk, p, dir, random, lucks[random.IntN(len(lucks))])
	return ended
}

// moments are so many of a span and a little beyond it, one in each part; the last of several
// is a long time after.
func moments(random *rand.Rand, n int, span time.Duration) []time.Duration {
	out := make([]time.Duration, n)
	for i := range out {
		out[i] = time.Duration((float64(i) + random.Float64()) / float64(n) * 1.1 * float64(span))
	}
	if n > 1 {
		out[n-1] = startWithin
	}
	return out
}

// timed runs a command to its end and says how long it took.
func timed(t *testing.T, args ...string) time.Duration {
	t.Helper()
	began := time.Now()
	if code, out, log := once(t, nil, args...); code != 0 {
		t.Fatalf("levelpeg %s ends with %d: %s%s", strings.Join(args, " "), code, out, log)
	}
	return time.Since(began)
}

// heldWhole has the folder served and the club in it whole.
func heldWhole(t *testing.T, dir, after string) {
	t.Helper()
	p, home := serve(t, "--data", dir)
	if err := whole(home); err != nil {
		t.Errorf("%s: %v\n%s", after, err, &p.logged)
	}
	if err := p.stop(); err != nil {
		t.Errorf("%s: %v", after, err)
	}
}

// Power lost at any moment of a restore: what was put back and said to be is there; else
// nothing is served, with a sentence, and the same command puts it right.
func TestPowerLostWhileItIsPutBack(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "club")
	first := withDemo(t)
	p, _ := serve(t, "--demo", "--data", first)
	timed(t, "backup", file, "--data", first)
	if err := p.stop(); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(killSeed, 9))
	span := timed(t, "restore", file, "--data", folder(t))
	for _, after := range moments(random, powerRounds()/4, span) {
		disk, dir := forgetfulDisk(t)
		ended := cutCommand(t, disk, dir, random, after, "restore", file, "--data", dir)
		what := fmt.Sprintf("power lost after %v, ended %v", after.Round(time.Millisecond), ended)
		if !ended {
			restoredAgain(t, file, dir)
		}
		heldWhole(t, dir, what)
		t.Log(what)
	}
}

// restoredAgain runs the command again. It may have been done, and killed before it said so.
func restoredAgain(t *testing.T, file, dir string) {
	t.Helper()
	code, out, log := once(t, nil, "restore", file, "--data", dir)
	if code != 0 && !strings.Contains(log, "holds a book already") {
		t.Errorf("put back again, it ends with %d: %s%s", code, out, log)
	}
}

// Power lost at any moment of a move to another PostgreSQL: the book is served, from the old
// data or from the new, and the old data is still there.
func TestPowerLostWhileItMoves(t *testing.T) {
	t.Parallel()
	bins, _ := filepath.Glob("/usr/lib/postgresql/*/bin")
	if len(bins) == 0 {
		t.Skip("SKIPPED, not tested: no PostgreSQL in its usual place to move to")
	}
	to := bins[len(bins)-1]
	random := rand.New(rand.NewPCG(killSeed, 7))
	span := timed(t, "postgres-upgrade", "--data", withDemo(t), "--to", to)
	for _, after := range moments(random, powerRounds()/4, span) {
		disk, dir := forgetfulDisk(t)
		if err := demoFolder(dir); err != nil {
			t.Fatal(err)
		}
		const mark = "the-old-data" // of no meaning to PostgreSQL
		if err := os.WriteFile(filepath.Join(dir, "data", mark), nil, 0o600); err != nil {
			t.Fatal(err)
		}
		disk.Settle()
		ended := cutCommand(t, disk, dir, random, after, "postgres-upgrade", "--data", dir, "--to", to)
		what := fmt.Sprintf("power lost after %v, ended %v", after.Round(time.Millisecond), ended)
		heldWhole(t, dir, what)
		old, _ := filepath.Glob(filepath.Join(dir, "data*", mark))
		if len(old) != 1 || ended && filepath.Dir(old[0]) == filepath.Join(dir, "data") {
			t.Errorf("%s: the old data is in %v", what, old)
		}
		t.Log(what)
	}
}
