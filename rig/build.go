package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// rig builds the rig of an offer.
func (o offer) rig(k Kit) (Rig, error) {
	k = o.loads(k)
	r, err := o.tied(k)
	if err != nil {
		return Rig{}, err
	}
	r.PaceLowMPS, r.PaceHighMPS = o.paces()
	r.DepthLowM, r.DepthHighM = o.depths(r)
	r.Why = o.why(r, k)
	if short(r) {
		o.lack, _ = Lacks(r.CapacityG, o.layout, k) // its arguments loaded the float just now
		r.Wants = append(r.Wants, o.lack.want(r))
	}
	r.Wind = o.windWords()
	r.Findings = o.findings(r)
	return r, nil
}

// loads is the kit an offer is loaded from: a bulk of shot has no olivettes, so that
// a change of float is a few shot.
func (o offer) loads(k Kit) Kit {
	if o.style == ShotBulk {
		return k.withoutOlivettes()
	}
	return k
}

// tied is the rig of an offer with all that is on the line, the rod and what the kit
// lacks of them.
func (o offer) tied(k Kit) (Rig, error) {
	size := o.size()
	ws, err := Shot(size.grams, o.layout, k)
	if err != nil {
		return Rig{}, err
	}
	r := Rig{
		Pattern: o.ID, PatternName: o.Name, Name: size.marking + " " + o.Name,
		CapacityG: size.grams, Marking: size.marking, NeedG: o.need.grams, Decided: o.need.decided,
		HookLengthM: o.layout.HookLengthM, HookLengthMM: o.tackle.hookLengthMM, HookLengthKg: o.tackle.hookLengthKg,
		HookLengthFrom: o.tackle.restsOn(), MainLineMM: o.tackle.mainMM, MainLineKg: o.tackle.mainKg,
		MainLine: cmp.Or(o.tackle.mainLies, o.mainLine), MainLineOf: o.tackle.mainOf, HookLengthOf: o.tackle.hookLengthOf,
		MainLineBy: o.tackle.mainBy, HookLengthBy: o.tackle.hookLengthBy,
		Bait: o.bait.Name, RodFtLow: o.rodFt.Low, RodFtHigh: o.rodFt.High, Wants: slices.Clone(o.tackle.wants),
	}
	o.hook(&r, k)
	if o.aim.Junior {
		r.Barb, r.ReadyTied = Barbless, true
	}
	if err := o.hang(&r, ws); err != nil {
		return Rig{}, err
	}
	r.weigh()
	o.rod(&r, k)
	return r, nil
}

// weigh adds up the weights.
func (r *Rig) weigh() {
	for _, w := range r.Weights {
		r.OnLineG += float64(w.Count) * w.EachG
		r.PullG += float64(w.Count) * w.PullEachG
	}
	r.ShortG = r.CapacityG - r.PullG
}

// hang finds the hold-back, the depth to set and the line's shape.
func (o offer) hang(r *Rig, ws []Weight) error {
	bs := beads(ws, o.bait)
	r.HoldBack = o.holdBack(bs)
	s, err := o.hung(bs, o.water.PaceMPS, r.HoldBack)
	if err != nil {
		return slack(r.Name)
	}
	r.SetM = setFor(o.water.DepthM, s.LengthM)
	s, err = Steady(River(o.water.DepthM, o.water.PaceMPS), o.water.PaceMPS*(1-r.HoldBack), r.SetM, o.line(bs), Model{})
	if err != nil {
		return slack(r.Name)
	}
	if most := o.limitDeg() + strainDeg + 2*aboutDeg; math.Abs(s.TiltDeg) > most && r.HoldBack <= aThird && o.outside != "" {
		return &NoRigError{fmt.Sprintf("What the kit can put on a %s leaves its line leaning more than %.0f° in this water.", r.Name, most)}
	}
	r.TiltDeg, r.AheadM, r.LiftM = s.TiltDeg, s.AheadM, max(r.SetM-s.HookDepthM, 0)
	floatMPS := o.water.PaceMPS * (1 - r.HoldBack)
	if r.SettleS, err = SettleAbout(River(o.water.DepthM, o.water.PaceMPS), floatMPS, r.SetM, o.line(bs)); err != nil {
		return slack(r.Name)
	}
	r.SettleM = r.SettleS * floatMPS
	r.RodFtLow = o.leastRodFt(r.SetM)
	r.Hang = thin(s.Points, hangPoints)
	r.HoldBackWords = o.holdBackWords(r.HoldBack, r.AheadM)
	r.Weights = lockAt(ws, r.SetM)
	return nil
}

