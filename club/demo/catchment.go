package demo

import "math"

// catchment turns rain into a level. Runoff is shared between a quick and a slow
// linear store, each letting out storage ÷ hours; the flow q in mm/h then stands
// at a level of zeroM + riseM·√q on the gauge's datum. Ordinary floods flatten
// above bankM, as where a river spreads over its meadows, and stay below capM.
type catchment struct {
	quickH, slowH float64
	baseMMH       float64 // springs
	zeroM, riseM  float64
	bankM, capM   float64
}

// quickShare is the part of the runoff that goes through the quick store.
const quickShare = 0.55

// store lets rain (mm a step) through one linear store of the given time constant
// and gives the flow in mm/h at each step.
func store(rain []float64, hours, share float64) []float64 {
	keep := math.Exp(-1 / (hours * hour))
	out := make([]float64, len(rain))
	var heldMM float64
	for i, mm := range rain {
		heldMM = heldMM*keep + mm*share
		out[i] = heldMM / hours
	}
	return out
}

func (c catchment) levelM(flowMMH float64) float64 {
	return c.zeroM + c.riseM*math.Sqrt(flowMMH)
}

func (c catchment) flowMMH(levelM float64) float64 {
	x := (levelM - c.zeroM) / c.riseM
	return x * x
}

// spread flattens a level above the banks so that it nears capM and never gets there.
func (c catchment) spread(levelM float64) float64 {
	if levelM <= c.bankM {
		return levelM
	}
	room := c.capM - c.bankM
	return c.bankM + room*(1-math.Exp(-(levelM-c.bankM)/room))
}

// flows are the parts of a river's flow at each step, in mm/h.
type flows struct {
	ordinary []float64 // springs and both stores
	big      []float64 // the quick part of the large flood
}

// run gives the flows for the rain; peakM is the level the large flood reaches and
// tailM how far above its ordinary course the last shower leaves the river at the
// end. tailMM, where not zero, fixes the last shower instead.
func (c catchment) run(cal calendar, rain []float64, peakM, tailM, tailMM float64) (flows, float64) {
	f := flows{ordinary: c.through(rain)}
	c.addBig(cal, &f, peakM)
	if tailMM == 0 {
		tailMM = c.tailMM(cal, f, tailM)
	}
	unit := c.through(fallOne(lastShower(cal), len(rain)))
	for i, q := range unit {
		f.ordinary[i] += tailMM * (q - c.baseMMH)
	}
	return f, tailMM
}

// through lets the rain through both stores, onto the springs.
func (c catchment) through(rain []float64) []float64 {
	quick, slow := store(rain, c.quickH, quickShare), store(rain, c.slowH, 1-quickShare)
	for i := range quick {
		quick[i] += slow[i] + c.baseMMH
	}
	return quick
}

// addBig adds the large flood, sized so that its peak stands at peakM.
func (c catchment) addBig(cal calendar, f *flows, peakM float64) {
	rain := fallOne(bigShower(cal), len(f.ordinary))
	quick, slow := store(rain, c.quickH, quickShare), store(rain, c.slowH, 1-quickShare)
	top := peakAt(quick)
	mm := (c.flowMMH(peakM) - f.ordinary[top]) / (quick[top] + slow[top])
	f.big = quick
	for i := range quick {
		f.ordinary[i] += mm * slow[i]
		f.big[i] *= mm
	}
}

// tailMM is the last shower that leaves the river tailM above where it would be.
func (c catchment) tailMM(cal calendar, f flows, tailM float64) float64 {
	end := len(f.ordinary) - 1
	unit := c.through(fallOne(lastShower(cal), len(f.ordinary)))
	was := f.ordinary[end]
	want := c.flowMMH(c.levelM(was) + tailM)
	return (want - was) / (unit[end] - c.baseMMH)
}

// levels gives the level on the datum at each step after the warm-up.
func (c catchment) levels(f flows) []float64 {
	out := make([]float64, len(f.ordinary)-warmUp)
	for i := range out {
		q, big := f.ordinary[i+warmUp], f.big[i+warmUp]
		out[i] = c.spread(c.levelM(q)) + c.levelM(q+big) - c.levelM(q)
	}
	return out
}

func fallOne(s shower, n int) []float64 {
	rain := make([]float64, n)
	s.fallOn(rain)
	return rain
}

func peakAt(xs []float64) int {
	top := 0
	for i, x := range xs {
		if x > xs[top] {
			top = i
		}
	}
	return top
}
