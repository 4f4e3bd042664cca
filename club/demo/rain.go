package demo

import (
	"math"
	"math/rand/v2"
	"time"
)

const (
	hour      = 4 // steps
	day       = 24 * hour
	warmUp    = 150 * day // before the levels start, so that the slow store is settled
	quietEnd  = 11 * day  // little rain in the last days, so that today is fishable
	dryEnd    = 60 * hour // and none but the last shower in these
	quietRain = 0.2       // what is left of a shower in them
	aroundBig = 5 * day   // no other rain this near the large flood
)

// shower is one spell of rain that reaches the river, in steps from the start of
// the levels (negative in the warm-up).
type shower struct {
	from, steps int
	mm          float64
}

// wetness is 1 in the third week of January and 0 half a year later: how much of
// the rain the ground passes on.
func wetness(t time.Time) float64 {
	return 0.5 + 0.5*math.Cos(2*math.Pi*float64(t.YearDay()-20)/365.25)
}

// showers draws the rain that runs off from the warm-up to the latest reading:
// often and much in winter, seldom and little in summer.
func showers(cal calendar) []shower {
	r := stream("rain")
	end := cal.steps(cal.latest)
	var out []shower
	for at := -warmUp; at < end; {
		s := drawShower(r, at, wetness(cal.start.Add(time.Duration(at)*step)))
		if s.from+s.steps >= end-quietEnd {
			s.mm *= quietRain
		}
		if s.from+s.steps < end-dryEnd && !nearBig(cal, s) {
			out = append(out, s)
		}
		at = s.from + s.steps
	}
	return out
}

func drawShower(r *rand.Rand, at int, wet float64) shower {
	gapH := r.ExpFloat64() * (90 - 30*wet)
	return shower{
		from:  at + hour + int(gapH*hour),
		steps: int(between(r, 3, 14) * hour),
		mm:    math.Min(r.ExpFloat64(), 4) * (1.2 + 4.3*wet),
	}
}

func nearBig(cal calendar, s shower) bool {
	peak := cal.steps(cal.floodPeak)
	return s.from > peak-aroundBig && s.from < peak+aroundBig
}

// bigShower is the rain of the large flood, of one millimetre for its gauge to
// scale; it ends where the beds move.
func bigShower(cal calendar) shower {
	return shower{from: cal.steps(cal.floodPeak) - 20*hour, steps: 20 * hour, mm: 1}
}

// lastShower is the rain of the day before yesterday, of one millimetre, that
// leaves one river falling today.
func lastShower(cal calendar) shower {
	return shower{from: cal.steps(cal.latest) - 36*hour, steps: 8 * hour, mm: 1}
}

// fallOn spreads a shower over its steps, most in the middle, into rain in mm a
// step, whose first element is the first step of the warm-up.
func (s shower) fallOn(rain []float64) {
	n := float64(s.steps)
	for k := range s.steps {
		if i := s.from + k + warmUp; i >= 0 && i < len(rain) {
			x := (float64(k) + 0.5) / n
			rain[i] += s.mm * 6 * x * (1 - x) / n
		}
	}
}
