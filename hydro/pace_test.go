package hydro

import (
	"fmt"
	"math"
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

// following is the prior of a run that surely follows its depth and whose timings are
// all good: a single exact line.
func following() Prior {
	p := OpenReach()
	p.PaceFree, p.PaceWeed, p.PaceEven, p.PaceWild = 0, 0, 0, 0
	return p
}

// Nothing timed: the guess and its width, from memory, with the scatter; derived
// from the prior (Student t with 6 degrees of freedom, 90 % point 1.4398). A depth
// that is out by so much moves the median by the exponent, and by what is not known of
// the exponent.
func TestPaceIsAGuessUntilTimed(t *testing.T) {
	r := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 1.5}}, nil, following())
	f, d := paceAt(t, r, 1), depthAt(t, r, 1)
	near(t, "median", f.Mid, 0.45, 1e-4)
	half := func(depth float64) float64 {
		return math.Hypot(1.4398*math.Sqrt(0.36+0.09+math.Pow(0.3*depth/z90, 2)), 0.7*depth)
	}
	near(t, "upper half range in logs", math.Log(f.High/f.Mid), half(math.Log(d.High/d.Mid)), 1e-4)
	near(t, "lower half range in logs", math.Log(f.Mid/f.Low), half(math.Log(d.Mid/d.Low)), 1e-4)
	// In thin water the depth's range matters, and more below than above.
	thin := paceAt(t, mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 0.15}}, nil, following()), 1)
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
		p := following()
		p.PaceGuessSD, p.PaceExponentSD, p.PaceScatter = 5, 5, 0.001
		free := mustFit(t, s, nil, p)
		near(t, "exponent", free.pace.slope(), 0.55, 1e-6)
		for _, d := range []float64{0.5, 1, 4} {
			near(t, fmt.Sprintf("pace at %g m", d), paceAt(t, free, d).Mid, 0.4*math.Pow(d, 0.55), 1e-4)
		}
		p.PaceExponentSD = 0
		near(t, "a certain exponent", mustFit(t, s, nil, p).pace.slope(), 0.7, 0)
	}
}

// Derived: with one timing the median moves from the guess towards it by
// 0.6² ÷ (0.6² + 0.3²) in logs, and by 0.6² ÷ (0.6² + 2·0.3²) when it is rough.
func TestRoughTimingCountsForLess(t *testing.T) {
	law := func(float64) float64 { return 0.9 }
	for _, c := range []struct{ timedS, weight float64 }{
		{0, .36 / .45}, {10, .36 / .45}, {9.9, .36 / .54}, {3, .36 / .54},
	} {
		r := mustFit(t, timed([]float64{1.5}, c.timedS, law), nil, following())
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
