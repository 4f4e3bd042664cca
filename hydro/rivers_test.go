package hydro

import (
	"math"
	"math/rand/v2"
	"time"
)

// invented is a river that no river is: a kind of behaviour a gauge may show, three years
// and a half of it at a quarter of an hour, read to a centimetre.
type invented struct {
	name   string
	levelM func(r *rand.Rand) []float64
}

const invYears, invStep = 3.5, 4 // steps an hour

func invSteps() int { return int(invYears * 365.25 * 24 * invStep) }

// ofRain is a catchment: showers, winter-heavy where seasonal, through two stores, and the
// level rising as the root of the flow.
func ofRain(quickH, slowH, quick, seasonal, riseM float64) func(*rand.Rand) []float64 {
	return func(r *rand.Rand) []float64 {
		out := make([]float64, invSteps())
		var q, s, rain float64
		left := 0
		s = slowH * 0.02
		for i := range out {
			wet := 1 + seasonal*math.Cos(2*math.Pi*(float64(i)/(24*invStep)-20)/365.25)
			if left == 0 && r.Float64() < wet/(110*invStep) {
				left, rain = 8+r.IntN(60), 0.3*wet*r.ExpFloat64()/invStep
			}
			if left > 0 {
				left--
				q, s = q+quick*rain, s+(1-quick)*rain
			}
			q -= q / (quickH * invStep)
			s -= s / (slowH * invStep)
			out[i] = 0.2 + riseM*math.Sqrt(q/quickH+s/slowH+0.005)
		}
		return out
	}
}

func plus(base func(*rand.Rand) []float64, add func(r *rand.Rand, hour float64, was float64) float64) func(*rand.Rand) []float64 {
	return func(r *rand.Rand) []float64 {
		out := base(r)
		was := 0.0
		for i := range out {
			was = add(r, float64(i)/invStep, was)
			out[i] += was
		}
		return out
	}
}

func inventedRivers() []invented {
	lowland := ofRain(40, 600, 0.5, 0.6, 1.5)
	return []invented{
		{"flashy", ofRain(5, 90, 0.7, 0.4, 1.2)},
		{"middling", ofRain(14, 250, 0.55, 0.6, 1.3)},
		{"lowland", lowland},
		{"springs", ofRain(200, 3000, 0.1, 0.9, 1.5)},
		{"tidal", plus(lowland, func(_ *rand.Rand, h, _ float64) float64 {
			return 0.35 * math.Sin(2*math.Pi*h/12.42) * (1 + 0.3*math.Cos(2*math.Pi*h/354))
		})},
		{"mill", plus(lowland, func(r *rand.Rand, h, _ float64) float64 { // a turbine by day, not at weekends
			if d := int(h/24) % 7; d < 5 && math.Mod(h, 24) > 7 && math.Mod(h, 24) < 18 {
				return 0.25
			}
			return 0
		})},
		{"gates", plus(ofRain(14, 250, 0.55, 0.6, 0.5), func(r *rand.Rand, h, was float64) float64 {
			if r.Float64() < 1/(60.0*invStep) {
				return 0.3 * r.Float64()
			}
			return was
		})},
		{"wind", plus(ofRain(200, 3000, 0.1, 0.9, 0.4), func(r *rand.Rand, _, was float64) float64 {
			return 0.9*was + 0.012*r.NormFloat64()
		})},
		{"snow", plus(ofRain(60, 900, 0.4, 0, 0.8), func(_ *rand.Rand, h, _ float64) float64 {
			melt := math.Exp(-math.Pow((math.Mod(h/24, 365.25)-140)/30, 2))
			return melt * (1.2 + 0.15*math.Sin(2*math.Pi*h/24))
		})},
		{"dry brook", func(r *rand.Rand) []float64 {
			out := ofRain(5, 20, 0.8, 0.2, 1.5)(r)
			for i := range out {
				out[i] = max(0.4, out[i])
			}
			return out
		}},
	}
}

// readings are what an instrument good to 4 mm reads of the levels, to the centimetre.
func (v invented) readings(seed uint64) []Reading {
	r := rand.New(rand.NewPCG(seed, 77))
	levels := v.levelM(r)
	start := time.Date(2023, 3, 1, 0, 0, 0, 0, time.UTC)
	out := make([]Reading, len(levels))
	for i, l := range levels {
		out[i] = Reading{start.Add(time.Duration(i) * time.Hour / invStep), math.Round(100*(l+0.004*r.NormFloat64())) / 100}
	}
	return out
}
