package hydro

import (
	"fmt"
	"math"
)

// Judgement is what is known of a run against a sounding about to be written down.
// It asks and never refuses: "half a metre shallower than the last nine say: sure?"
type Judgement struct {
	Odd      bool
	By       float64 // above 0 when deeper (m) or faster (m/s) than expected
	Expected Figure
	Against  int // soundings it was judged against; for a pace, timed ones
}

const (
	z995 = 2.5758293035489004 // the normal distribution's 99.5 % point
	// likelyStory is the share above which a story counts when a sounding is judged.
	likelyStory = 1.0 / 16
)

// JudgeDepth judges the depth of a sounding made now, at the time the run was
// fitted for, which should not hold it yet. Its level and depth are looked at and
// must lie in a Sounding's ranges; the error names one that does not.
//
// It is odd when it lies outside the central 99 % of what a plummet that is not
// wild would read, under every account of the earlier readings (which were wild,
// where the bed moved) that is more than one sixteenth likely. So about one good
// sounding in a hundred is asked about. Where all is borrowed only the likeliest
// account counts, so that a place unlike its neighbours is asked about as well. Where
// nothing was sounded and nothing borrowed there is nothing to expect: the Judgement
// is empty.
func (r *Run) JudgeDepth(s Sounding) (Judgement, error) {
	if err := s.checkDepth(); err != nil {
		return Judgement{}, fmt.Errorf("hydro: %w", err)
	}
	if !r.known() {
		return Judgement{}, nil
	}
	f, err := r.Depth(s.LevelM)
	if err != nil {
		return Judgement{}, err
	}
	return Judgement{
		Odd: r.oddDepth(s.LevelM-r.meanM, s.DepthM), By: s.DepthM - f.Mid,
		Expected: f, Against: r.basis.Soundings,
	}, nil
}

func (r *Run) oddDepth(x, depthM float64) bool {
	t, accounts := tPoint(z995, r.depth.nu), 1
	for r.basis.Soundings > 0 && accounts < r.depth.n && r.depth.share[accounts] > likelyStory {
		accounts++
	}
	for i := range accounts {
		mid, scale := r.depth.line[i].at(x, 1)
		if math.Abs(depthM-mid) <= t*scale {
			return false
		}
	}
	return true
}

// JudgePace judges the pace of a sounding by the depth plumbed beside it: it is odd
// outside the central 99 % of what would be met at that depth. The depth, pace and
// timing must lie in a Sounding's ranges, the pace above 0; the error names one that
// does not. Where nothing was timed (Against is 0) it is judged by the guess.
func (r *Run) JudgePace(s Sounding) (Judgement, error) {
	err := s.checkPace()
	if err == nil && s.PaceMPS == 0 {
		err = rangeError("pace", s.PaceMPS, "m/s", minPace, maxPace)
	}
	if err != nil {
		return Judgement{}, fmt.Errorf("hydro: %w", err)
	}
	noise := 1.0
	if s.TimedS > 0 && s.TimedS < roughS {
		noise = roughNoise * roughNoise
	}
	mid, scale := r.pace.at(logDepth(s.DepthM), noise)
	miss := math.Log(s.PaceMPS) - mid
	f := r.paceAt(Figure{Mid: s.DepthM, Low: s.DepthM, High: s.DepthM})
	return Judgement{
		Odd: math.Abs(miss) > tPoint(z995, 2*r.pace.a)*scale, By: s.PaceMPS - f.Mid,
		Expected: f, Against: r.basis.Timed,
	}, nil
}
