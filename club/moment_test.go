package club_test

import (
	"context"
	"errors"
	"math"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/hydro"
)

// river reads a level every hour, up to twenty minutes before autumn.
func river(levelM func(hoursAgo float64) float64, days int) club.River {
	var r club.River
	for h := days * 24; h >= 0; h-- {
		r.Readings = append(r.Readings, club.Reading{At: autumn.Add(-20*time.Minute - time.Duration(h)*time.Hour), DatumM: levelM(float64(h))})
	}
	return r
}

func steady(float64) float64 { return 1.20 }

func TestSheetAtAnHourThatIsPast(t *testing.T) {
	fell := func(hoursAgo float64) float64 { return 1.20 + 0.01*hoursAgo }
	at := autumn.Add(-10*time.Hour - 50*time.Minute) // half way between two readings
	s := sheet(t, view(), club.Ask{At: at, River: river(fell, 3)})
	// A straight line, so half way between 1.30 and 1.31; and the bed is at −0.60. Derived.
	if !s.Level.Known || s.Level.Coming || s.Level.Asked || math.Abs(s.Level.LevelM-1.305) > 1e-6 {
		t.Errorf("level %+v", s.Level)
	}
	if r := s.Runs[0]; math.Abs(r.Depth.Mid-1.905) > 0.02 || len(s.Answer.Rigs) == 0 {
		t.Errorf("depth %+v, %d rigs", r.Depth, len(s.Answer.Rigs))
	}
}

// TestSheetAtAnHourToCome: the level's range is in the depth's and the pace's.
func TestSheetAtAnHourToCome(t *testing.T) {
	now := sheet(t, view(), club.Ask{})
	s := sheet(t, view(), club.Ask{At: autumn.Add(24 * time.Hour), River: river(steady, 3)})
	l := s.Level
	if !l.Known || !l.Coming || math.Abs(l.LevelM-1.20) > 0.01 || l.Range.High-l.Range.Low < 0.05 {
		t.Fatalf("level %+v", l)
	}
	wider := func(what string, then, now, level hydro.Figure) {
		t.Helper()
		side := math.Hypot(now.High-now.Mid, level.High-level.Mid)
		if what == "depth" && math.Abs((then.High-then.Mid)-side) > 0.02 { // a slope of about 1
			t.Errorf("the depth's upper side is %.3f, that of now and of the level together %.3f", then.High-then.Mid, side)
		}
		if then.High-then.Low <= now.High-now.Low {
			t.Errorf("%s %+v is no wider than now's %+v", what, then, now)
		}
	}
	wider("depth", s.Runs[0].Depth, now.Runs[0].Depth, l.Range)
	wider("pace", s.Runs[0].Pace, now.Runs[0].Pace, l.Range)
	if b, was := s.Runs[0].Bed, now.Runs[0].Bed; math.Abs((b.High-b.Low)-(was.High-was.Low)) > 0.005 {
		t.Errorf("the bed is as sure as it was: %+v, now %+v", b, was)
	}
	if len(s.Answer.Rigs) == 0 {
		t.Error("no rig")
	}
}

