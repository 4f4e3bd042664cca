package hydro

import (
	"math"
	"testing"
)

// gaugings reads stage and discharge.
func gaugings(t *testing.T, file string) (stage, flow []float64) {
	t.Helper()
	for _, row := range openData(t, file) {
		stage, flow = append(stage, number(t, row[0])), append(flow, number(t, row[1]))
	}
	return stage, flow
}

// powerLaw fits Q = a(W − c)^b by least squares in logs, with the package's own line
// under a prior that says nothing: for every c it is one; c is the one that fits best.
func powerLaw(stage, flow []float64, low float64) (a, b, c, s float64) {
	fit := func(c float64) (line, float64) {
		l := line{v00: 1e9, v11: 1e9, a: 0, b: 0}
		for i, w := range stage {
			l.add(1, math.Log(w-c), math.Log(flow[i]))
		}
		return l, l.b
	}
	lowest := math.Inf(1)
	for _, w := range stage {
		lowest = min(lowest, w)
	}
	high := lowest - 1e-6
	const golden = 0.6180339887498949
	for high-low > 1e-10 {
		m1, m2 := high-golden*(high-low), low+golden*(high-low)
		if _, b1 := fit(m1); func() bool { _, b2 := fit(m2); return b1 < b2 }() {
			high = m2
		} else {
			low = m1
		}
	}
	c = (low + high) / 2
	l, rest := fit(c)
	return math.Exp(l.m0), l.m1, c, math.Sqrt(2 * rest / float64(len(stage)-3))
}

// TestPublishedRatings: the same line that carries a run's pace gives back published
// power laws. Source: R package bdrc, example of plm0; the digits of skogsliden derived
// by profile least squares in logs.
func TestPublishedRatings(t *testing.T) {
	stage, flow := gaugings(t, "bdrc_skogsliden.csv")
	a, b, c, s := powerLaw(stage, flow, 3)
	t.Logf("skogsliden: a %.5f, b %.5f, c %.5f, s %.5f of %d", a, b, c, s, len(stage))
	for _, x := range []struct {
		what      string
		got, want float64
		low, high float64
	}{{"a", a, 10.77344, 10.29, 11.22}, {"b", b, 2.17284, 2.09, 2.26}, {"c", c, 3.91995, 3.9042, 3.9341}, {"s", s, 0.05920, 0.0592, 0.0592}} {
		near(t, "skogsliden's "+x.what, x.got, x.want, 0.00005*math.Max(1, x.want))
		if x.what != "s" && (x.got < x.low || x.got > x.high) {
			t.Errorf("skogsliden's %s %v is outside %v to %v", x.what, x.got, x.low, x.high)
		}
	}
	stage, flow = gaugings(t, "bdrc_krokfors.csv")
	a, b, c, s = powerLaw(stage, flow, 6)
	t.Logf("krokfors: a %.4f, b %.4f, c %.4f, s %.4f of %d", a, b, c, s, len(stage))
	if b < 2.46 || b > 3.21 || c < 7.580 || c > 7.752 {
		t.Errorf("krokfors: b %v, c %v are outside the published intervals", b, c)
	}
}
