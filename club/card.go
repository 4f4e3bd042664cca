package club

import (
	"math"
	"slices"
	"time"
)

// Card is a peg's sheets at a stave of levels, the lowest first: what is printed to be
// taken along.
type Card struct {
	*Sheet // at the level that was asked for
	At     []CardSheet
}

// CardSheet is the sheet at one level of a card.
type CardSheet struct {
	Word string // "Low", "Middle", "High"; empty for the card's own
	*Sheet
}

// apartM is how near two levels of a card may be: nearer ones say the same.
const apartM = 0.05

// NewCard answers for a peg as NewSheet does, and for the same run at either end and in
// the middle of its board's ordinary range.
func NewCard(v PegView, ask Ask, rigs Rigs) (*Card, error) {
	main, err := NewSheet(v, ask, rigs)
	if err != nil {
		return nil, err
	}
	c := &Card{Sheet: main}
	if main.Level.Known {
		c.At = append(c.At, CardSheet{Sheet: main})
	}
	if main.Chosen >= 0 {
		ask.Run = main.Runs[main.Chosen].Slug
	}
	ask.Own = Own{} // it was found at one level
	for _, l := range v.Standing.ordinary() {
		if main.Level.Known && math.Abs(l.levelM-main.Level.LevelM) < apartM {
			continue
		}
		ask.LevelM = &l.levelM
		s, err := NewSheet(v, ask, rigs)
		if err != nil {
			return nil, err
		}
		c.At = append(c.At, CardSheet{l.word, s})
	}
	slices.SortStableFunc(c.At, func(a, b CardSheet) int { return int(math.Copysign(1, a.Level.LevelM-b.Level.LevelM)) })
	return c, nil
}

type namedLevel struct {
	word   string
	levelM float64 // on the zero in force
}

// ordinary are the ends and the middle of the board's ordinary range, to five
// centimetres.
func (st Standing) ordinary() []namedLevel {
	low, high := st.Gauge.LowM-st.Zero.OffsetM, st.Gauge.HighM-st.Zero.OffsetM
	even := func(m float64) float64 { return math.Min(MaxLevelM, math.Max(MinLevelM, math.Round(m*20)/20)) }
	return []namedLevel{{"Low", even(low)}, {"Middle", even((low + high) / 2)}, {"High", even(high)}}
}

// Known is the last time that anything a sheet rests on was written down.
func (s *Sheet) Known() time.Time { return s.PegView.known() }

func (v *PegView) known() time.Time {
	last := v.Standing.read()
	for _, r := range v.Runs {
		for _, x := range r.Soundings {
			last = later(last, x.At)
		}
	}
	return last
}

// read is when the board was last read; zero for never.
func (st Standing) read() time.Time {
	if st.Latest == nil {
		return time.Time{}
	}
	return st.Latest.At
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// VenueSheet is every peg of a venue at one level, without rigs.
type VenueSheet struct {
	VenuePegs
	Now    time.Time
	Loc    *time.Location
	Level  LevelShown
	Stops  []Stop // that hold all along
	Cares  []Care // that hold all along
	Sheets []*Sheet
}

// NewVenueSheet answers for all pegs of a venue. It fails with club.Invalid for a level no
// board reads.
func NewVenueSheet(v VenuePegs, ask Ask) (*VenueSheet, error) {
	loc, err := v.Club.Zone()
	if err != nil {
		return nil, err
	}
	if err := ask.check(); err != nil {
		return nil, err
	}
	t := &Tonight{VenuePegs: v, Asked: TonightAsk{Ask: ask}, Now: ask.Now, Loc: loc}
	if t.Level, err = showLevel(v.Standing, ask, loc); err != nil {
		return nil, err
	}
	sheets, err := t.sheets(v.Pegs)
	if err != nil {
		return nil, err
	}
	s := &VenueSheet{VenuePegs: v, Now: ask.Now, Loc: loc, Level: t.Level, Sheets: sheets}
	if len(sheets) > 0 {
		s.Stops = common(sheets, func(s *Sheet) []Stop { return s.Stops })
		s.Cares = common(sheets, func(s *Sheet) []Care { return s.Cares })
	}
	return s, nil
}

// Known is the last time that anything the sheet rests on was written down.
func (v *VenuePegs) Known() time.Time {
	last := v.Standing.read()
	for i := range v.Pegs {
		last = later(last, v.Pegs[i].known())
	}
	return last
}
