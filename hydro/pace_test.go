package hydro

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// The words and their bounds are the project's own (facts, "Pace words (ours)"),
// each "to" taken as reaching its bound.
func TestPaceWord(t *testing.T) {
	for _, c := range []struct {
		mps  float64
		word string
	}{
		{0, "still"}, {0.049, "still"}, {0.05, "slow"}, {0.2, "slow"}, {0.21, "easy"}, {0.4, "easy"},
		{0.41, "steady"}, {0.7, "steady"}, {0.71, "brisk"}, {1, "brisk"}, {1.01, "fast"},
		{1.4, "fast"}, {1.41, "heavy"}, {9, "heavy"},
		{-0.1, ""}, {math.NaN(), ""}, {math.Inf(-1), ""}, {math.Inf(1), "heavy"},
	} {
		if got := PaceWord(c.mps); got != c.word {
			t.Errorf("%g m/s is %q, want %q", c.mps, got, c.word)
		}
	}
}

// timed is soundings at these depths whose pace is exactly law(depth), with the
// level so that the bed stands at 0.
func timed(depths []float64, timedS float64, law func(float64) float64) []Sounding {
	var s []Sounding
	for _, d := range depths {
		s = append(s, Sounding{At: today, LevelM: d, DepthM: d, PaceMPS: law(d), TimedS: timedS})
	}
	return s
}

// Nothing timed: the guess and its width, from memory, with the scatter; derived
// from the prior (Student t with 6 degrees of freedom, 90 % point 1.4398).
func TestPaceIsAGuessUntilTimed(t *testing.T) {
	r := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 1.5}}, nil, OpenReach())
	f := paceAt(t, r, 1)
	near(t, "median", f.Mid, 0.45, 1e-4)
	own, depth := 1.4398*math.Hypot(0.6, 0.3), 1.4398*0.05/1.5
	near(t, "upper half range in logs", math.Log(f.High/f.Mid), math.Hypot(own, 0.7*math.Log1p(depth)), 1e-4)
	near(t, "lower half range in logs", math.Log(f.Mid/f.Low), math.Hypot(own, 0.7*math.Log1p(-depth)), 1e-4)
	// In thin water the depth's range matters, and more below than above, where pace
	// follows depth.
	follows := OpenReach()
	follows.LooseShare = 0
	thin := paceAt(t, mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 0.15}}, nil, follows), 1)
	if up, down := math.Log(thin.High/thin.Mid), math.Log(thin.Mid/thin.Low); down < up+0.01 {
		t.Errorf("in 15 cm of water: %.3f down, %.3f up, in logs", down, up)
	}
	if r.Basis().Timed != 0 {
		t.Error("nothing was timed")
	}
}

// Exact recovery of a power law where the prior hardly weighs, and the prior's own
// exponent where it is certain (derived).
func TestPowerLawLimits(t *testing.T) {
	for _, seconds := range []float64{20, 5} {
		s := timed([]float64{0.6, 0.9, 1.4, 2.1, 3.3}, seconds, func(d float64) float64 { return 0.4 * math.Pow(d, 0.55) })
		p := OpenReach()
		p.PaceGuessSD, p.PaceExponentSD, p.PaceScatter = 5, 5, 0.001
		free := mustFit(t, s, nil, p)
		near(t, "exponent", free.pace.m1, 0.55, 1e-6)
		for _, d := range []float64{0.5, 1, 4} {
			near(t, fmt.Sprintf("pace at %g m", d), paceAt(t, free, d).Mid, 0.4*math.Pow(d, 0.55), 1e-4)
		}
		p.PaceExponentSD = 0
		near(t, "a certain exponent", mustFit(t, s, nil, p).pace.m1, 0.7, 0)
	}
}

// Derived: with one timing the median moves from the guess towards it by
// 0.6² ÷ (0.6² + 0.3²) in logs, and by 0.6² ÷ (0.6² + 2·0.3²) when it is rough.
func TestRoughTimingCountsForLess(t *testing.T) {
	law := func(float64) float64 { return 0.9 }
	for _, c := range []struct{ timedS, weight float64 }{
		{0, .36 / .45}, {10, .36 / .45}, {9.9, .36 / .54}, {3, .36 / .54},
	} {
		r := mustFit(t, timed([]float64{1.5}, c.timedS, law), nil, OpenReach())
		want := 0.45 * math.Pow(2, c.weight)
		near(t, fmt.Sprintf("pace timed over %g s", c.timedS), paceAt(t, r, 1.5).Mid, want, 1e-4)
	}
}

