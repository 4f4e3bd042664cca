package club

import (
	"math"
	"testing"

	"levelpeg/rig"
)

var steadyWater = rig.Water{DepthM: 2, PaceMPS: 0.6, DistanceM: 8}

// first is the best rig for a water and tackle.
func first(t *testing.T, w rig.Water, tackle Tackle) rig.Rig {
	t.Helper()
	kit, err := tackle.kit()
	if err != nil {
		t.Fatal(err)
	}
	rigs, err := rig.Suggest(w, rig.Aim{}, kit.Kit)
	if err != nil {
		t.Fatal(err)
	}
	return rigs[0]
}

// TestHangOfItsOwn is what the rig says of itself, asked for or not.
func TestHangOfItsOwn(t *testing.T) {
	r := first(t, steadyWater, Tackle{})
	own := int(math.Round(r.HoldBack * 100))
	for _, hold := range []*int{nil, &own} {
		h, err := hang(&r, steadyWater, hold)
		if err != nil || h.Asked != (hold != nil) || h.HoldBack != own || h.TiltDeg != r.TiltDeg || h.AheadM != r.AheadM || h.LiftM != r.LiftM || len(h.Line) != len(r.Hang) || h.OnBed || h.Slack {
			t.Errorf("held back %v: %+v, %v", hold, h, err)
		}
	}
}

// TestHangLine: at every hold-back the line is as long as the float is set, to the
// little that straight pieces cut off a curve, and ends where the figures say.
func TestHangLine(t *testing.T) {
	r := first(t, steadyWater, Tackle{})
	for _, hold := range HoldBacks() {
		h, err := hang(&r, steadyWater, &hold)
		if err != nil || h.Slack {
			t.Fatalf("held back %d %%: %+v, %v", hold, h, err)
		}
		long := 0.0
		for i := 1; i < len(h.Line); i++ {
			long += math.Hypot(h.Line[i].XM-h.Line[i-1].XM, h.Line[i].ZM-h.Line[i-1].ZM)
		}
		if long > r.SetM+1e-6 || long < 0.99*r.SetM {
			t.Errorf("held back %d %%: %v m of line, set at %v", hold, long, r.SetM)
		}
		hook := h.Line[len(h.Line)-1]
		if math.Abs(hook.XM-h.AheadM) > 1e-9 || math.Abs(max(r.SetM-hook.ZM, 0)-h.LiftM) > 5e-6 { // a shape comes within a millionth of the surface
			t.Errorf("held back %d %%: the line ends at %+v, the figures say %v ahead and %v lifted", hold, hook, h.AheadM, h.LiftM)
		}
		if hook.ZM > steadyWater.DepthM+1e-6 || h.OnBed && hook.ZM < steadyWater.DepthM-1e-6 {
			t.Errorf("held back %d %%: the hook at %v m in %v m of water, on the bed %v", hold, hook.ZM, steadyWater.DepthM, h.OnBed)
		}
	}
}

// TestHangSlack: dust shot on ten metres of the thinnest line in two of water hold
// nothing down. No rig here is so.
func TestHangSlack(t *testing.T) {
	w := rig.Water{DepthM: 2, PaceMPS: 1}
	r := first(t, steadyWater, Tackle{})
	r.SetM, r.MainLineMM, r.HookLengthMM = 10, 0.1, 0.05
	for i := range r.Weights {
		r.Weights[i].EachG = 0.01
	}
	still := 100
	if s, err := rig.HangAt(r, w, 1); err != nil || s.TiltDeg < streamsDeg {
		t.Fatalf("the rig of this test should stream: %v, %v", s.TiltDeg, err)
	}
	h, err := hang(&r, w, &still)
	if err != nil || !h.Slack || len(h.Line) != 0 {
		t.Errorf("%+v, %v, want a slack line", h, err)
	}
}

// TestOnBed is more than two centimetres of line along the bed.
func TestOnBed(t *testing.T) {
	w := rig.Water{DepthM: 2}
	for want, line := range map[bool][]rig.Point{
		true:  {{}, {XM: -0.1, ZM: 1.9999}, {XM: -0.4, ZM: 2}},
		false: {{}, {XM: -0.1, ZM: 1.9}, {XM: -0.15, ZM: 2}},
	} {
		if onBed(line, w) != want {
			t.Errorf("%+v: want %v", line, want)
		}
	}
}

// TestEveryTackleLoadsARig: the standard kit's sizes are on every chart, and each
// tackle is a kit of its own.
func TestEveryTackleLoadsARig(t *testing.T) {
	keys := map[string]bool{}
	for _, chart := range rig.Charts() {
		for _, shot := range Materials() {
			for _, olivette := range Materials() {
				tackle := Tackle{Chart: chart.Name, Shot: shot, Olivette: olivette}
				r := first(t, rig.Water{DepthM: 3, PaceMPS: 0.7, DistanceM: 8}, tackle)
				for _, w := range r.Weights {
					if want := map[rig.Kind]rig.Material{rig.ShotKind: shot, rig.Olivette: olivette}[w.Kind]; w.Material != want {
						t.Errorf("%+v: a %s of %s", tackle, w.Kind, w.Material)
					}
				}
				kit, err := tackle.kit()
				if err != nil {
					t.Fatal(err)
				}
				keys[kit.key] = true
			}
		}
	}
	if want := len(rig.Charts()) * 9; len(keys) != want {
		t.Errorf("%d kits, want %d", len(keys), want)
	}
	std, err := Tackle{}.kit()
	if err != nil || std.key != rig.StandardKit().Key() {
		t.Errorf("no choice is not the standard kit: %v", err)
	}
}

func TestSheetRefusesUnknownTackle(t *testing.T) {
	v := PegView{Club: Club{TimeZone: "UTC"}}
	odd := 33
	for name, ask := range map[string]Ask{
		"chart": {Tackle: Tackle{Chart: "x"}}, "shot": {Tackle: Tackle{Shot: "brass"}}, "olivette": {Tackle: Tackle{Olivette: "brass"}}, "hold": {Hold: &odd},
	} {
		if _, err := NewSheet(v, ask, NewRigMemory(0)); KindOf(err) != Invalid {
			t.Errorf("%s: %v, want a refusal", name, err)
		}
	}
}
