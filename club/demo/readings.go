package demo

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"levelpeg/club"
)

const (
	instrumentM = 0.004 // what an instrument's reading is out by, one standard deviation
	eyeM        = 0.006 // the same for a board read by eye
	boardEvery  = 11    // days between a bailiff's readings, on the whole
	gaps        = 7     // times the instrument stopped for some hours
)

// write makes the gauge's readings from its true levels.
func (g *gauge) write(r *rand.Rand) {
	g.readM = make([]float64, len(g.trueM))
	for i, level := range g.trueM {
		offset := g.offsetM(g.at(i))
		g.readM[i] = centi(level - offset + instrumentM*r.NormFloat64())
	}
	g.stop(r)
	g.readings = make([]club.Level, 0, len(g.trueM)+200)
	for i, level := range g.readM {
		if !math.IsNaN(level) {
			g.readings = append(g.readings, club.Level{At: g.at(i), LevelM: level, Source: club.Station})
		}
	}
	g.readings = append(g.readings, g.boardReadings(r)...)
	slices.SortFunc(g.readings, func(a, b club.Level) int { return a.At.Compare(b.At) })
}

// at is the time of a step.
func (g *gauge) at(i int) time.Time { return g.cal.start.Add(time.Duration(i) * step) }

// stop takes out the readings of a few spells of hours, but none of the large
// flood and none of the last days.
func (g *gauge) stop(r *rand.Rand) {
	last := len(g.readM) - 14*day
	flood := g.cal.steps(g.cal.floodPeak)
	for made := 0; made < gaps; {
		from, n := day+r.IntN(last-day), int(between(r, 2, 30)*hour)
		if from+n > flood-3*day && from < flood+5*day {
			continue
		}
		for i := from; i < from+n && i < len(g.readM); i++ {
			g.readM[i] = math.NaN()
		}
		made++
	}
}

// boardReadings are what bailiffs read by day off the board, never on the quarter
// hour, the last of them yesterday.
func (g *gauge) boardReadings(r *rand.Rand) []club.Level {
	var out []club.Level
	for days := 1; days < 3*365; days += 1 + int(r.ExpFloat64()*(boardEvery-1)) {
		at := g.cal.daysAgo(days, 8+r.IntN(9)).Add(oddMinute(r))
		level := g.trueM[g.cal.steps(at)] - g.offsetM(at) + eyeM*r.NormFloat64()
		out = append(out, club.Level{At: at, LevelM: centi(level), Source: club.Board})
	}
	return out
}

// oddMinute is 1 to 14 minutes past a quarter hour.
func oddMinute(r *rand.Rand) time.Duration {
	return time.Duration(15*r.IntN(4)+1+r.IntN(14)) * time.Minute
}

// reading is the instrument's level at or just before t, on the zero in force,
// and the true one on the datum. It is not ok in a gap or where the zero changed
// between.
func (g *gauge) reading(t time.Time) (readM, trueM float64, ok bool) {
	i := g.cal.steps(t)
	if i < 0 || i >= len(g.readM) || math.IsNaN(g.readM[i]) {
		return 0, 0, false
	}
	return g.readM[i], g.trueM[i], g.offsetM(g.at(i)) == g.offsetM(t)
}
