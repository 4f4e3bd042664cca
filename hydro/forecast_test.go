package hydro

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

// hindcasts are what a forecast made at each hour of a series would have been, with
// nothing known but what came before.
type hindcast struct {
	f         Figure
	now, then float64
	recession bool // set beforehand: lower than six hours ago, and above the median so far
}

// hindcasts begins after warm readings and makes one every step readings.
func hindcasts(t *testing.T, all []Reading, warm, step int, ahead time.Duration) []hindcast {
	t.Helper()
	var out []hindcast
	for i := warm; i < len(all); i += step {
		at := all[i].At.Add(ahead)
		j, found := slices.BinarySearchFunc(all, at, func(r Reading, t time.Time) int { return r.At.Compare(t) })
		if !found {
			continue
		}
		h, err := NewHistory(hourly(all[:i+1]))
		if err != nil {
			t.Fatal(err)
		}
		f, err := h.Forecast(all[max(0, i-3*96):i+1], at)
		if err != nil {
			t.Fatal(err)
		}
		sixBefore, err := LevelAt(all[:i+1], all[i].At.Add(-6*time.Hour))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, hindcast{f, all[i].LevelM, all[j].LevelM,
			all[i].LevelM < sixBefore.Mid && all[i].LevelM > median(all[:i+1])})
	}
	return out
}

