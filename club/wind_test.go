package club_test

import (
	"math"
	"testing"

	"levelpeg/club"
	"levelpeg/rig"
)

// winds are what each wind does on each bank where the water flows east, worked by hand
// on paper. On the left bank of a river that flows east one stands north of it and
// looks south. A north-east wind blows to the south-west: from behind over the right
// shoulder, half of it up the river. Where a wind stands at 45° the harder of the two
// is named if it comes across the water, and the one along the river if from behind.
var winds = []struct {
	from        string
	left, right rig.Wind
}{
	{"N", rig.WindBehind, rig.WindFacing},
	{"NE", rig.WindUpstream, rig.WindFacing},
	{"E", rig.WindUpstream, rig.WindUpstream},
	{"SE", rig.WindFacing, rig.WindUpstream},
	{"S", rig.WindFacing, rig.WindBehind},
	{"SW", rig.WindFacing, rig.WindDownstream},
	{"W", rig.WindDownstream, rig.WindDownstream},
	{"NW", rig.WindDownstream, rig.WindFacing},
}

// TestEveryWindBankAndBearing turns that table to every way a river can flow: with the
// river turned by so many degrees a wind turned as far does the same.
func TestEveryWindBankAndBearing(t *testing.T) {
	const east = 90
	for _, w := range winds {
		p, ok := club.PointByName(w.from)
		if !ok {
			t.Fatalf("no point %s", w.from)
		}
		for turn := -720; turn < 720; turn += 5 {
			bearing := ((east+turn)%360 + 360) % 360
			if got := club.WindAt(p.Deg+turn, bearing, club.LeftBank); got != w.left {
				t.Errorf("%s wind turned %d°, left bank: %s, want %s", w.from, turn, got, w.left)
			}
			if got := club.WindAt(p.Deg+turn, bearing, club.RightBank); got != w.right {
				t.Errorf("%s wind turned %d°, right bank: %s, want %s", w.from, turn, got, w.right)
			}
		}
	}
}

// TestWindByVectors asks the same of sums of vectors: the larger of the parts along
// the flow and across it names the wind.
func TestWindByVectors(t *testing.T) {
	for from := range 360 {
		for bearing := range 360 {
			if d := (from - bearing + 720) % 90; d == 45 {
				continue // the two parts are equal: the table above says which it is
			}
			for bank, side := range map[club.Bank]float64{club.LeftBank: 1, club.RightBank: -1} {
				to, flow := rad(from+180), rad(bearing)
				facing := rad(bearing + 90*int(side))
				along, into := math.Cos(to-flow), -math.Cos(to-facing)
				want := rig.WindFacing
				switch {
				case math.Abs(along) > math.Abs(into) && along > 0:
					want = rig.WindDownstream
				case math.Abs(along) > math.Abs(into):
					want = rig.WindUpstream
				case into < 0:
					want = rig.WindBehind
				}
				if got := club.WindAt(from, bearing, bank); got != want {
					t.Fatalf("wind from %d°, flow to %d°, %s bank: %s, want %s", from, bearing, bank, got, want)
				}
			}
		}
	}
}

func rad(deg int) float64 { return float64(deg) * math.Pi / 180 }

func TestBreeze(t *testing.T) {
	peg := club.Peg{Bank: club.RightBank, BearingDeg: 0} // flows north, so one looks west
	for b, want := range map[club.Breeze]rig.Wind{
		{From: "W", Force: 4}: rig.WindFacing, {From: "E", Force: 4}: rig.WindBehind, {From: "S", Force: 1}: rig.WindDownstream,
		{From: "N", Force: 8}: rig.WindUpstream, {From: "facing", Force: 3}: rig.WindFacing, {From: "upstream", Force: 3}: rig.WindUpstream,
		{}: "",
	} {
		got, force := b.On(peg)
		if err := b.Check(); err != nil || got != want || force != b.Force {
			t.Errorf("%+v blows %q at %d, want %q; %v", b, got, force, want, err)
		}
	}
	for _, bad := range []club.Breeze{{From: "X", Force: 3}, {From: "sw", Force: 3}, {Force: 3}, {From: "W"}, {From: "N", Force: 9}, {From: "N", Force: -1}} {
		if club.KindOf(bad.Check()) != club.Invalid {
			t.Errorf("%+v is taken", bad)
		}
	}
}
