package hydro

import (
	"math"
	"testing"
)

// TestPowerLawProfile, exact. Derived.
func TestPowerLawProfile(t *testing.T) {
	for m, want := range map[float64]struct{ mean, at06 float64 }{5: {.8333, .9991}, 6: {.8571, 1.0014}, 7: {.8750, 1.0026}} {
		near(t, "mean ÷ surface", MeanOfSurface(m), want.mean, 0.00005)
		near(t, "mean ÷ surface, exactly", MeanOfSurface(m), m/(m+1), 1e-15)
		near(t, "speed at 0.6 of the depth ÷ mean", OfMean(0.4, m), want.at06, 0.00005)
		near(t, "surface ÷ mean", OfMean(1, m)*MeanOfSurface(m), 1, 1e-15)
	}
}

// TestProfileIsMeanOne: the mean over the depth is the mean, by adding it up.
func TestProfileIsMeanOne(t *testing.T) {
	for _, m := range []float64{2, 5, 6, 7, 12} {
		const n = 200_000
		var sum float64
		for i := range n {
			sum += OfMean((float64(i)+0.5)/n, m) / n
		}
		near(t, "mean", sum, 1, 1e-5)
	}
}

// TestProfileOfRivers: the ratio of the speed at a depth to the mean in rivers. Source:
// Rantz and others, USGS Water-Supply Paper 2175, 1982, table 2 (from memory).
func TestProfileOfRivers(t *testing.T) {
	var worst float64
	for _, r := range []struct{ below, ratio float64 }{{.05, 1.160}, {.1, 1.160}, {.2, 1.149}, {.3, 1.130}, {.4, 1.108}, {.5, 1.067}, {.6, 1.020}, {.7, .953}, {.8, .871}, {.9, .746}, {.95, .648}} {
		five, six := OfMean(1-r.below, BedExponent), OfMean(1-r.below, 6)
		t.Logf("%.2f of the depth down: %.3f in rivers, %.3f for the fifth root, %.3f for the sixth", r.below, r.ratio, five, six)
		worst = max(worst, math.Abs(five-r.ratio))
	}
	t.Logf("the fifth root is off by %.3f at the worst", worst)
	if worst > 0.03 {
		t.Errorf("off by %.3f, want 0.03 or less", worst)
	}
}

func TestProfileOfOddArguments(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -3, 0, 1e300} {
		for _, got := range []float64{MeanOfSurface(v), OfMean(v, 6), OfMean(0.5, v)} {
			if math.IsNaN(got) || got < 0 || got > 2.01 {
				t.Errorf("of %v: %v", v, got)
			}
		}
	}
	f := NearBed(Figure{Mid: 1, Low: 0.8, High: 1.3})
	near(t, "near the bed at 1 m/s", f.Mid, 6.0/7*6/5*math.Pow(0.1, 1.0/5), 1e-12)
	if m := Mean(f); !(m.Low < m.Mid && m.Mid < m.High) {
		t.Errorf("%v", m)
	}
}
