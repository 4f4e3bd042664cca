package hydro

import (
	"math"
	"math/rand/v2"
	"testing"
)

// place is a run of a made-up reach.
type place struct {
	peg   int
	outM  float64
	bedM  float64
	alpha float64     // ln pace at 1.5 m deep
	moved [37]float64 // how the bed stood against now, so many months ago
	run   *Run
}

// madeUpReach is an invented stretch of river, drawn without the model's help: nine
// pegs with runs at 2, 5, 9 and 14 m, a channel whose middle wanders, a bed that
// wanders along the bank, and roughness; the bed drifts as time goes. Each run has one
// to six soundings over three years, a third of them timed.
func madeUpReach(rng *rand.Rand, t *testing.T) []place {
	var reach []place
	middle, deep, along := 7+4*rng.Float64(), 0.6+1.2*rng.Float64(), 0.0
	river, level := math.Log(0.45)+0.5*rng.NormFloat64(), 1.0
	for peg := range 9 {
		middle += rng.NormFloat64()
		along = 0.8*along + 0.25*rng.NormFloat64()
		for _, out := range []float64{2, 5, 9, 14} {
			u := (out - middle) / 10
			p := place{peg: peg, outM: out}
			p.bedM = level - 1.2 - deep*math.Exp(-u*u) + along + 0.15*rng.NormFloat64()
			p.alpha = river + 0.4*(math.Exp(-u*u)-0.5) + 0.15*rng.NormFloat64()
			p.drift(rng)
			p.run = mustFit(t, p.soundings(rng, 1+rng.IntN(6), 3), nil, OpenReach())
			reach = append(reach, p)
		}
	}
	return reach
}

// depth is that at a level, 1 cm at the least.
func (p *place) depth(levelM float64) float64 { return max(minDepthM, levelM-p.bedM) }

func (p *place) drift(rng *rand.Rand) {
	for m := 1; m < len(p.moved); m++ {
		p.moved[m] = p.moved[m-1] + 0.05/math.Sqrt(12)*rng.NormFloat64()
	}
}

// soundings draws n within some years, to 3.
func (p *place) soundings(rng *rand.Rand, n int, years float64) (s []Sounding) {
	for range n {
		level, age := 0.6+0.8*rng.Float64(), years*rng.Float64()
		x := Sounding{At: ago(age), LevelM: level}
		x.DepthM = max(minDepthM, p.depth(level)+p.moved[int(12*age)]+0.05*rng.NormFloat64())
		if rng.IntN(3) == 0 {
			x.PaceMPS, x.TimedS = p.pace(rng, x.DepthM), 20
		}
		s = append(s, x)
	}
	return s
}

func (p *place) pace(rng *rand.Rand, depthM float64) float64 {
	return math.Exp(p.alpha + 0.65*logDepth(depthM) + 0.25*rng.NormFloat64())
}

// neighbours of the i-th place, to three pegs away; those for whom keep is false are
// left out.
func neighbours(reach []place, i int, keep func(p *place) bool) (ns []Neighbour) {
	for j := range reach {
		pegs := reach[j].peg - reach[i].peg
		if j != i && max(pegs, -pegs) <= 3 && keep(&reach[j]) {
			ns = append(ns, Neighbour{Run: reach[j].run, OutM: reach[j].outM - reach[i].outM, Pegs: pegs})
		}
	}
	return ns
}
