package rig

import "testing"

// The aims are ours: a steady shape in 100 µs, a load in 200 µs, rigs for a
// water in 5 ms.

func BenchmarkSteady(b *testing.B) {
	b.ReportAllocs()
	pl := newPlan(Patterns()[1], Water{DepthM: 1.83, PaceMPS: 0.8}.known(), Aim{})
	l := pl.line(pl.outline(3))
	for b.Loop() {
		if _, err := Steady(River(1.83, 0.8), 0.56, 1.92, l, Model{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSettle runs its 150 s to the end, at rest or not; the aim is 10 ms.
func BenchmarkSettle(b *testing.B) {
	b.ReportAllocs()
	pl := newPlan(Patterns()[1], Water{DepthM: 1.83, PaceMPS: 0.8}.known(), Aim{})
	l := pl.line(pl.outline(3))
	for b.Loop() {
		f, err := newFall(River(1.83, 0.8), 0.56, 1.92, l, Model{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := f.settle(150, 0); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSettleAbout(b *testing.B) {
	b.ReportAllocs()
	pl := newPlan(Patterns()[1], Water{DepthM: 1.83, PaceMPS: 0.8}.known(), Aim{})
	l := pl.line(pl.outline(3))
	for b.Loop() {
		if _, err := SettleAbout(River(1.83, 0.8), 0.56, 1.83, l); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkShot(b *testing.B) {
	l := Layout{Style: OlivetteBulk, SetM: 1.83, HookLengthM: 0.15, BulkM: 0.6}
	all := StandardKit()
	all.Sizes = nil
	for _, c := range []struct {
		name string
		kit  Kit
	}{{"standard", StandardKit()}, {"whole chart", all}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Shot(3, l, c.kit); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSuggest(b *testing.B) {
	b.ReportAllocs()
	w := Water{DepthM: 1.83, PaceMPS: 0.8, Boil: 1}
	for b.Loop() {
		if _, err := Suggest(w, Aim{}, StandardKit()); err != nil {
			b.Fatal(err)
		}
	}
}
