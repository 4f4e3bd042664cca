package hydro

import "math"

// The stories a fit carries along.
const (
	// mostStories bounds the work while the newest readings are taken, and
	// laterStories after manyReadings of them: what is told of now hangs on the newest.
	// A test compares the fit with the sum over every story.
	mostStories  = 32
	manyReadings = 10
	laterStories = 14
	// dropLogs is how far in natural logs a story may fall behind the likeliest
	// before it is dropped: one in 10,000.
	dropLogs = 9.2
)

// story is one account of the readings so far, newest first: which were wild, and
// between which the bed moved unseen. Given the story everything is a line with
// normal noise, and the posterior of (δ, β0, β1) is normal–inverse-gamma:
//
//	(δ, β0, β1) | σ² ~ N((d, m0, m1), σ²·v),  σ² ~ InverseGamma(a, b)
//
// δ is the bed at the newest reading not yet taken, against now. a is the same in
// every story. The story's weight is e^odds·b^−a.
type story struct {
	odds, logB                   float64
	d, m0, m1                    float64
	vdd, vd0, vd1, v00, v01, v11 float64
	b                            float64
}

// gains is what a reading does to δ, β0 and β1, in σ²: the covariance of each with
// δ + β0 + β1·x.
func (s *story) gains(x float64) (gd, g0, g1 float64) {
	return s.vdd + s.vd0 + s.vd1*x, s.vd0 + s.v00 + s.v01*x, s.vd1 + s.v01 + s.v11*x
}

// branch is a story with one reading more: good or wild, with or without an unseen
// move before it.
type branch struct {
	of   int     // index of the story
	rank float64 // log of its weight
	odds float64
	jump float64 // variance δ gained unseen, in σ²
	s    float64 // variance of the reading as foretold, in σ²
	b    float64
	logB float64
}

// grow returns the story of a branch once a reading at x with depth y is taken: the
// exact conjugate update.
func (s story) grow(c *branch, x, y float64) story {
	s.vdd += c.jump
	gd, g0, g1 := s.gains(x)
	k := (y - s.d - s.m0 - s.m1*x) / c.s
	s.d, s.m0, s.m1 = s.d+gd*k, s.m0+g0*k, s.m1+g1*k
	r := 1 / c.s
	s.vdd -= gd * gd * r
	s.vd0 -= gd * g0 * r
	s.vd1 -= gd * g1 * r
	s.v00 -= g0 * g0 * r
	s.v01 -= g0 * g1 * r
	s.v11 -= g1 * g1 * r
	s.odds, s.b, s.logB = c.odds, c.b, c.logB
	return s
}

// teller carries the likeliest stories through the readings.
type teller struct {
	a          float64
	walkPerYr  float64 // δ's variances, in σ²
	floodJump  float64
	unseenRate float64 // a year
	kinds      [2]kind

	taken    int
	n        int
	stories  [mostStories]story // the likeliest first, after a reading
	grown    [mostStories]story // where the next ones are made
	width    int                // how many branches are kept of the reading in hand
	nBranch  int
	branches [mostStories]branch // the likeliest first
}

// kind is how a reading may be: good or wild.
type kind struct {
	noise float64 // its variance, in σ²
	odds  float64 // log of its share
	top   float64 // odds, less what the noise alone takes off them
}

func kindOf(sd, share float64) kind {
	odds := math.Log(share)
	return kind{noise: sd * sd, odds: odds, top: odds - math.Log(sd)}
}

func newTeller(p *Prior, a float64) teller {
	r2 := p.ReadingSDM * p.ReadingSDM
	return teller{
		a:         a,
		walkPerYr: p.DriftSDM * p.DriftSDM / r2, floodJump: p.FloodSDM * p.FloodSDM / r2,
		unseenRate: p.UnseenPerYear,
		kinds:      [...]kind{kindOf(1, 1-p.WildShare), kindOf(p.WildSDM/p.ReadingSDM, p.WildShare)},
	}
}

