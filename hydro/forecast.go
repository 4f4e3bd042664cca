package hydro

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"time"
)

// ErrTooFar says that a moment is too far ahead to say anything of a level.
var ErrTooFar = errors.New("hydro: too far ahead to foresee a level")

// ForecastMost is how far past the last reading a level is foreseen.
const ForecastMost = 14 * 24 * time.Hour

// Foreseen is a level at a moment to come.
type Foreseen struct {
	At time.Time
	Figure
}

// A rise goes on for about this many hours, less and less. From memory.
const riseHours = 3.0

// priorDays is how many days of the history what is assumed of any river counts for.
const priorDays = 3.0

// priorPoints are the residuals assumed of any river, in standard deviations: the middle
// of each ninth of a normal distribution.
var priorPoints = [9]float64{-1.5932, -0.9674, -0.5895, -0.2822, 0, 0.2822, 0.5895, 0.9674, 1.5932}

// Forecast foresees the level at a moment after the last of the recent readings (the
// last day or more, in any order; of two at one time the later in the list counts). With
// x the last level, r its change in an hour over the last three hours, H the hours to
// the moment, and b the river's base (the level it is below 2 % of the time), the level
// goes on to
//
//	x + g(H),  g = r·3 h·(1 − e^(−H/3 h))             where it rises
//	           g = −(x − b)·(1 − e^(−H·|r| ÷ (x − b)))  where it falls: a recession
//
// and to that comes how far the river then strayed from g at the hours of its history
// that were most like now: in how high the river stood among its own levels, in its
// change over three hours and over a day, and in the time of year. Mid is the weighted
// median of those, Low and High the 10 % and 90 % points. To those hours a normal spread
// of the river's roughness times √H is added that counts as three days, so that where the
// history is thin or nil the answer is g with a wide range. A level is never foreseen
// below the lowest the river has been, unless it is there already.
//
// The recession is the exponential one of any hydrology handbook (from memory); nearest
// neighbours in the record are a method of long standing; the widths are from memory.
//
// Errors: ErrNoLevels with no reading; ErrTooFar more than 14 days after the last; a
// level out of its range, by name. A moment at or before the last reading is LevelAt's.
func (h *History) Forecast(recent []Reading, at time.Time) (Figure, error) {
	f, err := h.fan(recent, []time.Time{at})
	if err != nil {
		return Figure{}, err
	}
	return f[0].Figure, nil
}

// Fan foresees the level every step after the last of the recent readings, until a
// moment, which it includes. Errors are those of Forecast; a step under a minute is one
// of a minute.
func (h *History) Fan(recent []Reading, until time.Time, step time.Duration) ([]Foreseen, error) {
	rs, err := sorted(recent)
	if err != nil {
		return nil, err
	}
	if len(rs) == 0 {
		return nil, ErrNoLevels
	}
	last := rs[len(rs)-1].At
	if until.Sub(last) > ForecastMost {
		return nil, ErrTooFar
	}
	step = max(step, time.Minute)
	var times []time.Time
	for at := last.Add(step); at.Before(until); at = at.Add(step) {
		times = append(times, at)
	}
	return h.fan(rs, append(times, until))
}

func (h *History) fan(recent []Reading, times []time.Time) ([]Foreseen, error) {
	rs, err := sorted(recent)
	if err != nil {
		return nil, err
	}
	if len(rs) == 0 {
		return nil, ErrNoLevels
	}
	o := h.originOf(rs)
	out := make([]Foreseen, len(times))
	for i, at := range times {
		switch ahead := at.Sub(o.at); {
		case ahead > ForecastMost:
			return nil, ErrTooFar
		case ahead <= 0:
			f, err := LevelAt(rs, at)
			if err != nil {
				return nil, err
			}
			out[i] = Foreseen{at, f}
		default:
			out[i] = Foreseen{at, o.after(hours(ahead))}
		}
	}
	return out, nil
}

// origin is the present of a forecast.
type origin struct {
	h       *History
	at      time.Time
	levelM  float64
	rate    float64 // change in an hour
	baseM   float64
	lowestM float64
	roughM  float64
	like    []past
	share   float64 // of the answer that the history gives
	points  []point // room for a forecast's points
}

