package club

import (
	"math"
	"slices"
	"time"
)

// OutingsMost is how many outings of the last year a peg's book gives at most.
const OutingsMost = 60

// nearLevelM is how far apart two levels may be for the water to be much the same.
const nearLevelM = 0.15

// colours are all there are, from the clearest.
var colours = [...]Colour{Clear, Tinged, Coloured, Thick}

// Fished is how often a peg was fished, and what the water was like near the sheet's
// level. It says nothing of who fished.
type Fished struct {
	Times   int  // in the last twelve months
	More    bool // and perhaps more often than that
	Last    time.Time
	Near    int           // of them, at levels within NearM of the sheet's
	NearM   float64       // 0.15
	Colours []ColourTimes // of those near, the most frequent first, and the clearest of those as frequent
	// LowC and HighC are the coldest and the warmest the water was near the level; nil
	// where nobody measured it.
	LowC, HighC *float64
}

// ColourTimes is how often the water had a colour.
type ColourTimes struct {
	Colour Colour
	Times  int
}

// Fished sums the peg's outings up, of the year before now; none of them near where the
// sheet has no level.
func (s *Sheet) Fished() Fished {
	f := Fished{NearM: nearLevelM}
	var times [len(colours)]int
	since := s.Now.AddDate(-1, 0, 0)
	for i := range s.Outings {
		o := &s.Outings[i]
		if !o.At.After(since) || o.At.After(s.Now) {
			continue
		}
		f.Times++
		if o.At.After(f.Last) {
			f.Last = o.At
		}
		if s.Level.Known && o.LevelM != nil && math.Round(1000*math.Abs(*o.LevelM-s.DatumM())) <= 1000*nearLevelM {
			f.addNear(o, &times)
		}
	}
	f.More = f.Times >= OutingsMost
	f.Colours = mostOften(times)
	return f
}

// addNear counts an outing near the level.
func (f *Fished) addNear(o *Outing, times *[len(colours)]int) {
	f.Near++
	if i := slices.Index(colours[:], o.Colour); i >= 0 {
		times[i]++
	}
	if t := o.TemperatureC; t != nil {
		if f.LowC == nil || *t < *f.LowC {
			f.LowC = t
		}
		if f.HighC == nil || *t > *f.HighC {
			f.HighC = t
		}
	}
}

// mostOften lists the colours there were, the most frequent first.
func mostOften(times [len(colours)]int) []ColourTimes {
	var out []ColourTimes
	for i, n := range times {
		if n == 0 {
			continue
		}
		if out == nil {
			out = make([]ColourTimes, 0, len(colours))
		}
		out = append(out, ColourTimes{colours[i], n})
	}
	slices.SortStableFunc(out, func(a, b ColourTimes) int { return b.Times - a.Times })
	return out
}