func TestSheetOfAnHourNobodyKnows(t *testing.T) {
	gap := river(steady, 2)
	gap.Readings = append([]club.Reading{{At: autumn.AddDate(0, -2, 0), DatumM: 1}}, gap.Readings...)
	for name, c := range map[string]struct {
		at    time.Time
		river club.River
		why   string
	}{
		"in a gap":          {autumn.AddDate(0, -1, 0), gap, "Nobody read the board from Mon 18 August 2025, 11:00 to Thu 16 October 2025, 10:40"},
		"before the first":  {autumn.AddDate(0, 0, -9), river(steady, 2), "Nobody had read the board by then"},
		"nothing read":      {autumn.Add(time.Hour), club.River{}, "Nobody has read the board lately"},
		"too far":           {autumn.AddDate(0, 1, 0), river(steady, 2), "too far ahead"},
		"long without word": {autumn.AddDate(0, 0, 15), river(steady, 2), "too far ahead"},
	} {
		s := sheet(t, view(), club.Ask{At: c.at, River: c.river})
		if s.Level.Known || !strings.Contains(s.Level.Why, c.why) {
			t.Errorf("%s: %+v", name, s.Level)
		}
		if len(s.Answer.Rigs) != 0 || s.Runs[0].Plumbed || s.Runs[0].Bed.Mid == 0 {
			t.Errorf("%s: %d rigs, run %+v", name, len(s.Answer.Rigs), s.Runs[0])
		}
	}
	for name, at := range map[string]time.Time{"far back": autumn.AddDate(-201, 0, 0), "far ahead": autumn.AddDate(3, 0, 0)} {
		if err := club.CheckMoment(at, autumn); club.KindOf(err) != club.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := club.CheckMoment(autumn.AddDate(1, 0, 0), autumn); err != nil {
		t.Error(err)
	}
}

// TestStopsAtAnHour: what forbids fishing is asked of the hour, not of now.
func TestStopsAtAnHour(t *testing.T) {
	saturday := autumn.Add(26 * time.Hour)
	v := view()
	v.Closures = []club.Closure{{FromLabel: "14", ToLabel: "14", From: autumn.Add(20 * time.Hour), To: autumn.Add(30 * time.Hour), Reason: "work"}}
	if s := sheet(t, v, club.Ask{}); len(s.Stops) != 0 || len(s.Cares) == 0 || s.Cares[0].Head != "Closing soon" {
		t.Errorf("now: stops %v, cares %v", s.Stops, s.Cares)
	}
	if s := sheet(t, v, club.Ask{At: saturday, River: river(steady, 3)}); len(s.Stops) != 1 || s.Stops[0].Kind != club.StopClosed || len(s.Answer.Rigs) != 0 {
		t.Errorf("then: stops %v, %d rigs", s.Stops, len(s.Answer.Rigs))
	}
	if s := sheet(t, v, club.Ask{At: autumn.Add(40 * time.Hour), River: river(steady, 3)}); len(s.Stops) != 0 {
		t.Errorf("after: stops %v", s.Stops)
	}
	v = view()
	v.Rules = []club.LevelRule{{AboveM: ptr(1.22), Effect: club.NoFishing, Text: "over"}}
	s := sheet(t, v, club.Ask{At: saturday, River: river(steady, 3)})
	if len(s.Stops) != 0 || len(s.Cares) == 0 || s.Cares[0].Head != "It may be stopped by then" {
		t.Errorf("a rule within the range: stops %v, cares %v", s.Stops, s.Cares)
	}
}

func TestHistoriesAreMadeOnce(t *testing.T) {
	h := club.NewHistories()
	var reads atomic.Int32
	var is atomic.Int64
	read := func(_ context.Context, from, to time.Time) (club.HourMeans, error) {
		if reads.Add(1); !to.Equal(to.Truncate(time.Hour)) || to.Sub(from) != club.HistoryBack {
			t.Errorf("read from %v to %v", from, to)
		}
		return club.HourMeans{Hours: []club.HourMean{{Hour: autumn, DatumM: 1}}, Past: is.Load()}, nil
	}
	var wait sync.WaitGroup
	for range 40 {
		wait.Go(func() {
			if _, err := h.Of(context.Background(), "board", 0, autumn, read); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	if n := reads.Load(); n != 1 {
		t.Errorf("read %d times, want once", n)
	}
	hour := autumn.Truncate(time.Hour)
	for i, c := range []struct {
		gauge string
		past  int64 // that the asker saw
		is    int64 // by the time of the reading
		at    time.Time
		want  int32
	}{
		{"other", 0, 0, autumn, 2},
		{"board", 0, 0, hour.Add(59 * time.Minute), 2},
		{"board", 0, 0, hour.Add(time.Hour), 3},
		{"board", 1, 1, hour.Add(time.Hour), 4},
		{"board", 1, 1, hour.Add(time.Hour), 4},
		{"board", 2, 3, hour.Add(time.Hour), 5}, // it was put right again meanwhile
		{"board", 3, 3, hour.Add(time.Hour), 5},
		{"board", 4, 3, hour.Add(time.Hour), 6}, // read where that has not come yet
		{"board", 4, 4, hour.Add(time.Hour), 7},
	} {
		is.Store(c.is)
		if _, err := h.Of(context.Background(), c.gauge, c.past, c.at, read); err != nil || reads.Load() != c.want {
			t.Errorf("%d: %s at %v: read %d times, want %d, %v", i, c.gauge, c.at, reads.Load(), c.want, err)
		}
	}
	failed := errors.New("no")
	if _, err := h.Of(context.Background(), "third", 0, autumn, func(context.Context, time.Time, time.Time) (club.HourMeans, error) { return club.HourMeans{}, failed }); !errors.Is(err, failed) {
		t.Error(err)
	}
	if _, err := h.Of(context.Background(), "third", 0, autumn, read); err != nil {
		t.Error("after a failure it is not tried again:", err)
	}
}

// TestHistoriesOfManyGauges: a federation's are not all kept; the ones last asked for are.
func TestHistoriesOfManyGauges(t *testing.T) {
	h := club.NewHistories()
	reads := 0
	read := func(context.Context, time.Time, time.Time) (club.HourMeans, error) {
		reads++
		return club.HourMeans{Hours: []club.HourMean{{Hour: autumn, DatumM: 1}}}, nil
	}
	of := func(gauge string, want int) {
		t.Helper()
		if _, err := h.Of(context.Background(), gauge, 0, autumn, read); err != nil || reads != want {
			t.Errorf("%s: read %d times, want %d, %v", gauge, reads, want, err)
		}
	}
	of("often", 1)
	for i := range 200 {
		of(strconv.Itoa(i), i+2)
		of("often", i+2)
	}
	of("199", 201)
	of("0", 202)
}
