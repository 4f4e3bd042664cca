package hydro

import (
	"math"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestHistoryTakesWhatComes(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(-1), -10_001} {
		_, err := NewHistory([]Reading{readAt(0, 1), readAt(1, bad)})
		if err == nil || !strings.Contains(err.Error(), "reading 2 of 2: level") {
			t.Errorf("%v: %v, want an error that names the level", bad, err)
		}
	}
	if _, err := NewHistory([]Reading{{LevelM: 1}}); err == nil {
		t.Error("a level with no time is taken")
	}
	h, err := NewHistory([]Reading{readAt(0.2, 2), readAt(0, 1), readAt(41, 4), readAt(10, 2.5)})
	if err != nil {
		t.Fatal(err)
	}
	if h.level[0] != 1.5 || math.Abs(float64(h.level[5])-2) > 1e-6 || h.level[10] != 2.5 || h.level[20] == h.level[20] {
		t.Errorf("an hour's mean, a line over ten hours and nothing over thirty: %v", h.level)
	}
	far := []Reading{{time.Date(1800, 1, 1, 0, 0, 0, 0, time.UTC), 1}, readAt(0, 1), readAt(1, 1)}
	if h, err := NewHistory(far); err != nil || len(h.level) != historyMost+1 {
		t.Errorf("two centuries: %d hours, %v", len(h.level), err)
	}
	if d := yearDayOf(-1); d < 365 || d >= yearDays {
		t.Errorf("the hour before 1970 is day %v of the year", d)
	}
}

// TestHistoryOfManyGoroutines is for the race detector.
func TestHistoryOfManyGoroutines(t *testing.T) {
	all := inventedRivers()[1].readings(61)
	h, err := NewHistory(hourly(all[:90*96]))
	if err != nil {
		t.Fatal(err)
	}
	recent := all[87*96 : 90*96]
	want, err := h.Forecast(recent, recent[len(recent)-1].At.Add(20*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			if f, err := h.Forecast(recent, recent[len(recent)-1].At.Add(20*time.Hour)); f != want || err != nil {
				t.Errorf("%v, %v, want %v", f, err, want)
			}
		})
	}
	wg.Wait()
}

// TestHistoryIsSmall: a gauge's three years stay under 2 MB.
func TestHistoryIsSmall(t *testing.T) {
	hours := fifteenYears()[12*365*24:]
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	h, err := NewHistory(hours)
	if err != nil {
		t.Fatal(err)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	kept := float64(after.HeapAlloc) - float64(before.HeapAlloc)
	t.Logf("%d hours: %.2f MB kept", len(h.level), kept/1e6)
	if kept > 2e6 {
		t.Errorf("%.2f MB are kept", kept/1e6)
	}
	runtime.KeepAlive(hours)
}