// begin adds a story from before any reading, with the log of its share.
func (t *teller) begin(logShare float64, s story) {
	s.odds, s.logB = logShare, math.Log(s.b)
	t.stories[t.n] = s
	t.n++
}

// take takes in the next older reading, x being its level less the mean.
func (t *teller) take(rd *reading, x float64) {
	t.a += 0.5
	t.nBranch, t.width = 0, mostStories
	if t.taken++; t.taken > manyReadings {
		t.width = laterStories
	}
	// At most one unseen move is told of in a gap: two are rare, and are much like
	// one.
	unseen := -math.Expm1(-t.unseenRate * rd.gapYears)
	if t.floodJump == 0 {
		unseen = 0
	}
	still, moved := math.Log1p(-unseen), math.Log(unseen)
	step := t.walkPerYr*rd.gapYears + t.floodJump*float64(rd.gapFloods)
	for i := range t.stories[:t.n] {
		s := &t.stories[i]
		s.vdd += step
		gd, g0, g1 := s.gains(x)
		e := rd.depthM - s.d - s.m0 - s.m1*x
		spread := gd + g0 + g1*x
		t.fork(i, still, 0, spread, e)
		if unseen > 0 {
			t.fork(i, moved, t.floodJump, spread+t.floodJump, e)
		}
	}
	t.growAll(x, rd.depthM)
}

// fork offers two branches of a story: the reading good, and wild. e is what the
// reading misses by, spread the variance of the depth foretold.
func (t *teller) fork(of int, logShare, jump, spread, e float64) {
	from := &t.stories[of]
	before := from.odds + logShare
	for i := range t.kinds {
		k := &t.kinds[i]
		// b only grows and noise is the least that s can be: often that is enough to
		// see that the branch comes to nothing, without a logarithm.
		if !(before+k.top-t.a*from.logB > t.floor()) {
			continue
		}
		c := branch{of: of, jump: jump, s: spread + k.noise}
		c.b = from.b + e*e/(2*c.s)
		c.logB = math.Log(c.b)
		c.odds = before + k.odds - 0.5*math.Log(c.s)
		c.rank = c.odds - t.a*c.logB
		t.offer(&c)
	}
}

// floor is the rank a branch must have to be kept.
func (t *teller) floor() float64 {
	switch t.nBranch {
	case 0:
		return math.Inf(-1)
	case t.width:
		return max(t.branches[0].rank-dropLogs, t.branches[t.width-1].rank)
	}
	return t.branches[0].rank - dropLogs
}

// offer keeps a branch if it is among the likeliest.
func (t *teller) offer(c *branch) {
	if !(c.rank > t.floor()) {
		return
	}
	i := min(t.nBranch, t.width-1)
	t.nBranch = i + 1
	for ; i > 0 && t.branches[i-1].rank < c.rank; i-- {
		t.branches[i] = t.branches[i-1]
	}
	t.branches[i] = *c
}

func (t *teller) growAll(x, y float64) {
	best, n := t.branches[0].rank, 0
	for i := range t.branches[:t.nBranch] {
		c := &t.branches[i]
		if c.rank < best-dropLogs {
			break
		}
		t.grown[n] = t.stories[c.of].grow(c, x, y)
		n++
	}
	t.n = copy(t.stories[:], t.grown[:n])
}

// mixture gives the lines the stories end in, with their weights.
func (t *teller) mixture() mixture {
	m := mixture{nu: 2 * t.a}
	best := math.Inf(-1)
	for i := range t.stories[:t.n] {
		s := &t.stories[i]
		best = max(best, s.odds-t.a*s.logB)
	}
	for i := range t.stories[:t.n] {
		s := &t.stories[i]
		m.put(math.Exp(s.odds-t.a*s.logB-best), line{
			m0: s.m0, m1: s.m1, v00: s.v00, v01: s.v01, v11: s.v11, a: t.a, b: s.b,
		})
	}
	m.tidy()
	return m
}
