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
	hard := all // no size of it comes near 12 g, and there is little of each
	hard.OlivettesG, hard.Held = nil, map[string]int{}
	for _, s := range hard.Chart.Sizes {
		hard.Held[s.Name] = 3
	}
	for _, c := range []struct {
		name      string
		kit       Kit
		capacityG float64
	}{{"standard", StandardKit(), 3}, {"whole chart", all, 3}, {"three of each", hard, 12}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Shot(c.capacityG, l, c.kit); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkLacks(b *testing.B) {
	l := Layout{Style: OlivetteBulk, SetM: 1.83, HookLengthM: 0.15, BulkM: 0.6}
	k := StandardKit()
	k.Held = map[string]int{}
	for _, s := range k.Sizes {
		k.Held[s] = 2
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Lacks(3, l, k); err != nil {
			b.Fatal(err)
		}
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

func BenchmarkDiff(b *testing.B) {
	from, err := Suggest(Water{DepthM: 1.5, PaceMPS: 0.5}, Aim{}, StandardKit())
	if err != nil {
		b.Fatal(err)
	}
	to, err := Suggest(Water{DepthM: 2.1, PaceMPS: 0.8}, Aim{}, StandardKit())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		Diff(from[0], to[0])
	}
}
