package club_test

import (
	"math"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/rig"
)

// TestOwnDepthGoesFirst: what the reader plumbed is what the rig is set for, the drawing's
// bed moves with it, and the book's own figure stays beside it.
func TestOwnDepthGoesFirst(t *testing.T) {
	book := sheet(t, view(), club.Ask{})
	s := sheet(t, view(), club.Ask{Own: club.Own{DepthM: ptr(2.20)}})
	r := s.Runs[s.Chosen]
	if r.Depth.Mid != 2.20 || !r.Ours.Depth || r.Ours.Pace || r.Ours.Book != book.Runs[0].Depth || r.Unsure() {
		t.Errorf("%+v of %+v", r.Depth, r.Ours)
	}
	if level := s.Level.LevelM; math.Abs(r.Bed.Mid-(level-2.20)) > 1e-9 { // derived: bed is level − depth
		t.Errorf("bed at %v", r.Bed)
	}
	if len(s.Answer.Rigs) == 0 || s.Answer.For.DepthM != 2.20 || s.Answer.Rigs[0].SetM < 2.20 {
		t.Errorf("the rig is for %+v", s.Answer.For)
	}
	if d := strings.Join(s.Doubts(), " "); !strings.Contains(d, "You plumbed 2.20 m and the book says 1.7") {
		t.Errorf("forty centimetres off the book, and the sheet says %q", d)
	}
	if s := sheet(t, view(), club.Ask{Own: club.Own{DepthM: ptr(1.85)}}); strings.Contains(strings.Join(s.Doubts(), " "), "You plumbed") {
		t.Errorf("a depth about that of the book is doubted: %v", s.Doubts())
	}
}

// TestOwnDepthWithoutABook: a run nobody plumbed, a peg nobody did, a board nobody read.
func TestOwnDepthWithoutABook(t *testing.T) {
	v := view()
	for i := range v.Runs {
		v.Runs[i].Soundings = nil
	}
	s := sheet(t, v, club.Ask{Own: club.Own{DepthM: ptr(1.5)}})
	if s.Chosen != 0 || len(s.Answer.Rigs) != 0 || !strings.Contains(s.Answer.No, "how fast") {
		t.Errorf("run %d, %d rigs, %q", s.Chosen, len(s.Answer.Rigs), s.Answer.No)
	}
	for name, change := range map[string]func(*club.PegView){
		"not plumbed": func(*club.PegView) {}, "no board": func(v *club.PegView) { v.Standing.Latest = nil },
	} {
		w := v
		change(&w)
		s := sheet(t, w, club.Ask{Own: club.Own{DepthM: ptr(1.5), OverM: 5, TimedS: 12}})
		if len(s.Answer.Rigs) == 0 || s.Answer.For.DepthM != 1.5 || !s.Answer.Risen || s.Hang == nil {
			t.Errorf("%s: for %+v, %q", name, s.Answer.For, s.Answer.No)
		}
	}
}

func TestOwnPace(t *testing.T) {
	pace := sheet(t, view(), club.Ask{}).Runs[0].Pace
	for _, c := range []struct {
		own  club.Own
		want float64
	}{
		{club.Own{Feel: club.Slower}, pace.Low}, {club.Own{Feel: club.Faster}, pace.High}, {club.Own{PaceMPS: ptr(0.52)}, 0.52},
		{club.Own{OverM: 4.026, TimedS: 4.5}, 0.8946667}, // hydrometry guides: 0.895
	} {
		s := sheet(t, view(), club.Ask{Own: c.own})
		r := s.Runs[0]
		if math.Abs(r.Pace.Mid-c.want) > 1e-6 || !r.Ours.Pace || r.Ours.Depth || r.Ours.BookPace != pace || math.Abs(s.Answer.For.PaceMPS-c.want) > 0.0251 {
			t.Errorf("%+v: %+v, the rig is for %v, want %v", c.own, r.Pace, s.Answer.For.PaceMPS, c.want)
		}
		if rough := strings.Contains(strings.Join(s.Doubts(), " "), "less than ten seconds"); rough != (c.own.TimedS > 0) {
			t.Errorf("%+v: %v", c.own, s.Doubts())
		}
	}
}

// TestOwnWaterRises as the book's does, from where the reader found it.
func TestOwnWaterRises(t *testing.T) {
	v := view()
	up := sheet(t, v, club.Ask{LevelM: ptr(1.50)}).Runs[0]
	now := sheet(t, v, club.Ask{}).Runs[0]
	s := sheet(t, v, club.Ask{Own: club.Own{DepthM: ptr(2.20), PaceMPS: ptr(0.50)}})
	w := rig.Water{DepthM: 2.20 + up.Depth.Mid - now.Depth.Mid, PaceMPS: 0.50 * up.Pace.Mid / now.Pace.Mid, DistanceM: 4.5}
	want, err := rig.TurnTo(s.Answer.Rigs[0], coarse(w), rig.Aim{}, rig.StandardKit())
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Answer.IfRise; want.Tie != (got.Instead != nil) || strings.Join(want.Moves.Words(), ";") != strings.Join(got.Do, ";") {
		t.Errorf("risen: %+v, want %v of %+v", got, want.Moves.Words(), w)
	}
}

