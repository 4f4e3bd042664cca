package club_test

import (
	"fmt"
	"testing"
	"time"

	"levelpeg/club"
)

// TestFished counts by hand: derived from what Fished promises.
func TestFished(t *testing.T) {
	out := func(days int, datumM *float64, c club.Colour, warm *float64) club.Outing {
		return club.Outing{At: autumn.AddDate(0, 0, -days), LevelM: datumM, Colour: c, TemperatureC: warm}
	}
	v := view()
	v.Standing.Zero.OffsetM = 0.10 // the level of 1.20 is 1.30 on the datum
	v.Outings = []club.Outing{
		out(-1, ptr(1.30), club.Thick, nil), // still to come
		out(2, ptr(1.30), club.Clear, ptr(9.0)),
		out(5, ptr(1.45), club.Tinged, ptr(8.0)),
		out(9, ptr(1.46), club.Coloured, ptr(2.0)), // a centimetre too far
		out(20, ptr(1.15), club.Tinged, nil),
		out(30, nil, club.Thick, ptr(1.0)), // nobody read the board
		out(40, ptr(1.30), "", ptr(12.5)),
		out(364, ptr(0.30), "", nil),
		out(366, ptr(1.30), club.Thick, ptr(0)), // over a year ago
	}
	s := sheet(t, v, club.Ask{LevelM: ptr(1.20), Now: autumn})
	f := s.Fished()
	if f.Times != 7 || f.Near != 4 || f.More || !f.Last.Equal(autumn.AddDate(0, 0, -2)) || *f.LowC != 8 || *f.HighC != 12.5 {
		t.Errorf("%+v", f)
	}
	if got := fmt.Sprint(f.Colours); got != "[{a tinge 2} {clear 1}]" {
		t.Errorf("colours %s", got)
	}
	v.Outings = nil
	for i := range club.OutingsMost {
		v.Outings = append(v.Outings, out(1+i, nil, "", nil))
	}
	if f := sheet(t, v, club.Ask{LevelM: ptr(1.20), Now: autumn}).Fished(); !f.More || f.Near != 0 || f.LowC != nil || f.Colours != nil {
		t.Errorf("as many as are given: %+v", f)
	}
}

// TestRulesInTheirTime: by the moment the sheet is for, and of a rise the moment, too.
func TestRulesInTheirTime(t *testing.T) {
	from, to := autumn.Add(24*time.Hour), autumn.Add(48*time.Hour)
	v := view()
	v.Rules = []club.LevelRule{{AboveM: ptr(1.15), Effect: club.NoFishing, Text: "over", From: from, To: to}}
	for _, c := range []struct {
		at    time.Time
		stops int
	}{{autumn, 0}, {from.Add(-time.Second), 0}, {from, 1}, {to.Add(-time.Second), 1}, {to, 0}} {
		s := sheet(t, v, club.Ask{LevelM: ptr(1.20), Now: c.at})
		if len(s.Stops) != c.stops || (len(s.Answer.Rigs) > 0) == (c.stops > 0) {
			t.Errorf("at %v: stops %v and %d rigs", c.at, s.Stops, len(s.Answer.Rigs))
		}
	}
	// 30 cm up it is over the rule's level, but in its time alone.
	v.Rules[0].AboveM = ptr(1.45)
	for at, risen := range map[time.Time]bool{autumn: true, from: false} {
		if s := sheet(t, v, club.Ask{LevelM: ptr(1.20), Now: at}); s.Answer.Risen != risen {
			t.Errorf("at %v a rig for 30 cm more: %v", at, s.Answer.Risen)
		}
	}
}

func TestClosingWords(t *testing.T) {
	loc := time.UTC
	for want, c := range map[string]club.Closure{
		"Peg 14 is closed from now: Tree down.":                                                        {FromLabel: "14", ToLabel: "14", From: autumn, Reason: "Tree down."},
		"Pegs 14 to 16 are closed from now until Sun 19 October 10:00: Works.":                         {FromLabel: "14", ToLabel: "16", From: autumn, To: time.Date(2025, 10, 19, 10, 0, 0, 0, loc), Reason: "Works"},
		"The whole water is closed from Sat 1 January 09:00 until Sun 2 January 09:00: Pollution, ££.": {From: time.Date(2028, 1, 1, 9, 0, 0, 0, loc), To: time.Date(2028, 1, 2, 9, 0, 0, 0, loc), Reason: "Pollution, ££"},
	} {
		if got := c.Done(autumn, loc); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	since := club.Closure{FromLabel: "1", ToLabel: "1", From: autumn.Add(-time.Hour), Reason: "Works"}
	if got := since.Done(autumn, loc); got != "Peg 1 is closed since Sat 18 October 09:00: Works." {
		t.Error(got)
	}
	r := club.LevelRule{FromLabel: "1", ToLabel: "3", AboveM: ptr(1.5), Effect: club.NoFishing, Text: "Mud"}
	if got := r.Done(0.1, loc); got != "Set for pegs 1 to 3: Above 1.40 m no fishing: Mud." {
		t.Error(got)
	}
	r.From = time.Date(2028, 1, 1, 9, 0, 0, 0, loc)
	if got := r.Says(0, loc); got != "Above 1.50 m no fishing: Mud. From Sat 1 January 09:00." {
		t.Error(got)
	}
}

// TestPartStops are those of some pegs, now.
func TestPartStops(t *testing.T) {
	st := club.Standing{Zero: club.Zero{OffsetM: 0.1}, Latest: &club.Level{LevelM: 1.2}}
	closures := []club.Closure{{FromLabel: "1", ToLabel: "1", From: autumn, Reason: "a"}, {From: autumn, Reason: "all"},
		{FromLabel: "2", ToLabel: "2", From: autumn.Add(time.Second), Reason: "to come"}}
	rules := []club.LevelRule{
		{FromLabel: "2", ToLabel: "3", AboveM: ptr(1.25), Effect: club.NoFishing, Text: "b"},
		{FromLabel: "2", ToLabel: "3", AboveM: ptr(1.3), Effect: club.NoFishing, Text: "at the very level"},
		{FromLabel: "4", ToLabel: "4", AboveM: ptr(1.0), Effect: club.Caution, Text: "care"},
		{FromLabel: "5", ToLabel: "5", AboveM: ptr(1.0), Effect: club.NoFishing, Text: "over", To: autumn},
		{AboveM: ptr(1.0), Effect: club.NoFishing, Text: "all"},
	}
	got := club.PartStops(st, closures, rules, autumn, time.UTC)
	if len(got) != 2 || got[0].Pegs() != "peg 1" || got[1].Pegs() != "pegs 2 to 3" || got[1].Text != "Above 1.15 m no fishing: b" {
		t.Errorf("%+v", got)
	}
	st.Latest = nil
	if got := club.PartStops(st, nil, rules, autumn, time.UTC); len(got) != 0 {
		t.Errorf("without a level: %+v", got)
	}
}
