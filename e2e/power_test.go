package e2e

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"levelpeg/e2e/forgetful"
)

// forgetfulDisk is a folder of the test's own on a disk that forgets what was not flushed to
// it when its power is lost.
func forgetfulDisk(t *testing.T) (*forgetful.Disk, string) {
	t.Helper()
	needPostgres(t)
	dir := diskFolder(t)
	disk, err := forgetful.Mount(filepath.Dir(dir), false)
	if err != nil {
		t.Skipf("SKIPPED, not tested: no file system of our own can be mounted here: %v", err)
	}
	t.Cleanup(func() {
		if err := disk.Unmount(); err != nil {
			t.Error(err)
		}
	})
	return disk, dir
}

// powerRounds is how often power is lost while it serves; at other times, a quarter of that.
func powerRounds() int {
	if os.Getenv("LEVELPEG_LONG") == "1" {
		return 80
	}
	return 4
}

// lucks are how much of what was never flushed is on the disk all the same, round by round:
// nothing, most, all of it.
var lucks = []float64{0, 0.5, 0.9, 1}

// losePower stops whatever works in a folder at one moment, as a machine does that loses its
// power, and gives back what its disk then holds.
func losePower(t *testing.T, disk *forgetful.Disk, p *program, dir string, random *rand.Rand, luck float64) {
	t.Helper()
	_ = p.cmd.Process.Signal(syscall.SIGSTOP) // nobody is told anything any more; fails only for one that has ended
	working := residents(dir)
	for _, pid := range working {
		_ = syscall.Kill(pid, syscall.SIGSTOP)
	}
	disk.PowerOff()
	for _, pid := range append(working, residents(dir)...) {
		_ = syscall.Kill(pid, syscall.SIGKILL)
	}
	p.kill()
	for _, pid := range working {
		awaitGone(t, pid)
	}
	if err := disk.PowerOn(random, luck); err != nil {
		t.Fatal(err)
	}
}

// awaitGone waits until a killed process has none of its memory any more.
func awaitGone(t *testing.T, pid int) {
	t.Helper()
	for deadline := time.Now().Add(10 * time.Second); ; time.Sleep(time.Millisecond) {
		if _, err := os.Readlink(fmt.Sprintf("/proc/%d/exe", pid)); err != nil {
			return
		}
		if time.Now().After(deadline) {
			t.Fatalf("process %d is still there 10 s after it was killed", pid)
		}
	}
}

// Power lost at any moment while several write takes nothing that was acknowledged, on a disk
// that keeps of what was not flushed nothing, all, or any part, with pages torn. The next start
// is unaided.
func TestPowerLost(t *testing.T) {
	t.Parallel()
	disk, dir := forgetfulDisk(t)
	if err := demoFolder(dir); err != nil {
		t.Fatal(err)
	}
	disk.Settle()
	k := &killing{T: t, dir: dir, random: rand.New(rand.NewPCG(killSeed, 3)), ledger: newLedger(), firstPages: map[string][]time.Duration{}}
	t.Cleanup(func() { k.p.kill() })
	k.start("")
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	k.writers = writers(t, dir, killSeed+3, writing)
	k.hold(t, k.home, dir)
	for round := range powerRounds() {
		luck, before := lucks[round%len(lucks)], disk.Flushed()
		halt := k.atWork(k.writers, k.home)
		after := k.moment()
		losePower(t, disk, k.p, dir, k.random, luck)
		halt()
		k.start("power")
		k.hold(t, k.home, dir)
		t.Logf("round %d: power lost after %d were acknowledged and %d flushes, %v of the rest kept; the first page after %v", round,
			after, disk.Flushed()-before, luck, k.firstPages["power"][round].Round(time.Millisecond))
	}
	if err := whole(k.home); err != nil {
		t.Error(err)
	}
	if err := k.p.stop(); err != nil {
		t.Error(err)
	}
	k.say(t)
}

// Power lost at any moment of a first start: the next one makes the club, unaided.
func TestPowerLostWhileItStartsForTheFirstTime(t *testing.T) {
	t.Parallel()
	first, err := made()
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(killSeed, 4))
	rounds := powerRounds() / 4
	for round, moment := range random.Perm(rounds) {
		disk, dir := forgetfulDisk(t)
		after := time.Duration((float64(moment) + random.Float64()) / float64(rounds) * 1.1 * float64(first.took))
		p, err := launch("serve", "--demo", "--data", dir, "--listen", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(after)
		losePower(t, disk, p, dir, random, lucks[round%len(lucks)])
		next, home := serve(t, "--demo", "--data", dir)
		if err := whole(home); err != nil {
			t.Errorf("power lost after %v: %v\n%s", after, err, &next.logged)
		}
		if err := next.stop(); err != nil {
			t.Error(err)
		}
		t.Logf("power lost after %v", after.Round(time.Millisecond))
	}
}

// The tests above can fail: with a PostgreSQL that waits for no flush, what was acknowledged
// is gone.
func TestPowerLostWithoutFlushing(t *testing.T) {
	t.Parallel()
	disk, dir := forgetfulDisk(t)
	if err := demoFolder(dir); err != nil {
		t.Fatal(err)
	}
	settings := filepath.Join(dir, "data", "postgresql.auto.conf")
	if err := os.WriteFile(settings, []byte("fsync = off\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	disk.Settle()
	k := &killing{T: t, dir: dir, random: rand.New(rand.NewPCG(killSeed, 5)), ledger: newLedger(), firstPages: map[string][]time.Duration{}}
	t.Cleanup(func() { k.p.kill() })
	k.start("")
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	disk.Settle()
	k.writers = writers(t, dir, killSeed+5, writing)
	halt := k.atWork(k.writers, k.home)
	k.moment()
	losePower(t, disk, k.p, dir, k.random, 0)
	halt()
	k.start("power")
	conn := inside(t, dir)
	defer conn.Close(context.Background())
	book, lost := marksIn(t, conn), 0
	for mark := range k.taken {
		if book[mark] == 0 {
			lost++
		}
	}
	if lost == 0 {
		t.Errorf("all %d that were acknowledged are there without a flush: the disk forgets nothing", len(k.taken))
	}
	t.Logf("%d of %d that were acknowledged are lost", lost, len(k.taken))
	if err := k.p.stop(); err != nil {
		t.Error(err)
	}
}
