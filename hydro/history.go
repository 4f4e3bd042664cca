package hydro

import (
	"math"
	"slices"
	"time"
)

// History is how a gauge's level has gone on before, hour by hour. It does not change,
// so it may be used from many goroutines. A nil History knows nothing and still
// forecasts, widely.
type History struct {
	hourMeans
	sorted  []float32 // the levels that are there, lowest first
	baseM   float64   // what the river falls back to
	roughM  float64   // standard deviation of a level after an hour
	rateM   float64   // a usual change in an hour, m
	long    bool      // it covers more than a year, so seasons can be told
	states  []state
	season  [seasons]float64 // the mean level of each part of the year, where it is long
	carried [rungs]float64   // share of a level's distance from that which is left after a rung
	spread  [rungs]float64   // standard deviation of the change over a rung, from its mean, m
	trends  trends
}

// hourMeans is levels by the hour.
type hourMeans struct {
	first int64     // hour of level[0], hours since 1970
	level []float32 // each hour's mean, which is the level in its middle; NaN where not known
	gap   []uint8   // hours between the readings about it: 1 where each hour was read
}

// state is an hour of the past as a forecast compares it with the present.
type state struct {
	hour     int32   // index in level
	yearDay  float32 // how far the year has gone
	rank     float32 // share of the levels that are lower
	now, day float32 // scaled change an hour, over three hours and a day
}

// The hours that are joined by a straight line where nothing was read between: a board
// that somebody reads every day.
const joinHours = 30

// What of a history is used: at most this many hours, the newest, and about this many
// states.
const (
	historyMost = 25 * 366 * 24
	statesMost  = 30_000
)

// baseShare is the share of the time the river is below its base level.
const baseShare = 0.02

// A history is long, and its seasons can be told, past this.
const longHours = 400 * 24

// NewHistory learns from hourly levels (each the mean of the hour it stands in, or single
// readings of a board that is read once a day), in any order; of several in one hour the
// mean counts. Nothing between readings up to 30 hours apart is unknown: they are joined
// by a line. Of more than 25 years the newest 25 are used. With no reading it knows
// nothing. A level out of its range is an error that names it.
func NewHistory(levels []Reading) (*History, error) {
	rs, err := sorted(levels)
	if err != nil {
		return nil, err
	}
	if len(rs) == 0 {
		return &History{}, nil
	}
	h := historyOf(hoursOf(rs, historyMost, hourOf))
	h.roughM = roughness(rs)
	return h, nil
}

func hourOf(t time.Time) int64 { return int64(math.Floor(float64(t.Unix()) / 3600)) }

// hoursOf puts ordered readings on their hours, at most so many, and joins those that are
// near each other.
func hoursOf(rs []Reading, most int64, hour func(time.Time) int64) hourMeans {
	last := hour(rs[len(rs)-1].At)
	h := hourMeans{first: max(hour(rs[0].At), last-most)}
	h.level, h.gap = make([]float32, last-h.first+1), make([]uint8, last-h.first+1)
	for i := range h.level {
		h.level[i] = float32(math.NaN())
	}
	prev := -1
	for k := 0; k < len(rs); {
		at := hour(rs[k].At)
		sum, n := 0.0, 0.0
		for ; k < len(rs) && hour(rs[k].At) == at; k++ {
			sum, n = sum+rs[k].LevelM, n+1
		}
		if i := int(at - h.first); i >= 0 {
			h.level[i] = float32(sum / n)
			h.join(prev, i)
			prev = i
		}
	}
	return h
}

func (h *hourMeans) join(i, j int) {
	if i < 0 || j-i > joinHours {
		return
	}
	a, b := h.level[i], h.level[j]
	for k := i + 1; k < j; k++ {
		h.level[k] = a + (b-a)*float32(k-i)/float32(j-i)
		h.gap[k] = uint8(j - i)
	}
	h.gap[j] = uint8(j - i)
}

// at is the level a number of hours, not whole, after the middle of an hour; NaN where
// not known.
func (h *hourMeans) at(hour int32, after float64) float64 {
	i := float64(hour) + after
	j := int(i)
	if j+1 >= len(h.level) {
		return math.NaN()
	}
	a, b := float64(h.level[j]), float64(h.level[j+1])
	return a + (b-a)*(i-float64(j))
}

// change is the mean change in an hour over the hours up to i; NaN where not known.
func (h *hourMeans) change(i, over int) float64 {
	if i < over {
		return math.NaN()
	}
	return (float64(h.level[i]) - float64(h.level[i-over])) / float64(over)
}

func historyOf(hours hourMeans) *History {
	h := &History{hourMeans: hours, long: len(hours.level) > longHours}
	h.sorted = make([]float32, 0, len(h.level))
	for _, v := range h.level {
		if v == v {
			h.sorted = append(h.sorted, v)
		}
	}
	slices.Sort(h.sorted)
	h.baseM = float64(h.sorted[int(baseShare*float64(len(h.sorted)-1))])
	h.rateM = h.usualRate()
	h.learnSeasons()
	h.learnRungs()
	h.trends.learn(&h.hourMeans, h.baseM, rungStride)
	h.states = h.statesOf(h.hourMeans, 1+len(h.level)/statesMost)
	return h
}

// prior is how many spells of the history what is assumed of any river counts for: one, or
// three where the most of what the river does has still to be seen.
func (h *History) prior() float64 {
	if h.long {
		return 1
	}
	return priorShort
}

const priorShort = 3.0

const (
	nowHours, dayHours = 3, 24
	leastRateM         = 0.001 // a millimetre an hour: less is the board's own rounding
)

func (h *History) usualRate() float64 {
	rates := make([]float32, 0, len(h.level))
	for i := nowHours; i < len(h.level); i++ {
		if d := h.change(i, nowHours); d == d {
			rates = append(rates, float32(math.Abs(d)))
		}
	}
	if len(rates) == 0 {
		return leastRateM
	}
	slices.Sort(rates)
	return max(leastRateM, float64(rates[len(rates)/2]))
}

// statesOf are the states of hours, this gauge's or the last days', in this history's
// terms, each from its own hour and those before it.
func (h *History) statesOf(hours hourMeans, stride int) []state {
	out := make([]state, 0, len(hours.level)/stride+1)
	for i := nowHours; i < len(hours.level); i += stride {
		if s := h.stateOf(hours, i); s.now == s.now {
			out = append(out, s)
		}
	}
	return out
}

// stateOf is the state at an hour; what is not known of it is NaN.
func (h *History) stateOf(hours hourMeans, i int) state {
	scaled := func(over int) float32 { return float32(math.Asinh(hours.change(i, over) / h.rateM)) }
	return state{
		hour: int32(i), yearDay: float32(yearDayOf(hours.first + int64(i))),
		rank: float32(h.rank(float64(hours.level[i]))), now: scaled(nowHours), day: scaled(dayHours),
	}
}

// rank is the share of the hours at which the river was lower.
func (h *History) rank(levelM float64) float64 {
	i, _ := slices.BinarySearch(h.sorted, float32(levelM))
	return float64(i) / float64(max(1, len(h.sorted)))
}

// yearDayOf is how far a year has gone at an hour since 1970, in days.
func yearDayOf(hour int64) float64 {
	d := math.Mod(float64(hour)/24, yearDays)
	if d < 0 {
		d += yearDays
	}
	return d
}

const yearDays = 365.25
