package secret

import (
	"bytes"
	"context"
	"encoding/hex"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
)

// TestDerive checks the sum itself. Source of the value: from memory, the reference
// implementation's test vector for argon2id, v=19, t=2, m=64 MiB, p=1, "password",
// "somesalt".
func TestDerive(t *testing.T) {
	got := hex.EncodeToString(derive("password", []byte("somesalt"), Params{MemoryKiB: 65536, Passes: 2, Lanes: 1}, 32))
	if want := "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7"; got != want {
		t.Errorf("argon2id gives %s, want %s", got, want)
	}
}

func TestHashAndCheck(t *testing.T) {
	ctx := context.Background()
	a, err := Hash(ctx, "three grey swans")
	b, err2 := Hash(ctx, "three grey swans")
	if err != nil || err2 != nil || a == b || !strings.HasPrefix(a, "$argon2id$v=19$m=19456,t=2,p=1$") {
		t.Fatalf("%s and %s, %v, %v", a, b, err, err2)
	}
	for _, c := range []struct {
		hash, password string
		want           bool
	}{{a, "three grey swans", true}, {b, "three grey swans", true}, {a, "three grey swan", false}, {a, "", false}, {"", "three grey swans", false}, {"", "", false}} {
		if got, err := Check(ctx, c.hash, c.password); got != c.want || err != nil {
			t.Errorf("%q with %q: %v, %v", c.password, c.hash, got, err)
		}
	}
	for _, bad := range []string{"x", "$argon2id$", "$argon2i$v=19$m=19456,t=2,p=1$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAA",
		strings.Replace(a, "m=19456", "m=99999999", 1), strings.Replace(a, "t=2", "t=0", 1), a[:len(a)-30] + "$", strings.Replace(a, "v=19", "v=16", 1)} {
		if ok, err := Check(ctx, bad, "three grey swans"); ok || err == nil {
			t.Errorf("%q: %v, %v", bad, ok, err)
		}
	}
}

// TestNobodyCostsTheSame: a name that nobody has is not told from one by the time it
// takes.
func TestNobodyCostsTheSame(t *testing.T) {
	ctx := context.Background()
	hash, err := Hash(ctx, "three grey swans")
	if err != nil {
		t.Fatal(err)
	}
	took := func(hash string) time.Duration {
		best := time.Hour
		for range 5 {
			began := time.Now()
			if _, err := Check(ctx, hash, "wrong"); err != nil {
				t.Fatal(err)
			}
			best = min(best, time.Since(began))
		}
		return best
	}
	some, none := took(hash), took("")
	t.Logf("somebody %v, nobody %v", some, none)
	if ratio := float64(none) / float64(some); ratio < 0.5 || ratio > 2 {
		t.Errorf("nobody's check takes %v, somebody's %v", none, some)
	}
}

// TestABurstTakesTurns: forty at once take no more memory than one.
func TestABurstTakesTurns(t *testing.T) {
	runtime.GC()
	var before, now runtime.MemStats
	runtime.ReadMemStats(&before)
	var all sync.WaitGroup
	peak := uint64(0)
	for range 40 {
		all.Go(func() { _, _ = Check(context.Background(), "", "wrong") })
	}
	done := make(chan struct{})
	go func() { all.Wait(); close(done) }()
	for running := true; running; {
		select {
		case <-done:
			running = false
		case <-time.After(5 * time.Millisecond):
			runtime.ReadMemStats(&now)
			peak = max(peak, now.HeapAlloc-min(before.HeapAlloc, now.HeapAlloc))
		}
	}
	t.Logf("peak %d MiB", peak>>20)
	if peak > 128<<20 { // 40 at a time would take 760 MiB; what is dead and not collected yet counts here
		t.Errorf("the heap grew by %d MiB", peak>>20)
	}
}

func TestWaitingEnds(t *testing.T) {
	one <- struct{}{}
	defer func() { <-one }()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Check(ctx, "", "x"); club.KindOf(err) != club.Unavailable {
		t.Errorf("%v", err)
	}
	if _, err := Hash(ctx, "x"); club.KindOf(err) != club.Unavailable {
		t.Errorf("%v", err)
	}
}

func TestTokens(t *testing.T) {
	a, hash := NewToken()
	b, _ := NewToken()
	if a == b || len(a) != 43 || len(hash) != 32 || !bytes.Equal(HashToken(a), hash) {
		t.Errorf("%q, %q, %d bytes", a, b, len(hash))
	}
}
