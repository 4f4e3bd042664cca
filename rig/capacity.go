package rig

import "math"

// plan is a pattern on a water for a fish: all that is settled before a size of
// float is.
type plan struct {
	Pattern
	water  Water
	aim    Aim
	fishes fish
	bait   Bait
	tackle tackle
	layout Layout // with SetM at the depth
}

// The hold-backs a rig is judged and fished at: shares of the pace taken off. A
// third held back is seven tenths of the pace, as anglers reckon it.
const aThird = 0.3

var holdBacks = [...]float64{0, 0.25, aThird, 0.5}

// newPlan settles a pattern's tackle and layout. Small fish that are the target take
// on the drop, so a bulk has a spread of small shot below it for them, though never in
// boily water.
func newPlan(p Pattern, w Water, a Aim) plan {
	if a.Junior {
		p = p.forJunior()
	}
	f, b := quarry(a, p)
	pl := plan{Pattern: p, water: w, aim: a, fishes: f, bait: b, tackle: tackleFor(w, f, b, p)}
	hl := p.hookLength(w, a, b)
	pl.layout = Layout{
		Style: p.style, SetM: w.DepthM, HookLengthM: hl, BulkM: p.bulkHeight(w, a, f, hl),
		GroupM: min(p.groupM, w.DepthM), LowShare: lowShare(w), DropperLowG: p.lowG, DropperHighG: p.highG,
		BulkHighG: p.bulkHighG,
	}
	if bulk := p.style == OlivetteBulk || p.style == ShotBulk; bulk && f.little && w.Boil == 0 && !a.Junior {
		pl.layout.Style, pl.layout.DropperLowG, pl.layout.DropperHighG, pl.layout.GroupM = BulkSpread, 0, 0, 0
	}
	return pl
}

// JuniorReachM is how far out a junior fishes at most, a rod length: common practice, no
// source.
const JuniorReachM = 5.0

// What rod a junior has: common practice, no source.
const juniorRodFt = 11 // what a child can hold for a day

// forJunior is the pattern as a child ties it: few weights and bigger, in a bulk
// with a few droppers of No.8 or bigger and nothing strung out, on a shorter rod.
func (p Pattern) forJunior() Pattern {
	if p.style == StrungOut {
		p.style, p.bulkShare = ShotBulk, 0.25
	}
	p.lowG, p.highG = max(p.lowG, 0.045), max(p.highG, 0.11)
	p.rodFt = Span{juniorRodFt - 1, juniorRodFt}
	return p
}

// hookLength is the pattern's, longer for a big slow-falling bait where the
// pattern allows, shorter for boily water or where small fish are a nuisance, and never over a quarter of the depth.
func (p Pattern) hookLength(w Water, a Aim, b Bait) float64 {
	m := nearest5((p.hookLengthM[0] + p.hookLengthM[1]) / 2)
	switch {
	case w.Boil >= 2 || a.Nuisance:
		m = p.hookLengthM[0]
	case b.Name == "bread flake":
		m = p.hookLengthM[1]
	}
	return max(min(m, down5(w.DepthM/4)), 2*placeM)
}

// bulkHeight is how far above the hook the bulk sits: a share of the depth above
// the lowest place, so that deeper water moves it up; half as much again for
// little fish, a third lower to get past them, and lower in boily water.
func (p Pattern) bulkHeight(w Water, a Aim, f fish, hookLengthM float64) float64 {
	share := p.bulkShare * (1 - 0.1*float64(w.Boil))
	switch {
	case f.little:
		share *= 1.5
	case a.Nuisance:
		share *= 2.0 / 3
	}
	return min(hookLengthM+2*placeM+share*w.DepthM, w.DepthM)
}

// lowShare is the share of a strung load in its lower half: even up to easy
// water, three quarters from brisk.
func lowShare(w Water) float64 {
	return min(max(0.5+(w.PaceMPS-0.4)/0.3*0.25, 0.5), 0.75)
}

// hold is the hold-back the pattern's tilt is judged at.
func (pl plan) hold() float64 {
	switch {
	case pl.runs:
		return 0
	case pl.aim.HeldStill:
		return 1
	}
	return aThird
}

