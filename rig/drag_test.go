package rig

import (
	"math"
	"testing"
)

// near fails where got is further from want than a share of it.
func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > share*math.Abs(want) {
		t.Errorf("%s: got %.9g, want %.9g within %.2g of it", what, got, want, share)
	}
}

func TestSphereCd(t *testing.T) {
	// Pruppacher and Klett, Microphysics of Clouds and Precipitation, table 10.1.
	for _, c := range []struct{ re, cd float64 }{{10, 4.29}, {30, 2.11}, {57, 1.51}, {100, 1.10}, {300, 0.63}} {
		near(t, "sphere", SphereCd(c.re), c.cd, 0.06)
	}
	// Derived: Stokes, 24/Re, as Re goes to 0.
	near(t, "Stokes", SphereCd(1e-6), 24e6, 1e-3)
}

func TestTerminalSpeeds(t *testing.T) {
	// Rushton, Ward and Holdich, Solid–Liquid Filtration and Separation, examples,
	// for the first two, which take a rounded viscosity of 1e−6 m²/s and a density
	// of 1000; derived with Clift's curve at 20 °C for glass and steel.
	for _, c := range []struct{ m, kgM3, water, nu, mps, share float64 }{
		{70e-6, 2600, 1000, 1e-6, 0.00406, 0.05}, {50e-6, 2800, 1000, 1e-6, 0.002453, 0.05},
		{1e-3, 2500, 998.2, 1.004e-6, 0.148, 0.02}, {3e-3, 7850, 998.2, 1.004e-6, 0.81, 0.02},
	} {
		v := bisect(func(v float64) float64 {
			return SphereCd(v*c.m/c.nu)*v*v - 4.0/3*gravityMPS2*c.m*(c.kgM3/c.water-1)
		}, 1e-6, 5, 50)
		near(t, "falls at", v, c.mps, c.share)
	}
}

func TestSphereCdAgainstBrownAndLawler(t *testing.T) {
	// Brown and Lawler 2003, over the Reynolds numbers of shot in a river; fits of
	// the standard curve agree within 6 %.
	for re := 400.0; re < 2e4; re *= 1.1 {
		near(t, "Brown and Lawler", SphereCd(re), 24/re*(1+0.15*math.Pow(re, 0.681))+0.407/(1+8710/re), 0.06)
	}
}

func TestCylinderCd(t *testing.T) {
	// White, Viscous Fluid Flow, 1991: values of the fit, to their last figure.
	for _, c := range []struct{ re, cd float64 }{
		{1, 9.94}, {5, 3.68}, {10, 2.67}, {20, 2.08}, {40, 1.73}, {100, 1.45}, {200, 1.30}, {500, 1.11},
	} {
		near(t, "cylinder", CylinderCd(c.re), c.cd, 0.06)
		near(t, "cylinder to its last figure", CylinderCd(c.re), c.cd, 0.005)
	}
}

func TestDragOutsideItsDomain(t *testing.T) {
	for _, f := range []func(float64) float64{SphereCd, CylinderCd} {
		if !math.IsInf(f(0), 1) || !math.IsInf(f(-1), 1) || !math.IsNaN(f(math.NaN())) {
			t.Errorf("at 0, -1 and NaN: %v %v %v", f(0), f(-1), f(math.NaN()))
		}
	}
}

func TestLineDrag(t *testing.T) {
	// Derived: newtons a metre across the flow at 10 °C.
	for _, c := range []struct{ mm, mps, n float64 }{
		{0.12, 0.1, 0.001661}, {0.12, 0.5, 0.02514}, {0.12, 1, 0.08816},
		{0.20, 0.1, 0.002274}, {0.20, 0.5, 0.03791}, {0.20, 1, 0.1355},
	} {
		near(t, "line", lineDragNPM(c.mps, c.mm/1000, 0), c.n, 0.002)
	}
}

// TestLineForces holds the drag of the line's own loop to the plain one, and the
// drag along it to its share of that across.
func TestLineForces(t *testing.T) {
	for _, mm := range []float64{0.1, 0.16, 0.3} {
		for v := 0.001; v < 3; v *= 1.3 {
			across, along := lineForces(v, mm/1000, 0)
			near(t, "across", across, lineDragNPM(v, mm/1000, 0), 1e-12)
			near(t, "along", along, alongNSPM2(v, mm/1000), 1e-12)
			n, slope := lineDragSlope(v, mm/1000, 0)
			near(t, "the slope's own", n, across, 1e-12)
			more, _ := lineForces(v*1.0001, mm/1000, 0)
			near(t, "slope", slope, (more-across)/(v*0.0001), 1e-3)
		}
	}
	// By hand at 20° off upright in 0.5 m/s: Re 57.5, along 0.01854·0.171 = 0.00317 N,
	// across 1.62·0.0800·0.2207 = 0.0283 N.
	sin, cos := math.Sincos(20 * math.Pi / 180)
	across, along := lineForces(0.5*cos, 0.16e-3, 0)
	near(t, "the share along", along*0.5*sin/across, 0.00317/0.0283, 0.01)
}

// TestSpeedsTooSmallToDrag have drag coefficients beyond all numbers.
func TestSpeedsTooSmallToDrag(t *testing.T) {
	for _, v := range []float64{5e-324, 3.6e-307, 1e-200} {
		if got := lineDragNPM(v, 0.2e-3, 0); got != 0 {
			t.Errorf("line at %g m/s: %g N", v, got)
		}
		if got := sphereDragN(-v, 4e-3, 0); got != 0 {
			t.Errorf("sphere at %g m/s: %g N", v, got)
		}
	}
}
