package hydro

import "math"

// mostTold is how many timings are told in every way, each good or wild; the work
// doubles with each.
const mostTold = 5

// fit learns a nature's line from timings, and returns the log of how well the nature
// foretold them, up to a constant that all natures of one prior share.
//
// Which timings are wild is not known. For up to five, every way is told and its exact
// line worked out, and the line given is the one with the mean and the variance of them
// all, at every depth. Of more, the five that lie farthest off are told so, and the
// others are settled beforehand: wild where that is likelier than not.
func (n *nature) fit(p *Prior, ts []timing) (l line, log float64) {
	if p.PaceWild == 0 {
		return n.line(p, ts)
	}
	w := waysOf(p)
	if len(ts) > mostTold {
		n.suspect(p, &w, ts)
		doubtfulFirst(ts)
	}
	told := min(mostTold, len(ts))
	l, log = n.line(p, ts[told:])
	for i := range ts[told:] {
		log += w.log(ts[told+i].wild())
	}
	b := blend{best: math.Inf(-1)}
	n.tell(&b, l, log+l.a*math.Log(l.b), 1, &w, ts[:told])
	return b.line()
}

// ways is what it takes off the log that a timing is good or wild: the log of the
// share that are so, and of the wider noise.
type ways struct{ good, wild float64 }

func waysOf(p *Prior) ways {
	return ways{good: math.Log1p(-p.PaceWild), wild: math.Log(p.PaceWild / wildPace)}
}

func (w *ways) log(wild bool) float64 {
	if wild {
		return w.wild
	}
	return w.good
}

// suspect works out the log of the odds that each timing is wild, by the line through
// all of them as if they were good.
func (n *nature) suspect(p *Prior, w *ways, ts []timing) {
	for i := range ts {
		ts[i].odds = 0
	}
	l, _ := n.line(p, ts)
	for i := range ts {
		t := &ts[i]
		e := n.plain(t) - l.m0 - l.m1*t.x
		miss2 := t.exact * (e*e*l.a/l.b + l.variance(t.x)) // mean of (e ÷ its noise)²
		t.odds = w.wild - w.good + 0.5*miss2*(1-1.0/(wildPace*wildPace))
	}
}

// doubtfulFirst brings those that are told in every way to the front.
func doubtfulFirst(ts []timing) {
	for i := range mostTold {
		most := i
		for j := i + 1; j < len(ts); j++ {
			if ts[j].odds > ts[most].odds {
				most = j
			}
		}
		ts[i], ts[most] = ts[most], ts[i]
	}
}

// tell takes in the timings both ways, one after the other. shrunk is |v₀| ÷ |v| of
// those taken in.
func (n *nature) tell(b *blend, l line, log, shrunk float64, w *ways, ts []timing) {
	if len(ts) == 0 {
		b.add(&l, log-0.5*math.Log(shrunk)-l.a*math.Log(l.b))
		return
	}
	t := &ts[0]
	for _, wild := range [...]bool{false, true} {
		with, u := l, math.Sqrt(t.exactness(wild))
		with.add(u, u*t.x, u*n.plain(t))
		n.tell(b, with, log+w.log(wild), shrunk*(1+u*u*l.variance(t.x)), w, ts[1:])
	}
}

// blend sums up lines with the same a, each with the log of its weight: what it takes
// to give the one with the mean and the variance of them all. Sums are those of
// weights e^(log − best).
type blend struct {
	best, sum     float64
	a, b          float64
	m0, m1        float64
	s00, s01, s11 float64 // of (b·v) ÷ a and of (1 − 1/a) times the squares of m
}

func (s *blend) add(l *line, log float64) {
	if log > s.best {
		s.scale(math.Exp(s.best - log))
		s.best = log
	}
	w := math.Exp(log - s.best)
	noise, t := l.b/l.a, 1-1/l.a
	s.sum += w
	s.a, s.b = l.a, s.b+w*l.b
	s.m0, s.m1 = s.m0+w*l.m0, s.m1+w*l.m1
	s.s00 += w * (noise*l.v00 + t*l.m0*l.m0)
	s.s01 += w * (noise*l.v01 + t*l.m0*l.m1)
	s.s11 += w * (noise*l.v11 + t*l.m1*l.m1)
}

func (s *blend) scale(by float64) {
	for _, v := range [...]*float64{&s.sum, &s.b, &s.m0, &s.m1, &s.s00, &s.s01, &s.s11} {
		*v *= by
	}
}

// line returns the line, and the log of all the weights' sum. The variance of Student's
// t is that of its scale times ν ÷ (ν − 2) = a ÷ (a − 1), hence 1 − 1/a.
func (s *blend) line() (l line, log float64) {
	l = line{m0: s.m0 / s.sum, m1: s.m1 / s.sum, a: s.a, b: s.b / s.sum}
	noise, t := l.b/l.a, 1-1/l.a
	l.v00 = max(0, s.s00/s.sum-t*l.m0*l.m0) / noise
	l.v01 = (s.s01/s.sum - t*l.m0*l.m1) / noise
	l.v11 = max(0, s.s11/s.sum-t*l.m1*l.m1) / noise
	return l, s.best + math.Log(s.sum)
}

// line takes in the timings all at once, wild those that are settled so. The log is
// that of a normal–inverse-gamma line's evidence, a₀·ln b₀ − a·ln b + ½·ln(|v| ÷ |v₀|).
// With S the weighted sums of 1, x and x², and h those of what the prior missed by,
//
//	v = v₀(1 + S·v₀)⁻¹   m = m₀ + v·h   b = b₀ + ½(Σ miss² − hᵀ·v·h)
func (n *nature) line(p *Prior, ts []timing) (l line, log float64) {
	l = n.prior(p)
	var s, sx, sxx, h0, h1, miss2 float64
	for i := range ts {
		t := &ts[i]
		w := t.exactness(t.wild())
		e := n.plain(t) - l.m0 - l.m1*t.x
		wx, we := w*t.x, w*e
		s, sx, sxx = s+w, sx+wx, sxx+wx*t.x
		h0, h1, miss2 = h0+we, h1+wx*e, miss2+we*e
	}
	log = math.Log(n.share) + l.a*math.Log(l.b)
	v0, v1 := l.v00, l.v11
	det := 1 + s*v0 + sxx*v1 + v0*v1*(s*sxx-sx*sx)
	l.v00, l.v01, l.v11 = v0*(1+sxx*v1)/det, -v0*v1*sx/det, v1*(1+s*v0)/det
	d0, d1 := l.v00*h0+l.v01*h1, l.v01*h0+l.v11*h1
	l.m0, l.m1 = l.m0+d0, l.m1+d1
	l.a += 0.5 * float64(len(ts))
	l.b += 0.5 * max(0, miss2-h0*d0-h1*d1) // rounding may take it below
	return l, log - 0.5*math.Log(det) - l.a*math.Log(l.b)
}
