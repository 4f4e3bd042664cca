package hydro

import (
	"math"
	"time"
)

// nature is one account of how pace behaves on a run.
type nature struct {
	share                float64 // how likely before anything was timed
	exponent, exponentSD float64 // β in pace ∝ depth^β
	scatter              float64 // natural logs
	summer               float64 // added to ln(pace) in the weed's months
}

// What the accounts say. From memory, no source.
const (
	// weedLeaves is what summer's weed leaves of a pace at the same depth, where there
	// is weed.
	weedLeaves = 0.7
	// evenTimes is how many times less than usual the pace of an even run scatters.
	evenTimes = 3
	// wildPace is how many times the usual scatter a wild timing has: a float that
	// hung in an eddy, yards for metres, a slip of the hand.
	wildPace = 4
)

func naturesOf(p *Prior) [5]nature {
	weed := math.Log(weedLeaves)
	follows, free := 1-p.PaceFree, p.PaceFree
	usual, even := follows*(1-p.PaceEven), follows*p.PaceEven
	return [...]nature{
		{usual * (1 - p.PaceWeed), p.PaceExponent, p.PaceExponentSD, p.PaceScatter, 0},
		{free * (1 - p.PaceWeed), 0, p.PaceFreeSD, p.PaceScatter, 0},
		{usual * p.PaceWeed, p.PaceExponent, p.PaceExponentSD, p.PaceScatter, weed},
		{free * p.PaceWeed, 0, p.PaceFreeSD, p.PaceScatter, weed},
		{even, p.PaceExponent, p.PaceExponentSD, p.PaceScatter / evenTimes, 0},
	}
}

// inWeed says whether weed stands at a time: June to September, north of the equator.
func inWeed(at time.Time) bool {
	m := at.UTC().Month()
	return m >= time.June && m <= time.September
}

// prior is the pace line before any timing: ln(m/s) over ln(depth ÷ 1.5 m).
func (n *nature) prior(p *Prior) line {
	s2 := n.scatter * n.scatter
	return line{
		m0: math.Log(p.PaceGuessMPS), m1: n.exponent,
		v00: p.PaceGuessSD * p.PaceGuessSD / s2, v11: n.exponentSD * n.exponentSD / s2,
		a: errorShape, b: errorShape * s2,
	}
}

// timing is a timed sounding as the pace fit sees it.
type timing struct {
	x, y  float64 // ln(depth ÷ 1.5 m), ln(m/s)
	exact float64 // 1 ÷ its variance, in σ²; less than 1 when it is rough
	weed  bool
	odds  float64 // log of those that it is wild; 0 where that was not looked into
}

func (t *timing) wild() bool { return t.odds > 0 }

// exactness is what is left of it where a timing is wild.
func (t *timing) exactness(wild bool) float64 {
	if wild {
		return t.exact / (wildPace * wildPace)
	}
	return t.exact
}

// plain is a timing's ln(pace) as it would be without the weed.
func (n *nature) plain(t *timing) float64 {
	if t.weed {
		return t.y - n.summer
	}
	return t.y
}

// timingsOf returns the timed soundings, each with the depth plumbed beside it: it is
// that day's water that was timed, wherever the bed has gone since.
func timingsOf(s []Sounding) []timing {
	ts := make([]timing, 0, len(s))
	for i := range s {
		if s[i].PaceMPS == 0 {
			continue
		}
		t := timing{x: logDepth(s[i].DepthM), y: math.Log(s[i].PaceMPS), exact: 1, weed: inWeed(s[i].At)}
		if s[i].TimedS > 0 && s[i].TimedS < roughS {
			t.exact = 1 / (roughNoise * roughNoise)
		}
		ts = append(ts, t)
	}
	return ts
}

// variance is that of the line at x, in σ².
func (l *line) variance(x float64) float64 { return max(0, l.v00+2*x*l.v01+x*x*l.v11) }

// paceLaw is what is known of the pace: a line for each nature, ln(m/s) over
// ln(depth ÷ 1.5 m), weighted by how likely the nature is.
type paceLaw struct {
	mixture
	a float64 // half the degrees of freedom
}

func fitPace(s []Sounding, now time.Time, p *Prior) paceLaw {
	return lawOf(timingsOf(s), inWeed(now), p)
}

// lawOf is the pace as it goes in the weed's months or out of them.
func lawOf(ts []timing, weed bool, p *Prior) paceLaw {
	natures := naturesOf(p)
	var lines [len(natures)]line
	var logs [len(natures)]float64
	best := math.Inf(-1)
	for i := range natures {
		n := &natures[i]
		if logs[i] = math.Inf(-1); n.share == 0 {
			continue
		}
		lines[i], logs[i] = n.fit(p, ts)
		if best = max(best, logs[i]); weed {
			lines[i].m0 += n.summer
		}
	}
	law := paceLaw{a: errorShape + 0.5*float64(len(ts))}
	law.nu = 2 * law.a
	law.fill(lines[:], logs[:], best)
	return law
}

// fill puts the lines into the mixture, the likeliest first.
func (law *paceLaw) fill(lines []line, logs []float64, best float64) {
	for range lines {
		next := 0
		for i := range logs {
			if logs[i] > logs[next] {
				next = i
			}
		}
		if math.IsInf(logs[next], -1) {
			break
		}
		law.put(math.Exp(logs[next]-best), lines[next])
		logs[next] = math.Inf(-1)
	}
	law.tidy()
}

// met is ln(pace) as met at x, where x itself may be out: by so much, four times in
// five, on the side that is slower where pace rises with depth, or where it falls.
func (law *paceLaw) met(x, rising, falling float64) spread {
	// The steps are Newton's: what is left after one of a thousandth is far less.
	s := spread{nu: law.nu, tol: 1e-3, n: law.n, share: law.share}
	t := t90(law.nu)
	for i := range law.n {
		l := &law.line[i]
		out := rising
		if l.m1 < 0 {
			out = falling
		}
		mid, scale := l.at(x, 1+l.v11*out*out/(z90*z90))
		s.mid[i], s.scale[i] = mid, math.Hypot(scale, l.m1*out/t)
	}
	return s
}

// at returns the middle and the scale of the Student t distribution that has the mean
// and the variance of the whole mixture; noise as for a line.
func (law *paceLaw) at(x, noise float64) (mid, scale float64) {
	var sum, square float64
	for i := range law.n {
		m, s := law.line[i].at(x, noise)
		sum += law.share[i] * m
		square += law.share[i] * (m*m*(1-1/law.a) + s*s)
	}
	return sum, math.Sqrt(max(0, square-sum*sum*(1-1/law.a)))
}
