package hydro

import (
	"cmp"
	"math"
	"slices"
)

// priorPoints are the residuals assumed of any river, by the assumed spread: the middle of
// each ninth of Student's t distribution with three degrees of freedom, since that spread
// is itself known from few spells.
var priorPoints = [9]float64{-2.2385, -1.1505, -0.6615, -0.3087, 0, 0.3087, 0.6615, 1.1505, 2.2385}

// point is a level the river may stand at, and how much that counts.
type point struct{ levelM, weight float64 }

// ladder is how far the range reaches below and above Mid at each rung. The two together
// never narrow.
type ladder struct{ down, up [rungs]float64 }

func (l *ladder) climb(o *origin) {
	wide := 2 * z90 * o.scatter
	for k, ahead := range rungHours {
		ps, unseen := o.levels(ahead)
		low, mid, high := quantile(ps, 0.1), quantile(ps, 0.5), quantile(ps, 0.9)
		besides := z90 * math.Hypot(o.scatter, unseen)
		down, up := math.Hypot(mid-low, besides), math.Hypot(high-mid, besides)
		wide = max(wide, down+up)
		l.down[k], l.up[k] = down*wide/(down+up), up*wide/(down+up)
	}
}

// between is what a rung holds so many hours ahead: from start at none, as the root of
// time between two rungs.
func between(rung *[rungs]float64, start, ahead float64) float64 {
	before, from := start, 0.0
	for k, to := range rungHours {
		if ahead <= to {
			s := (math.Sqrt(ahead) - math.Sqrt(from)) / (math.Sqrt(to) - math.Sqrt(from))
			return before + s*(rung[k]-before)
		}
		before, from = rung[k], to
	}
	return before
}

// after is the level some hours ahead. What the floor cuts off below is given above, so
// that the range does not narrow as the river nears it.
func (o *origin) after(ahead float64) Figure {
	ps, _ := o.levels(ahead)
	change := quantile(ps, 0.5) - o.readM
	if ahead < 1 { // begin at what was read, not where the smoothing has it
		change -= (1 - ahead) * (o.levelM - o.readM)
	}
	mid := max(o.readM+believed(change), o.lowestM)
	const least = z90 * boardSDM
	down, up := between(&o.ladder.down, least, ahead), between(&o.ladder.up, least, ahead)
	low := max(mid-down, o.floorM-least)
	return Figure{Mid: mid, Low: low, High: mid + up + (low - (mid - down))}
}

// believed is how much of a change is told: little of one that is less than the error of
// the reading it starts from, all of a large one.
func believed(changeM float64) float64 {
	square := changeM * changeM
	return changeM * square / (square + boardSDM*boardSDM)
}

// levels are the levels the river may stand at some hours ahead, lowest first; their
// weights sum to 1. Unseen is the standard deviation of what it may do besides that was
// not seen at the past hours, since their levels lie on lines between readings: with H
// hours ahead and G between the readings √(σ²·H·(1 − H/G)), σ being the river's roughness.
func (o *origin) levels(ahead float64) (ps []point, unseenM float64) {
	held := between(&o.h.carried, 1, ahead)
	goes := goesOn(o.levelM, o.rate, o.baseM, ahead)
	spells, fit := o.regress(ahead, held, goes)
	share := spells / (spells + o.h.prior())
	o.points = o.points[:0]
	for _, c := range fit.cases {
		o.points = append(o.points, point{max(o.floorM, o.levelM+fit.change(c)), share * c.weight / fit.sum})
	}
	mid := o.levelM + (held-1)*o.farFromUsual() + between(&o.trend, o.trend[0], ahead)*goes
	sd := between(&o.sds, 0, ahead)
	for _, z := range priorPoints {
		o.points = append(o.points, point{max(o.floorM, mid+z*sd), (1 - share) / float64(len(priorPoints))})
	}
	slices.SortFunc(o.points, func(a, b point) int { return cmp.Compare(a.levelM, b.levelM) })
	if fit.sum > 0 {
		unseenM = o.h.roughM * math.Sqrt(share*ahead*fit.unseen/fit.sum)
	}
	return o.points, unseenM
}

func (o *origin) farFromUsual() float64 {
	return o.levelM - o.h.usualM(yearDayOf(hourOf(o.at)))
}

// assumedSpread is that of the last days' changes, and as they tell less of what is far
// ahead, that of the history's; and 2 cm in an hour, growing as the root of time, counted
// in as one spell of those hours, and never less than twelve.
func (o *origin) assumedSpread(ahead float64) float64 {
	own, n := o.ownSpread(ahead)
	learnt := own * own
	if past := between(&o.h.spread, 0, ahead); len(o.h.states) > 0 && past > 0 {
		recent := n / (n + 24 + ahead)
		learnt = recent*learnt + (1-recent)*past*past
		n += float64(len(o.h.sorted))
	}
	assumed := max(roughHours, ahead)
	return math.Sqrt((n*learnt + assumed*roughSDM*roughSDM*ahead) / (n + assumed))
}

// quantile is that of ordered points whose weights sum to 1, by the line between their
// middles.
func quantile(ps []point, want float64) float64 {
	before, sum := 0.0, 0.0
	for i, p := range ps {
		middle := sum + p.weight/2
		if middle >= want {
			if i == 0 {
				return p.levelM
			}
			s := (want - before) / (middle - before)
			return ps[i-1].levelM + s*(p.levelM-ps[i-1].levelM)
		}
		before = middle
		sum += p.weight
	}
	return ps[len(ps)-1].levelM
}
