package hydro

import "math"

// rungHours are the hours ahead at which a forecast's range is worked out; between them
// it is drawn.
var rungHours = [rungs]float64{1, 2, 3, 6, 9, 12, 18, 24, 36, 48, 72, 96, 132, 168, 240, 336}

const rungs = 16

// seasons are the parts a year is cut into to say what its levels usually are.
const seasons = 12

// learnSeasons finds the mean level of each part of the year; of one that was never read,
// the mean of all.
func (h *History) learnSeasons() {
	var sum, n [seasons]float64
	var all, count float64
	for i, v := range h.level {
		if v == v {
			s := int(yearDayOf(h.first+int64(i)) / yearDays * seasons)
			sum[s], n[s] = sum[s]+float64(v), n[s]+1
			all, count = all+float64(v), count+1
		}
	}
	for s := range sum {
		h.season[s] = all / count
		if h.long && n[s] > 0 {
			h.season[s] = sum[s] / n[s]
		}
	}
}

// usualM is the usual level at an hour of the year: between the middles of its parts.
func (h *History) usualM(yearDay float64) float64 {
	x := yearDay/yearDays*seasons - 0.5 + seasons
	i := int(x)
	a, b := h.season[i%seasons], h.season[(i+1)%seasons]
	return a + (b-a)*(x-float64(i))
}

// rungStride is how many hours apart the changes over a rung are sampled.
const rungStride = 5

// carriedDays is how many days of a history "a level stays as it is" counts for, against
// what is left of a level's distance from the usual.
const carriedDays = 365

// meanToSD is a normal distribution's standard deviation over its mean distance from the
// middle, √(π/2).
const meanToSD = 1.2533141373155003

// learnRungs finds how much a level changes over each rung, and how much of its distance
// from the usual is left: the slope of the later distance on the earlier.
func (h *History) learnRungs() {
	days := float64(len(h.sorted)) / 24
	for k, ahead := range rungHours {
		var n, change, cross, square float64
		for i := 0; i+int(ahead) < len(h.level); i += rungStride {
			a, b := float64(h.level[i]), float64(h.level[i+int(ahead)])
			if a != a || b != b {
				continue
			}
			hour := h.first + int64(i)
			da := a - h.usualM(yearDayOf(hour))
			db := b - h.usualM(yearDayOf(hour+int64(ahead)))
			n, change = n+1, change+math.Abs(b-a)
			cross, square = cross+da*db, square+da*da
		}
		h.carried[k] = 1
		if n > 0 {
			h.spread[k] = meanToSD * change / n
		}
		if square > 0 && h.long {
			left := min(max(cross/square, 0), 1)
			h.carried[k] += (left - 1) * days / (days + carriedDays)
		}
	}
}
