package hydro

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// beyondM is how far outside the sounded levels a level is still as good as
// sounded.
const beyondM = 0.05

// reading is a sounding as the depth fit sees it.
type reading struct {
	moved          float64 // variance of the bed's δ, in σ²
	floods         int     // since
	levelM, depthM float64
}

// readingsOf returns the soundings as δ runs backwards: the least sure first.
func readingsOf(s []Sounding, floods []time.Time, now time.Time, p *Prior) []reading {
	r2 := p.ReadingSDM * p.ReadingSDM
	drift, jump := p.DriftSDM*p.DriftSDM/r2, p.FloodSDM*p.FloodSDM/r2
	rs := make([]reading, len(s))
	for i := range s {
		ageYears := max(0, now.Sub(s[i].At).Hours()/(365.25*24))
		n := since(floods, s[i].At)
		rs[i] = reading{drift*ageYears + jump*float64(n), n, s[i].LevelM, s[i].DepthM}
	}
	// Soundings mostly come oldest first, when this costs next to nothing.
	slices.SortFunc(rs, func(a, b reading) int { return cmp.Compare(b.moved, a.moved) })
	return rs
}

// pastFloods returns the floods up to now, in order and each once.
func pastFloods(floods []time.Time, now time.Time) []time.Time {
	for i := 1; i < len(floods); i++ {
		if !floods[i-1].Before(floods[i]) {
			floods = slices.Clone(floods)
			slices.SortFunc(floods, time.Time.Compare)
			floods = slices.CompactFunc(floods, time.Time.Equal)
			break
		}
	}
	return floods[:len(floods)-since(floods, now)]
}

// since counts the ordered floods after at.
func since(floods []time.Time, at time.Time) int {
	i := len(floods)
	for i > 0 && floods[i-1].After(at) {
		i--
	}
	return len(floods) - i
}

// depthPrior is the depth line before any sounding, in metres.
func depthPrior(p *Prior) line {
	// Nothing is assumed of the depth at the mean level: 2 m give or take 30. In a
	// conjugate prior that width scales with σ, and a depth well inside it would
	// pass for evidence that σ is small. Half a reading less of shape takes that
	// back: it is the posterior under a flat prior that does not know σ.
	const typicalM, vagueM = 2, 30
	r2 := p.ReadingSDM * p.ReadingSDM
	return line{
		m0: typicalM, m1: p.SlopeMean,
		v00: vagueM * vagueM / r2, v11: p.SlopeSD * p.SlopeSD / r2,
		a: errorShape - 0.5, b: errorShape * r2,
	}
}

// fitDepth takes the readings from the last, as δ runs from its zero now.
func (r *Run) fitDepth(rs []reading) {
	var walk whitener
	var moved float64
	for _, rd := range slices.Backward(rs) {
		r.depth.add(walk.next(rd.moved-moved, 1, rd.levelM-r.meanM, rd.depthM))
		moved = rd.moved
	}
	r.depthT = t90(2 * r.depth.a)
}

// Depth returns the true depth at a level now, in metres, as a plummet without
// error would find it. Where the bed stands above the water it is 0. The error is
// ErrNotPlumbed, or names a level that is not within ±10,000 m.
func (r *Run) Depth(levelM float64) (Figure, error) {
	if err := checkLevel(levelM); err != nil {
		return Figure{}, fmt.Errorf("hydro: %w", err)
	}
	if r.basis.Soundings == 0 {
		return Figure{}, ErrNotPlumbed
	}
	mid, scale := r.depth.at(levelM-r.meanM, 0)
	half := r.depthT * scale
	return Figure{Mid: max(0, mid), Low: max(0, mid-half), High: max(0, mid+half)}, nil
}

// Bed returns the height of the bed above the datum of the levels, in metres: level
// less depth at the mean sounded level, where the slope matters least. The only
// error is ErrNotPlumbed.
func (r *Run) Bed() (Figure, error) {
	if r.basis.Soundings == 0 {
		return Figure{}, ErrNotPlumbed
	}
	depth, scale := r.depth.at(0, 0)
	mid, half := r.meanM-depth, r.depthT*scale
	return Figure{Mid: mid, Low: mid - half, High: mid + half}, nil
}

// Beyond says whether a level lies more than 5 cm below the lowest or above the
// highest that was sounded. Both are false when nothing was sounded, and for NaN,
// which Depth refuses.
func (r *Run) Beyond(levelM float64) (below, above bool) {
	if r.basis.Soundings == 0 {
		return false, false
	}
	return levelM < r.basis.LowestM-beyondM, levelM > r.basis.HighestM+beyondM
}
