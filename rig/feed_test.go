package rig

import (
	"errors"
	"math"
	"testing"
)

// TestMeanSpeed holds the closed means against sums over the profile.
func TestMeanSpeed(t *testing.T) {
	for _, c := range []Current{
		{DepthM: 2, SurfaceMPS: 1}, {DepthM: 2, SurfaceMPS: 0.7, Power: 6}, River(1.5, 0.9), {DepthM: 0.5, SurfaceMPS: 1, Power: 5, BedM: 0.5},
		{DepthM: 2, SurfaceMPS: 1, RoughM: 0.01}, {DepthM: 2, SurfaceMPS: 1, RoughM: 0.01, BedM: 0.05}, {DepthM: 1, SurfaceMPS: 1, RoughM: 0.1, BedM: 0.02},
	} {
		const n = 200000
		sum := 0.0
		for i := range n {
			sum += c.speed(c.DepthM * (float64(i) + 0.5) / n)
		}
		near(t, "mean", c.meanMPS(), sum/n, 1e-5)
	}
	// Derived: mean ÷ surface is m/(m+1), to four figures.
	for _, c := range []struct{ m, share float64 }{{5, 0.8333}, {6, 0.8571}, {7, 0.8750}} {
		got := Current{DepthM: 2, SurfaceMPS: 1, Power: c.m}.meanMPS()
		near(t, "m/(m+1)", got, c.m/(c.m+1), 1e-12)
		near(t, "to four figures", got, c.share, 1e-4)
	}
	// Derived: speed at 0.6 of the depth ÷ mean, to four figures.
	for _, c := range []struct{ m, share float64 }{{5, 0.9991}, {6, 1.0014}, {7, 1.0026}} {
		w := Current{DepthM: 2, SurfaceMPS: 1, Power: c.m}
		near(t, "at 0.6", w.speed(1.2)/w.meanMPS(), c.share, 1e-4)
	}
}

func TestLooseFeed(t *testing.T) {
	got, err := LooseFeed(Current{DepthM: 2.1, SurfaceMPS: 0.7, Power: 6}, 0.05, 0.15)
	if err != nil {
		t.Fatal(err)
	}
	// Derived: mean speed, 6/7 of 0.7, times depth over sinking speed.
	near(t, "least", got.Least.M, 0.6*2.1/0.15, 1e-12)
	near(t, "middle", got.Middle.M, 0.6*2.1/0.10, 1e-12)
	near(t, "most", got.Most.M, 0.6*2.1/0.05, 1e-12)
	near(t, "most, time", got.Most.S, 42, 1e-12)
	if still, err := LooseFeed(River(2, 0), 0.1, 0.1); err != nil || still.Most.M != 0 || still.Least != still.Most {
		t.Errorf("still water: %+v, %v", still, err)
	}
}

// TestLooseFeedByFalling lets feed fall through the profile in small steps.
func TestLooseFeedByFalling(t *testing.T) {
	for _, c := range []Current{River(2.4, 0.8), {DepthM: 1.3, SurfaceMPS: 0.5, RoughM: 0.004}} {
		got, err := LooseFeed(c, 0.08, 0.12)
		if err != nil {
			t.Fatal(err)
		}
		const dt = 1e-4
		x := 0.0
		for z := 0.0; z < c.DepthM; z += 0.08 * dt {
			x += dt * c.speed(z)
		}
		near(t, "carried", got.Most.M, x, 1e-4)
	}
}

// TestSinkSpeed holds terminal speeds to within 10 % of the handbook's and 6 % of
// those reckoned at 20 °C.
func TestSinkSpeed(t *testing.T) {
	handbook, at20 := fluid{1000, 1e-6}, fluid{998.2, 1.004e-6}
	for _, c := range []struct {
		w                  fluid
		m, kgM3, mps, near float64
	}{
		// Rushton, Ward and Holdich, Solid–Liquid Filtration and Separation, examples.
		{handbook, 70e-6, 2600, 0.00406, 0.10}, {handbook, 50e-6, 2800, 0.002453, 0.10},
		// Derived with Clift's curve: glass and steel.
		{at20, 1e-3, 2500, 0.148, 0.06}, {at20, 3e-3, 7850, 0.81, 0.06},
	} {
		near(t, "sinks at", c.w.sinkMPS(c.kgM3, c.m), c.mps, c.near)
	}
	cold, err := SinkSpeed(2500, 1e-3)
	if warm := at20.sinkMPS(2500, 1e-3); err != nil || cold >= warm || cold < 0.8*warm {
		t.Errorf("10 °C %g, 20 °C %g: %v", cold, warm, err)
	}
	if v, err := SinkSpeed(waterKgM3, 0.01); v != 0 || err != nil {
		t.Errorf("as heavy as water: %g, %v", v, err)
	}
}

func TestFeedErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, f := range map[string]func() error{
		"low NaN":      func() error { _, e := LooseFeed(River(2, 1), nan, 0.1); return e },
		"high +Inf":    func() error { _, e := LooseFeed(River(2, 1), 0.1, inf); return e },
		"low over":     func() error { _, e := LooseFeed(River(2, 1), 0.2, 0.1); return e },
		"floats":       func() error { _, e := LooseFeed(River(2, 1), 0, 0.1); return e },
		"depth NaN":    func() error { _, e := LooseFeed(River(nan, 1), 0.1, 0.1); return e },
		"rough NaN":    func() error { _, e := LooseFeed(Current{DepthM: 2, RoughM: nan}, 0.1, 0.1); return e },
		"rough deep":   func() error { _, e := LooseFeed(Current{DepthM: 2, RoughM: 1.5}, 0.1, 0.1); return e },
		"density NaN":  func() error { _, e := SinkSpeed(nan, 0.01); return e },
		"density low":  func() error { _, e := SinkSpeed(900, 0.01); return e },
		"diameter inf": func() error { _, e := SinkSpeed(2000, inf); return e },
		"diameter 0":   func() error { _, e := SinkSpeed(2000, 0); return e },
	} {
		var r *RangeError
		if err := f(); !errors.As(err, &r) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzLooseFeed(f *testing.F) {
	f.Add(2.0, 0.8, 6.0, 0.0, 0.03, 0.05, 0.1)
	f.Add(0.05, 5.0, 1e-9, 0.02, 1.0, 0.001, 5.0)
	f.Fuzz(func(t *testing.T, depthM, paceMPS, power, roughM, bedM, low, high float64) {
		c := Current{DepthM: depthM, SurfaceMPS: paceMPS, Power: power, RoughM: roughM, BedM: bedM}
		d, err := LooseFeed(c, low, high)
		if v, sinkErr := SinkSpeed(1000+1000*high, low); sinkErr == nil && (math.IsNaN(v) || v < 0 || v > 100) {
			t.Fatalf("sinks at %g", v)
		}
		if err != nil {
			return
		}
		for _, k := range []Carried{d.Least, d.Middle, d.Most} {
			if !(k.S > 0) || !(k.M >= 0) || math.IsInf(k.M+k.S, 0) || k.M > paceMPS*k.S*(1+1e-9) {
				t.Fatalf("%+v", d)
			}
		}
		if d.Least.M > d.Middle.M*(1+1e-12) || d.Middle.M > d.Most.M*(1+1e-12) {
			t.Fatalf("out of order: %+v", d)
		}
	})
}
