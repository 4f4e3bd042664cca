package hydro

import "math"

// mostLines is how many lines a mixture holds.
const mostLines = 12

// mixture is what is known of the depth line: one line a story, each with the same
// degrees of freedom nu = 2a, weighted. At a level it is a mixture of Student's t.
type mixture struct {
	nu    float64
	n     int
	share [mostLines]float64 // sum 1, the likeliest first
	line  [mostLines]line
}

// put adds a line. Stories that end alike are one: a reading that was wild and near
// tells almost what a good one tells. The heavier stands for both and must come first.
// Where there is no room the lightest are left out.
func (m *mixture) put(share float64, l line) {
	for i := range m.n {
		if l.alike(&m.line[i]) {
			m.share[i] += share
			return
		}
	}
	if m.n < mostLines {
		m.share[m.n], m.line[m.n] = share, l
		m.n++
	}
}

// alike says whether two lines agree to a tenth of their own SD at the mean level
// and half a metre each side, and in that SD to a tenth.
func (l *line) alike(o *line) bool {
	const near = 0.1
	for _, x := range [...]float64{0, -0.5, 0.5} {
		m1, s1 := l.at(x, 0)
		m2, s2 := o.at(x, 0)
		if math.Abs(m1-m2) > near*s1 || math.Abs(s1-s2) > near*s1 {
			return false
		}
	}
	return true
}

// tidy sorts the lines, the heaviest first, drops those too light to matter and
// makes the shares sum to 1.
func (m *mixture) tidy() {
	for i := 1; i < m.n; i++ {
		for j := i; j > 0 && m.share[j-1] < m.share[j]; j-- {
			m.share[j-1], m.share[j] = m.share[j], m.share[j-1]
			m.line[j-1], m.line[j] = m.line[j], m.line[j-1]
		}
	}
	const least = 5e-4 // of the heaviest
	for m.n > 1 && m.share[m.n-1] < least*m.share[0] {
		m.n--
		m.share[m.n], m.line[m.n] = 0, line{}
	}
	sum := 0.0
	for i := range m.n {
		sum += m.share[i]
	}
	for i := range m.n {
		m.share[i] /= sum
	}
}

// slope returns the mean slope.
func (m *mixture) slope() float64 {
	var b1 float64
	for i := range m.n {
		b1 += m.share[i] * m.line[i].m1
	}
	return b1
}

// spread is a mixture at one level.
type spread struct {
	nu         float64
	tol        float64 // a step this small is a point's last
	n          int
	share      [mostLines]float64
	mid, scale [mostLines]float64
}

func (m *mixture) at(x float64) spread {
	s := spread{nu: m.nu, tol: 1e-6, n: m.n, share: m.share}
	for i := range m.n {
		s.mid[i], s.scale[i] = m.line[i].at(x, 0)
	}
	return s
}

// within returns the median and the range that holds the middle share, z being the
// normal distribution's point for the upper end: half a share above the middle.
func (s *spread) within(z float64) Figure {
	f := Figure{Mid: s.point(0, 0.5)}
	tail := 0.5 * math.Erfc(z/math.Sqrt2)
	f.Low = min(f.Mid, s.point(-z, tail))
	f.High = max(f.Mid, s.point(z, 1-tail))
	return f
}

// point returns the value below which lies p, z being the normal distribution's
// point of p. Newton's steps, halving where one would leave what is known to hold
// the answer.
func (s *spread) point(z, p float64) float64 {
	const most = 80
	q, low, high := s.bracket(z)
	for range most {
		below, density := s.below(q)
		if below < p {
			low = max(low, q)
		} else {
			high = min(high, q)
		}
		next := q + (p-below)/density
		if math.Abs(next-q) < s.tol {
			return next
		}
		if !(next > low && next < high) {
			next = 0.5 * (low + high)
		}
		q = next
	}
	return q
}

// bracket returns a first guess, and bounds: a mixture's point lies between the
// least and the greatest of its parts' own. Those are approximate, hence the slack.
func (s *spread) bracket(z float64) (guess, low, high float64) {
	const slack = 0.3
	t := tPoint(z, s.nu)
	low, high = math.Inf(1), math.Inf(-1)
	for i := range s.n {
		q := s.mid[i] + t*s.scale[i]
		guess += s.share[i] * q
		low, high = min(low, q-slack*s.scale[i]), max(high, q+slack*s.scale[i])
	}
	return guess, low, high
}

// below returns how much lies below q, and its density there.
func (s *spread) below(q float64) (below, density float64) {
	for i := range s.n {
		b, d := student((q-s.mid[i])/s.scale[i], s.nu)
		below += s.share[i] * b
		density += s.share[i] * d / s.scale[i]
	}
	return below, density
}

// student returns how much of Student's t with ν ≥ 5 degrees of freedom lies below
// t, by Hill's normal deviate (Communications of the ACM 13, 1970, algorithm 395,
// from memory), checked in a test against an exact one to 1 part in 100,000. The
// density is to 1 in 1,000, which is enough to steer by.
func student(t, nu float64) (below, density float64) {
	l := math.Log1p(t * t / nu)
	a := nu - 0.5
	y, b := a*l, 48*a*a
	u := ((((-0.4*y-3.3)*y-24)*y-85.5)/(0.8*y*y+100+b)+y+3)/b + 1
	below = 0.5 * math.Erfc(u*math.Sqrt(y)/math.Sqrt2)
	if t > 0 {
		below = 1 - below
	}
	top := (1 - (1-1/(8*nu))/(4*nu)) / math.Sqrt(2*math.Pi)
	return below, top * math.Exp(-0.5*(nu+1)*l)
}
