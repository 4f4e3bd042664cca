package club_test

import (
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
)

// autumn is a moment outside the close season.
var autumn = time.Date(2025, time.October, 18, 10, 0, 0, 0, time.UTC)

func ptr(v float64) *float64 { return &v }

// view is a peg with one well known run: 1.80 m deep at 1.20 m on the datum, timed
// at 0.35 m/s, and one that nobody plumbed.
func view() club.PegView {
	var known []club.Sounding
	for i := range 5 {
		known = append(known, club.Sounding{At: autumn.AddDate(0, -i-1, 0), LevelM: 1.10 + float64(i)*0.05, DepthM: 1.70 + float64(i)*0.05, PaceMPS: 0.35, TimedS: 15})
	}
	return club.PegView{
		Club:  club.Club{Name: "Club", TimeZone: "Europe/London", Place: "England"},
		Venue: club.Venue{Slug: "near", Name: "Near", CloseSeason: true},
		Standing: club.Standing{
			Gauge:  club.Gauge{Slug: "board", Name: "Board", FloodM: 2.4, LowM: 0.6, HighM: 1.4},
			Latest: &club.Level{At: autumn.Add(-20 * time.Minute), LevelM: 1.20, Source: club.Station},
		},
		Peg: club.Peg{Code: "2222", Label: "14", Bank: club.LeftBank, Reach: club.OpenReach, MarkHeightM: 2},
		Runs: []club.RunBook{
			{Run: club.Run{Name: "Rod length", DistanceM: 4.5}, Soundings: known},
			{Run: club.Run{Name: "middle", DistanceM: 14}},
		},
	}
}

var noMemory = club.NewRigMemory(0)

