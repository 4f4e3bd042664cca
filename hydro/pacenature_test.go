package hydro

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// madeUpRun is a run whose pace goes by a law that is given, not by the model's prior.
type madeUpRun struct {
	beta, weed float64 // of ln(pace) over ln(depth); what summer takes off, natural logs
}

func (m madeUpRun) sounding(rng *rand.Rand, alpha float64) Sounding {
	d := math.Exp(0.4 * rng.NormFloat64())
	s := Sounding{At: ago(6 * rng.Float64()), LevelM: d, DepthM: d}
	y := alpha + m.beta*logDepth(d) + 0.3*rng.NormFloat64()
	if inWeed(s.At) {
		y -= m.weed
	}
	s.PaceMPS = min(max(math.Exp(y), minPace), maxPace)
	return s
}

// trial draws k timed soundings and one pace to come, and says how far in logs each
// prior's median was off, and how often its range held.
func (m madeUpRun) trial(t *testing.T, seed uint64, k int, priors ...Prior) (off, held []float64) {
	t.Helper()
	const runs = 600
	rng := rand.New(rand.NewPCG(seed, uint64(k)))
	off, held = make([]float64, len(priors)), make([]float64, len(priors))
	for range runs {
		alpha := math.Log(0.45) + 0.6*rng.NormFloat64()
		var s []Sounding
		for range k {
			s = append(s, m.sounding(rng, alpha))
		}
		to := m.sounding(rng, alpha)
		now := day(2027, 1, 1)
		if inWeed(to.At) {
			now = day(2027, 7, 1)
		}
		for i, p := range priors {
			f := fitAt(t, s, now, p).paceAt(Figure{to.DepthM, to.DepthM, to.DepthM})
			off[i] += math.Abs(math.Log(f.Mid/to.PaceMPS)) / runs
			if f.Low <= to.PaceMPS && to.PaceMPS <= f.High {
				held[i] += 1.0 / runs
			}
		}
	}
	return off, held
}

// Beside a weir or in backwater pace may stay, fall or race as the water deepens. The
// readings must be able to say so: from three on the model is better than one that is
// sure pace follows depth, and where it does follow, hardly worse.
func TestPaceNeedNotFollowDepth(t *testing.T) {
	sure := PastWeir()
	sure.PaceFree = 0
	for _, c := range []struct {
		what string
		beta float64
		most float64 // error from three readings to eight, against the sure one's
		held float64 // from five on, at the least
	}{
		{"stays", 0, 1, 0.74},
		{"falls at an even flow", -1, 0.85, 0.72},
		{"races over a weir pool", 3, 0.95, 0.72},
		{"follows", 0.7, 1.03, 0.74},
	} {
		for _, k := range []int{1, 3, 5, 8, 20} {
			off, held := madeUpRun{beta: c.beta}.trial(t, 7, k, PastWeir(), OpenReach(), sure)
			t.Logf("%-22s %2d timings: off by %.3f past a weir, %.3f open, %.3f were it sure to follow; held %.0f, %.0f, %.0f %%",
				c.what, k, off[0], off[1], off[2], 100*held[0], 100*held[1], 100*held[2])
			most := c.most
			if k > 8 { // the sure one has learnt better by then
				most = max(1, most)
			}
			if k >= 3 && off[0] > most*off[2] {
				t.Errorf("%s, %d timings: off by %.3f, a sure one by %.3f", c.what, k, off[0], off[2])
			}
			if k >= 5 && held[0] < c.held {
				t.Errorf("%s, %d timings: the 80 %% range held %.0f %%", c.what, k, 100*held[0])
			}
		}
	}
}

// Summer's weed earns its place where it grows and costs next to nothing where it
// does not.
func TestSummerWeed(t *testing.T) {
	without := OpenReach()
	without.PaceWeed = 0
	for _, c := range []struct {
		what string
		weed float64
		most float64 // error against a model that does not know of weed, from three on
	}{{"weed", 0.4, 0.98}, {"heavy weed", 0.7, 0.95}, {"no weed", 0, 1.02}} {
		for _, k := range []int{1, 3, 5, 8, 20} {
			off, held := madeUpRun{beta: 0.7, weed: c.weed}.trial(t, 8, k, OpenReach(), without)
			t.Logf("%-10s %2d timings: off by %.3f, %.3f without; held %.0f, %.0f %%", c.what, k, off[0], off[1], 100*held[0], 100*held[1])
			if k >= 3 && off[0] > c.most*off[1] {
				t.Errorf("%s, %d timings: off by %.3f, %.3f without", c.what, k, off[0], off[1])
			}
		}
	}
}

