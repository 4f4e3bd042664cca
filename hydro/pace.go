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

// pacePrior is the pace line before any timing: ln(m/s) over ln(depth ÷ 1.5 m).
func pacePrior(p *Prior) line {
	s2 := p.PaceScatter * p.PaceScatter
	return line{
		m0: math.Log(p.PaceGuessMPS), m1: p.PaceExponent,
		v00: p.PaceGuessSD * p.PaceGuessSD / s2, v11: p.PaceExponentSD * p.PaceExponentSD / s2,
		a: errorShape, b: errorShape * s2,
	}
}

// loosePrior is the pace line before any timing where pace does not follow depth: beside
// a weir, in backwater, in summer weed, whose level is high because the water is slow.
func loosePrior(p *Prior) line {
	l := pacePrior(p)
	l.m1, l.v11 = 0, p.LooseSD*p.LooseSD/(p.PaceScatter*p.PaceScatter)
	return l
}

// fitPace takes in the timed soundings, each with the depth plumbed beside it: it
// is that day's water that was timed, wherever the bed has gone since. Whether pace
// follows depth here the timings say themselves, by how likely each line made them.
func (r *Run) fitPace(s []Sounding, p *Prior) {
	r.loose = loosePrior(p)
	var forLoose float64 // logarithm of the odds that the timings give
	for i := range s {
		if s[i].PaceMPS == 0 {
			continue
		}
		w := 1.0
		if s[i].TimedS > 0 && s[i].TimedS < roughS {
			w = 1 / roughNoise
		}
		u1, y := w*logDepth(s[i].DepthM), w*math.Log(s[i].PaceMPS)
		forLoose += r.loose.logLikely(w, u1, y) - r.pace.logLikely(w, u1, y)
		r.pace.add(w, u1, y)
		r.loose.add(w, u1, y)
	}
	odds := p.LooseShare / (1 - p.LooseShare) * math.Exp(forLoose) // +Inf where all are loose
	r.isLoose = 1 - 1/(1+odds)
	r.paceT = t90(2 * r.pace.a)
}

func logDepth(depthM float64) float64 { return math.Log(max(depthM, thinM) / refDepthM) }

// Pace returns the surface pace at a level now, in m/s, as an angler will meet it
// tomorrow. The range holds three things: what is not known of the run's power law,
// the scatter about it, which is real (wind, weed, what the river does elsewhere)
// and not only error of reading, and what is not known of the depth.
//
// Where nothing was timed (Basis().Timed is 0) the figure is a guess from rivers in
// general, from memory: a median of about 0.45 m/s at 1.5 m, give or take a factor
// of e^0.6. A page should call it one. Where the run is dry the pace is 0; under
// 5 cm of water it is that of 5 cm. Errors are those of Depth.
func (r *Run) Pace(levelM float64) (Figure, error) {
	d, err := r.Depth(levelM)
	if err != nil {
		return Figure{}, err
	}
	return r.paceAt(d), nil
}

// PaceAtLevel is Pace where the level is not known exactly: its range goes into the
// depth's ([Run.DepthAtLevel]), and that into the pace's. Errors are those of
// DepthAtLevel.
func (r *Run) PaceAtLevel(level Figure) (Figure, error) {
	d, err := r.DepthAtLevel(level)
	if err != nil {
		return Figure{}, err
	}
	return r.paceAt(d), nil
}

// paceAt adds the power law's own range and the depth's in quadrature, each side by
// itself, since a range of depths that is even is not so in logs.
func (r *Run) paceAt(d Figure) Figure {
	x := logDepth(d.Mid)
	own, m1 := r.ownPace(x)
	f := Figure{Mid: math.Exp(own.Mid)}
	f.Low = f.Mid * math.Exp(-math.Hypot(own.Mid-own.Low, m1*(x-logDepth(d.Low))))
	f.High = f.Mid * math.Exp(math.Hypot(own.High-own.Mid, m1*(logDepth(d.High)-x)))
	return whereWet(f, d)
}

// leastLoose is how likely a line must be to be asked at all.
const leastLoose = 0.002

// ownPace is ln(pace) at a depth x = ln(depth ÷ 1.5 m) with the two lines' own range, and
// their mean slope.
func (r *Run) ownPace(x float64) (Figure, float64) {
	l, share := r.pace, r.isLoose
	if share > 1-leastLoose {
		l, share = r.loose, 0
	}
	mid, scale := l.at(x, 1)
	if share < leastLoose {
		return Figure{mid, mid - r.paceT*scale, mid + r.paceT*scale}, l.m1
	}
	s := spread{nu: 2 * l.a, n: 2}
	s.share[0], s.share[1] = 1-share, share
	s.mid[0], s.scale[0] = mid, scale
	s.mid[1], s.scale[1] = r.loose.at(x, 1)
	return s.within(z90), (1-share)*l.m1 + share*r.loose.m1
}

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