func sheet(t *testing.T, v club.PegView, ask club.Ask) *club.Sheet {
	t.Helper()
	if ask.Now.IsZero() {
		ask.Now = autumn
	}
	s, err := club.NewSheet(v, ask, noMemory)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSheetAnswers(t *testing.T) {
	s := sheet(t, view(), club.Ask{})
	r := s.Runs[0]
	// Soundings made without error: level less depth is −0.60 in each. Derived.
	if math.Abs(r.Depth.Mid-1.80) > 0.01 || math.Abs(r.Bed.Mid+0.60) > 0.01 || !r.Timed || r.Word != "easy" || r.Flooded || r.Above || r.Below {
		t.Errorf("depth %+v bed %+v word %q of %+v", r.Depth, r.Bed, r.Word, r.Basis)
	}
	if !(r.Depth.Low < 1.80 && 1.80 < r.Depth.High && r.Pace.Low < 0.35 && 0.35 < r.Pace.High) {
		t.Errorf("the ranges %+v and %+v do not hold what was sounded", r.Depth, r.Pace)
	}
	if len(s.Stops) != 0 || s.Chosen != 0 || len(s.Answer.Rigs) == 0 || s.Answer.No != "" {
		t.Errorf("stops %v, chosen %d, %d rigs, %q", s.Stops, s.Chosen, len(s.Answer.Rigs), s.Answer.No)
	}
	// Of a run that nobody plumbed the one beside it tells something, widely.
	if u := s.Runs[1]; !u.Borrowed() || u.Basis.Borrowed != 1 || !u.Unsure() || u.Depth.High-u.Depth.Low < 0.5 {
		t.Errorf("a run nobody plumbed has %+v", u)
	}
}

// TestStops tries each reason not to fish alone and all together. While any stands
// no rig is offered.
func TestStops(t *testing.T) {
	closed := club.Closure{FromLabel: "14", ToLabel: "14", From: autumn.AddDate(0, 0, -1), Reason: "work"}
	rule := club.LevelRule{AboveM: ptr(1.15), Effect: club.NoFishing, Text: "over"}
	line := club.Hazard{Kind: club.PowerLine, PegLabel: "14", DistanceM: 29.9, Text: "A line."}
	spring := time.Date(2026, time.March, 15, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name, want string
		change     func(*club.PegView)
		now        time.Time
	}{
		{"nothing", "", func(*club.PegView) {}, autumn},
		{"closure", "closed", func(v *club.PegView) { v.Closures = []club.Closure{closed} }, autumn},
		{"closure to come", "", func(v *club.PegView) {
			c := closed
			c.From = autumn.Add(time.Minute)
			v.Closures = []club.Closure{c}
		}, autumn},
		{"closure over", "", func(v *club.PegView) {
			c := closed
			c.To = autumn
			v.Closures = []club.Closure{c}
		}, autumn},
		{"level rule", "level rule", func(v *club.PegView) { v.Rules = []club.LevelRule{rule} }, autumn},
		{"rule at the very level", "", func(v *club.PegView) { r := rule; r.AboveM = ptr(1.20); v.Rules = []club.LevelRule{r} }, autumn},
		{"rule below", "level rule", func(v *club.PegView) {
			v.Rules = []club.LevelRule{{BelowM: ptr(1.21), Effect: club.NoFishing, Text: "low"}}
		}, autumn},
		{"caution is no stop", "", func(v *club.PegView) { r := rule; r.Effect = club.Caution; v.Rules = []club.LevelRule{r} }, autumn},
		{"power line near", "power line", func(v *club.PegView) { v.Hazards = []club.Hazard{line} }, autumn},
		// Keep 30 m away: networks' safety guidance to anglers.
		{"power line at 30 m", "", func(v *club.PegView) { h := line; h.DistanceM = 30; v.Hazards = []club.Hazard{h} }, autumn},
		{"power line at no known distance", "power line", func(v *club.PegView) { h := line; h.DistanceM = 0; v.Hazards = []club.Hazard{h} }, autumn},
		{"close season", "close season", func(*club.PegView) {}, spring},
		{"last day before it", "", func(*club.PegView) {}, spring.Add(-time.Second)},
		{"a still water", "", func(v *club.PegView) { v.Venue.CloseSeason = false }, spring},
		{"all", "closed, power line, level rule, close season", func(v *club.PegView) {
			v.Closures, v.Hazards, v.Rules = []club.Closure{closed}, []club.Hazard{line}, []club.LevelRule{rule}
		}, spring},
	} {
		v := view()
		c.change(&v)
		s := sheet(t, v, club.Ask{Now: c.now})
		var kinds []string
		for _, stop := range s.Stops {
			kinds = append(kinds, string(stop.Kind))
		}
		if got := strings.Join(kinds, ", "); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		if offered := len(s.Answer.Rigs) > 0; offered != (c.want == "") {
			t.Errorf("%s: a rig is offered: %v", c.name, offered)
		}
	}
}

// TestDatedZeros: the same river on a board 12 cm higher reads 12 cm less, and
// depths, beds on the datum and rules stay.
func TestDatedZeros(t *testing.T) {
	old, moved := view(), view()
	rule := []club.LevelRule{{AboveM: ptr(1.85), Effect: club.NoFishing, Text: "over"}}
	old.Rules, moved.Rules = rule, rule
	moved.Standing.Zero.OffsetM = 0.12
	moved.Standing.Latest = &club.Level{At: autumn, LevelM: 1.08, Source: club.Board}
	a, b := sheet(t, old, club.Ask{}), sheet(t, moved, club.Ask{})
	if math.Abs(a.Runs[0].Depth.Mid-b.Runs[0].Depth.Mid) > 1e-9 || a.Runs[0].Bed != b.Runs[0].Bed || math.Abs(a.DatumM()-b.DatumM()) > 1e-9 {
		t.Errorf("depth %v and %v, bed %v and %v", a.Runs[0].Depth, b.Runs[0].Depth, a.Runs[0].Bed, b.Runs[0].Bed)
	}
	for ask, want := range map[float64]int{1.72: 0, 1.74: 1} { // 1.85 on the datum is 1.73 on the board
		if s := sheet(t, moved, club.Ask{LevelM: &ask}); len(s.Stops) != want || want == 1 && !strings.HasPrefix(s.Stops[0].Text, "Above 1.73 m") {
			t.Errorf("at %v: %v", ask, s.Stops)
		}
	}
}

func TestWhatIsNotKnown(t *testing.T) {
	t.Run("no level", func(t *testing.T) {
		v := view()
		v.Standing.Latest = nil
		s := sheet(t, v, club.Ask{})
		if s.Level.Known || s.Runs[0].Plumbed || len(s.Answer.Rigs) != 0 || math.Abs(s.Runs[0].Bed.Mid+0.60) > 0.01 {
			t.Errorf("level %+v, run %+v", s.Level, s.Runs[0])
		}
		if s = sheet(t, v, club.Ask{LevelM: ptr(1.2)}); !s.Level.Asked || len(s.Answer.Rigs) == 0 {
			t.Errorf("asked for a level: %+v", s.Level)
		}
	})
	t.Run("no soundings", func(t *testing.T) {
		v := view()
		v.Runs[0].Soundings = nil
		if s := sheet(t, v, club.Ask{}); s.Chosen != -1 || len(s.Answer.Rigs) != 0 || len(s.Runs) != 2 {
			t.Errorf("chosen %d, %d rigs", s.Chosen, len(s.Answer.Rigs))
		}
		if s := sheet(t, v, club.Ask{Run: "middle"}); s.Chosen != 1 || len(s.Answer.Rigs) != 0 {
			t.Errorf("asked for it: chosen %d, %d rigs", s.Chosen, len(s.Answer.Rigs))
		}
	})
	t.Run("no runs", func(t *testing.T) {
		v := view()
		v.Runs = nil
		if s := sheet(t, v, club.Ask{}); s.Chosen != -1 {
			t.Errorf("chosen %d", s.Chosen)
		}
	})
	t.Run("dry", func(t *testing.T) {
		s := sheet(t, view(), club.Ask{LevelM: ptr(-0.70), Run: "rod-length"})
		if r := s.Runs[0]; !r.Dry || r.Depth.Mid != 0 || r.Word != "" || !r.Below || len(s.Answer.Rigs) != 0 {
			t.Errorf("dry %v at %+v, %q", r.Dry, r.Depth, r.Word)
		}
	})
	t.Run("beyond what was sounded", func(t *testing.T) {
		for ask, want := range map[float64][2]bool{1.04: {true, false}, 1.06: {}, 1.34: {}, 1.36: {false, true}} {
			if r := sheet(t, view(), club.Ask{LevelM: &ask}).Runs[0]; r.Below != want[0] || r.Above != want[1] {
				t.Errorf("at %v: below %v, above %v", ask, r.Below, r.Above)
			}
		}
		in, out := sheet(t, view(), club.Ask{}), sheet(t, view(), club.Ask{LevelM: ptr(3)})
		if wide := func(s *club.Sheet) float64 { return s.Runs[0].Depth.High - s.Runs[0].Depth.Low }; wide(out) < 1.5*wide(in) {
			t.Errorf("the range is %v inside and %v far beyond", wide(in), wide(out))
		}
	})
	t.Run("flooded", func(t *testing.T) {
		v := view()
		v.Standing.Floods = []time.Time{autumn.AddDate(0, 0, -3)}
		after := sheet(t, v, club.Ask{}).Runs[0]
		before := sheet(t, view(), club.Ask{}).Runs[0]
		if !after.Flooded || before.Flooded || after.Depth.High-after.Depth.Low <= before.Depth.High-before.Depth.Low {
			t.Errorf("flooded %v with %+v, and before %v with %+v", after.Flooded, after.Depth, before.Flooded, before.Depth)
		}
		v.Standing.Floods = []time.Time{autumn.AddDate(0, -2, 0).Add(time.Hour)}
		if sheet(t, v, club.Ask{}).Runs[0].Flooded {
			t.Error("called flooded though it was plumbed since")
		}
	})
	t.Run("never timed", func(t *testing.T) {
		v := view()
		for i := range v.Runs[0].Soundings {
			v.Runs[0].Soundings[i].PaceMPS = 0
		}
		if r := sheet(t, v, club.Ask{}).Runs[0]; r.Timed || r.Pace.High < 2*r.Pace.Low {
			t.Errorf("timed %v, pace %+v", r.Timed, r.Pace)
		}
	})
}

func TestWhatMakesNoSense(t *testing.T) {
	for name, ask := range map[string]club.Ask{
		"NaN": {LevelM: ptr(math.NaN())}, "+Inf": {LevelM: ptr(math.Inf(1))}, "-Inf": {LevelM: ptr(math.Inf(-1))},
		"too high": {LevelM: ptr(club.MaxLevelM + 0.01)}, "too low": {LevelM: ptr(club.MinLevelM - 0.01)},
		"run": {Run: "weir pool"},
	} {
		ask.Now = autumn
		_, err := club.NewSheet(view(), ask, noMemory)
		if club.KindOf(err) != club.Invalid || !strings.HasSuffix(err.Error(), ".") {
			t.Errorf("%s: %v, want a sentence", name, err)
		}
	}
	for _, edge := range []float64{club.MinLevelM, 0, math.Copysign(0, -1), club.MaxLevelM} {
		if _, err := club.NewSheet(view(), club.Ask{LevelM: &edge, Now: autumn}, noMemory); err != nil {
			t.Errorf("%v: %v", edge, err)
		}
	}
	_, err := club.NewSheet(view(), club.Ask{Run: "weir", Now: autumn}, noMemory)
	if err == nil || !strings.Contains(err.Error(), "rod-length, middle") {
		t.Errorf("%v does not name the runs there are", err)
	}
}

func TestRisenOverTheRule(t *testing.T) {
	v := view()
	v.Rules = []club.LevelRule{{AboveM: ptr(1.45), Effect: club.NoFishing, Text: "over"}}
	s := sheet(t, v, club.Ask{})
	if len(s.Stops) != 0 || len(s.Answer.Rigs) == 0 || s.Answer.Risen || !reflect.DeepEqual(s.Answer.IfRise, club.Change{}) {
		t.Errorf("at 1.20, with no fishing above 1.45: risen %v, %v", s.Answer.Risen, s.Answer.IfRise)
	}
	v.Rules[0].AboveM = ptr(1.51)
	if s := sheet(t, v, club.Ask{}); !s.Answer.Risen {
		t.Error("0.30 m up is under the rule, and it does not say what to change")
	}
	// A rule that has begun is told to someone who asks for a lower level.
	v.Rules[0].AboveM = ptr(1.15)
	s = sheet(t, v, club.Ask{LevelM: ptr(0.9)})
	found := false
	for _, c := range s.Cares {
		found = found || c.Head == "Not today"
	}
	if !found || len(s.Stops) != 0 {
		t.Errorf("asked for 0.90 while 1.20 stops fishing: cares %+v", s.Cares)
	}
}

func TestUnknownTimeZone(t *testing.T) {
	v := view()
	v.Club.TimeZone = "Nowhere/At all"
	if _, err := club.NewSheet(v, club.Ask{Now: autumn}, noMemory); err == nil || club.KindOf(err) != club.Internal {
		t.Errorf("got %v", err)
	}
}

// TestBorrowing: from the run beside it on the peg, from pegs beside, from nobody; and
// three soundings of its own need no neighbour.
func TestBorrowing(t *testing.T) {
	alone := view()
	alone.Runs = alone.Runs[1:]
	if r := sheet(t, alone, club.Ask{}).Runs[0]; r.Plumbed || r.Basis.Borrowed != 0 {
		t.Errorf("with nobody to borrow from: %+v", r)
	}
	beside := alone
	for _, pegs := range []int{-1, 1, 2} {
		b := club.BesideRun{Pegs: pegs, Reach: club.OpenReach, RunBook: view().Runs[0]}
		b.DistanceM = 14
		beside.Beside = append(beside.Beside, b)
	}
	r := sheet(t, beside, club.Ask{}).Runs[0]
	if !r.Borrowed() || r.Basis.Borrowed != 3 || math.Abs(r.Depth.Mid-1.80) > 0.10 || r.Depth.High-r.Depth.Low < 0.3 {
		t.Errorf("from the pegs beside, all 1.80 m deep at as far out: %+v", r)
	}
	far := beside
	far.Beside = far.Beside[2:]
	if f := sheet(t, far, club.Ask{}).Runs[0]; f.Depth.High-f.Depth.Low <= r.Depth.High-r.Depth.Low {
		t.Errorf("from one peg two away %+v, from three %+v", f.Depth, r.Depth)
	}
	own := beside
	own.Runs = []club.RunBook{{Run: alone.Runs[0].Run, Soundings: view().Runs[0].Soundings}}
	if r := sheet(t, own, club.Ask{}).Runs[0]; r.Basis.Borrowed != 0 {
		t.Errorf("with five soundings of its own: %+v", r.Basis)
	}
}

// TestRememberedFits are the fits, and a new book or a new flood gets its own.
func TestRememberedFits(t *testing.T) {
	m := club.NewFitMemory(2)
	v, other := view(), view()
	other.Runs[0].Soundings = other.Runs[0].Soundings[:3]
	for i := range 6 {
		for _, book := range []club.PegView{v, other} {
			book.Standing.Floods = []time.Time{autumn.AddDate(0, -3, 0)}[:i%2]
			got, want := sheet(t, book, club.Ask{Fits: m}), sheet(t, book, club.Ask{})
			for r := range got.Runs {
				if got.Runs[r].Depth != want.Runs[r].Depth || got.Runs[r].Pace != want.Runs[r].Pace {
					t.Errorf("round %d, run %d: %+v, fitted anew %+v", i, r, got.Runs[r].Depth, want.Runs[r].Depth)
				}
			}
		}
	}
}