func TestTimingsTightenPace(t *testing.T) {
	law := func(d float64) float64 { return 0.5 * math.Pow(d, 0.7) }
	few := mustFit(t, timed([]float64{1.5}, 15, law), nil, OpenReach())
	many := mustFit(t, timed([]float64{.8, 1, 1.2, 1.4, 1.6, 1.8, 2, 2.2}, 15, law), nil, OpenReach())
	guess := mustFit(t, []Sounding{{At: today, LevelM: 1.5, DepthM: 1.5}}, nil, OpenReach())
	g, f, m := paceAt(t, guess, 1.5), paceAt(t, few, 1.5), paceAt(t, many, 1.5)
	if !(m.width()/m.Mid < f.width()/f.Mid && f.width()/f.Mid < g.width()/g.Mid) {
		t.Errorf("ranges do not tighten: none %v, one %v, eight %v", g, f, m)
	}
}

// TestPaceThatDoesNotFollowDepth: in backwater the timings soon say so, and where pace
// does follow depth the doubt costs next to nothing. Invented runs.
func TestPaceThatDoesNotFollowDepth(t *testing.T) {
	sure := OpenReach()
	sure.LooseShare = 0
	depths := []float64{0.8, 2.6, 1.2, 3.0, 1.6, 2.2, 0.9, 2.8}
	for _, c := range []struct {
		name  string
		law   func(float64) float64
		loose bool
	}{
		{"backwater", func(float64) float64 { return 0.25 }, true},
		{"summer weed, slower the deeper", func(d float64) float64 { return 0.35 * math.Pow(d, -0.2) }, true},
		{"a river", func(d float64) float64 { return 0.4 * math.Pow(d, 0.7) }, false},
	} {
		for _, n := range []int{0, 2, 4, 8} {
			rng := rand.New(rand.NewPCG(9, uint64(n)))
			var off, offSure, loose float64
			const runs = 300
			for range runs {
				s := timed(depths[:n], 20, func(d float64) float64 { return c.law(d) * math.Exp(0.2*rng.NormFloat64()) })
				s = append(s, Sounding{At: today, LevelM: 1.5, DepthM: 1.5})
				r, with := mustFit(t, s, nil, OpenReach()), mustFit(t, s, nil, sure)
				for _, d := range []float64{0.7, 3.2} {
					off += math.Abs(math.Log(r.paceAt(Figure{d, d, d}).Mid/c.law(d))) / (2 * runs)
					offSure += math.Abs(math.Log(with.paceAt(Figure{d, d, d}).Mid/c.law(d))) / (2 * runs)
				}
				loose += r.isLoose / runs
			}
			t.Logf("%s, %d timed: loose with %.2f, off by %.3f in logs, by %.3f where it is held to follow depth", c.name, n, loose, off, offSure)
			if n == 8 && c.loose && (loose < 0.5 || off > 0.75*offSure) {
				t.Errorf("%s: eight timings say loose with %.2f only, off by %.3f and %.3f", c.name, loose, off, offSure)
			}
			if n > 0 && !c.loose && off > offSure*1.1+0.01 {
				t.Errorf("%s, %d timed: the doubt costs %.3f over %.3f", c.name, n, off, offSure)
			}
		}
	}
	r := mustFit(t, timed(depths, 20, func(float64) float64 { return 0.25 }), nil, PastWeir())
	if r.isLoose < 0.9 {
		t.Errorf("past a weir, eight timings alike: loose with %.2f", r.isLoose)
	}
}

func TestLooseForSure(t *testing.T) {
	p := OpenReach()
	p.LooseShare, p.LooseSD = 1, 0
	r := mustFit(t, timed([]float64{1, 2, 3}, 20, func(float64) float64 { return 0.3 }), nil, p)
	near(t, "pace at half a metre and at four", paceAt(t, r, 0.5).Mid, paceAt(t, r, 4).Mid, 1e-9)
	near(t, "certainty", r.isLoose, 1, 0)
}
