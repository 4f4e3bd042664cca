package hydro

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// paceWorld is how pace behaves on a made-up run: one of the model's natures.
type paceWorld struct {
	rng                *rand.Rand
	nature             nature
	wildShare          float64
	alpha, beta, sigma float64
}

func newPaceWorld(rng *rand.Rand, p *Prior) *paceWorld {
	w := &paceWorld{rng: rng, wildShare: p.PaceWild}
	u := rng.Float64()
	for _, w.nature = range naturesOf(p) {
		if u -= w.nature.share; u < 0 {
			break
		}
	}
	k := (&world{rng: rng}).errorScale()
	w.sigma = k * w.nature.scatter
	w.alpha = math.Log(p.PaceGuessMPS) + k*p.PaceGuessSD*rng.NormFloat64()
	w.beta = w.nature.exponent + k*w.nature.exponentSD*rng.NormFloat64()
	return w
}

// met is a pace as met.
func (w *paceWorld) met(depthM float64, at time.Time) float64 {
	return w.pace(depthM, at, 1)
}

// timed is a pace as timed, now and then wild.
func (w *paceWorld) timed(depthM float64, at time.Time) float64 {
	if w.rng.Float64() < w.wildShare {
		return w.pace(depthM, at, wildPace)
	}
	return w.pace(depthM, at, 1)
}

func (w *paceWorld) pace(depthM float64, at time.Time, times float64) float64 {
	y := w.alpha + w.beta*logDepth(depthM) + times*w.sigma*w.rng.NormFloat64()
	if inWeed(at) {
		y += w.nature.summer
	}
	return math.Exp(y)
}

// Drawn from the whole model, of the depth too, half of it asked in the weed's months.
// The level asked for is known in half, a forecast in the other. A run whose drawn bed or
// pace leaves what a sounding may say is drawn again.
func TestPaceRangeHoldsFourInFive(t *testing.T) {
	for name, p := range map[string]Prior{"open": OpenReach(), "past a weir": PastWeir()} {
		rng := rand.New(rand.NewPCG(26, 20))
		runs, tol := count()
		var held [2][2]float64
		var n [2][2]float64
		again := 0
		for done := 0; done < runs; {
			season, unsure := done%2, done/2%2
			ok, in := paceTrial(t, rng, p, season == 1, unsure == 1)
			if !ok {
				again++
				continue
			}
			done++
			n[season][unsure]++
			if in {
				held[season][unsure]++
			}
		}
		var all float64
		for season := range 2 {
			for unsure := range 2 {
				all += held[season][unsure]
				t.Logf("%s, summer %v, a level forecast %v: held %.1f %%", name, season == 1, unsure == 1, 100*held[season][unsure]/n[season][unsure])
			}
		}
		share := all / float64(runs)
		t.Logf("%s: the 80 %% pace range held the pace met in %.1f %% of %d runs; %d drawn again", name, 100*share, runs, again)
		near(t, name+": share", share, 0.8, tol)
		if again > runs/10 {
			t.Errorf("%s: %d drawn again for %d runs: too many to be a fair sample", name, again, runs)
		}
	}
}

// paceTrial makes up a run and says whether the range held what was met. It is not ok
// where a sounding could not say what was drawn.
func paceTrial(t *testing.T, rng *rand.Rand, p Prior, summer, unsure bool) (ok, held bool) {
	t.Helper()
	w, pw := newWorld(rng, p, 1.5, 4), newPaceWorld(rng, &p)
	now, back := today, time.Duration(0)
	if summer {
		back = 92 * 24 * time.Hour
		now = today.Add(-back)
	}
	for i := range w.soundings {
		s := &w.soundings[i]
		s.At = s.At.Add(-back)
		s.PaceMPS = pw.timed(w.depth(s.LevelM)+w.moved[i], s.At)
	}
	for i := range w.floodTimes {
		w.floodTimes[i] = w.floodTimes[i].Add(-back)
	}
	r, err := Fit(w.soundings, w.floodTimes, now, p)
	if err != nil || w.depth(w.levelNow) < thinM {
		return false, false
	}
	level, f := Figure{w.levelNow, w.levelNow, w.levelNow}, Figure{}
	if unsure {
		const sd = 0.15
		mid := w.levelNow + sd*rng.NormFloat64()
		level = Figure{mid, mid - z90*sd, mid + z90*sd}
	}
	f, err = r.PaceAtLevel(level)
	if err != nil {
		t.Fatal(err)
	}
	met := pw.met(w.depth(w.levelNow), now)
	if !within(met, minPace, maxPace) {
		return false, false
	}
	return true, f.Low <= met && met <= f.High
}
