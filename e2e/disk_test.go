package e2e

import (
	"context"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sys/unix"
)

// smallDisk is a folder of the test's own on a file system of its own of some bytes.
func smallDisk(t *testing.T, size string) string {
	t.Helper()
	dir := diskFolder(t)
	at := filepath.Dir(dir)
	if err := unix.Mount("levelpeg-test", at, "tmpfs", 0, "size="+size+",mode=0755"); err != nil {
		t.Skipf("SKIPPED, not tested: no small file system can be made here: %v", err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(at, unix.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// ballast fills the rest of a disk, and is thrown out again by the function.
func ballast(t *testing.T, disk string) (out func()) {
	t.Helper()
	f, err := os.CreateTemp(disk, "ballast-")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for block := make([]byte, 64<<10); len(block) > 0; {
		if _, err := f.Write(block); errors.Is(err, syscall.ENOSPC) {
			block = block[:len(block)/2]
		} else if err != nil {
			t.Fatal(err)
		}
	}
	return func() {
		if err := os.Remove(f.Name()); err != nil {
			t.Error(err)
		}
	}
}

// roomWithin is how long after there is room again writes may still be refused: the
// longest pause between two tries to start PostgreSQL, and its start.
const roomWithin = 30 * time.Second

// While its disk is full the program says so to whoever would write, shows what it can,
// and goes on by itself once there is room, whether or not PostgreSQL went down over it.
// What it acknowledged is in the book, and nothing else is said to be. Started on a full
// disk it says why it cannot be.
func TestAFullDisk(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := smallDisk(t, "192m") // the demo, and a little over two segments of PostgreSQL's log
	if err := demoFolder(dir); err != nil {
		t.Fatal(err)
	}
	f := &filling{T: t, ledger: newLedger(), dir: dir, disk: filepath.Dir(dir)}
	f.serve()
	t.Cleanup(func() { f.p.kill() })
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	f.writers = writers(t, dir, killSeed+1, writing)
	f.hold(t, f.home, dir)
	f.round("its tables cannot grow", func() {})
	f.round("its log cannot grow, and it goes down", f.bringDown)
	f.startedFull()
	f.hold(t, f.home, dir)
	if f.sorry[noRoom] == 0 || f.sorry[outOfReach] == 0 {
		t.Errorf("%d answers said that there is no room, and %d that the book is out of reach: too little was seen", f.sorry[noRoom], f.sorry[outOfReach])
	}
	f.say(t)
	if err := f.p.stop(); err != nil {
		t.Error(err)
	}
}

// filling is a program whose disk is filled while writers write.
type filling struct {
	*testing.T
	*ledger
	dir, disk string
	p         *program
	home      string
	writers   []*writer
}

// serve starts the program; what it puts aside of an upload goes to the small disk too.
func (f *filling) serve() {
	f.Helper()
	p, err := launchWith([]string{"TMPDIR=" + f.disk}, "serve", "--data", f.dir, "--listen", "127.0.0.1:0")
	if err != nil {
		f.Fatal(err)
	}
	f.p = p
	if f.home, err = p.awaitURL(startWithin); err != nil {
		f.Fatal(err)
	}
}

// wait waits for something to become so, with a program that lives.
func (f *filling) wait(what string, within time.Duration, is func() bool) time.Duration {
	f.Helper()
	began := time.Now()
	for ; !is(); time.Sleep(10 * time.Millisecond) {
		select {
		case <-f.p.gone:
			f.Fatalf("waiting until %s the program ended: %v\n%s", what, f.p.how, &f.p.logged)
		default:
		}
		if time.Since(began) > within {
			f.Fatalf("not in %v: %s\n%s", within, what, &f.p.logged)
		}
	}
	return time.Since(began)
}

func (f *filling) more(n int) func() bool {
	before := f.acknowledged()
	return func() bool { return f.acknowledged() >= before+n }
}

func (f *filling) refused() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	n := 0
	for _, times := range f.sorry {
		n += times
	}
	return n
}

// round fills the disk while writers write, does more to it, and makes room again.
func (f *filling) round(what string, worse func()) {
	f.Helper()
	halt := f.atWork(f.writers, f.home)
	defer halt()
	f.wait("some is written", roomWithin, f.more(20))
	stop, counted := make(chan struct{}), make(chan crowdCount)
	go crowd(f.home, stop, counted)
	out := ballast(f.T, f.disk)
	before := f.refused()
	f.wait("writes are refused", roomWithin, func() bool { return f.refused() > before+50 })
	worse()
	out()
	took := f.wait("writes are taken again", roomWithin, f.more(50))
	halt()
	close(stop)
	seen := <-counted
	for _, wrong := range seen.wrong {
		f.Errorf("%s: %s", what, wrong)
	}
	f.Logf("%s: %d pages were shown, %d said sorry; with room again 50 things were written after %v", what, seen.fine, seen.sorry, took.Round(time.Millisecond))
	f.hold(f.T, f.home, f.dir)
}

// bringDown has PostgreSQL begin new segments of its log, for which there is no room, until
// it goes down over it, and waits until another failure would have been given up.
func (f *filling) bringDown() {
	f.Helper()
	down := func() int { return strings.Count(f.p.logged.String(), "PostgreSQL is down") }
	f.wait("PostgreSQL is down, and was tried as often as is enough to give another failure up", 2*time.Minute, func() bool {
		f.switchLog()
		return down() >= 3
	})
	mustGet(f.T, f.home+"/healthz", http.StatusOK)
	mustGet(f.T, f.home+"/readyz", http.StatusServiceUnavailable)
}

// switchLog asks for a new segment, as PostgreSQL's own superuser; where it is down it
// cannot be asked.
func (f *filling) switchLog() {
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, "postgres://postgres@/levelpeg?sslmode=disable&host="+filepath.Join(f.dir, "run"))
	if err != nil {
		return
	}
	defer conn.Close(ctx)
	_, _ = conn.Exec(ctx, "select pg_switch_wal()") // it fails where there is no room, which is what is waited for
}

// startedFull stops the program on a full disk, starts it there, and starts it with room.
func (f *filling) startedFull() {
	f.Helper()
	out := ballast(f.T, f.disk)
	if err := f.p.stop(); err != nil {
		f.Error(err)
	}
	rest := ballast(f.T, f.disk)
	for _, dir := range []string{f.dir, filepath.Join(f.disk, "another")} {
		code, _, log := once(f.T, nil, "serve", "--data", dir, "--listen", "127.0.0.1:0")
		sentenceAbout(f.T, code, log, "no room on the disk", dir)
	}
	out()
	rest()
	f.serve()
}
