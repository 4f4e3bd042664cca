package hydro

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Neighbour is a run whose bed tells something of another's. Its levels must be
// above the same datum.
type Neighbour struct {
	Run  *Run    // fitted to its own soundings, without borrowing
	OutM float64 // how much farther out it lies, m, from −1,000 to 1,000
	Pegs int     // how many pegs along the bank, below 0 the other way; to ±1,000
}

// borrowed is the bed as the neighbours have it.
type borrowed struct {
	runs, timed int
	levelM      float64 // at this level
	depthM, sdM float64 // it is so deep
}

// How much less places have in common the farther apart they are. The difference
// between two places is normal, with variance
//
//	2·spot² + perM²·(difference of distance out, m) + perPeg²·(pegs between)
//
// All from memory, no source.
var (
	bedLikeness  = likeness{spot: 0.10, perM: 0.25, perPeg: 0.35} // m
	paceLikeness = likeness{spot: 0.10, perM: 0.20, perPeg: 0.25} // natural logs, at one depth
)

type likeness struct{ spot, perM, perPeg float64 }

// apart returns the variance of the difference between two places.
func (l *likeness) apart(outM float64, pegs int) float64 {
	return 2*l.spot*l.spot + l.perM*l.perM*math.Abs(outM) + l.perPeg*l.perPeg*math.Abs(float64(pegs))
}

const (
	mostNeighbours = 12 // the nearest; those behind them add next to nothing
	maxApart       = 1000
	// oddPlace is the share of beds that the neighbours do not tell of, a hole or a
	// bar, and oddTimes how much more widely those lie. From memory.
	oddPlace = 0.1
	oddTimes = 4
)

// Borrow returns own with what a run's neighbours tell of its bed and pace, for
// Fit. Those that were never sounded are passed over; where none is left, own comes
// back as it was, and a run without soundings stays ErrNotPlumbed.
//
// The bed at a place, level less depth, is that of each neighbour give or take
//
//	variance = 2·0.10² + 0.25²·metres out + 0.35²·pegs  (m²)
//
// and the neighbour's own doubt; neighbours that stand together say much the same
// and count so (this is kriging with a linear variogram and no drift). One place in
// ten is odd: there the range is four times as wide. So one sounding of the run's
// own overrides what was borrowed, and three leave next to nothing of it.
//
// Pace is borrowed as the median at 1.5 m deep, in logs, from neighbours with a
// timed float, in the same way with 0.10, 0.20 and 0.25, and joined to own's guess.
// All these are from memory, with no source.
//
// The error names a neighbour without a Run, one that has itself borrowed, and a
// distance that is not within ±1,000 m or ±1,000 pegs.
func Borrow(from []Neighbour, own Prior) (Prior, error) {
	if err := own.check(); err != nil {
		return Prior{}, fmt.Errorf("hydro: %w", err)
	}
	for i := range from {
		if err := from[i].check(); err != nil {
			return Prior{}, fmt.Errorf("hydro: neighbour %d of %d: %w", i+1, len(from), err)
		}
	}
	own.bed = borrowed{}
	own.borrowBed(nearest(from, &bedLikeness, func(b *Basis) bool { return b.Soundings > 0 }))
	own.borrowPace(nearest(from, &paceLikeness, func(b *Basis) bool { return b.Timed > 0 }))
	return own, nil
}

func (n *Neighbour) check() error {
	switch {
	case n.Run == nil:
		return errors.New("it has no run")
	case n.Run.basis.Borrowed > 0 || n.Run.basis.PaceBorrowed > 0:
		return errors.New("it has itself borrowed; fit it to its own soundings")
	case !within(n.OutM, -maxApart, maxApart):
		return rangeError("distance out", n.OutM, "m", -maxApart, maxApart)
	case n.Pegs < -maxApart || n.Pegs > maxApart:
		return rangeError("pegs", float64(n.Pegs), "", -maxApart, maxApart)
	}
	return nil
}

