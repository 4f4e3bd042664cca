package demo

import (
	"math"
	"math/rand/v2"

	"levelpeg/club"
)

// The runs of a peg, from the bank outwards.
const (
	inside    = "inside"
	rodLength = "rod length"
	twoRods   = "two rods"
	middle    = "middle"
)

// lane is where a run lies on the whole and how it goes compared with the main flow.
type lane struct {
	name         string
	fromM, toM   float64 // from the peg's mark
	paceShare    float64
	soundedShare float64 // how often a visitor plumbs it
}

var lanes = []lane{
	{inside, 2.2, 3.0, 0.55, 0.60},
	{rodLength, 4.0, 5.2, 0.82, 0.85},
	{twoRods, 8.0, 9.3, 1.00, 0.70},
	{middle, 12.0, 20.0, 1.08, 0.45},
}

// reach is the shape of a venue's water. Depths are at the gauge's levelM; the
// shallowest run is near loM and the deepest near hiM.
type reach struct {
	levelM     float64
	loM, hiM   float64
	paceMPS    float64 // of the main flow at a peg of middling depth
	roughness  float64 // how readily the water boils
	bearingDeg float64 // the way the valley lies
	swingDeg   float64 // how far the bends turn from it
	bendPegs   float64 // pegs from one bend to the next the same way
	poolPegs   float64 // pegs from one pool to the next
	bankM      float64 // how high the marks stand above levelM, in the middle
}

// place is one peg's part of a reach.
type place struct {
	bearingDeg int
	outer      float64 // 1 on the outside of a bend, -1 on the inside
	pool       float64 // 1 in a pool, -1 on a riffle
	markM      float64 // on the datum
	scours     bool    // rather than silts up in the large flood
	pastWeir   bool
}

// at gives the place of a peg by its order downstream.
func (w reach) at(order int, bank club.Bank, pastWeir bool, r *rand.Rand) place {
	bend := 2 * math.Pi * float64(order) / w.bendPegs
	bearing := math.Round(w.bearingDeg + w.swingDeg*math.Sin(bend))
	outer := math.Cos(bend) // turning right puts the outside on the left
	if bank == club.RightBank {
		outer = -outer
	}
	pool := math.Sin(2*math.Pi*float64(order)/w.poolPegs) + 0.15*r.NormFloat64()
	return place{
		bearingDeg: (int(bearing) + 720) % 360,
		outer:      outer,
		pool:       clamp(pool, -1, 1),
		markM:      centi(w.levelM + clamp(w.bankM+0.25*outer+0.12*r.NormFloat64(), 0.6, 1.6)),
		scours:     r.Float64() < 0.5+0.3*outer,
		pastWeir:   pastWeir,
	}
}

const (
	edgeM     = 1.2  // from the mark to the water's edge
	halfFallM = 3.2  // how far out a straight bank has fallen by 1 - 1/e
	steep     = 0.27 // metres down for one out: a plummet slides
	weirPace  = 1.9  // how much livelier the water is past a weir
	weirDepth = 0.75
)

// sectionM is the depth at levelM a distance from the mark: from the edge it falls
// away at once on the outside of a bend, and slowly on the inside.
func (w reach) sectionM(p place, distanceM float64) float64 {
	fallM := halfFallM * math.Exp(-0.6*p.outer)
	fall := 1 - math.Exp(-(distanceM-edgeM)/fallM)
	edge := 0.7 * w.loM
	depth := edge + (w.hiM-edge)*fall*(0.83+0.17*p.pool)
	if p.pastWeir {
		depth *= weirDepth
	}
	return depth
}

func (w reach) gradient(p place, distanceM float64) float64 {
	const h = 0.05
	return (w.sectionM(p, distanceM+h) - w.sectionM(p, distanceM-h)) / (2 * h)
}

// mainPaceMPS is the pace of the main flow past a place at levelM: the same water
// goes slower through a pool and quicker over a riffle.
func (w reach) mainPaceMPS(p place) float64 {
	pace := w.paceMPS * math.Pow(0.83/(0.83+0.17*p.pool), 1.2)
	if p.pastWeir {
		pace *= weirPace
	}
	return pace
}

// bed draws the hidden bed of a run in a lane.
func (w reach) bed(p place, l lane, distanceM float64, r *rand.Rand) bed {
	slope := clamp(1+0.04*r.NormFloat64(), 0.9, 1.1)
	if p.pastWeir {
		slope = between(r, 1.12, 1.28) // the pool below fills faster than the one above
	}
	depth := w.sectionM(p, distanceM) * (1 + 0.03*r.NormFloat64())
	pace := w.mainPaceMPS(p) * l.paceShare * math.Exp(0.10*r.NormFloat64())
	return bed{
		levelM:     w.levelM,
		refDepthM:  depth,
		slope:      slope,
		movedM:     moveM(p, depth, r),
		refPaceMPS: clamp(pace, 0.18, 0.90),
		beta:       clamp(2.0/3+0.06*r.NormFloat64(), 0.5, 0.8),
	}
}

// moveM is what the large flood did to a bed: nothing to most, and a few
// decimetres of scour or silt to about a third.
func moveM(p place, depthM float64, r *rand.Rand) float64 {
	if r.Float64() > 0.35 {
		return 0
	}
	move := between(r, 0.12, 0.35) * math.Min(1, depthM/1.2)
	if p.scours {
		return move
	}
	return -move
}

// boil is how broken the water looks, 0 to 3: more with pace and stones, less with
// depth, and more below a weir.
func (w reach) boil(p place, b bed) int {
	broken := 4 * w.roughness * math.Pow(b.refPaceMPS, 1.5) / math.Sqrt(b.refDepthM)
	if p.pastWeir {
		broken++
	}
	return int(clamp(math.Round(broken), 0, 3))
}

// bottom is what lies where the water goes at that pace.
func bottom(paceMPS float64, r *rand.Rand) string {
	paceMPS *= math.Exp(0.12 * r.NormFloat64())
	switch {
	case paceMPS < 0.24:
		return "silt"
	case paceMPS < 0.36:
		return "clay"
	case paceMPS < 0.48:
		return "sand"
	case paceMPS < 0.68:
		return "gravel"
	}
	return "stones"
}
