package hydro

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// dense is the posterior of β under one story, by generalised least squares with
// the whole covariance matrix, and σ²'s b and the log of the story's weight.
func dense(rs []reading, p Prior, wild, moved []bool, meanM float64) (l line, logWeight float64) {
	n, r2 := len(rs), p.ReadingSDM*p.ReadingSDM
	first := firstStory(&p, 0, 2, 30)
	walk := make([]float64, n)
	var k, logPrior float64
	for i, r := range rs {
		k += p.DriftSDM * p.DriftSDM / r2 * r.gapYears
		k += p.FloodSDM * p.FloodSDM / r2 * float64(r.gapFloods)
		q := -math.Expm1(-p.UnseenPerYear * r.gapYears)
		if moved[i] {
			k += p.FloodSDM * p.FloodSDM / r2
			logPrior += math.Log(q)
		} else {
			logPrior += math.Log1p(-q)
		}
		walk[i] = k
	}
	// Covariance of the readings and theirs with β0 and β1, all in σ².
	v, xs, e := mat.NewSymDense(n, nil), mat.NewDense(n, 2, nil), mat.NewVecDense(n, nil)
	for i, r := range rs {
		x := r.levelM - meanM
		xs.SetRow(i, []float64{first.v00, first.v11 * x})
		e.SetVec(i, r.depthM-2-p.SlopeMean*x)
		for j := range i + 1 {
			v.SetSym(i, j, walk[j]+first.v00+first.v11*x*(rs[j].levelM-meanM))
		}
		noise := 1.0
		logPrior += math.Log1p(-p.WildShare)
		if wild[i] {
			noise = p.WildSDM * p.WildSDM / r2
			logPrior += math.Log(p.WildShare) - math.Log1p(-p.WildShare)
		}
		v.SetSym(i, i, v.At(i, i)+noise)
	}
	var ch mat.Cholesky
	if !ch.Factorize(v) {
		panic("covariance is not positive definite")
	}
	var gain mat.Dense
	if err := ch.SolveTo(&gain, xs); err != nil {
		panic(err)
	}
	var ve mat.VecDense
	if err := ch.SolveVecTo(&ve, e); err != nil {
		panic(err)
	}
	var dm mat.VecDense
	dm.MulVec(gain.T(), e)
	var dv mat.Dense
	dv.Mul(xs.T(), &gain)
	l = line{
		m0: 2 + dm.AtVec(0), m1: p.SlopeMean + dm.AtVec(1),
		v00: first.v00 - dv.At(0, 0), v01: -dv.At(0, 1), v11: first.v11 - dv.At(1, 1),
		a: errorShape - 0.5 + float64(n)/2, b: first.b + 0.5*mat.Dot(e, &ve),
	}
	return l, logPrior - 0.5*ch.LogDet() - l.a*math.Log(l.b)
}

// Derived in closed form and checked numerically (facts, "Bayesian line,
// normal–inverse-gamma"): the same worked example as the plain line's, told as a
// story, to the digits given there.
func TestStoryWorkedExample(t *testing.T) {
	tell := teller{a: 2, kinds: [...]kind{kindOf(1, 1), kindOf(1, 0)}}
	tell.begin(0, story{m0: 1.5, m1: 1, v00: 4, v11: .25, b: .005})
	for _, c := range []struct{ h, y, m0, m1, b float64 }{
		{.40, .92, 1.5157170923, .9994106090, 5.0392927e-3},
		{.75, 1.25, 1.5084795124, .9989163562, 5.1087030e-3},
		{1.10, 1.58, 1.4992415007, .9967131699, 5.3769922e-3},
	} {
		tell.take(&reading{depthM: c.y}, c.h-1)
		m := tell.mixture()
		if m.n != 1 {
			t.Fatalf("%d stories, want 1", m.n)
		}
		near(t, "mean 0", m.line[0].m0, c.m0, 5.1e-11)
		near(t, "mean 1", m.line[0].m1, c.m1, 5.1e-11)
		near(t, "b", m.line[0].b, c.b, 5.1e-11)
	}
	m := tell.mixture()
	mid, scale := m.line[0].at(0, 1)
	half := scale * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: m.nu}.Quantile(.95)
	near(t, "low", mid-half, 1.41391826, 5.1e-9)
	near(t, "high", mid+half, 1.58456474, 5.1e-9)
}

// With few readings every story can be told: 2 choices of wild and 2 of an unseen
// move for each, by dense algebra, against the fit that takes the readings one by
// one and keeps the likeliest (derived: they are the same sum, but for what is
// dropped and put together). Compared are shares: how much of the exact posterior
// lies below each figure of the fit.
func TestFitIsTheSumOverEveryStory(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 28))
	worst, sum, n := 0.0, 0.0, 0.0
	for range 300 {
		p := OpenReach()
		w := newWorld(rng, p, 10, 15)
		s := w.soundings[:min(len(w.soundings), 4)]
		for i := range s {
			s[i].PaceMPS = 0
		}
		if rng.IntN(2) == 0 {
			s[rng.IntN(len(s))].DepthM += 1
		}
		f := depthAt(t, mustFit(t, s, w.floodTimes, p), w.levelNow)
		below := everyStory(s, w.floodTimes, p, w.levelNow)
		for _, off := range []float64{below(f.Low) - 0.1, below(f.Mid) - 0.5, below(f.High) - 0.9} {
			worst, sum, n = max(worst, math.Abs(off)), sum+math.Abs(off), n+1
		}
	}
	t.Logf("off by a share of %.4f on average, %.4f at worst", sum/n, worst)
	if sum/n > 0.002 || worst > 0.03 {
		t.Errorf("figures of the fit are off by a share of %.4f on average, %.3f at worst", sum/n, worst)
	}
}

func everyStory(s []Sounding, floods []time.Time, p Prior, levelM float64) (below func(float64) float64) {
	rs := readingsOf(s, pastFloods(floods, today), today)
	n, meanM := len(rs), meanLevel(rs)
	wild, moved := make([]bool, n), make([]bool, n)
	var lines []line
	var logs []float64
	for bits := range 1 << (2 * n) {
		for i := range n {
			wild[i], moved[i] = bits>>(2*i)&1 == 1, bits>>(2*i)&2 == 2
		}
		l, lw := dense(rs, p, wild, moved, meanM)
		lines, logs = append(lines, l), append(logs, lw)
	}
	return mixedBelow(lines, logs, levelM-meanM)
}