// stillDeg is how far the line of a float held still may lean. A float that lies
// over at an acute angle wants more weight (stick float guides): the line of one
// that stands is nearer to upright than to lying.
const stillDeg = 40

// limitDeg is how far the line may lean: what the pattern allows, or a float held
// still may.
func (pl plan) limitDeg() float64 {
	if pl.aim.HeldStill {
		return max(pl.tiltDeg, stillDeg)
	}
	return pl.tiltDeg
}

// line is the plan's line with its beads.
func (pl plan) line(bs []Bead) Line {
	return Line{
		HookLengthM: pl.layout.HookLengthM, HookLengthMM: pl.tackle.hookLengthMM, MainMM: pl.tackle.mainMM,
		SinkNPM: pl.tackle.mainOf.sinkNPM(pl.tackle.mainMM), Beads: bs,
	}
}

// nylonSinkNPM is the weight in water of a metre of nylon, N. Nylon is a little
// heavier than water: relative density 1.12 (a line maker's table,
// sunlineamerica.com: 1.11 to 1.14).
func nylonSinkNPM(mm float64) float64 {
	return 0.12 * 1000 * gravityMPS2 * math.Pi / 4 * mm * mm * 1e-6
}

// outline is a load of so many grams as the pattern carries it, before its shot
// are chosen: the bulk six to the load with four droppers, a string of eight, or
// three tenths of the load in four droppers.
func (pl plan) outline(capacityG float64) []Bead {
	l := pl.layout
	low, bulk := l.lowest(), l.within(l.BulkM)
	out := beads(nil, pl.bait)
	switch l.Style {
	case StrungOut:
		return append(out, even(capacityG, 8, low, max(low, l.SetM-stringGapM), l.LowShare)...)
	case AtFloat:
		return append(out, even(capacityG*0.3, 4, low, max(low, l.SetM/4), 0.5)...)
	}
	out = append(out, even(capacityG*0.15, 4, low, l.dropperTop(4, bulk), 0.5)...)
	return append(out, leadBead(capacityG*0.85/6, 6, bulk))
}

// even spreads n equal beads of massG together, closer in the lower half where
// share is over a half.
func even(massG float64, n int, low, high, share float64) []Bead {
	var out []Bead
	bend := math.Log(0.5) / math.Log(share)
	for i := range n {
		part := math.Pow(float64(i)/float64(n-1), bend)
		out = append(out, leadBead(massG/float64(n), 1, low+(high-low)*part))
	}
	return out
}

func leadBead(massG float64, count int, atM float64) Bead {
	return Bead{
		AtM: atM, Count: count, SinkN: massG * Lead.Pull() * gramKg * gravityMPS2,
		DiameterM: sphereM(massG, Lead.Density()),
	}
}

// hung is the shape of a line with beads and its hook just on the bottom, the
// float held back by a share of the pace.
func (pl plan) hung(bs []Bead, paceMPS, hold float64) (Shape, error) {
	d := pl.water.DepthM
	w := newClimb(River(d, paceMPS), paceMPS*(1-hold), pl.line(bs), Model{}, d)
	return w.reach(d, 2*d)
}

// tilt is how far the line leans at the float either way, in degrees, with a
// load; 90 where the load cannot hold it down.
func (pl plan) tilt(bs []Bead, paceMPS float64) float64 {
	d := pl.water.DepthM
	w := newClimb(River(d, paceMPS), paceMPS*(1-pl.hold()), pl.line(bs), Model{StepM: d / roughParts}, d)
	s, err := w.reach(d, 2*d)
	if err != nil {
		return 90
	}
	return math.Abs(s.TiltDeg)
}

// roughParts is how many steps a line is walked in to choose a float by: enough for a
// quarter of a degree, and a third of what a drawing takes.
const roughParts = 12

// heaviestG is more than any float asked about here carries.
const heaviestG = 40

