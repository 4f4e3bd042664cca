package club

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"levelpeg/rig"
)

// HoldBacks are how much a sheet can be asked to hold a float back, percent of the
// surface pace taken off: run free, a quarter, a third, a half, held still. A third
// is 30, since so held a float goes at 70 % of the pace.
func HoldBacks() []int { return []int{0, 25, 30, 50, 100} }

// Hang is how the first rig hangs in the run.
type Hang struct {
	Asked    bool // the reader chose the hold-back; otherwise it is the rig's own
	HoldBack int  // percent of the surface pace taken off
	Slack    bool // the weights do not hold the line down so; the rest is then empty

	TiltDeg float64     // of the line off the vertical at the float, downstream positive
	AheadM  float64     // of the hook downstream of the float
	LiftM   float64     // of the hook above where it hangs in still water
	OnBed   bool        // line lies along the bed: the hook drags
	Line    []rig.Point // from the float down to the hook
}

const perCent = 100

// streamsDeg is a lean at which a line no longer hangs: it streams along the top.
const streamsDeg = 80

// hang is how a rig hangs in the water it was worked out for; hold is nil for the
// rig's own hold-back.
func hang(r *rig.Rig, w rig.Water, hold *int) (*Hang, error) {
	own := int(math.Round(r.HoldBack * perCent))
	if hold == nil || *hold == own {
		h := &Hang{Asked: hold != nil, HoldBack: own, TiltDeg: r.TiltDeg, AheadM: r.AheadM, LiftM: r.LiftM, Line: r.Hang}
		h.OnBed = onBed(h.Line, w)
		return h, nil
	}
	h := &Hang{Asked: true, HoldBack: *hold}
	s, err := rig.HangAt(*r, w, float64(*hold)/perCent)
	if errors.Is(err, rig.ErrSlack) || err == nil && math.Abs(s.TiltDeg) > streamsDeg {
		h.Slack = true
		return h, nil
	}
	if err != nil {
		return nil, fmt.Errorf("club: %s held back %d %%: %w", r.Name, *hold, err)
	}
	h.TiltDeg, h.AheadM, h.LiftM, h.Line = s.TiltDeg, s.AheadM, max(r.SetM-s.HookDepthM, 0), s.Points
	h.OnBed = onBed(h.Line, w)
	return h, nil
}

// onBed says whether more line lies along the bed than a float can be set to.
func onBed(line []rig.Point, w rig.Water) bool {
	const asSetM, onM = 0.02, 0.002
	hook := line[len(line)-1]
	off := slices.IndexFunc(line, func(p rig.Point) bool { return p.ZM > w.DepthM-onM })
	return off >= 0 && math.Abs(hook.XM-line[off].XM) > asSetM
}

// checkHold says what is wrong with a hold-back that was asked for.
func checkHold(hold *int) error {
	if hold != nil && !slices.Contains(HoldBacks(), *hold) {
		return Faultf(Invalid, "%d %% is not a hold-back this sheet draws: it may be 0, 25, 30, 50 or 100.", *hold)
	}
	return nil
}
