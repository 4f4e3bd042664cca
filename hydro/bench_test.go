package hydro

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

var sink Figure

// benchRun is n soundings over five years with three floods, a third of them timed.
func benchRun(n int) ([]Sounding, []time.Time, time.Time) {
	rng := rand.New(rand.NewPCG(1, uint64(n)))
	now := day(2026, 10, 1)
	start := now.AddDate(-5, 0, 0)
	s := make([]Sounding, n)
	for i := range s {
		level := 0.5 + rng.Float64()
		s[i] = Sounding{
			At:     start.Add(time.Duration(i) * now.Sub(start) / time.Duration(n)),
			LevelM: level, DepthM: level + 1 + 0.05*rng.NormFloat64(),
		}
		if i%3 == 0 {
			s[i].PaceMPS, s[i].TimedS = 0.5, 12
		}
	}
	floods := []time.Time{now.AddDate(-4, 0, 0), now.AddDate(-2, -3, 0), now.AddDate(0, -8, 0)}
	return s, floods, now
}

// spoil makes every ninth sounding wild and moves the bed where no flood is listed,
// which leaves many stories to tell.
func spoil(s []Sounding) []Sounding {
	rng := rand.New(rand.NewPCG(9, 9))
	for i := range s {
		if i%9 == 8 {
			s[i].DepthM += 0.3 + rng.Float64()
		}
		if i > len(s)/2 {
			s[i].DepthM += 0.15
		}
	}
	return s
}

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{1, 12, 50} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s, floods, now := benchRun(n)
			p := OpenReach()
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Fit(s, floods, now, p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("50spoilt", func(b *testing.B) {
		s, floods, now := benchRun(50)
		s = spoil(s)
		b.ReportAllocs()
		for b.Loop() {
			if _, err := Fit(s, floods, now, OpenReach()); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkPredict(b *testing.B) {
	s, floods, now := benchRun(12)
	r, err := Fit(s, floods, now, OpenReach())
	if err != nil {
		b.Fatal(err)
	}
	few, err := Fit(spoil(s[:10]), floods, now, OpenReach())
	if err != nil {
		b.Fatal(err)
	}
	for name, f := range map[string]func(float64) (Figure, error){"Depth": r.Depth, "Pace": r.Pace, "DepthSpoilt": few.Depth} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if sink, err = f(0.9); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkBorrow(b *testing.B) {
	var ns []Neighbour
	for i := range 20 {
		s, floods, now := benchRun(4 + i%5)
		r, err := Fit(s, floods, now, OpenReach())
		if err != nil {
			b.Fatal(err)
		}
		ns = append(ns, Neighbour{Run: r, OutM: float64(i%4) * 4, Pegs: i/4 - 2})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Borrow(ns, OpenReach()); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudgeDepth(b *testing.B) {
	s, floods, now := benchRun(12)
	r, err := Fit(s, floods, now, OpenReach())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.JudgeDepth(s[0]); err != nil {
			b.Fatal(err)
		}
	}
}