// byPace is the smallest load whose line leans no more than the pattern's limit,
// heaviestG where none does: at the fastest and deepest the water may be, so that a
// float chosen by it holds across what is not known.
func (pl plan) byPace() float64 {
	pl.water.PaceMPS = min(max(pl.water.PaceMPS, pl.water.PaceHighMPS), PaceMostMPS)
	pl.water.DepthM = min(max(pl.water.DepthM, pl.water.DepthHighM), DepthMostM)
	pl.layout.SetM = pl.water.DepthM
	lean := func(g float64) float64 { return pl.tilt(pl.outline(g), pl.water.PaceMPS) - pl.limitDeg() }
	return math.Exp(crossing(func(x float64) float64 { return -lean(math.Exp(x)) }, math.Log(0.1), math.Log(heaviestG), 11))
}

// crossing is where a rising f passes 0 between low and high, within closeDeg of 0 or
// to n halvings; low where it is above 0 there already, high where it does not pass.
// It is found by regula falsi with the stale end's value halved (Illinois).
func crossing(f func(float64) float64, low, high float64, n int) float64 {
	fLow := f(low)
	if fLow >= 0 {
		return low
	}
	fHigh := f(high)
	if fHigh < 0 {
		return high
	}
	least := (high - low) / float64(int(1)<<n)
	for last := 0; high-low > least; {
		x := low + (high-low)*min(max(fLow/(fLow-fHigh), 0.02), 0.98)
		y := f(x)
		switch {
		case math.Abs(y) < closeDeg:
			return x
		case y < 0:
			low, fLow = x, y
			if last < 0 {
				fHigh /= 2
			}
			last = -1
		default:
			high, fHigh = x, y
			if last > 0 {
				fLow /= 2
			}
			last = 1
		}
	}
	return high
}

// closeDeg is how near a lean comes to its limit to be at it.
const closeDeg = 0.05

// brokenG is the floor that boil and bait set, grams. The figures are ours from
// common practice, no source: a gram for each step of boil over what the bait
// asks.
func brokenG(w Water, b Bait) float64 { return float64(w.Boil) + b.FloorG }

// castG is the floor that casting sets, grams: 0.12 for each metre out, half as
// much again in force 4 against the cast. Ours from common practice, no source.
func castG(w Water) float64 {
	return 0.12 * w.DistanceM * (1 + w.against()*float64(w.WindForce)/8)
}

// aimG is the floor that the aim sets, grams: a float a child can cast and see, and
// one that a bigger fish's bait and tackle do not drown. Ours from common practice,
// no source.
func aimG(a Aim) float64 {
	switch {
	case a.Bigger:
		return 1.5
	case a.Junior:
		return 0.8
	}
	return 0
}

// otherG is the largest floor beside the pace and the pattern's own.
func (pl plan) otherG() float64 {
	return max(brokenG(pl.water, pl.bait), castG(pl.water), aimG(pl.aim))
}

// need is the load a water asks of a pattern, and what decided it.
type need struct {
	grams   float64
	paceG   float64
	decided string
}

// need is the largest of what pace, broken water, cast and the pattern's least
// ask.
func (pl plan) need(leastG float64) need {
	n := need{paceG: pl.byPace(), grams: leastG, decided: "the pattern's least"}
	for _, floor := range []struct {
		grams float64
		what  string
	}{
		{n.paceG, "the pace"},
		{brokenG(pl.water, pl.bait), brokenWords(pl.water, pl.bait)},
		{castG(pl.water), castWords(pl.water)},
		{aimG(pl.aim), aimWords(pl.aim)},
	} {
		if floor.grams > n.grams {
			n.grams, n.decided = floor.grams, floor.what
		}
	}
	return n
}

func brokenWords(w Water, b Bait) string {
	switch {
	case w.Boil == 0:
		return "the bait"
	case b.FloorG == 0:
		return "boily water"
	}
	return "boily water and the bait"
}

func aimWords(a Aim) string {
	if a.Bigger {
		return "the bigger fish"
	}
	return "being cast and seen by a junior"
}

func castWords(w Water) string {
	if w.WindForce >= 3 && w.against() == 1 {
		return "the cast into the wind"
	}
	return "the cast"
}

// bisect is where a rising f passes 0 between low and high, to n halvings, on
// the high side; high where it does not.
func bisect(f func(float64) float64, low, high float64, n int) float64 {
	if f(low) >= 0 {
		return low
	}
	for range n {
		if mid := (low + high) / 2; f(mid) >= 0 {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}
