package web

import "levelpeg/club"

// MomentLine says what moment a sheet is for, and how the level is known there.
type MomentLine struct {
	When   string // "Saturday 28 November 2026, 10:00"
	Level  string // empty where nothing honest can be said of it
	Say    string
	Edges  []SpanLink // the sheet at either end of the level's range
	Latest string     // the address without the moment
}

const whenFormat = "Monday 2 January 2006, 15:04"

// edgesFromM is how wide a level's range must be for its ends to be worth a look.
const edgesFromM = 0.10

func momentLine(s *club.Sheet) *MomentLine {
	l := &s.Level
	if l.At.IsZero() || l.Asked {
		return nil
	}
	m := &MomentLine{When: l.At.In(s.Loc).Format(whenFormat), Say: l.Why, Latest: address(s, s.Peg.Label, runPair(chosenSlug(s)), chosen(s))}
	if !l.Known {
		return m
	}
	m.Level = metres(l.LevelM)
	m.Say = "four times in five from " + fixed(l.Range.Low, 2) + " to " + fixed(l.Range.High, 2) + " m, "
	if l.Coming {
		m.Say += "foreseen from how this river went on before. Rain that nobody has seen yet is not in it: look again in the morning."
	} else {
		m.Say += "from the readings about that hour."
	}
	if l.Range.High-l.Range.Low >= edgesFromM {
		for _, edge := range []float64{l.Range.Low, l.Range.High} {
			m.Edges = append(m.Edges, SpanLink{Label: "At " + fixed(edge, 2), Href: pegHrefAt(s, edge)})
		}
	}
	return m
}

// momentPair is the moment a sheet was asked for, as an address has it.
func momentPair(s *club.Sheet) []Pair {
	if s.Level.At.IsZero() || s.Level.Asked {
		return nil
	}
	return []Pair{{"at", clock(s.Level.At, s.Loc)}}
}

// HourForm asks for the sheet at another hour.
type HourForm struct {
	Value    string
	Keep     []Pair
	Fixtures []SpanLink
}

// fixturesShown is how many fixtures to come a sheet offers the hour of.
const fixturesShown = 2

func hourForm(s *club.Sheet) HourForm {
	f := HourForm{Keep: append(runPair(chosenSlug(s)), chosen(s)...)}
	if p := momentPair(s); p != nil {
		f.Value = p[0].Text
	}
	for _, x := range s.Fixtures[:min(fixturesShown, len(s.Fixtures))] {
		at := Pair{"at", clock(x.Starts, s.Loc)}
		f.Fixtures = append(f.Fixtures, SpanLink{Label: x.Name + ", " + x.Words(s.Now, s.Loc), Href: address(s, s.Peg.Label, []Pair{at}, f.Keep)})
	}
	return f
}