// A real station has no weed to speak of: knowing of weed must not harm there.
func TestSummerWeedAtARealStation(t *testing.T) {
	all := nashua(t)
	without := OpenReach()
	without.PaceWeed = 0
	for _, k := range []int{1, 3, 8} {
		with, not := backtest(t, all, k, 200, OpenReach()), backtest(t, all, k, 200, without)
		t.Logf("%d drawn: error %.4f m/s, %.4f without; held %.1f, %.1f %%", k, with.ours, not.ours, 100*with.held, 100*not.held)
		if with.ours > 1.01*not.ours {
			t.Errorf("%d drawn: error %.4f m/s with weed in mind, %.4f without", k, with.ours, not.ours)
		}
	}
}

// Weed's months are June to September; the same readings say less pace in them once
// they have shown it.
func TestWeedShowsInSummer(t *testing.T) {
	for month, want := range map[time.Month]bool{5: false, 6: true, 9: true, 10: false, 1: false} {
		if got := inWeed(day(2026, month, 1)); got != want {
			t.Errorf("month %d: %v", month, got)
		}
	}
	var s []Sounding
	for i := range 6 {
		d := 1 + 0.1*float64(i)
		s = append(s, Sounding{At: day(2025, 2, 1+i), LevelM: d, DepthM: d, PaceMPS: 0.6},
			Sounding{At: day(2025, 7, 1+i), LevelM: d, DepthM: d, PaceMPS: 0.4})
	}
	depth := Figure{1.2, 1.2, 1.2}
	winter, summer := fitAt(t, s, day(2026, 1, 1), OpenReach()).paceAt(depth), fitAt(t, s, day(2026, 7, 1), OpenReach()).paceAt(depth)
	near(t, "winter", winter.Mid, 0.58, 0.03)
	near(t, "summer", summer.Mid, 0.41, 0.03)
}

func TestPaceAtLevel(t *testing.T) {
	s := timed([]float64{0.8, 1, 1.4, 1.8, 2.2}, 15, func(d float64) float64 { return 0.5 * math.Pow(d, 0.7) })
	r := mustFit(t, s, nil, OpenReach())
	pace := func(mid, low, high float64) Figure {
		f, err := r.PaceAtLevel(Figure{mid, low, high})
		return figure(t, f, err)
	}
	sure := pace(1.5, 1.5, 1.5)
	if sure != paceAt(t, r, 1.5) {
		t.Errorf("a level known exactly: %v, want %v", sure, paceAt(t, r, 1.5))
	}
	before := sure
	for _, half := range []float64{0.1, 0.3, 0.6} {
		f := pace(1.5, 1.5-half, 1.5+half)
		if f.Mid != sure.Mid || f.Low >= before.Low || f.High <= before.High {
			t.Errorf("a level ± %g m: %v, no wider than %v", half, f, before)
		}
		before = f
	}
	// Only what may be higher makes it faster.
	if f := pace(1.5, 1.5, 2.1); f.High <= sure.High || math.Abs(f.Low/sure.Low-1) > 0.02 {
		t.Errorf("a level that may be higher: %v against %v", f, sure)
	}
	for names, l := range map[string]Figure{
		"level is not a number": {math.NaN(), 0, 1},
		"level +Inf":            {1, 0, math.Inf(1)},
		"level 20000 m":         {1, 0, 20_000},
		"not in order":          {1, 1.5, 2},
	} {
		if _, err := r.PaceAtLevel(l); err == nil || !strings.Contains(err.Error(), names) {
			t.Errorf("error %v does not say %q", err, names)
		}
	}
	if _, err := mustFit(t, nil, nil, OpenReach()).PaceAtLevel(Figure{1, 1, 1}); err != ErrNotPlumbed {
		t.Errorf("not plumbed: %v", err)
	}
}

