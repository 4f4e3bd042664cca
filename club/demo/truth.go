package demo

import (
	"math"
	"time"
)

// Truth is what lies under the demo's soundings: the bed and the pace of each run
// as they are, which no member of the invented club can see.
type Truth struct {
	floodPeak time.Time
	runs      map[runKey]bed
	wild      map[soundingKey]bool
}

type runKey struct{ venueSlug, pegLabel, runName string }

type soundingKey struct {
	run  runKey
	unix int64
}

func newTruth(floodPeak time.Time) Truth {
	return Truth{floodPeak: floodPeak, runs: map[runKey]bed{}, wild: map[soundingKey]bool{}}
}

// FloodPeak is when the one large flood moved the beds.
func (t Truth) FloodPeak() time.Time { return t.floodPeak }

// DepthM is the true depth in metres of a run at a level on the datum, 0 where it
// is dry. It is not ok for a run the demo has not got or a level that is no number.
func (t Truth) DepthM(venueSlug, pegLabel, runName string, levelDatumM float64, at time.Time) (float64, bool) {
	b, ok := t.runs[runKey{venueSlug, pegLabel, runName}]
	if !ok || math.IsNaN(levelDatumM) || math.IsInf(levelDatumM, 0) {
		return 0, false
	}
	return b.depthM(levelDatumM, t.moved(at)), true
}

// PaceMPS is the true surface pace in metres a second of a run at a level on the
// datum, 0 where it is dry. It is not ok where DepthM is not.
func (t Truth) PaceMPS(venueSlug, pegLabel, runName string, levelDatumM float64, at time.Time) (float64, bool) {
	b, ok := t.runs[runKey{venueSlug, pegLabel, runName}]
	if !ok || math.IsNaN(levelDatumM) || math.IsInf(levelDatumM, 0) {
		return 0, false
	}
	return b.paceMPS(levelDatumM, t.moved(at)), true
}

// MovedM is how much deeper the large flood made a run, in metres; negative where
// it silted up.
func (t Truth) MovedM(venueSlug, pegLabel, runName string) (float64, bool) {
	b, ok := t.runs[runKey{venueSlug, pegLabel, runName}]
	return b.movedM, ok
}

// Wild says whether the run's sounding at that time is one of the wrong ones.
func (t Truth) Wild(venueSlug, pegLabel, runName string, at time.Time) bool {
	return t.wild[soundingKey{runKey{venueSlug, pegLabel, runName}, at.Unix()}]
}

func (t Truth) moved(at time.Time) bool { return !at.Before(t.floodPeak) }

// bed is the hidden bed and pace of one run. At levelM on the datum it is refDepthM
// deep and runs at refPaceMPS; slope is how much deeper it gets for each metre the
// gauge rises, and pace goes with depth to the power beta (2/3 in a wide channel).
type bed struct {
	levelM     float64
	refDepthM  float64
	slope      float64
	movedM     float64
	refPaceMPS float64
	beta       float64
}

func (b bed) depthM(levelDatumM float64, moved bool) float64 {
	return math.Max(0, b.refM(moved)+b.slope*(levelDatumM-b.levelM))
}

func (b bed) paceMPS(levelDatumM float64, moved bool) float64 {
	return b.refPaceMPS * math.Pow(b.depthM(levelDatumM, moved)/b.refM(moved), b.beta)
}

func (b bed) refM(moved bool) float64 {
	if moved {
		return b.refDepthM + b.movedM
	}
	return b.refDepthM
}
