package hydro

import "math"

// refDepthM is the depth the guess at pace is for, and where α is taken.
const refDepthM = 1.5

// thinM is the least depth the power law is asked for: shallower water gets its
// answer for this depth, since a logarithm near zero knows nothing of rivers.
const thinM = 0.05

// roughS is the timing below which a float's run is rough: a stopwatch in the hand
// is good to about 0.2 s, and a short run meets one eddy rather than the average.
const roughS = 10

// roughNoise is how many times the usual scatter a rough timing has: twice the
// variance. From memory.
const roughNoise = math.Sqrt2

func logDepth(depthM float64) float64 { return math.Log(max(depthM, thinM) / refDepthM) }

// Pace returns the surface pace at a level now, in m/s, as an angler will meet it
// tomorrow. The range holds three things: what is not known of how pace follows depth
// on this run, or whether it does; the scatter about that, which is real (wind, weed,
// what the river does elsewhere) and not only error of reading; and what is not known
// of the depth. "Now" is the time the run was fitted for, and carries the season.
//
// Where nothing was timed (Basis().Timed is 0) the figure is a guess from rivers in
// general, from memory: a median of about 0.45 m/s at 1.5 m, give or take a factor
// of e^0.6. A page should call it one. Where the run is dry the pace is 0; under
// 5 cm of water it is that of 5 cm; none is above 10 m/s. Errors are those of Depth.
func (r *Run) Pace(levelM float64) (Figure, error) {
	d, err := r.Depth(levelM)
	if err != nil {
		return Figure{}, err
	}
	return r.paceAt(d), nil
}

// PaceAtLevel is Pace where the level itself is not known exactly: a median with the
// range that holds it four times in five. What that leaves unsure of the depth
// (DepthAtLevel) widens the pace's range. Errors are those of DepthAtLevel.
func (r *Run) PaceAtLevel(level Figure) (Figure, error) {
	d, err := r.DepthAtLevel(level)
	if err != nil {
		return Figure{}, err
	}
	return r.paceAt(d), nil
}

// paceAt is the pace at a depth and its range. Each side is taken by itself, since a
// range of depths that is even is not so in logs; and which depth is the slower side
// hangs on whether pace rises with depth.
func (r *Run) paceAt(d Figure) Figure {
	x := logDepth(d.Mid)
	thinner, deeper := x-logDepth(d.Low), logDepth(d.High)-x
	sure := r.pace.met(x, 0, 0)
	slow, fast := r.pace.met(x, thinner, deeper), r.pace.met(x, deeper, thinner)
	f := Figure{Mid: paceOf(sure.point(0, 0.5))}
	f.Low = min(f.Mid, paceOf(slow.point(-z90, 0.1)))
	f.High = max(f.Mid, paceOf(fast.point(z90, 0.9)))
	return whereWet(f, d)
}

func paceOf(log float64) float64 { return min(math.Exp(log), maxPace) }

// whereWet sets to 0 each of a pace's figures whose depth is 0.
func whereWet(f, depth Figure) Figure {
	if depth.Low == 0 {
		f.Low = 0
	}
	if depth.Mid == 0 {
		f.Mid = 0
	}
	if depth.High == 0 {
		f.High = 0
	}
	return f
}

// PaceWord returns the club's word for a surface pace in m/s: still under 0.05,
// slow to 0.2, easy to 0.4, steady to 0.7, brisk to 1.0, fast to 1.4, heavy beyond.
// A pace below 0 or NaN has no word and returns "".
func PaceWord(mps float64) string {
	switch {
	case !(mps >= 0):
		return ""
	case mps < 0.05:
		return "still"
	case mps <= 0.2:
		return "slow"
	case mps <= 0.4:
		return "easy"
	case mps <= 0.7:
		return "steady"
	case mps <= 1.0:
		return "brisk"
	case mps <= 1.4:
		return "fast"
	}
	return "heavy"
}
