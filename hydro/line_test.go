package hydro

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// near fails unless got is within tol of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

// Derived in closed form and checked numerically (facts, "Bayesian line,
// normal–inverse-gamma"): means and b to the ten and eight digits given there.
func TestLineWorkedExample(t *testing.T) {
	l := line{m0: 1.5, m1: 1, v00: 4, v11: .25, a: 2, b: .005}
	for i, c := range []struct{ h, y, m0, m1, b float64 }{
		{.40, .92, 1.5157170923, .9994106090, 5.0392927e-3},
		{.75, 1.25, 1.5084795124, .9989163562, 5.1087030e-3},
		{1.10, 1.58, 1.4992415007, .9967131699, 5.3769922e-3},
	} {
		l.add(1, c.h-1, c.y)
		near(t, "mean 0", l.m0, c.m0, 5.1e-11)
		near(t, "mean 1", l.m1, c.m1, 5.1e-11)
		near(t, "b", l.b, c.b, 5.1e-11)
		near(t, "a", l.a, 2+float64(i+1)/2, 0)
	}
	// The same source's 90 % prediction of a new observation at h = 1.
	mid, scale := l.at(0, 1)
	half := scale * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: 2 * l.a}.Quantile(.95)
	near(t, "low", mid-half, 1.41391826, 5.1e-9)
	near(t, "high", mid+half, 1.58456474, 5.1e-9)
}

// A noisier observation is the same as one whose row is divided by its noise, and
// n of noise √n are worth one (derived: the likelihoods are equal in the mean).
func TestLineWeights(t *testing.T) {
	prior := line{m0: 1, m1: 1, v00: 4, v11: 1, a: 3, b: .3}
	once, split := prior, prior
	once.add(1, .5, 2)
	for range 4 {
		split.add(.5, .25, 1)
	}
	near(t, "mean 0", split.m0, once.m0, 1e-12)
	near(t, "mean 1", split.m1, once.m1, 1e-12)
	near(t, "variance", split.v00, once.v00, 1e-12)
}

// Against gonum's exact quantile.
func TestT90(t *testing.T) {
	worst := 0.0
	for nu := 5.; nu <= 400; nu++ {
		want := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.Quantile(.9)
		worst = max(worst, math.Abs(t90(nu)/want-1))
	}
	t.Logf("worst relative error %.2g", worst)
	if worst > 5e-5 {
		t.Errorf("t90 is off by %.3g of itself", worst)
	}
}
