package hydro

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

// Reading is a level read at a moment, in metres above one datum shared by all readings
// of a gauge, from −10,000 to 10,000.
type Reading struct {
	At     time.Time
	LevelM float64
}

// ErrNoLevels says that nothing was read to answer from.
var ErrNoLevels = errors.New("hydro: no level was read")

// GapError says that nothing honest can be said of the level between two readings.
type GapError struct{ From, To time.Time }

func (e *GapError) Error() string {
	return fmt.Sprintf("hydro: no level was read from %s to %s", stamp(e.From), stamp(e.To))
}

// How rough a river is before its readings say: the standard deviation of its level
// after an hour, growing as the root of time, and for how many hours of readings that
// counts. From memory.
const (
	roughSDM   = 0.02
	roughHours = 12
)

// boardSDM is the error of a board read to a centimetre.
const boardSDM = 0.005

// A gap is too long to speak of past gapLongest, or where the range in its middle would
// be wider than gapWidestM.
const (
	gapLongest = 10 * 24 * time.Hour
	gapWidestM = 1.0
)

// LevelAt is the level at a moment from the readings about it, in any order; of two at
// one time the later in the list counts.
//
// Between two readings Mid is the monotone cubic of Fritsch and Butland (SIAM Journal on
// Scientific and Statistical Computing 5, 1984): it goes through the readings and never
// beyond the two it lies between. The range is that of a Brownian bridge,
//
//	variance = σ²·t₁·t₂ ÷ (t₁ + t₂) + (0.5 cm)²
//
// t₁ and t₂ being the hours to either reading and σ the river's roughness, learnt from
// the readings given: the root of Σ(change²) ÷ Σ(hours), with 2 cm in an hour counted in
// as twelve hours of readings.
//
// Errors: ErrNoLevels before the first reading and after the last, and with none;
// *GapError where the two readings are more than ten days apart or the range in the
// middle between them is wider than a metre; a level out of its range, by name.
func LevelAt(readings []Reading, at time.Time) (Figure, error) {
	rs, err := sorted(readings)
	if err != nil {
		return Figure{}, err
	}
	i, found := slices.BinarySearchFunc(rs, at, func(r Reading, t time.Time) int { return r.At.Compare(t) })
	switch {
	case found:
		return about(rs[i].LevelM, boardSDM), nil
	case len(rs) == 0:
		return Figure{}, ErrNoLevels
	case i == 0 || i == len(rs):
		return Figure{}, fmt.Errorf("%w at %s; what was read is from %s to %s", ErrNoLevels,
			stamp(at), stamp(rs[0].At), stamp(rs[len(rs)-1].At))
	}
	before, after := rs[i-1], rs[i]
	gap, sd := hours(after.At.Sub(before.At)), roughness(rs)
	if after.At.Sub(before.At) > gapLongest || z90*sd*math.Sqrt(gap) > gapWidestM {
		return Figure{}, &GapError{before.At, after.At}
	}
	t1 := hours(at.Sub(before.At))
	return about(monotone(rs, i-1, t1/gap), math.Hypot(sd*math.Sqrt(t1*(gap-t1)/gap), boardSDM)), nil
}

func stamp(t time.Time) string { return t.Format(time.RFC3339) }

func about(mid, sd float64) Figure { return Figure{Mid: mid, Low: mid - z90*sd, High: mid + z90*sd} }

func hours(d time.Duration) float64 { return d.Hours() }

// sorted checks readings and sorts them, each time once.
func sorted(readings []Reading) ([]Reading, error) {
	for i, r := range readings {
		if r.At.IsZero() {
			return nil, fmt.Errorf("hydro: reading %d of %d has no time", i+1, len(readings))
		}
		if err := checkLevel(r.LevelM); err != nil {
			return nil, fmt.Errorf("hydro: reading %d of %d: %w", i+1, len(readings), err)
		}
	}
	if ordered(readings) {
		return readings, nil
	}
	rs := slices.Clone(readings)
	slices.SortStableFunc(rs, func(a, b Reading) int { return a.At.Compare(b.At) })
	out := rs[:0]
	for i, r := range rs {
		if i+1 == len(rs) || !rs[i+1].At.Equal(r.At) {
			out = append(out, r)
		}
	}
	return out, nil
}

func ordered(rs []Reading) bool {
	for i := 1; i < len(rs); i++ {
		if !rs[i-1].At.Before(rs[i].At) {
			return false
		}
	}
	return true
}

// roughness is the standard deviation of a level after an hour, from ordered readings.
func roughness(rs []Reading) float64 {
	sum, span := roughHours*roughSDM*roughSDM, float64(roughHours)
	for i := 1; i < len(rs); i++ {
		if gap := rs[i].At.Sub(rs[i-1].At); gap <= gapLongest {
			change := rs[i].LevelM - rs[i-1].LevelM
			sum += change * change
			span += hours(gap)
		}
	}
	return math.Sqrt(sum / span)
}

// monotone is the cubic between ordered readings i and i+1, at a share of the way.
func monotone(rs []Reading, i int, share float64) float64 {
	a, b := rs[i].LevelM, rs[i+1].LevelM
	h := hours(rs[i+1].At.Sub(rs[i].At))
	da, db := h*slopeAt(rs, i), h*slopeAt(rs, i+1)
	s, u := share, 1-share
	v := a*(1+2*s)*u*u + da*s*u*u + b*s*s*(1+2*u) - db*s*s*u
	return min(max(v, min(a, b)), max(a, b)) // rounding alone may pass them
}

// slopeAt is the cubic's slope at reading i, per hour: the weighted harmonic mean of the
// slopes on either side, 0 where they differ in sign; at the ends the three-point slope,
// held so that the cubic stays monotone.
func slopeAt(rs []Reading, i int) float64 {
	n := len(rs)
	secant := func(j int) (h, d float64) {
		h = hours(rs[j+1].At.Sub(rs[j].At))
		return h, (rs[j+1].LevelM - rs[j].LevelM) / h
	}
	switch {
	case n == 2:
		_, d := secant(0)
		return d
	case i == 0:
		h0, d0 := secant(0)
		h1, d1 := secant(1)
		return endSlope(h0, d0, h1, d1)
	case i == n-1:
		h0, d0 := secant(n - 2)
		h1, d1 := secant(n - 3)
		return endSlope(h0, d0, h1, d1)
	}
	h0, d0 := secant(i - 1)
	h1, d1 := secant(i)
	if d0*d1 <= 0 {
		return 0
	}
	w0, w1 := 2*h1+h0, h1+2*h0
	return (w0 + w1) / (w0/d0 + w1/d1)
}

func endSlope(h0, d0, h1, d1 float64) float64 {
	d := ((2*h0+h1)*d0 - h0*d1) / (h0 + h1)
	switch {
	case d*d0 <= 0:
		return 0
	case d0*d1 <= 0 && math.Abs(d) > 3*math.Abs(d0):
		return 3 * d0
	}
	return d
}