// leastRodFt is the shortest rod an offer is fished on once its depth is set.
func (o offer) leastRodFt(setM float64) float64 {
	return min(max(o.rodFt.Low, math.Ceil((setM+spareM)/footM)), o.rodFt.High)
}

func slack(name string) error {
	return &NoRigError{fmt.Sprintf("What the kit can put on a %s is too light to hold the line down in this water.", name)}
}

// underM is how near the float's own place counts as under it.
const underM = 0.05

// holdBack is the hold-back at which the bait runs nearest to under the float.
// A
// float is not held back in water with no pace to speak of, nor where it is to
// run free.
func (o offer) holdBack(bs []Bead) float64 {
	const slow = 0.1
	switch {
	case o.runs || o.water.PaceMPS < slow:
		return 0
	case o.aim.HeldStill:
		return 1
	}
	best, nearest := aThird, math.Inf(1)
	for _, hold := range holdBacks {
		s, err := o.hung(bs, o.water.PaceMPS, hold)
		if err == nil && math.Abs(s.AheadM) < nearest {
			best, nearest = hold, math.Abs(s.AheadM)
		}
	}
	return best
}

func (o offer) holdBackWords(hold, aheadM float64) string {
	switch {
	case o.water.PaceMPS == 0:
		return "not at all: nothing moves it"
	case hold == 1:
		return "altogether: on a tight line it stands still, and the bait hangs " + placeWords(aheadM)
	case o.runs:
		return "not at all: let it run, the bait follows " + placeWords(aheadM)
	}
	if aheadM < -underM {
		return fmt.Sprintf("%s or a little more: at that much the bait runs %s", shareWords(hold), placeWords(aheadM))
	}
	return fmt.Sprintf("%s: the bait then runs %s", shareWords(hold), placeWords(aheadM))
}

// setFor is what to set for a line of lengthM to touch bottom, to the centimetre:
// the depth and what the line's lean asks, within sense, which is 15 % of the
// depth and 30 cm.
func setFor(depthM, lengthM float64) float64 {
	most := depthM + min(0.15*depthM, 0.3)
	return math.Round(min(max(lengthM, depthM), most)*100) / 100
}

// lockAt puts locking shot where the float is set.
func lockAt(ws []Weight, setM float64) []Weight {
	for i := range ws {
		if ws[i].Role == Lock {
			ws[i].AtM, ws[i].ToM = down5(setM), down5(setM)
		}
	}
	return ws
}

const hangPoints = 24

// thin keeps n of the points, evenly, both ends among them.
func thin(ps []Point, n int) []Point {
	if len(ps) <= n {
		return ps
	}
	out := make([]Point, n)
	for i := range out {
		out[i] = ps[i*(len(ps)-1)/(n-1)]
	}
	return out
}

// paces are the surface paces between which the float stays right: above, its
// line leans past the limit or the pattern is out of its water; below, a float
// two sizes lighter would do.
func (o offer) paces() (low, high float64) {
	pace := o.water.PaceMPS
	low, high = min(o.PaceMPS.Low, pace), max(o.PaceMPS.High, pace)
	high = o.leansAt(o.size().grams, pace, high)
	other := o.otherG()
	if o.at >= 2 && o.sizes[o.at-2].grams >= other {
		low = min(max(low, o.leansAt(o.sizes[o.at-2].grams, 0, pace)), pace)
	}
	return min(math.Ceil(low*100-1e-9)/100, pace), max(math.Floor(high*100+1e-9)/100, pace)
}

// depths are the depths between which the float stays right at the middle pace.
func (o offer) depths(r Rig) (low, high float64) {
	depth := o.water.DepthM
	low = min(o.DepthM.Low, depth)
	high = min(o.DepthM.High, r.RodFtHigh*footM-spareM-(r.SetM-depth))
	if high > depth {
		high = crossing(func(d float64) float64 {
			deeper := o
			deeper.water.DepthM, deeper.layout.SetM = d, d
			return deeper.tilt(deeper.outline(o.size().grams), o.water.PaceMPS) - o.limitDeg() - aboutDeg
		}, depth, high, 8)
	}
	return low, max(math.Floor(high*100+1e-9)/100, depth)
}

// aboutDeg is how far past the limit a line may lean and be about at it: what
// "nearly" allows a size.
const aboutDeg = 1

// leansAt is the pace from low to high at which a load's line leans at the
// limit; high where it does not come to that.
func (o offer) leansAt(grams, low, high float64) float64 {
	bs := o.outline(grams)
	return crossing(func(pace float64) float64 { return o.tilt(bs, pace) - o.limitDeg() - aboutDeg }, low, high, 8)
}