// coarse is a water to 5 cm, 0.05 m/s and a metre, as a rig is tied for it.
func coarse(w rig.Water) rig.Water {
	w.DepthM, w.PaceMPS, w.DistanceM = math.Round(w.DepthM*20)/20, math.Round(w.PaceMPS*20)/20, math.Round(w.DistanceM)
	return w
}

// TestWindAndAimReachTheRig: on a left bank of water flowing north one faces east.
func TestWindAndAimReachTheRig(t *testing.T) {
	s := sheet(t, view(), club.Ask{Wind: club.Breeze{From: "E", Force: 5}, Aim: rig.Aim{Fish: "chub", Bait: "bread flake"}})
	if s.Blows != rig.WindFacing || s.Answer.For.Wind != rig.WindFacing || s.Answer.For.WindForce != 5 || s.Answer.Rigs[0].Bait != "bread flake" {
		t.Errorf("%s, for %+v with %s", s.Blows, s.Answer.For, s.Answer.Rigs[0].Bait)
	}
	for _, bad := range []club.Ask{{Wind: club.Breeze{From: "E"}}, {Own: club.Own{DepthM: ptr(math.NaN())}}, {Own: club.Own{PaceMPS: ptr(math.Inf(1))}}, {Own: club.Own{OverM: 5}}} {
		bad.Now = autumn
		if _, err := club.NewSheet(view(), bad, noMemory); club.KindOf(err) != club.Invalid {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

func TestOwnSheet(t *testing.T) {
	c := club.Club{TimeZone: "Europe/London"}
	ask := func(o club.Own, wind club.Breeze) (*club.OwnSheet, error) {
		return club.NewOwnSheet(c, club.Member{}, club.Ask{Own: o, Wind: wind, Now: autumn}, noMemory)
	}
	s, err := ask(club.Own{DepthM: ptr(1.83), PaceMPS: ptr(0.8)}, club.Breeze{From: "facing", Force: 4})
	if err != nil || len(s.Answer.Rigs) == 0 {
		t.Fatalf("%+v, %v", s, err)
	}
	// Six feet of brisk water carries 2 to 4 g: common practice, no source.
	if g := s.Answer.Rigs[0].CapacityG; g < 2 || g > 4 {
		t.Errorf("%.1f g for six feet at 0.8 m/s", g)
	}
	if s.Water.Wind != rig.WindFacing || s.Water.DistanceM <= 0 || s.Hang == nil || len(s.Cares) == 0 {
		t.Errorf("%+v", s)
	}
	for _, o := range []club.Own{{}, {DepthM: ptr(1)}, {PaceMPS: ptr(1)}, {DepthM: ptr(1), Feel: club.Slower}} {
		if s, err := ask(o, club.Breeze{}); err != nil || s.Lacks == "" || len(s.Answer.Rigs) != 0 {
			t.Errorf("%+v: %+v, %v", o, s, err)
		}
	}
	if s, err := ask(club.Own{DepthM: ptr(0.2), PaceMPS: ptr(1)}, club.Breeze{}); err != nil || s.Answer.No == "" {
		t.Errorf("twenty centimetres: %+v, %v", s, err)
	}
	if _, err := ask(club.Own{DepthM: ptr(1), PaceMPS: ptr(1)}, club.Breeze{From: "N", Force: 3}); club.KindOf(err) != club.Invalid {
		t.Errorf("a compass wind with no peg: %v", err)
	}
}

// TestJuniorsStayNear: with a junior the run chosen is a rod length out at the most, and
// one farther out that is asked for says why not. Common practice, no source.
func TestJuniorsStayNear(t *testing.T) {
	v := view()
	far := v.Runs[0]
	far.Name, far.DistanceM = "two rods", 9
	v.Runs = []club.RunBook{v.Runs[0], far}
	v.Runs[0].Soundings = v.Runs[0].Soundings[:1] // known less well, so that it is not chosen otherwise
	if s := sheet(t, v, club.Ask{}); s.Runs[s.Chosen].Name != "two rods" {
		t.Fatalf("chosen %s", s.Runs[s.Chosen].Name)
	}
	s := sheet(t, v, club.Ask{Aim: rig.Aim{Junior: true}})
	if s.Chosen != 0 || len(s.Answer.Rigs) == 0 || s.Answer.Rigs[0].RodFtHigh > 11 {
		t.Errorf("chosen %d, %+v", s.Chosen, s.Answer.No)
	}
	if s := sheet(t, v, club.Ask{Run: "two-rods", Aim: rig.Aim{Junior: true}}); len(s.Answer.Rigs) != 0 || !strings.Contains(s.Answer.No, "too far for a junior") {
		t.Errorf("%d rigs, %q", len(s.Answer.Rigs), s.Answer.No)
	}
}
