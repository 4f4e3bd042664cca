package club

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// OutingsMost is how many outings of the last year a peg's book gives at most.
const OutingsMost = 60

// nearLevelM is how far apart two levels may be for the water to be much the same.
const nearLevelM = 0.15

// colours are all there are, from the clearest.
var colours = []Colour{Clear, Tinged, Coloured, Thick}

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
	since := s.Now.AddDate(-1, 0, 0)
	for _, o := range s.Outings {
		if !o.At.After(since) || o.At.After(s.Now) {
			continue
		}
		f.Times++
		if o.At.After(f.Last) {
			f.Last = o.At
		}
		if s.Level.Known && o.LevelM != nil && math.Round(1000*math.Abs(*o.LevelM-s.DatumM())) <= 1000*nearLevelM {
			f.add(o)
		}
	}
	f.More = f.Times >= OutingsMost
	slices.SortFunc(f.Colours, func(a, b ColourTimes) int {
		return cmp.Or(b.Times-a.Times, slices.Index(colours, a.Colour)-slices.Index(colours, b.Colour))
	})
	return f
}

// add counts an outing near the level.
func (f *Fished) add(o Outing) {
	f.Near++
	if t := o.TemperatureC; t != nil {
		if f.LowC == nil || *t < *f.LowC {
			f.LowC = t
		}
		if f.HighC == nil || *t > *f.HighC {
			f.HighC = t
		}
	}
	if o.Colour == "" {
		return
	}
	i := slices.IndexFunc(f.Colours, func(c ColourTimes) bool { return c.Colour == o.Colour })
	if i < 0 {
		f.Colours = append(f.Colours, ColourTimes{o.Colour, 1})
		return
	}
	f.Colours[i].Times++
}