func median(rs []Reading) float64 {
	v := make([]float64, len(rs))
	for i, r := range rs {
		v[i] = r.LevelM
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// hourly are the means of ordered readings by the hour.
func hourly(rs []Reading) []Reading {
	var out []Reading
	n := 0.0
	for _, r := range rs {
		hour := r.At.Truncate(time.Hour)
		if len(out) == 0 || !out[len(out)-1].At.Equal(hour) {
			out, n = append(out, Reading{At: hour}), 0
		}
		n++
		out[len(out)-1].LevelM += (r.LevelM - out[len(out)-1].LevelM) / n
	}
	return out
}

// score is the mean absolute error of forecasts and of "as it is now", and how often the
// range held.
func score(all []hindcast) (ours, same, held float64) {
	for _, c := range all {
		ours += math.Abs(c.f.Mid - c.then)
		same += math.Abs(c.now - c.then)
		if c.f.Low <= c.then && c.then <= c.f.High {
			held++
		}
	}
	n := float64(len(all))
	return ours / n, same / n, held / n
}

// TestForecastThroughARealFlood: no worse than "as it is now" at any horizon, and better
// while the river falls. How often the range holds is told and not asked for.
func TestForecastThroughARealFlood(t *testing.T) {
	all := flood(t)
	for _, ahead := range []int{1, 6, 12, 24} {
		cases := hindcasts(t, all, 2*96, 2, time.Duration(ahead)*time.Hour)
		ours, same, held := score(cases)
		falls := slices.DeleteFunc(slices.Clone(cases), func(c hindcast) bool { return !c.recession })
		fallsOurs, fallsSame, fallsHeld := score(falls)
		t.Logf("%2d h: %d forecasts, mean error %.4f m, as it is now %.4f m, range held %.0f %%; falling: %d, %.4f m, %.4f m, %.0f %%",
			ahead, len(cases), ours, same, 100*held, len(falls), fallsOurs, fallsSame, 100*fallsHeld)
		if ours > same {
			t.Errorf("%d h: mean error %.4f m, as it is now %.4f m", ahead, ours, same)
		}
		if fallsOurs >= fallsSame {
			t.Errorf("%d h, falling: mean error %.4f m, as it is now %.4f m", ahead, fallsOurs, fallsSame)
		}
	}
}

// TestPersistence gives back the published series' own figures, so that the series is
// read rightly. Derived; see the data's SOURCES.md.
func TestPersistence(t *testing.T) {
	all := flood(t)
	for ahead, want := range map[int]float64{1: 0.0268, 6: 0.1438, 12: 0.2570, 24: 0.3954} {
		var sum, n float64
		for i := range all {
			if j := i + 4*ahead; j < len(all) { // by rows, as they were worked out
				sum += math.Abs(all[j].LevelM-all[i].LevelM) / footM
				n++
			}
		}
		near(t, "as it is now, feet", sum/n, want, 0.00005)
	}
}

func TestForecastOfLittle(t *testing.T) {
	var none *History
	if _, err := none.Forecast(nil, noon); !errors.Is(err, ErrNoLevels) {
		t.Errorf("nothing read: %v", err)
	}
	one := []Reading{readAt(0, 1.2)}
	f, err := none.Forecast(one, readAt(24, 0).At)
	if err != nil || f.Mid != 1.2 || f.High-f.Low < 0.1 {
		t.Errorf("one reading, a day on: %v, %v", f, err)
	}
	if _, err := none.Forecast(one, readAt(24*14+1, 0).At); !errors.Is(err, ErrTooFar) {
		t.Errorf("past a fortnight: %v", err)
	}
	if _, err := none.Forecast([]Reading{readAt(0, math.NaN())}, readAt(24, 0).At); err == nil || !strings.Contains(err.Error(), "level") {
		t.Errorf("not a number: %v", err)
	}
	if f, err := none.Forecast(one, one[0].At); err != nil || f.Mid != 1.2 {
		t.Errorf("at the last reading: %v, %v", f, err)
	}
	h, err := NewHistory(nil)
	if err != nil {
		t.Fatal(err)
	}
	if g, err := h.Forecast(one, readAt(24, 0).At); err != nil || g != f && g.Mid != 1.2 {
		t.Errorf("an empty history: %v, %v", g, err)
	}
	falling := []Reading{readAt(-3, 0.55), readAt(0, 0.40)}
	deep := []Reading{readAt(-300, 0.30), readAt(-299, 0.31)}
	h, err = NewHistory(append(deep, falling...))
	if err != nil {
		t.Fatal(err)
	}
	for _, ahead := range []float64{6, 24, 240} {
		if f, err := h.Forecast(falling, readAt(ahead, 0).At); err != nil || f.Mid < 0.29 || f.Low < 0.28 || f.Mid > 0.40 {
			t.Errorf("falling towards the lowest of 0.30, %v h on: %v, %v", ahead, f, err)
		}
	}
}

func TestFan(t *testing.T) {
	h, err := NewHistory(hourly(flood(t)))
	if err != nil {
		t.Fatal(err)
	}
	rs := []Reading{readAt(-6, 0.5), readAt(-3, 0.6), readAt(0, 0.8)}
	fan, err := h.Fan(rs, readAt(48, 0).At, time.Hour)
	if err != nil || len(fan) != 48 || !fan[47].At.Equal(readAt(48, 0).At) {
		t.Fatalf("%d points, %v", len(fan), err)
	}
	for _, p := range fan {
		one, err := h.Forecast(rs, p.At)
		if err != nil || one != p.Figure {
			t.Fatalf("at %v the fan says %v, the forecast %v, %v", p.At, p.Figure, one, err)
		}
	}
	if first, last := fan[0], fan[47]; last.High-last.Low < 2*(first.High-first.Low) {
		t.Errorf("the fan does not widen: %v, %v", first, last)
	}
	if _, err := h.Fan(rs, readAt(15*24, 0).At, time.Hour); !errors.Is(err, ErrTooFar) {
		t.Errorf("fifteen days: %v", err)
	}
}

func FuzzForecast(f *testing.F) {
	f.Add(1.0, 1.1, 1.2, 3.0, 24.0)
	f.Add(1.2, 1.0, 0.8, 0.0, 300.0)
	f.Add(math.Inf(1), 0.0, -10_000.0, 1e-9, 1e9)
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
		for _, at := range []float64{ahead, -ahead} {
			for _, hist := range []*History{nil, h} {
				got, err := hist.Forecast(rs, readAt(at, 0).At)
				if err == nil && !(got.Low <= got.Mid && got.Mid <= got.High) {
					t.Fatalf("%v, %v h: %v", rs, at, got)
				}
			}
		}
		if _, err := NewHistory(rs); err != nil && !strings.Contains(err.Error(), "level") {
			t.Fatal(err)
		}
	})
}

// fifteenYears is an invented river: floods that fall away over days.
func fifteenYears() []Reading {
	rs := make([]Reading, 15*365*24)
	v := 0.5
	for i := range rs {
		if i%397 == 0 {
			v += 0.9
		}
		v = 0.5 + (v-0.5)*0.985
		rs[i] = readAt(float64(i-len(rs)), v)
	}
	return rs
}

func BenchmarkNewHistory(b *testing.B) {
	all := fifteenYears()
	for name, years := range map[string]int{"3 years": 3, "15 years": 15} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := NewHistory(all[len(all)-years*365*24:]); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkForecast(b *testing.B) {
	all := fifteenYears()
	h, err := NewHistory(all[len(all)-3*365*24:])
	if err != nil {
		b.Fatal(err)
	}
	recent := all[len(all)-72:]
	b.Run("one", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if sink, err = h.Forecast(recent, noon.Add(20*time.Hour)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("fan of 48", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err = h.Fan(recent, noon.Add(47*time.Hour), time.Hour); err != nil {
				b.Fatal(err)
			}
		}
	})
}
