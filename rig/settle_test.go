package rig

import (
	"fmt"
	"math"
	"testing"
)

// rigs to settle: what patterns carry, as the shotting lays them.
func settlings(t testing.TB) (out []struct {
	name  string
	c     Current
	float float64
	setM  float64
	l     Line
}) {
	t.Helper()
	for _, depth := range []float64{1.2, 1.8, 2.5, 4} {
		for _, pace := range []float64{0.3, 0.6, 1.0} {
			for _, id := range []string{"avon-short", "stick"} {
				for _, hold := range []float64{0, 0.3, 0.5} {
					w := Water{DepthM: depth, PaceMPS: pace}.known()
					pl := newPlan(byID(t, id), w, Aim{})
					grams := min(max(pl.byPace(), 0.6), 12)
					ws, err := Shot(grams, pl.layout, StandardKit())
					if err != nil {
						t.Fatal(err)
					}
					out = append(out, struct {
						name  string
						c     Current
						float float64
						setM  float64
						l     Line
					}{fmt.Sprintf("%s of %.1f g in %g m at %g m/s held back %g", id, grams, depth, pace, hold),
						River(depth, pace), pace * (1 - hold), depth * 0.97, pl.line(beads(ws, pl.bait))})
				}
			}
		}
	}
	return out
}

// TestSettleComesToSteady is two independent ways to one shape.
func TestSettleComesToSteady(t *testing.T) {
	worstM, worstDeg := 0.0, 0.0
	for _, c := range settlings(t) {
		want, err := Steady(c.c, c.float, c.setM, c.l, Model{})
		if err != nil {
			t.Logf("%s: %v", c.name, err)
			continue
		}
		got, err := Settle(c.c, c.float, c.setM, 200, c.l, Model{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		off := math.Hypot(got.Rest.AheadM-want.AheadM, got.Rest.HookDepthM-want.HookDepthM)
		deg := math.Abs(got.Rest.TiltDeg - want.TiltDeg)
		worstM, worstDeg = max(worstM, off), max(worstDeg, deg)
		if off > 0.01 || deg > 1 {
			t.Errorf("%s: hook %.4f m off, %.2f° off (%.3f %.3f %.1f° for %.3f %.3f %.1f°)", c.name, off, deg,
				got.Rest.AheadM, got.Rest.HookDepthM, got.Rest.TiltDeg, want.AheadM, want.HookDepthM, want.TiltDeg)
		}
	}
	t.Logf("worst %.4f m, %.3f°", worstM, worstDeg)
}

// TestFallFromRest is exact: v = vt·tanh(g′t/vt), x = (vt²/g′)·ln cosh(g′t/vt), with
// g′ = g(ρp−ρ)/(ρp+ρ/2), for lead of 0.4 g with a drag coefficient of 0.44 and half
// its water added (derived; the figures are for water of 1000 kg/m³).
func TestFallFromRest(t *testing.T) {
	const grams, density = 0.4, 11.34
	d := sphereM(grams, density)
	volume := math.Pi / 6 * d * d * d
	sink := (density*1000 - waterKgM3) * volume * gravityMPS2
	vt := math.Sqrt(2 * sink / (waterKgM3 * 0.44 * math.Pi / 4 * d * d))
	g := sink / (volume * (density*1000 + waterKgM3/2))
	if math.Abs(vt/1.1181628-1) > 1e-3 || math.Abs(g/8.564253-1) > 1e-3 {
		t.Fatalf("vt %g, g' %g", vt, g)
	}
	s := &sinker{current: Current{DepthM: 50}, model: Model{BeadCd: 0.44}, setM: 20}
	s.knots = []knot{{lengthM: 20}}
	s.load(Line{Beads: []Bead{{SinkN: sink, DiameterM: d}}})
	s.rows = make([]row, 1)
	fell := func(until float64) *knot {
		const dt = 0.0005
		for s.timeS < until-dt/2 {
			s.step(dt)
		}
		return &s.knots[0]
	}
	if v := fell(0.1).v.z; math.Abs(v/(vt*math.Tanh(g*0.1/vt))-1) > 0.005 || math.Abs(v/0.7207139-1) > 0.005 {
		t.Errorf("%g m/s after a tenth of a second", v)
	}
	if x := fell(1.879147).at.z; math.Abs(x/2-1) > 0.005 {
		t.Errorf("%g m in the time of 2 m", x)
	}
}

// TestHalvedStretches come to the same place, as soon.
func TestHalvedStretches(t *testing.T) {
	worstM, worstS := 0.0, 0.0
	for _, c := range settlings(t) {
		a, e1 := Settle(c.c, c.float, c.setM, 150, c.l, Model{})
		b, e2 := Settle(c.c, c.float, c.setM, 150, c.l, Model{Parts: 2 * leastParts})
		if e1 != nil || e2 != nil {
			t.Errorf("%s: %v, %v", c.name, e1, e2)
			continue
		}
		off := math.Hypot(a.Rest.AheadM-b.Rest.AheadM, a.Rest.HookDepthM-b.Rest.HookDepthM)
		worstM, worstS = max(worstM, off), max(worstS, math.Abs(a.To80S/b.To80S-1))
		if off > 0.005 || math.Abs(a.To80S/b.To80S-1) > 0.1 {
			t.Errorf("%s: hook %.4f m off, 80 %% after %.2f s for %.2f", c.name, off, a.To80S, b.To80S)
		}
	}
	t.Logf("worst %.4f m, %.1f %% of the time", worstM, worstS*100)
}

func TestSettlePath(t *testing.T) {
	for _, c := range settlings(t) {
		s, err := Settle(c.c, c.float, c.setM, 150, c.l, Model{})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if !(0 < s.To80S && s.To80S < s.To95S && s.To95S < 150) || math.Abs(s.Over80M-c.float*s.To80S) > 1e-9 {
			t.Errorf("%s: 80 %% after %g s, 95 %% after %g s", c.name, s.To80S, s.To95S)
		}
		if n := len(s.Path); n < 20 || n > 70 {
			t.Errorf("%s: %d moments", c.name, n)
		}
		last := 0.0
		for _, m := range s.Path {
			if m.TimeS <= last || len(m.Beads) != len(s.BeadsFromHookM) {
				t.Fatalf("%s: %+v after %g s", c.name, m, last)
			}
			last = m.TimeS
			for i, p := range m.Beads {
				if p.ZM > c.c.DepthM+0.01 || math.Hypot(p.XM, p.ZM) > c.setM-s.BeadsFromHookM[i]+0.02 {
					t.Errorf("%s: a weight at %+v", c.name, p)
				}
			}
		}
		if end := s.Path[len(s.Path)-1].Beads[0]; math.Abs(end.ZM-s.Rest.HookDepthM) > 1e-9 || last < 150-1e-6 {
			t.Errorf("%s: the path ends at %+v after %g s", c.name, end, last)
		}
	}
}

func BenchmarkSettle(b *testing.B) {
	c := settlings(b)[20]
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Settle(c.c, c.float, c.setM, 150, c.l, Model{}); err != nil {
			b.Fatal(err)
		}
	}
}
