package under

import (
	"math"
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"
)

// Check values: derived from the definition of the nearest-rank percentile.
func TestPercentileIsTheNearestRank(t *testing.T) {
	five := Took{50, 15, 40, 20, 35}
	for _, c := range []struct {
		share float64
		want  time.Duration
	}{{0, 15}, {0.05, 15}, {0.30, 20}, {0.40, 20}, {0.50, 35}, {0.99, 50}, {1, 50}} {
		if got := five.Percentile(c.share); got != c.want {
			t.Errorf("of %v the %g is %d, want %d", five, c.share, got, c.want)
		}
		if got := five.Percentiles(1, c.share); got[1] != c.want {
			t.Errorf("of %v the %g among several is %d, want %d", five, c.share, got[1], c.want)
		}
	}
	if five[0] != 50 {
		t.Errorf("the times were put in order where they lie: %v", five)
	}
	if got := (Took{}).Percentile(0.5); got != 0 {
		t.Errorf("of none the middle is %d", got)
	}
	hundred := Took{}
	for i := range 100 {
		hundred = append(hundred, time.Duration(i+1))
	}
	if got := hundred.Percentile(0.99); got != 99 {
		t.Errorf("of 1 to 100 the 0.99 is %d, want 99", got)
	}
}

// Check value: derived; y = 3 + 120·x has the slope 120.
func TestSlopeOfALine(t *testing.T) {
	var at []time.Duration
	var y []float64
	for i := range 40 {
		at = append(at, time.Duration(i)*time.Second)
		y = append(y, 3+2*float64(i))
	}
	if got := Slope(at, y); math.Abs(got-120) > 1e-9 {
		t.Errorf("slope %v a minute, want 120", got)
	}
	if got := Slope(at[:1], y[:1]); got != 0 {
		t.Errorf("slope of one %v", got)
	}
}

// A process that has worked has taken time and memory, and so have its children.
func TestUsageOfAProcess(t *testing.T) {
	child := exec.Command("sleep", "30")
	if err := child.Start(); err != nil {
		t.Skipf("SKIPPED: %v", err)
	}
	defer func() { _ = child.Process.Kill(); _ = child.Wait() }()
	before, err := ProcessorOf(os.Getpid())
	if err != nil {
		t.Skipf("SKIPPED, no /proc: %v", err)
	}
	for want, x := own(t)+100*time.Millisecond, 1.0; own(t) < want; {
		x = math.Sin(x)
	}
	after, err := ProcessorOf(os.Getpid())
	if err != nil {
		t.Fatal(err)
	}
	if took := after.Since(before).Server; took < 80*time.Millisecond || took > 200*time.Millisecond {
		t.Errorf("a tenth of a second of work took %v", took)
	}
	m, err := MemoryOf(os.Getpid())
	if err != nil {
		t.Fatal(err)
	}
	if m.ServerKB < 1000 || m.DatabaseKB <= 0 || m.KB() != m.ServerKB+m.DatabaseKB {
		t.Errorf("memory %+v", m)
	}
}

// own is the processor time of this process, from another source.
func own(t *testing.T) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
