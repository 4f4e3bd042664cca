package hydro

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"
)

// count is how many made-up runs a calibration draws, and how far from 80 % its
// coverage may lie: 2.4 standard errors of 1,000, and 3 of 10,000.
func count() (runs int, within float64) {
	if os.Getenv("LEVELPEG_LONG") == "1" {
		return 10_000, 0.012
	}
	return 1000, 0.03
}

// world is a run made up from the model's own prior.
type world struct {
	rng        *rand.Rand
	p          Prior
	sigma      float64 // reading error, m
	b0, b1     float64 // depth at level 1 m, slope
	alpha      float64 // of ln(pace)
	beta       float64
	paceSigma  float64
	ages       []float64 // years, newest first
	floodAges  []float64
	unseenAges []float64 // moves nobody recorded
	moved      []float64 // the bed's δ at each age
	levelNow   float64
	soundings  []Sounding
	floodTimes []time.Time
}

// newWorld draws β0 flat from low to high: the prior on it is as good as flat.
func newWorld(rng *rand.Rand, p Prior, low, high float64) *world {
	return worldOf(rng, p, low, high, 1+rng.IntN(12))
}

// worldOf has so many soundings.
func worldOf(rng *rand.Rand, p Prior, low, high float64, soundings int) *world {
	w := &world{rng: rng, p: p}
	k := w.errorScale()
	w.sigma, w.b1 = k*p.ReadingSDM, p.SlopeMean+k*p.SlopeSD*rng.NormFloat64()
	w.b0 = low + (high-low)*rng.Float64()
	k = w.errorScale()
	w.paceSigma = k * p.PaceScatter
	w.alpha = math.Log(p.PaceGuessMPS) + k*p.PaceGuessSD*rng.NormFloat64()
	w.beta = p.PaceExponent + k*p.PaceExponentSD*rng.NormFloat64()
	w.levelNow = 0.2 + 1.6*rng.Float64()
	w.drawBed(soundings)
	w.sound()
	return w
}

// errorScale draws σ ÷ its stated value: σ² from InverseGamma(3, 3), and the sum of
// three exponentials is Gamma(3).
func (w *world) errorScale() float64 {
	g := w.rng.ExpFloat64() + w.rng.ExpFloat64() + w.rng.ExpFloat64()
	return math.Sqrt(errorShape / g)
}

// drawBed walks the bed back from now, through drift and floods.
func (w *world) drawBed(soundings int) {
	for range soundings {
		w.ages = append(w.ages, 6*w.rng.Float64())
	}
	for range w.rng.IntN(5) {
		w.floodAges = append(w.floodAges, 6*w.rng.Float64())
	}
	if w.p.UnseenPerYear > 0 {
		for age := 0.0; age < 6; age += w.rng.ExpFloat64() / w.p.UnseenPerYear {
			w.unseenAges = append(w.unseenAges, age)
		}
		w.unseenAges = w.unseenAges[1:] // the first is now
	}
	slices.Sort(w.ages)
	slices.Sort(w.floodAges)
	scale := w.sigma / w.p.ReadingSDM
	before, delta := 0.0, 0.0
	floods := slices.Sorted(slices.Values(slices.Concat(w.floodAges, w.unseenAges)))
	for _, age := range w.ages {
		delta += scale * w.p.DriftSDM * math.Sqrt(age-before) * w.rng.NormFloat64()
		for len(floods) > 0 && floods[0] < age {
			delta += scale * w.p.FloodSDM * w.rng.NormFloat64()
			floods = floods[1:]
		}
		w.moved = append(w.moved, delta)
		before = age
	}
}

func ago(years float64) time.Time {
	return today.Add(-time.Duration(years * 365.25 * 24 * float64(time.Hour)))
}

func (w *world) sound() {
	for i, age := range w.ages {
		level := 0.3 + 1.2*w.rng.Float64()
		depth := w.depth(level) + w.moved[i]
		w.soundings = append(w.soundings, Sounding{
			At: ago(age), LevelM: level,
			DepthM:  depth + w.readingError(),
			PaceMPS: w.pace(depth), TimedS: 20,
		})
	}
	for _, age := range w.floodAges {
		w.floodTimes = append(w.floodTimes, ago(age))
	}
}

// readingError is now and then wild.
func (w *world) readingError() float64 {
	sd := 1.0
	if w.rng.Float64() < w.p.WildShare {
		sd = w.p.WildSDM / w.p.ReadingSDM
	}
	return sd * w.sigma * w.rng.NormFloat64()
}

func (w *world) depth(levelM float64) float64 { return w.b0 + w.b1*(levelM-1) }

// pace is a pace as met on a day when the run is this deep.
func (w *world) pace(depthM float64) float64 {
	return math.Exp(w.alpha + w.beta*math.Log(depthM/refDepthM) + w.paceSigma*w.rng.NormFloat64())
}

// Drawn from the whole model: wild readings and unseen moves too.
func TestDepthRangesHoldTheirShare(t *testing.T) {
	for name, p := range map[string]Prior{"open": OpenReach(), "steep past a weir": PastWeir().Steep()} {
		rng := rand.New(rand.NewPCG(20, 26))
		runs, tol := count()
		shares := [...]float64{0.5, 0.8, 0.95}
		var held [len(shares)]int
		again := 0
		for done := 0; done < runs; {
			// Deep enough that no bed moves out of the water. A run with a reading no
			// sounding may say, wild beyond measure, is drawn again.
			w := newWorld(rng, p, 12, 17)
			for i := range w.soundings {
				w.soundings[i].PaceMPS = 0
			}
			r, err := Fit(w.soundings, w.floodTimes, today, p)
			if err != nil {
				again++
				continue
			}
			done++
			for i, share := range shares {
				f, err := r.DepthWithin(w.levelNow, share)
				if err != nil {
					t.Fatal(err)
				}
				if truth := w.depth(w.levelNow); f.Low <= truth && truth <= f.High {
					held[i]++
				}
			}
		}
		if again > runs/200 {
			t.Errorf("%s: %d of %d runs drawn again: too many to be a fair sample", name, again, runs)
		}
		for i, want := range shares {
			got := float64(held[i]) / float64(runs)
			t.Logf("%s: the %g %% depth range held the truth in %.2f %% of %d runs", name, 100*want, 100*got, runs)
			near(t, name+": share", got, want, tol*math.Sqrt(want*(1-want))/0.4)
		}
	}
}
