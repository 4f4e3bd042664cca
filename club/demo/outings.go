package demo

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"levelpeg/club"
)

const (
	outingsLeast = 4  // a peg is fished at least so often in a year
	outingsMore  = 22 // and at most so much more often

	coldestDay = 25.0 // of the year, for the water
	meanC      = 11.0
	swingC     = 7.0

	riseH = 36 // how long back rain still colours the water
)

// outings draws when a peg was fished in the last year and what the water looked like,
// in time order. None is in the close season, in water the club does not fish, or on a
// day the peg was closed. They are nobody's: the book does not say who fished.
func (m *venueMaker) outings(label string) []club.Outing {
	r := stream("outings " + m.spec.venue.Slug + " " + label)
	n := outingsLeast + int(outingsMore*math.Pow(r.Float64(), 1.6))
	var out []club.Outing
	for t := 0; t < tries && len(out) < n; t++ {
		at := m.cal.daysAgo(1+r.IntN(360), 7+r.IntN(9)).Add(time.Duration(15*r.IntN(4)) * time.Minute)
		_, level, ok := m.gauge.reading(at)
		taken := slices.ContainsFunc(out, func(o club.Outing) bool { return o.At.Sub(at).Abs() < 8*time.Hour })
		if ok && level < m.spec.cautionM && !closeSeason(at) && !m.closedAt(label, at) && !taken {
			out = append(out, m.outing(at, level, r))
		}
	}
	slices.SortFunc(out, func(a, b club.Outing) int { return a.At.Compare(b.At) })
	return out
}

// outing is one of them: most who fish say what the water looked like, fewer how warm
// it was.
func (m *venueMaker) outing(at time.Time, levelM float64, r *rand.Rand) club.Outing {
	o := club.Outing{At: at}
	colour, warmth := r.Float64(), r.NormFloat64()
	if r.Float64() < 0.8 {
		o.Colour = m.colour(at, levelM, colour)
	}
	if r.Float64() < 0.5 {
		season := 2 * math.Pi * (float64(at.YearDay()) - coldestDay) / 365
		c := math.Round(2*clamp(meanC-swingC*math.Cos(season)+warmth, 2, 22)) / 2
		o.TemperatureC = &c
	}
	return o
}

// colour is the water's after the rise of the last day and a half, on the datum: each
// river by the width of its board's ordinary range. luck moves it a little.
func (m *venueMaker) colour(at time.Time, levelM, luck float64) club.Colour {
	g := m.gauge.spec.gauge
	least := levelM
	for h := 3; h <= riseH; h += 3 {
		if _, before, ok := m.gauge.reading(at.Add(-time.Duration(h) * time.Hour)); ok {
			least = math.Min(least, before)
		}
	}
	switch rise := (levelM-least)/(g.HighM-g.LowM) + 0.1*(luck-0.5); {
	case rise > 0.35:
		return club.Thick
	case rise > 0.15:
		return club.Coloured
	case rise > 0.04 || levelM > g.HighM:
		return club.Tinged
	}
	return club.Clear
}
