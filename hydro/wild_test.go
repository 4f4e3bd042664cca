package hydro

import (
	"math"
	"math/rand/v2"
	"testing"
)

// tally is how far off answers were.
type tally struct {
	n, sum, worst float64
	within15      float64
}

func (y *tally) add(off float64) {
	off = math.Abs(off)
	y.n++
	y.sum += off
	y.worst = max(y.worst, off)
	if off <= 0.15 {
		y.within15++
	}
}

func (y *tally) mean() float64 { return y.sum / y.n }

func (y *tally) log(t *testing.T, what string) {
	t.Helper()
	t.Logf("%-52s mean %.3f m, worst %.2f m, %5.1f %% within 0.15 m", what, y.mean(), y.worst, 100*y.within15/y.n)
}

// untimed is a run made up from the prior, with no wild reading of its own.
func untimed(rng *rand.Rand, p Prior, soundings int) *world {
	p.WildShare = 0
	w := worldOf(rng, p, 2.5, 5, soundings)
	for i := range w.soundings {
		w.soundings[i].PaceMPS = 0
		w.soundings[i].DepthM = max(minDepthM, w.soundings[i].DepthM)
	}
	return w
}

// One sounding off by a metre among ten moves the depth by under 3 cm on average,
// in a plain run (a steady reading error, no flood) and in runs as the prior makes
// them, floods and all. Compared with the same ten, that one read rightly. The worst
// are mostly where the newest is wild and little was sounded for long or since a
// flood: then it cannot be told from a bed that moved.
func TestOneWildAmongTen(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 10))
	p := OpenReach()
	quiet := p
	quiet.FloodSDM, quiet.UnseenPerYear = 0, 0
	for _, c := range []struct {
		what  string
		world Prior
		spoil func(s *Sounding, sign float64)
	}{
		{"depth off by 1 m, no flood", quiet, func(s *Sounding, sign float64) { s.DepthM += sign }},
		{"depth off by 1 m, floods", p, func(s *Sounding, sign float64) {
			if s.DepthM < 1.1 {
				sign = 1
			}
			s.DepthM += sign
		}},
		{"level off by 1 m, no flood", quiet, func(s *Sounding, sign float64) { s.LevelM += sign }},
		{"depth in feet, no flood", quiet, func(s *Sounding, _ float64) { s.DepthM /= 0.3048 }},
	} {
		var moved, older tally
		for range 2000 {
			w := untimed(rng, c.world, 10)
			if c.world.FloodSDM == 0 {
				w.floodTimes = nil
			}
			right := depthAt(t, mustFit(t, w.soundings, w.floodTimes, p), w.levelNow)
			wild := rng.IntN(10)
			c.spoil(&w.soundings[wild], math.Copysign(1, rng.Float64()-0.5))
			wrong := depthAt(t, mustFit(t, w.soundings, w.floodTimes, p), w.levelNow)
			moved.add(wrong.Mid - right.Mid)
			if wild > 0 { // the soundings come newest first
				older.add(wrong.Mid - right.Mid)
			}
		}
		moved.log(t, c.what+": moved by")
		older.log(t, "  where it is not the newest")
		if moved.mean() >= 0.03 {
			t.Errorf("%s: the depth moves by %.3f m on average, want under 0.03", c.what, moved.mean())
		}
	}
}

// flooded is ten soundings of a steady bed over three years, then a flood that moves
// it by 0.4 m either way, then some more in the two months since. Reading error
// 5 cm; no number is drawn from the fitted model but the drift.
func flooded(rng *rand.Rand, after int) (w *world) {
	w = &world{rng: rng, p: OpenReach(), sigma: 0.05, b0: 2 + rng.Float64(), b1: 1 + 0.1*rng.NormFloat64()}
	w.levelNow = 0.2 + 1.6*rng.Float64()
	jump := math.Copysign(0.4, rng.Float64()-0.5)
	w.floodTimes = append(w.floodTimes, ago(0.2))
	for i := range 10 + after {
		age, bed := 0.2*rng.Float64(), 0.0
		if i < 10 {
			age, bed = 0.2+3*rng.Float64(), jump
		}
		level := 0.3 + 1.2*rng.Float64()
		w.soundings = append(w.soundings, Sounding{
			At: ago(age), LevelM: level,
			DepthM: w.depth(level) + bed + 0.05*math.Sqrt(age)*rng.NormFloat64() + 0.05*rng.NormFloat64(),
		})
	}
	return w
}

func TestBedJumpsInAFlood(t *testing.T) {
	p := OpenReach()
	for _, c := range []struct {
		what   string
		after  int
		listed bool
		wild   bool
	}{
		{"flood listed, 1 new sounding", 1, true, false},
		{"flood listed, 2 new", 2, true, false},
		{"flood listed, 3 new", 3, true, false},
		{"flood listed, 3 new, one of them off by 1 m", 3, true, true},
		{"flood not listed, 1 new", 1, false, false},
		{"flood not listed, 2 new", 2, false, false},
		{"flood not listed, 3 new", 3, false, false},
	} {
		rng := rand.New(rand.NewPCG(40, 15))
		var off tally
		held := 0.0
		for range 1000 {
			w := flooded(rng, c.after)
			if !c.listed {
				w.floodTimes = nil
			}
			if c.wild {
				w.soundings[10+rng.IntN(c.after)].DepthM += math.Copysign(1, rng.Float64()-0.5)
			}
			f, truth := depthAt(t, mustFit(t, w.soundings, w.floodTimes, p), w.levelNow), w.depth(w.levelNow)
			off.add(f.Mid - truth)
			if f.Low <= truth && truth <= f.High {
				held++
			}
		}
		off.log(t, c.what)
		t.Logf("%-52s the 80 %% range held the truth in %.1f %%", "", 100*held/off.n)
		if c.after == 3 && off.mean() > 0.15 {
			t.Errorf("%s: off by %.3f m on average, want at most 0.15", c.what, off.mean())
		}
	}
}
