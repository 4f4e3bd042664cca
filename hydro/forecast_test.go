package hydro

import (
	"errors"
	"math"
	"math/rand/v2"
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
}

// TestNotThroughItsBase: a river that falls is not foreseen below what it falls back to,
// and its range no lower than it was read, but for as much as little history leaves open.
func TestNotThroughItsBase(t *testing.T) {
	falling := []Reading{readAt(-6, 0.80), readAt(-3, 0.55), readAt(0, 0.40)}
	for _, c := range []struct {
		days, openM float64
	}{{12, 0.5}, {90, 0.1}, {3 * 365, 0.02}} {
		var past []Reading
		for x := -24 * c.days; x < -6; x++ {
			past = append(past, readAt(x, 0.30+0.5*math.Exp(-math.Mod(x+24*c.days, 240)/20)))
		}
		h, err := NewHistory(past)
		if err != nil {
			t.Fatal(err)
		}
		for _, ahead := range []float64{1, 6, 24, 72, 240, 336} {
			f, err := h.Forecast(falling, readAt(ahead, 0).At)
			if err != nil || f.Mid < 0.30 || f.Mid > 0.45 || f.Low < 0.30-c.openM {
				t.Errorf("%v days of a river that falls to 0.30, %v h on: %.3f, %v", c.days, ahead, f, err)
			}
		}
	}
}

// TestFallsBelowWhatWasRead: with nothing known but a fall that goes on, the lowest level
// read is the last, and must not be the floor.
func TestFallsBelowWhatWasRead(t *testing.T) {
	var none *History
	falling := []Reading{readAt(-48, 1.00), readAt(-24, 0.90), readAt(0, 0.81)}
	if f, err := none.Forecast(falling, readAt(48, 0).At); err != nil || f.Low > 0.65 {
		t.Errorf("%.3f, %v", f, err)
	}
}

// TestGoesOverToTheUsual on an invented river whose level forgets in four days that it
// stood apart from a yearly wave: it is foreseen where it stands, and later where it
// usually does.
func TestGoesOverToTheUsual(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 14))
	usual := func(hour float64) float64 { return 1.5 + 0.5*math.Cos(2*math.Pi*hour/(24*365.25)) }
	var past []Reading
	apart := 0.0
	for x := -4 * 365 * 24.0; x <= 0; x++ {
		apart = apart*math.Exp(-1/96.0) + 0.02*rng.NormFloat64()
		past = append(past, readAt(x, usual(x)+apart))
	}
	h, err := NewHistory(past)
	if err != nil {
		t.Fatal(err)
	}
	var recent []Reading
	for x := -48.0; x <= 0; x++ {
		recent = append(recent, readAt(x, usual(x)+0.3))
	}
	for _, ahead := range []float64{1, 24, 96, 168, 336} {
		f, err := h.Forecast(recent, readAt(ahead, 0).At)
		want := usual(ahead) + 0.3*math.Exp(-ahead/96)
		t.Logf("%3.0f h: %.3f, usual %.3f, by the river's own law %.3f", ahead, f, usual(ahead), want)
		if err != nil || math.Abs(f.Mid-want) > 0.1 {
			t.Errorf("%v h: %.3f, %v, want about %.3f", ahead, f, err, want)
		}
	}
}

func TestLevelNow(t *testing.T) {
	var none *History
	rs := []Reading{readAt(-24, 1.10), readAt(0, 1.12)}
	at, err := none.LevelNow(rs, readAt(0, 0).At)
	if err != nil || at.Age != 0 || math.Abs(at.Mid-1.12) > 1e-9 {
		t.Errorf("as it is read: %v, %v", at, err)
	}
	before := at.High - at.Low
	for _, age := range []float64{0.25, 1, 6, 30, 240} {
		n, err := none.LevelNow(rs, readAt(age, 0).At)
		f, _ := none.Forecast(rs, readAt(age, 0).At)
		if err != nil || n.Age != time.Duration(age*float64(time.Hour)) || n.Figure != f || n.High-n.Low <= before {
			t.Errorf("%v h after the reading: %v, %v", age, n, err)
		}
		before = n.High - n.Low
	}
	if n, err := none.LevelNow(rs, readAt(-1, 0).At); err != nil || n.Age != 0 {
		t.Errorf("a reading later than now: %v, %v", n, err)
	}
	if _, err := none.LevelNow(nil, noon); !errors.Is(err, ErrNoLevels) {
		t.Errorf("nothing read: %v", err)
	}
	if _, err := none.LevelNow(rs, readAt(24*15, 0).At); !errors.Is(err, ErrTooFar) || !strings.Contains(err.Error(), "2026-12-10") {
		t.Errorf("a reading fifteen days old: %v", err)
	}
}

// TestFanNeverNarrows on every kind of river, from a long history and from none.
func TestFanNeverNarrows(t *testing.T) {
	for _, v := range inventedRivers() {
		all := v.readings(51)
		long, err := NewHistory(hourly(all[:3*365*96]))
		if err != nil {
			t.Fatal(err)
		}
		for i := 3 * 365 * 96; i < len(all); i += 96 * 31 {
			for _, h := range []*History{nil, long} {
				fan, err := h.Fan(all[i-288:i+1], all[i].At.Add(ForecastMost), 37*time.Minute)
				if err != nil {
					t.Fatal(err)
				}
				before := 0.0
				for _, p := range fan {
					if !(p.Low < p.Mid && p.Mid < p.High) || p.High-p.Low < before-1e-9 {
						t.Fatalf("%s from %v, at %v: %v, %g wide after %g", v.name, all[i].At, p.At, p.Figure, p.High-p.Low, before)
					}
					before = p.High - p.Low
				}
			}
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
