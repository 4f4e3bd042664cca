package hydro

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// beyondM is how far outside the sounded levels a level is still as good as
// sounded.
const beyondM = 0.05

// reading is a sounding as the depth fit sees it. The gap is the time from it to
// the next newer one, or to now.
type reading struct {
	at             time.Time // now for one after now
	gapYears       float64
	gapFloods      int
	levelM, depthM float64
}

// readingsOf returns the soundings newest first, as the fit takes them.
func readingsOf(s []Sounding, floods []time.Time, now time.Time) []reading {
	rs := make([]reading, len(s))
	for i := range s {
		rs[i] = reading{at: s[i].At, levelM: s[i].LevelM, depthM: s[i].DepthM}
		if s[i].At.After(now) {
			rs[i].at = now
		}
	}
	slices.SortFunc(rs, newerFirst)
	newer, before := now, 0
	for i := range rs {
		n := since(floods, rs[i].at)
		rs[i].gapYears = newer.Sub(rs[i].at).Hours() / (365.25 * 24)
		rs[i].gapFloods = n - before
		newer, before = rs[i].at, n
	}
	return rs
}

// newerFirst puts readings of one time in one order too, so that the order in which
// they are given cannot matter.
func newerFirst(a, b reading) int {
	if c := b.at.Compare(a.at); c != 0 {
		return c
	}
	if c := cmp.Compare(a.levelM, b.levelM); c != 0 {
		return c
	}
	return cmp.Compare(a.depthM, b.depthM)
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

// tellerOf is what is known of the depth line before any sounding.
func tellerOf(p *Prior, meanM float64) teller {
	if p.bed.runs > 0 {
		return p.bed.teller(p, meanM)
	}
	// Nothing is assumed of the depth at the mean level: 2 m give or take 30. In a
	// conjugate prior that width scales with σ, and a depth well inside it would
	// pass for evidence that σ is small. Half a reading less of shape takes that
	// back: it is the posterior under a flat prior that does not know σ.
	const typicalM, vagueM = 2, 30
	t := newTeller(p, errorShape-0.5)
	t.begin(0, firstStory(p, 0, typicalM, vagueM))
	return t
}

// firstStory is the depth line before any sounding, in metres, at the mean level: x m
// above one where the depth is known to sdM.
func firstStory(p *Prior, x, depthM, sdM float64) story {
	r2 := p.ReadingSDM * p.ReadingSDM
	v11 := p.SlopeSD * p.SlopeSD / r2
	return story{
		m0: depthM + x*p.SlopeMean, m1: p.SlopeMean,
		v00: sdM*sdM/r2 + x*x*v11, v01: x * v11, v11: v11,
		b: errorShape * r2,
	}
}

func (r *Run) fitDepth(rs []reading, p *Prior) {
	t := tellerOf(p, r.meanM)
	for i := range rs {
		t.take(&rs[i], rs[i].levelM-r.meanM)
	}
	r.depth = t.mixture()
}

// Depth returns the true depth at a level now, in metres, as a plummet without
// error would find it. Where the bed stands above the water it is 0. The error is
// ErrNotPlumbed, or names a level that is not within ±10,000 m.
func (r *Run) Depth(levelM float64) (Figure, error) {
	f, err := r.surface(levelM, z90)
	return dryAtZero(f), err
}

// DepthWithin is Depth with the range that holds the truth with a given share, from
// 0.01 to 0.999, half of the rest on each side. Depth's own is 0.8.
func (r *Run) DepthWithin(levelM, share float64) (Figure, error) {
	if !within(share, minShare, maxShare) {
		return Figure{}, fmt.Errorf("hydro: %w", rangeError("share", share, "", minShare, maxShare))
	}
	f, err := r.surface(levelM, math.Sqrt2*math.Erfinv(share))
	return dryAtZero(f), err
}

const minShare, maxShare = 0.01, 0.999

// DepthAtLevel is Depth where the level itself is not known exactly: a median with
// the range that holds it four times in five, Low ≤ Mid ≤ High, each within
// ±10,000 m. Each side of the range is taken by itself, the two causes in
// quadrature, since what misleads a forecast does not mislead a plummet:
//
//	half² = (half range at Mid)² + (slope · half range of the level)²
func (r *Run) DepthAtLevel(level Figure) (Figure, error) {
	if err := checkLevelFigure(level); err != nil {
		return Figure{}, fmt.Errorf("hydro: %w", err)
	}
	f, err := r.surface(level.Mid, z90)
	if err != nil {
		return Figure{}, err
	}
	slope := r.depth.slope()
	f.Low = f.Mid - math.Hypot(f.Mid-f.Low, slope*(level.Mid-level.Low))
	f.High = f.Mid + math.Hypot(f.High-f.Mid, slope*(level.High-level.Mid))
	return dryAtZero(f), nil
}

// surface is the water's height above the bed, below 0 where the bed stands out.
func (r *Run) surface(levelM, z float64) (Figure, error) {
	if err := checkLevel(levelM); err != nil {
		return Figure{}, fmt.Errorf("hydro: %w", err)
	}
	if !r.known() {
		return Figure{}, ErrNotPlumbed
	}
	at := r.depth.at(levelM - r.meanM)
	return at.within(z), nil
}

func dryAtZero(f Figure) Figure {
	return Figure{Mid: max(0, f.Mid), Low: max(0, f.Low), High: max(0, f.High)}
}

// known says whether anything is known of the bed.
func (r *Run) known() bool { return r.basis.Soundings > 0 || r.basis.Borrowed > 0 }

// Bed returns the height of the bed above the datum of the levels, in metres: level
// less depth at the mean sounded level, where the slope matters least. The only
// error is ErrNotPlumbed.
func (r *Run) Bed() (Figure, error) {
	f, err := r.surface(r.meanM, z90)
	if err != nil {
		return Figure{}, err
	}
	return Figure{Mid: r.meanM - f.Mid, Low: r.meanM - f.High, High: r.meanM - f.Low}, nil
}

// Beyond says whether a level lies more than 5 cm below the lowest or above the
// highest that was sounded. Both are false when nothing was sounded, and for NaN,
// which Depth refuses. Of a level that is not known exactly, ask for its Low
// and its High.
func (r *Run) Beyond(levelM float64) (below, above bool) {
	if r.basis.Soundings == 0 {
		return false, false
	}
	return levelM < r.basis.LowestM-beyondM, levelM > r.basis.HighestM+beyondM
}