func TestPriorOfPaceIsChecked(t *testing.T) {
	for names, spoil := range map[string]func(p *Prior){
		"prior's share of free pace 1.5 is outside 0 to 1":        func(p *Prior) { p.PaceFree = 1.5 },
		"prior's free pace SD is not a number":                    func(p *Prior) { p.PaceFreeSD = math.NaN() },
		"prior's share of weed -0.1 is outside 0 to 1":            func(p *Prior) { p.PaceWeed = -0.1 },
		"prior's share of even pace +Inf is outside 0 to 1":       func(p *Prior) { p.PaceEven = math.Inf(1) },
		"prior's share of wild timings 0.6 is outside 0 to 0.5":   func(p *Prior) { p.PaceWild = 0.6 },
		"prior's share of wild timings is not a number (NaN); 0 ": func(p *Prior) { p.PaceWild = math.NaN() },
	} {
		p := OpenReach()
		spoil(&p)
		if _, err := Fit(nil, nil, today, p); err == nil || !strings.Contains(err.Error(), names) {
			t.Errorf("error %v does not say %q", err, names)
		}
	}
	// The ends are allowed, and every nature may be ruled out but one.
	for _, free := range []float64{0, 1} {
		p := OpenReach()
		p.PaceFree, p.PaceWeed, p.PaceEven, p.PaceWild = free, free, free, free/2
		inOrder(t, paceAt(t, mustFit(t, timed([]float64{1, 2}, 5, func(float64) float64 { return 0.5 }), nil, p), 1.5))
	}
}

func ExampleRun_PaceAtLevel() {
	at := time.Date(2026, 5, 2, 9, 0, 0, 0, time.UTC)
	s := []Sounding{
		{At: at, LevelM: 0.42, DepthM: 1.40, PaceMPS: 0.55, TimedS: 14},
		{At: at.AddDate(0, 1, 0), LevelM: 0.80, DepthM: 1.79, PaceMPS: 0.68, TimedS: 12},
	}
	r, err := Fit(s, nil, at.AddDate(0, 6, 0), OpenReach())
	if err != nil {
		fmt.Println(err)
		return
	}
	// Saturday's level as forecast.
	f, err := r.PaceAtLevel(Figure{Mid: 0.95, Low: 0.80, High: 1.20})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f m/s, %.2f to %.2f: %s\n", f.Mid, f.Low, f.High, PaceWord(f.Mid))
	// Output: 0.70 m/s, 0.46 to 1.06: brisk
}

func FuzzPaceAtLevel(f *testing.F) {
	f.Add(1.0, 2.0, 0.5, 12.0, 0.7, 1.6, 0.4, int64(3000), 0.9, 0.8, 1.3)
	f.Add(0.0, 0.01, 10.0, 0.0, 0.0, 30.0, 0.001, int64(0), -1e4, -1e4, 1e4)
	f.Add(math.NaN(), 1.0, -1.0, -1.0, math.Inf(1), 0.0, 11.0, int64(-9), math.NaN(), 1.0, math.Inf(-1))
	f.Fuzz(func(t *testing.T, l1, d1, p1, sec, l2, d2, p2 float64, hours int64, mid, low, high float64) {
		s := []Sounding{
			{At: today.Add(-time.Duration(hours%(1<<20)) * time.Hour), LevelM: l1, DepthM: d1, PaceMPS: p1, TimedS: sec},
			{At: today, LevelM: l2, DepthM: d2, PaceMPS: p2},
		}
		for _, p := range []Prior{OpenReach(), PastWeir().Steep()} {
			r, err := Fit(s, nil, today, p)
			if err != nil {
				return
			}
			pace, err := r.PaceAtLevel(Figure{mid, low, high})
			if err != nil {
				if !strings.Contains(err.Error(), "level") {
					t.Errorf("error %v does not name the level", err)
				}
				continue
			}
			inOrder(t, pace)
			if pace.High > maxPace {
				t.Errorf("pace %v", pace)
			}
		}
	})
}
