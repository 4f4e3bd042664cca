package hydro

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func readAt(hoursOn, levelM float64) Reading {
	return Reading{noon.Add(time.Duration(hoursOn * float64(time.Hour))), levelM}
}

func levelAt(t *testing.T, rs []Reading, hoursOn float64) Figure {
	t.Helper()
	f, err := LevelAt(rs, readAt(hoursOn, 0).At)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestLevelBetweenReadings against gonum's interp.FritschButland, another program's
// version of the same method, which like ours takes the ends one-sidedly.
func TestLevelBetweenReadings(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1984))
	for range 300 {
		var xs, ys []float64
		var rs []Reading
		x, y := 0.0, 1.0
		for range 3 + rng.IntN(8) {
			x, y = x+0.25+12*rng.Float64(), y+0.2*rng.NormFloat64()
			xs, ys, rs = append(xs, x), append(ys, y), append(rs, readAt(x, y))
		}
		rng.Shuffle(len(rs), func(i, j int) { rs[i], rs[j] = rs[j], rs[i] })
		var other interp.FritschButland
		if err := other.Fit(xs, ys); err != nil {
			t.Fatal(err)
		}
		for i := 1; i+2 < len(xs); i++ { // its ends are made otherwise
			x := xs[i] + (xs[i+1]-xs[i])*rng.Float64()
			f, err := LevelAt(rs, readAt(x, 0).At)
			if gap := (*GapError)(nil); errors.As(err, &gap) {
				continue
			}
			if err != nil || math.Abs(f.Mid-other.Predict(x)) > 1e-6 {
				t.Fatalf("%v at %v h: %v, %v; gonum says %v", ys, x, f.Mid, err, other.Predict(x))
			}
		}
	}
}

func TestLevelNeverPassesItsReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rs []Reading
		x := 0.0
		for range rapid.IntRange(2, 9).Draw(t, "n") {
			x += rapid.Float64Range(0.1, 40).Draw(t, "hours")
			rs = append(rs, readAt(x, rapid.Float64Range(-2, 5).Draw(t, "level")))
		}
		i := rapid.IntRange(0, len(rs)-2).Draw(t, "between")
		a, b := rs[i], rs[i+1]
		at := a.At.Add(time.Duration(rapid.Float64Range(0, 1).Draw(t, "share") * float64(b.At.Sub(a.At))))
		f, err := LevelAt(rs, at)
		if gap := (*GapError)(nil); errors.As(err, &gap) {
			if !gap.From.Equal(a.At) || !gap.To.Equal(b.At) {
				t.Fatalf("the gap is said to be %v", gap)
			}
			return
		}
		low, high := min(a.LevelM, b.LevelM), max(a.LevelM, b.LevelM)
		if err != nil || f.Mid < low || f.Mid > high || !(f.Low <= f.Mid && f.Mid <= f.High) {
			t.Fatalf("%v, %v between %v and %v", f, err, low, high)
		}
	})
}

func TestLevelAtAndBesideReadings(t *testing.T) {
	day := []Reading{readAt(0, 1.00), readAt(24, 1.10), readAt(48, 1.08)}
	near(t, "at a reading", levelAt(t, day, 24).Mid, 1.10, 1e-12)
	if narrow, wide := levelAt(t, day, 25), levelAt(t, day, 36); wide.High-wide.Low < 2*(narrow.High-narrow.Low) {
		t.Errorf("an hour from a reading %v, twelve hours %v", narrow, wide)
	}
	near(t, "of two at one time the later in the list", levelAt(t, append(day, readAt(24, 1.20)), 24).Mid, 1.20, 1e-12)
	near(t, "two readings, half way", levelAt(t, day[:2], 12).Mid, 1.05, 1e-9)
	for _, x := range []float64{-0.01, 48.01} {
		if f, err := LevelAt(day, readAt(x, 0).At); !errors.Is(err, ErrNoLevels) {
			t.Errorf("%v h: %v, %v, want ErrNoLevels", x, f, err)
		}
	}
	if _, err := LevelAt(nil, noon); !errors.Is(err, ErrNoLevels) {
		t.Errorf("no readings: %v", err)
	}
	near(t, "one reading", levelAt(t, day[:1], 0).Mid, 1.00, 1e-12)
	var gap *GapError
	if _, err := LevelAt([]Reading{readAt(0, 1), readAt(11*24, 1)}, readAt(24, 0).At); !errors.As(err, &gap) {
		t.Errorf("eleven days: %v, want a gap", err)
	}
	if _, err := LevelAt([]Reading{readAt(0, 1), readAt(48, 6)}, readAt(24, 0).At); !errors.As(err, &gap) {
		t.Errorf("five metres up in two days: %v, want a gap", err)
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), 10_001} {
		if _, err := LevelAt([]Reading{readAt(0, bad), readAt(1, 1)}, noon); err == nil || !strings.Contains(err.Error(), "reading 1 of 2: level") {
			t.Errorf("%v: %v, want an error that names the level", bad, err)
		}
	}
}

const footM = 0.3048

// flood reads the US Geological Survey's 15-minute stage, station 08068500, November
// 2011: a month with one flood.
func flood(t *testing.T) []Reading {
	t.Helper()
	var rs []Reading
	for _, row := range openData(t, "usgs_08068500_iv_2011-11.csv") {
		at, err := time.Parse("2006-01-02T15:04:05.000-07:00", row[0])
		if err != nil {
			t.Fatal(err)
		}
		rs = append(rs, Reading{at, number(t, row[1]) * footM})
	}
	return rs
}

// TestOnceADay leaves one reading a day of a real flood, and sees how often the range
// holds what was read between. One flood is one flood: no share is asked for.
func TestOnceADay(t *testing.T) {
	all := flood(t)
	var daily []Reading
	for i := 0; i < len(all); i += 96 {
		daily = append(daily, all[i])
	}
	var n, held int
	var off float64
	for _, r := range all {
		f, err := LevelAt(daily, r.At)
		if err != nil {
			continue
		}
		n++
		off += math.Abs(f.Mid - r.LevelM)
		if f.Low <= r.LevelM && r.LevelM <= f.High {
			held++
		}
	}
	t.Logf("USGS 08068500, one reading a day of %d: %.3f m off on average, the 80 %% range held %.0f %% of %d", len(all), off/float64(n), 100*float64(held)/float64(n), n)
	if n < len(all)*9/10 {
		t.Errorf("only %d of %d answered", n, len(all))
	}
}
