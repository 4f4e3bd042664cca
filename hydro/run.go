package hydro

import (
	"errors"
	"fmt"
	"time"
)

// ErrNotPlumbed says that a run has no sounding and borrowed none, so nothing is known
// of its depth.
var ErrNotPlumbed = errors.New("hydro: this run has not been plumbed")

// Figure is a value with its range: Low to High holds the truth four times in five
// (the central 80 %), and Mid is the median. Low ≤ Mid ≤ High.
type Figure struct{ Mid, Low, High float64 }

// Basis is what a run's figures rest on.
type Basis struct {
	Soundings, Timed  int
	First, Last       time.Time
	LowestM, HighestM float64   // the levels sounded
	SinceFlood        int       // soundings after the newest flood; all of them when there was none
	LastTimed         time.Time // zero when none was timed
	Borrowed          int       // neighbouring runs the bed was borrowed from; see Borrow
	PaceBorrowed      int       // and the pace
}

// Run is what is known of the depth and pace of one run. It does not change after
// Fit, so it may be used from many goroutines.
type Run struct {
	basis Basis
	meanM float64 // mean sounded level; where nothing was sounded, the neighbours'
	depth mixture // depth over level − meanM
	pace  paceLaw // ln(pace) over ln(depth ÷ 1.5 m)
}

// errorShape is the a of the inverse-gamma priors of σ²: as sure as six readings,
// which puts the true reading error between 0.75 and 1.65 of the stated one four
// times in five.
const errorShape = 3

// Fit learns a run from its soundings, in any order. floods are the times at
// which the bed may have moved; those after now are left out, and one given twice
// counts once. A sounding up to a day after now counts as made now. With no
// sounding the Run knows nothing but its Basis, unless p has borrowed. A value outside its range, in a
// sounding or in p, is an error that names it.
func Fit(s []Sounding, floods []time.Time, now time.Time, p Prior) (*Run, error) {
	if err := p.check(); err != nil {
		return nil, fmt.Errorf("hydro: %w", err)
	}
	for i := range s {
		if err := s[i].check(now); err != nil {
			return nil, fmt.Errorf("hydro: sounding %d of %d: %w", i+1, len(s), err)
		}
	}
	r := &Run{meanM: p.bed.levelM, pace: fitPace(s, now, &p)}
	readings := readingsOf(s, pastFloods(floods, now), now)
	r.basis = basisOf(s, readings)
	r.basis.Borrowed, r.basis.PaceBorrowed = p.bed.runs, p.bed.timed
	if len(readings) > 0 {
		r.meanM = meanLevel(readings)
	}
	r.fitDepth(readings, &p)
	return r, nil
}

func basisOf(s []Sounding, rs []reading) (b Basis) {
	b.Soundings = len(s)
	floods := 0
	for i := range s {
		b.take(&s[i], i == 0)
		if floods += rs[i].gapFloods; floods == 0 {
			b.SinceFlood++
		}
	}
	return b
}

func meanLevel(rs []reading) (m float64) {
	for i := range rs {
		m += (rs[i].levelM - m) / float64(i+1)
	}
	return m
}

func (b *Basis) take(s *Sounding, first bool) {
	if first {
		b.First, b.Last = s.At, s.At
		b.LowestM, b.HighestM = s.LevelM, s.LevelM
	}
	b.LowestM, b.HighestM = min(b.LowestM, s.LevelM), max(b.HighestM, s.LevelM)
	if s.At.Before(b.First) {
		b.First = s.At
	}
	if s.At.After(b.Last) {
		b.Last = s.At
	}
	if s.PaceMPS > 0 {
		b.Timed++
		if s.At.After(b.LastTimed) {
			b.LastTimed = s.At
		}
	}
}

// Basis returns what the figures rest on.
func (r *Run) Basis() Basis { return r.basis }