func (h *History) originOf(rs []Reading) *origin {
	last := rs[len(rs)-1]
	o := &origin{h: h, at: last.At, levelM: last.LevelM, rate: rateOver(rs, nowHours), roughM: roughness(rs)}
	o.baseM, o.lowestM = last.LevelM, last.LevelM
	for _, r := range rs {
		o.baseM = min(o.baseM, r.LevelM)
	}
	o.lowestM = o.baseM
	if h == nil || len(h.sorted) == 0 {
		return o
	}
	o.baseM = h.baseM
	o.lowestM = min(o.lowestM, float64(h.sorted[0]))
	now := h.stateOf(0, last.LevelM, o.rate, rateOver(rs, dayHours))
	var days float64
	o.like, days = h.like(now, yearDayOf(hourOf(last.At)))
	o.share = days / (days + priorDays)
	return o
}

// rateOver is the change in an hour over the last hours of ordered readings; over what
// there is where they do not go so far back, and between the last two where they are
// farther apart.
func rateOver(rs []Reading, over float64) float64 {
	last := rs[len(rs)-1]
	from := last.At.Add(-time.Duration(over * float64(time.Hour)))
	for i := len(rs) - 2; i >= 0; i-- {
		r := rs[i]
		if r.At.After(from) && i > 0 {
			continue
		}
		span := hours(last.At.Sub(r.At))
		if i < len(rs)-2 && r.At.Before(from) { // between this and the next
			next := rs[i+1]
			s := hours(from.Sub(r.At)) / hours(next.At.Sub(r.At))
			return (last.LevelM - (r.LevelM + s*(next.LevelM-r.LevelM))) / over
		}
		if span > hours(gapLongest) {
			return 0
		}
		return (last.LevelM - r.LevelM) / max(span, 1.0/60)
	}
	return 0
}

// goesOn is g: what the level changes by in some hours if the river goes on as it does.
func goesOn(levelM, rate, baseM, ahead float64) float64 {
	if rate >= 0 {
		return rate * riseHours * (1 - math.Exp(-ahead/riseHours))
	}
	over := levelM - baseM
	if over <= leastRateM {
		return 0
	}
	return -over * (1 - math.Exp(ahead*rate/over))
}

// point is how far the level may stray, and how much that counts.
type point struct{ strayM, weight float64 }

func (o *origin) after(ahead float64) Figure {
	o.points = o.points[:0]
	var sum float64
	for _, p := range o.like {
		from := float64(o.h.level[p.hour])
		stray := o.h.at(p.hour, ahead) - from - goesOn(from, o.h.change(int(p.hour), nowHours), o.h.baseM, ahead)
		if !math.IsNaN(stray) {
			o.points = append(o.points, point{stray, p.weight})
			sum += p.weight
		}
	}
	share := o.share
	if sum == 0 {
		share = 0
	}
	for i := range o.points {
		o.points[i].weight *= share / sum
	}
	sd := o.roughM * math.Sqrt(ahead)
	for _, z := range priorPoints {
		o.points = append(o.points, point{z * sd, (1 - share) / float64(len(priorPoints))})
	}
	mid := o.levelM + goesOn(o.levelM, o.rate, o.baseM, ahead)
	q := quantiles(o.points, 0.1, 0.5, 0.9)
	f := Figure{Mid: mid + q[1], Low: mid + q[0], High: mid + q[2]}
	f.Low = min(max(f.Low, o.lowestM), f.High)
	f.Mid = min(max(f.Mid, f.Low), f.High)
	if f.High < o.lowestM {
		return about(o.lowestM, boardSDM)
	}
	return Figure{Mid: f.Mid, Low: f.Low - z90*boardSDM, High: f.High + z90*boardSDM}
}

// quantiles are those of weighted points, whose weights sum to 1, by the line between
// their middles.
func quantiles(ps []point, shares ...float64) []float64 {
	slices.SortFunc(ps, func(a, b point) int { return cmp.Compare(a.strayM, b.strayM) })
	out := make([]float64, len(shares))
	for i, want := range shares {
		out[i] = quantile(ps, want)
	}
	return out
}

func quantile(ps []point, want float64) float64 {
	before, sum := 0.0, 0.0
	for i, p := range ps {
		middle := sum + p.weight/2
		if middle >= want {
			if i == 0 {
				return p.strayM
			}
			s := (want - before) / (middle - before)
			return ps[i-1].strayM + s*(p.strayM-ps[i-1].strayM)
		}
		before = middle
		sum += p.weight
	}
	return ps[len(ps)-1].strayM
}