// nearest returns the likest neighbours that can tell, likest first.
func nearest(from []Neighbour, l *likeness, tells func(*Basis) bool) []Neighbour {
	var ns []Neighbour
	for _, n := range from {
		if tells(&n.Run.basis) {
			ns = append(ns, n)
		}
	}
	slices.SortStableFunc(ns, func(a, b Neighbour) int {
		va, vb := l.apart(a.OutM, a.Pegs), l.apart(b.OutM, b.Pegs)
		switch {
		case va < vb:
			return -1
		case va > vb:
			return 1
		}
		return 0
	})
	return ns[:min(len(ns), mostNeighbours)]
}

func (p *Prior) borrowBed(from []Neighbour) {
	if len(from) == 0 {
		return
	}
	var levelM float64
	for i, n := range from {
		levelM += (n.Run.meanM - levelM) / float64(i+1)
	}
	var bed, doubt [mostNeighbours]float64
	for i, n := range from {
		f, _ := n.Run.Bed() // it is sounded, and that is Bed's only error
		bed[i] = f.Mid
		own, slope := (f.High-f.Low)/(2*z90), p.SlopeSD*(n.Run.meanM-levelM)
		doubt[i] = own*own + slope*slope
	}
	mean, variance := krige(from, &bedLikeness, bed[:len(from)], doubt[:len(from)])
	p.bed.runs, p.bed.levelM = len(from), levelM
	p.bed.depthM, p.bed.sdM = levelM-mean, math.Sqrt(variance)
}

func (p *Prior) borrowPace(from []Neighbour) {
	if len(from) == 0 {
		return
	}
	var at, doubt [mostNeighbours]float64
	for i, n := range from {
		mid, scale := n.Run.pace.at(0, 0)
		at[i], doubt[i] = mid, scale*scale
	}
	mean, variance := krige(from, &paceLikeness, at[:len(from)], doubt[:len(from)])
	p.bed.timed = len(from)
	guess := p.PaceGuessSD * p.PaceGuessSD
	w := guess / (guess + variance)
	mean = w*mean + (1-w)*math.Log(p.PaceGuessMPS)
	p.PaceGuessMPS = min(max(math.Exp(mean), minPace), maxPace)
	p.PaceGuessSD = math.Sqrt(w * variance)
}

// krige returns the mean and the variance of the value at a place, of which nothing
// else is assumed, from its neighbours' values and the variances of their doubt: with
//
//	C_ij = ½(apart_0i + apart_0j − apart_ij) + doubt_i·[i = j]
//
// the covariance of value_i less the value sought, the variance is 1 ÷ 1ᵀC⁻¹1 and
// the mean 1ᵀC⁻¹value times that.
func krige(at []Neighbour, l *likeness, value, doubt []float64) (mean, variance float64) {
	var c [mostNeighbours][mostNeighbours]float64
	for i, a := range at {
		for j, b := range at[:i+1] {
			between := 0.0
			if i != j {
				between = l.apart(a.OutM-b.OutM, a.Pegs-b.Pegs)
			}
			c[i][j] = 0.5 * (l.apart(a.OutM, a.Pegs) + l.apart(b.OutM, b.Pegs) - between)
		}
		c[i][i] += doubt[i]
	}
	// Whitened by C's Cholesky factor, both are plain sums.
	var ones, values [mostNeighbours]float64
	var weight, sum float64
	for i := range at {
		o, v := 1.0, value[i]
		for j := range i {
			c[i][j] = (c[i][j] - dot(c[i][:j], c[j][:j])) / c[j][j]
			o -= c[i][j] * ones[j]
			v -= c[i][j] * values[j]
		}
		c[i][i] = math.Sqrt(c[i][i] - dot(c[i][:i], c[i][:i]))
		ones[i], values[i] = o/c[i][i], v/c[i][i]
		weight += ones[i] * ones[i]
		sum += ones[i] * values[i]
	}
	return sum / weight, 1 / weight
}

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// teller begins with what was borrowed, at meanM.
func (b *borrowed) teller(p *Prior, meanM float64) teller {
	t := newTeller(p, errorShape)
	x := meanM - b.levelM
	t.begin(math.Log1p(-oddPlace), firstStory(p, x, b.depthM, b.sdM))
	t.begin(math.Log(oddPlace), firstStory(p, x, b.depthM, oddTimes*b.sdM))
	return t
}
