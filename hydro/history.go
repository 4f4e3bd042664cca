package hydro

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// History is how a gauge's level has gone on before, hour by hour. It does not change,
// so it may be used from many goroutines. A nil History knows nothing and still
// forecasts, widely.
type History struct {
	first  int64     // hour of level[0], hours since 1970
	level  []float32 // each hour's; NaN where nothing was read about it
	sorted []float32 // the levels that are there, lowest first
	baseM  float64   // what the river falls back to
	rateM  float64   // a usual change in an hour, m
	long   bool      // it covers more than a year, so seasons can be told
	states []state
}

// state is an hour of the past as a forecast compares it with the present.
type state struct {
	hour     int32   // index in level
	rank     float32 // share of the levels that are lower
	now, day float32 // scaled change an hour, over three hours and a day
}

// The hours that are joined by a straight line where nothing was read between: a board
// that somebody reads every day.
const joinHours = 30

// What of a history is used: at most this many hours, the newest, and this many states.
const (
	historyMost = 25 * 366 * 24
	statesMost  = 30_000
)

// baseShare is the share of the time the river is below its base level.
const baseShare = 0.02

// NewHistory learns from hourly levels (means, or single readings of a board that is read
// once a day), in any order. Nothing between readings up to 30 hours apart is unknown:
// they are joined by a line. With no reading it knows nothing. A level out of its range
// is an error that names it.
func NewHistory(levels []Reading) (*History, error) {
	rs, err := sorted(levels)
	if err != nil {
		return nil, err
	}
	h := &History{}
	if len(rs) == 0 {
		return h, nil
	}
	last := hourOf(rs[len(rs)-1].At)
	h.first = max(hourOf(rs[0].At), last-historyMost)
	h.level = make([]float32, last-h.first+1)
	for i := range h.level {
		h.level[i] = float32(math.NaN())
	}
	h.fill(rs)
	for _, v := range h.level {
		if v == v {
			h.sorted = append(h.sorted, v)
		}
	}
	slices.Sort(h.sorted)
	h.baseM = float64(h.sorted[int(baseShare*float64(len(h.sorted)-1))])
	h.long = len(h.level) > 400*24
	h.learn()
	return h, nil
}

func hourOf(t time.Time) int64 { return int64(math.Floor(float64(t.Unix()) / 3600)) }

// fill puts readings on their hours and joins those that are near each other.
func (h *History) fill(rs []Reading) {
	prev := int64(-1)
	for _, r := range rs {
		i := hourOf(r.At) - h.first
		if i < 0 {
			continue
		}
		h.level[i] = float32(r.LevelM)
		if gap := i - prev; prev >= 0 && gap > 1 && gap <= joinHours {
			a, b := h.level[prev], h.level[i]
			for j := prev + 1; j < i; j++ {
				h.level[j] = a + (b-a)*float32(j-prev)/float32(gap)
			}
		}
		prev = i
	}
}

// learn makes the states, each from its own hour and those before it.
func (h *History) learn() {
	var rates []float64
	for i := 3; i < len(h.level); i++ {
		if d := h.change(i, 3); !math.IsNaN(d) {
			rates = append(rates, math.Abs(d))
		}
	}
	h.rateM = leastRateM
	if len(rates) > 0 {
		slices.Sort(rates)
		h.rateM = max(leastRateM, rates[len(rates)/2])
	}
	stride := 1 + len(h.level)/statesMost
	for i := dayHours; i < len(h.level); i += stride {
		now, day := h.change(i, nowHours), h.change(i, dayHours)
		if math.IsNaN(now) || math.IsNaN(day) {
			continue
		}
		h.states = append(h.states, h.stateOf(int32(i), float64(h.level[i]), now, day))
	}
}

const (
	nowHours, dayHours = 3, 24
	leastRateM         = 0.001 // a millimetre an hour: less is the board's own rounding
)

// change is the mean change in an hour over the hours up to i; NaN where not known.
func (h *History) change(i, over int) float64 {
	if i < over {
		return math.NaN()
	}
	return (float64(h.level[i]) - float64(h.level[i-over])) / float64(over)
}

func (h *History) stateOf(hour int32, levelM, now, day float64) state {
	return state{hour, float32(h.rank(levelM)), float32(math.Asinh(now / h.rateM)), float32(math.Asinh(day / h.rateM))}
}

// rank is the share of the hours at which the river was lower.
func (h *History) rank(levelM float64) float64 {
	i, _ := slices.BinarySearch(h.sorted, float32(levelM))
	return float64(i) / float64(max(1, len(h.sorted)))
}

// at is the level a number of hours, not whole, after an hour; NaN where not known.
func (h *History) at(hour int32, after float64) float64 {
	i := float64(hour) + after
	j := int(i)
	if j+1 >= len(h.level) {
		return math.NaN()
	}
	a, b := float64(h.level[j]), float64(h.level[j+1])
	return a + (b-a)*(i-float64(j))
}

// past is an hour that was like the present, and how much it counts.
type past struct {
	hour   int32
	weight float64
}

// How near a past hour is to the present: a width for each of what is compared. They are
// wide enough that a year gives a common state some twenty days like it. From memory.
const (
	rankWidth   = 0.08
	rateWidth   = 0.7
	seasonWidth = 45.0 // days
	pastMost    = 400
	pastEnough  = 8.0 // days; with fewer the widths grow
)

// like gives the past hours most like a state at a time of year, and how many days they
// are worth: hours of one day are hardly more than one.
func (h *History) like(now state, yearDay float64) (all []past, days float64) {
	for width := 1.0; width < 4; width *= 1.5 {
		all = all[:0]
		for _, s := range h.states {
			if w := h.likeness(now, s, yearDay, width); w > 0.02 {
				all = append(all, past{s.hour, w})
			}
		}
		if days = worth(all); days >= pastEnough {
			break
		}
	}
	slices.SortFunc(all, func(a, b past) int { return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(b.hour, a.hour)) })
	return all[:min(len(all), pastMost)], days
}

func (h *History) likeness(a, b state, yearDay, width float64) float64 {
	rank := float64(a.rank-b.rank) / (rankWidth * width)
	now, day := float64(a.now-b.now)/(rateWidth*width), float64(a.day-b.day)/(rateWidth*width)
	d := rank*rank + now*now + day*day
	if d > 8 {
		return 0
	}
	if h.long {
		apart := math.Abs(yearDay - yearDayOf(h.first+int64(b.hour)))
		apart = min(apart, 365.25-apart) / (seasonWidth * width)
		d += apart * apart
	}
	return math.Exp(-d / 2)
}

// yearDayOf is how far a year has gone at an hour since 1970, in days.
func yearDayOf(hour int64) float64 { return math.Mod(float64(hour)/24, 365.25) }

// worth counts days, each by the best of its hours.
func worth(all []past) float64 {
	var sum, best float64
	day := int32(-1)
	for _, p := range all { // still in order of time
		if p.hour/24 != day {
			sum, best, day = sum+best, 0, p.hour/24
		}
		best = max(best, p.weight)
	}
	return sum + best
}
