package rig

import (
	"math"
	"math/rand/v2"
	"testing"
)

// pegs are waters as a venue's pegs have them: each with a character of its own about
// what the venue is like, to the centimetre and the hundredth of a metre a second.
func pegs(rnd *rand.Rand, n int) []Water {
	depth, pace := 0.7+2.5*rnd.Float64(), 0.1+0.9*rnd.Float64()
	boil, far := rnd.IntN(3), 3+10*rnd.Float64()
	out := make([]Water, n)
	for i := range out {
		d := math.Round(100*min(max(depth*math.Exp(0.35*rnd.NormFloat64()), 0.45), 5.5)) / 100
		p := math.Round(100*min(max(pace*math.Exp(0.4*rnd.NormFloat64()), 0), 1.5)) / 100
		out[i] = Water{DepthM: d, PaceMPS: p, Boil: min(max(boil+rnd.IntN(3)-1, 0), 3),
			DistanceM: math.Round(min(max(far*math.Exp(0.4*rnd.NormFloat64()), 2), 40)), Snaggy: rnd.IntN(5) == 0}
		if rnd.IntN(2) == 0 {
			out[i].DepthLowM, out[i].DepthHighM = math.Round(95*d)/100, math.Round(105*d)/100
			out[i].PaceLowMPS, out[i].PaceHighMPS = math.Round(90*p)/100, math.Round(112*p)/100
		}
	}
	return out
}

// wide are waters over the whole range of floats.
func wide(rnd *rand.Rand, n int) []Water {
	out := make([]Water, n)
	for i := range out {
		out[i] = Water{DepthM: math.Round(100*(0.6+3.4*rnd.Float64())) / 100, PaceMPS: math.Round(100*rnd.Float64()) / 100,
			Boil: rnd.IntN(4), DistanceM: math.Round(2 + 20*rnd.Float64()), Snaggy: rnd.IntN(4) == 0}
	}
	return out
}

// The aims are ours: 26 waters in 0.3 s, 60 in 1 s.
func benchmarkCover(b *testing.B, n int) {
	ws := wide(rand.New(rand.NewPCG(7, 11)), n)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := CoverWaters(ws, Aim{}, StandardKit(), 6); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCover26(b *testing.B)  { benchmarkCover(b, 26) }
func BenchmarkCover60(b *testing.B)  { benchmarkCover(b, 60) }
func BenchmarkCover250(b *testing.B) { benchmarkCover(b, 250) }
