package hydro

import (
	"math"
	"slices"
)

// past is an hour that was like the present, and how much it counts.
type past struct {
	hours  *hourMeans
	hour   int32
	weight float64
}

// How near a past hour is to the present: a width for each of what is compared. They are
// wide enough that a year gives a common state some twenty days like it. From memory.
const (
	rankWidth   = 0.08
	rateWidth   = 0.7
	seasonWidth = 45.0 // days
	pastMost    = 256
	pastEnough  = 8.0 // days; with fewer the widths grow
	pastBlock   = 4   // hours, of which the one most like now counts
)

// like gives the past hours most like a state, in order of time, from the history and
// from hours that it does not hold yet.
func (h *History) like(now state, own *hourMeans, fresh []state) []past {
	var all []past
	for width := 1.0; width < 4; width *= 1.5 {
		all = h.near(all[:0], now, &h.hourMeans, h.states, width)
		all = h.near(all, now, own, fresh, width)
		if worth(all, dayHours) >= pastEnough {
			break
		}
	}
	return most(all, pastMost)
}

// near adds of each few hours the one most like now, where it is like it at all.
func (h *History) near(all []past, now state, hours *hourMeans, states []state, width float64) []past {
	block, least := int32(-1), len(all)
	for _, s := range states {
		d := h.apart(now, s, width)
		if d > 8 {
			continue
		}
		w := math.Exp(-d / 2)
		if b := s.hour / pastBlock; b != block || len(all) == least {
			all, block = append(all, past{hours, s.hour, w}), b
		} else if last := &all[len(all)-1]; w > last.weight {
			*last = past{hours, s.hour, w}
		}
	}
	return all
}

// apart is the squared distance between two states in widths; what is not known of either
// does not count.
func (h *History) apart(a, b state, width float64) float64 {
	square := func(d float32, w float64) float64 {
		if d != d {
			return 0
		}
		x := float64(d) / (w * width)
		return x * x
	}
	d := square(a.rank-b.rank, rankWidth) + square(a.now-b.now, rateWidth) + square(a.day-b.day, rateWidth)
	if !h.long || d > 8 {
		return d
	}
	days := max(a.yearDay-b.yearDay, b.yearDay-a.yearDay)
	return d + square(min(days, yearDays-days), seasonWidth)
}

// worth counts how many spells of some hours the past hours are worth, each spell by the
// best of its hours: what lies in one spell is hardly more than one.
func worth(all []past, spell int32) float64 {
	var sum, best float64
	var hours *hourMeans
	of := int32(-1)
	for _, p := range all {
		if p.hours != hours || p.hour/spell != of {
			sum, best, hours, of = sum+best, 0, p.hours, p.hour/spell
		}
		best = max(best, p.weight)
	}
	return sum + best
}

// most keeps those of the past that count most, in their order.
func most(all []past, n int) []past {
	if len(all) <= n {
		return all
	}
	weights := make([]float64, len(all))
	for i, p := range all {
		weights[i] = p.weight
	}
	slices.Sort(weights)
	least := weights[len(weights)-n]
	out := all[:0]
	for _, p := range all {
		if p.weight >= least && len(out) < n {
			out = append(out, p)
		}
	}
	return out
}
