package hydro

import (
	"math"
	"time"
)

// ownHours is how many of the last hours count as history of their own.
const ownHours = 14 * 24

// A rise goes on for about this many hours, less and less. From memory.
const riseHours = 3.0

// origin is the present of a forecast.
type origin struct {
	h       *History // never nil
	at      time.Time
	readM   float64        // the last reading
	levelM  float64        // what the river is taken to stand at, within that reading's error
	rate    float64        // change in an hour
	baseM   float64        // what the river falls back to
	lowestM float64        // the lowest it has been read
	floorM  float64        // below which it is not foreseen
	scatter float64        // of a single reading about the mean of its hour, and of the last one
	own     hourMeans      // the last hours, each ending whole hours before now
	like    []past         // the hours most like now
	trend   [rungs]float64 // share of g that is held to come, beforehand
	sds     [rungs]float64 // the spread that is assumed, beforehand
	ladder  ladder
	points  []point // room for a forecast's points
	known   []past  // and for the past hours that go on long enough
	cases   []analog
}

func (h *History) originOf(rs []Reading) *origin {
	last := rs[len(rs)-1]
	o := &origin{h: h, at: last.At, readM: last.LevelM, levelM: smoothed(rs)}
	o.own = hoursOf(rs, ownHours, func(t time.Time) int64 { return -int64(last.At.Sub(t) / time.Hour) })
	o.own.first += hourOf(last.At) // the year's day is all this is for
	if h == nil || len(h.sorted) == 0 {
		o.h = historyOf(o.own)
		o.h.roughM = roughness(rs)
		o.h.states, o.h.trends = nil, trends{} // they come as the fresh ones
	}
	o.scatter = math.Hypot(o.scatterOf(rs), boardSDM)
	o.findFloor()
	o.compare()
	for k, ahead := range rungHours {
		o.sds[k] = o.assumedSpread(ahead)
	}
	o.ladder.climb(o)
	return o
}

// A river may fall below the lowest it has been read by what it has moved between and 0.3 m
// besides, times 10 days ÷ (10 days + the days it was read on). From memory.
const (
	dropDays = 10.0
	dropM    = 0.3
)

// findFloor finds how far down a river may be foreseen, the lower the less is known of it,
// and what it falls back to.
func (o *origin) findFloor() {
	low, high := min(o.readM, o.levelM), max(o.readM, o.levelM)
	for _, v := range o.own.level {
		if v == v {
			low, high = min(low, float64(v)), max(high, float64(v))
		}
	}
	low = min(low, float64(o.h.sorted[0]))
	high = max(high, float64(o.h.sorted[len(o.h.sorted)-1]))
	days := float64(len(o.h.sorted)) / 24
	drop := (high - low + dropM) * dropDays / (dropDays + days)
	o.lowestM, o.floorM, o.baseM = low, low-drop, o.h.baseM
}

// compare finds the past hours most like now, and how trends went on.
func (o *origin) compare() {
	n := len(o.own.level) - 1
	if o.rate = o.own.change(n, min(nowHours, max(n, 1))); math.IsNaN(o.rate) {
		o.rate = 0
	}
	var own trends
	own.learn(&o.own, o.baseM, 1)
	o.trend = shares(own.of(o.rate), o.h.trends.of(o.rate))
	o.like = o.h.like(o.h.stateOf(o.own, n), &o.own, o.fresh())
}

// fresh are the states of the last hours that the history does not hold.
func (o *origin) fresh() []state {
	all := o.h.statesOf(o.own, 1)
	if len(o.h.states) == 0 {
		return all
	}
	end := o.h.first + int64(len(o.h.level))
	for i, s := range all {
		if o.own.first+int64(s.hour) >= end {
			return all[i:]
		}
	}
	return nil
}

// smoothed is the end of a straight line through the last hour's readings, where there are
// three or more, no farther from the last reading than that may be out and within what
// was read.
func smoothed(rs []Reading) float64 {
	last := rs[len(rs)-1]
	var n, x, y, xx, xy float64
	low, high := last.LevelM, last.LevelM
	for i := len(rs) - 1; i >= 0 && last.At.Sub(rs[i].At) <= time.Hour; i-- {
		t, v := -hours(last.At.Sub(rs[i].At)), rs[i].LevelM-last.LevelM
		n, x, y, xx, xy = n+1, x+t, y+v, xx+t*t, xy+t*v
		low, high = min(low, rs[i].LevelM), max(high, rs[i].LevelM)
	}
	if n < 3 {
		return last.LevelM
	}
	slope := (n*xy - x*y) / (n*xx - x*x)
	off := min(max((y-slope*x)/n, -boardSDM), boardSDM)
	return min(max(last.LevelM+off, low), high)
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

// scatterOf is the standard deviation of a single reading about the means of the hours,
// with a board's own error counted in as twelve readings.
func (o *origin) scatterOf(rs []Reading) float64 {
	square, n := roughHours*boardSDM*boardSDM, float64(roughHours)
	for i := len(rs) - 2; i > 0; i-- {
		ago := hours(o.at.Sub(rs[i].At))
		if ago > ownHours {
			break
		}
		if hours(rs[i+1].At.Sub(rs[i-1].At)) > 1 {
			continue // means of one reading tell nothing of it
		}
		mean := o.own.at(0, float64(len(o.own.level))-0.5-ago)
		if d := rs[i].LevelM - mean; d == d {
			square, n = square+d*d, n+1
		}
	}
	return math.Sqrt(square / n)
}

// ownSpread is the standard deviation of the level's change over some hours as the last days
// have it: over the longest of a few spans that they hold often enough, grown as the root
// of time, and from how many hours.
func (o *origin) ownSpread(ahead float64) (sd, n float64) {
	for _, span := range [...]int{24, 12, 6, 3, 1} {
		if float64(span) > ahead && span > 1 {
			continue
		}
		var sum float64
		n = 0
		for i := span; i < len(o.own.level); i++ {
			if d := o.own.change(i, span) * float64(span); d == d {
				sum, n = sum+math.Abs(d), n+1
			}
		}
		if n >= 2*float64(span) {
			return meanToSD * sum / n * math.Sqrt(ahead/float64(span)), n
		}
	}
	return 0, 0
}
