package under

import (
	"slices"
	"time"
)

// Took is how long many things took.
type Took []time.Duration

// Percentile is the nearest-rank percentile: the least of the times that at least share
// of them (0 to 1) do not exceed. Of none it is 0.
func (t Took) Percentile(share float64) time.Duration {
	if len(t) == 0 {
		return 0
	}
	sorted := slices.Clone(t)
	slices.Sort(sorted)
	return sorted[rank(share, len(sorted))]
}

// Percentiles gives several, sorting once.
func (t Took) Percentiles(shares ...float64) []time.Duration {
	out := make([]time.Duration, len(shares))
	if len(t) == 0 {
		return out
	}
	sorted := slices.Clone(t)
	slices.Sort(sorted)
	for i, share := range shares {
		out[i] = sorted[rank(share, len(sorted))]
	}
	return out
}

// rank is the place of a share among n sorted ones.
func rank(share float64, n int) int {
	at := int(share * float64(n))
	if float64(at) == share*float64(n) {
		at--
	}
	return min(max(at, 0), n-1)
}

// Slope is the least-squares slope of values over their times, a minute. Of fewer than
// two it is 0.
func Slope(at []time.Duration, values []float64) float64 {
	n := float64(len(at))
	var sx, sy, sxx, sxy float64
	for i, t := range at {
		x := t.Minutes()
		sx, sy, sxx, sxy = sx+x, sy+values[i], sxx+x*x, sxy+x*values[i]
	}
	if d := n*sxx - sx*sx; d > 0 {
		return (n*sxy - sx*sy) / d
	}
	return 0
}
