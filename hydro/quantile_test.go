package hydro

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// mixedBelow gives how much of a mixture of weighted lines at x lies below a value,
// by gonum's exact Student t.
func mixedBelow(lines []line, logWeights []float64, x float64) func(float64) float64 {
	best := slices.Max(logWeights)
	return func(q float64) float64 {
		var sum, all float64
		for i, l := range lines {
			mid, scale := l.at(x, 0)
			w := math.Exp(logWeights[i] - best)
			sum += w * distuv.StudentsT{Mu: mid, Sigma: scale, Nu: 2 * l.a}.CDF(q)
			all += w
		}
		return sum / all
	}
}

// mixedFigure is the median and the 80 % range of such a mixture, by halving.
func mixedFigure(lines []line, logWeights []float64, x float64) Figure {
	below := mixedBelow(lines, logWeights, x)
	point := func(p float64) float64 {
		low, high := -100.0, 100.0
		for range 50 {
			if q := 0.5 * (low + high); below(q) < p {
				low = q
			} else {
				high = q
			}
		}
		return low
	}
	return Figure{Mid: point(0.5), Low: point(0.1), High: point(0.9)}
}

// Against gonum's exact distribution, far out as well.
func TestStudent(t *testing.T) {
	var worst, worstDensity float64
	for nu := 5.; nu <= 200; nu++ {
		exact := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}
		for x := -8.0; x <= 8; x += 0.0625 {
			below, density := student(x, nu)
			worst = max(worst, math.Abs(below-exact.CDF(x)))
			worstDensity = max(worstDensity, math.Abs(density/exact.Prob(x)-1))
		}
	}
	t.Logf("worst error %.2g, of the density %.2g of itself", worst, worstDensity)
	if worst > 1e-5 || worstDensity > 1e-3 {
		t.Errorf("student is off by %.3g, its density by %.3g of itself", worst, worstDensity)
	}
}

// A mixture's points against halving: even parts, parts far apart, a heavy tail.
func TestMixturePoints(t *testing.T) {
	a := line{m0: 1.5, m1: 1, v00: 0.2, v11: 4, a: 4, b: 0.01}
	far, wide := a, a
	far.m0 = 2.5
	wide.v00 = 900
	for _, c := range []struct {
		what  string
		lines []line
		share []float64
	}{
		{"one", []line{a}, []float64{1}},
		{"two apart", []line{a, far}, []float64{0.6, 0.4}},
		{"as likely", []line{a, far}, []float64{0.5, 0.5}},
		{"a heavy tail", []line{a, wide}, []float64{0.97, 0.03}},
		{"three", []line{far, a, wide}, []float64{0.5, 0.3, 0.2}},
	} {
		m := mixture{nu: 8}
		var logs []float64
		for i, l := range c.lines {
			m.put(c.share[i], l)
			logs = append(logs, math.Log(c.share[i]))
		}
		m.tidy()
		for _, x := range []float64{0, 0.7} {
			s := m.at(x)
			got, want := s.within(z90), mixedFigure(c.lines, logs, x)
			near(t, c.what+": middle", got.Mid, want.Mid, 1e-3) // two as likely are flat between
			near(t, c.what+": low", got.Low, want.Low, 2e-5)
			near(t, c.what+": high", got.High, want.High, 2e-5)
		}
	}
}
