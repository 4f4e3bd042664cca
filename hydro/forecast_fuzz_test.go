package hydro

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func FuzzForecast(f *testing.F) {
	f.Add(1.0, 1.1, 1.2, 3.0, 24.0)
	f.Add(1.2, 1.0, 0.8, 0.0, 300.0)
	f.Add(math.Inf(1), 0.0, -10_000.0, 1e-9, 1e9)
	f.Add(9_999.0, -10_000.0, 10_000.0, 1e-9, 336.0)
	past := make([]Reading, 2000)
	for i := range past {
		past[i] = readAt(float64(i-2500), 1+0.4*math.Sin(float64(i)/40)+0.3*math.Sin(float64(i)/171))
	}
	h, err := NewHistory(past)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, a, b, c, step, ahead float64) {
		if !(math.Abs(step) < 1e5) || !(math.Abs(ahead) < 1e5) {
			return // no time.Duration is so long
		}
		rs := []Reading{readAt(-2*step, a), readAt(-step, b), readAt(0, c)}
		for _, hist := range []*History{nil, {}, h} {
			for _, at := range []float64{ahead, -ahead, ahead / 2} {
				holds(t, rs)(hist.Forecast(rs, readAt(at, 0).At))
			}
			n, err := hist.LevelNow(rs, readAt(ahead, 0).At)
			holds(t, rs)(n.Figure, err)
			if _, err := hist.JudgeLevel(rs, readAt(ahead, b)); err != nil {
				holds(t, rs)(Figure{}, err)
			}
		}
		own, err := NewHistory(rs)
		if err != nil {
			holds(t, rs)(Figure{}, err)
			return
		}
		holds(t, rs)(own.Forecast(rs, readAt(ahead, 0).At))
	})
}

// holds fails for a figure out of order (or NaN) and for an error that does not say what is
// wrong.
func holds(t *testing.T, rs []Reading) func(Figure, error) {
	return func(f Figure, err error) {
		t.Helper()
		var gap *GapError
		switch {
		case err == nil && !(f.Low <= f.Mid && f.Mid <= f.High && f.High-f.Low < 1e6):
			t.Fatalf("%v: %v", rs, f)
		case err == nil, errors.Is(err, ErrNoLevels), errors.Is(err, ErrTooFar), errors.As(err, &gap):
		case !strings.Contains(err.Error(), "level "):
			t.Fatalf("%v: %v", rs, err)
		}
	}
}

func FuzzLevelAt(f *testing.F) {
	f.Add(1.0, 1.1, 1.2, 3.0, -4.0)
	f.Add(1.0, math.NaN(), 1.2, 0.0, 0.0)
	f.Add(-1e4, 1e4, 0.0, 1e-12, -1e-12)
	f.Fuzz(func(t *testing.T, a, b, c, step, at float64) {
		if !(math.Abs(step) < 1e5) || !(math.Abs(at) < 1e5) {
			return
		}
		rs := []Reading{readAt(0, a), readAt(-2*step, b), readAt(-step, c)}
		holds(t, rs)(LevelAt(rs, readAt(at, 0).At))
	})
}
