package club

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// cares lists what can hurt someone here, and what makes the answer doubtful, the
// gravest first.
func (s *Sheet) cares() []Care {
	var out []Care
	for _, h := range s.Hazards {
		if !h.stops() { // one that does is said already
			out = append(out, h.care())
		}
	}
	for _, c := range s.Closures {
		if c.From.After(s.When()) {
			out = append(out, Care{"Closing soon", c.Words(s.When(), s.Loc)})
		}
	}
	out = append(out, s.mayStop()...)
	if s.Level.Known {
		out = append(out, s.levelCares()...)
	}
	return out
}

// unheardOfM is how far beyond every sounding of a peg a level is a guess and no more.
const unheardOfM = 1.0

// unheardOf says whether the level is far beyond anything sounded on any run.
func (s *Sheet) unheardOf() bool {
	sounded := false
	for i := range s.Runs {
		b := &s.Runs[i].Basis
		if b.Soundings == 0 {
			continue
		}
		if s.DatumM() >= b.LowestM-unheardOfM && s.DatumM() <= b.HighestM+unheardOfM {
			return false
		}
		sounded = true
	}
	return sounded
}

// PowerLineCare is the caution wherever a power line may be: networks' safety guidance
// to anglers; carrying rods taken down is police and council advice.
const PowerLineCare = "Carry rods taken down and fish 30 m or more away: carbon conducts."

// care is a hazard in words, with the usual caution of its kind.
func (h Hazard) care() Care {
	switch h.Kind {
	case PowerLine:
		text := h.Text
		if h.DistanceM > 0 {
			text = fmt.Sprintf("%.0f m away. %s", h.DistanceM, h.Text)
		}
		return Care{"Power line", text + " " + PowerLineCare}
	case DeepEdge:
		return Care{"Deep at the edge", h.Text}
	case SlipBank:
		return Care{"Slippery bank", h.Text}
	case Wading:
		return Care{"Wading", h.Text}
	}
	return Care{"Take care", h.Text}
}

func (s *Sheet) levelCares() []Care {
	var out []Care
	offset := s.Standing.Zero.OffsetM
	if s.unheardOf() {
		out = append(out, Care{"Far from anything sounded", "Nobody has plumbed this peg within a metre of this level. The figures are a guess and no more."})
	}
	if s.Peg.Reach == PastWeir {
		out = append(out, Care{"Past a weir", "A weir or lock lies between the board and this peg, so the level says less here. Plumb first."})
	}
	for _, r := range s.Rules {
		if r.Effect == Caution && r.Holds(s.When(), s.DatumM()) {
			out = append(out, Care{"The club's word on this level", r.Words(offset)})
		}
	}
	if s.Level.Asked && s.Level.Now != nil && len(ruleStops(s.Rules, s.Now, s.Level.Now.LevelM+offset, offset)) > 0 {
		out = append(out, Care{"Not today", fmt.Sprintf("The river now stands at %.2f m, where the club's rule stops fishing.", s.Level.Now.LevelM)})
	}
	if s.DatumM() > s.Standing.Gauge.HighM {
		// Fifteen centimetres: council flood guidance.
		out = append(out, Care{"High water", "Above the board's ordinary range. Keep back from the edge and do not wade: 15 cm of fast water can knock an adult over."})
	}
	if !s.Level.Asked && (s.Level.At.IsZero() || s.Level.Coming) && s.Level.Age > staleLevel {
		out = append(out, Care{"Old reading", "The board was last read more than a day ago. Read it before you trust this."})
	}
	return out
}

// VenueCares lists a venue's hazards, those of single pegs by kind with the pegs'
// labels, and its level cautions that hold now.
func VenueCares(v VenueView, now time.Time) []Care {
	var out []Care
	var kinds []HazardKind
	pegs := map[HazardKind][]string{}
	for _, h := range v.Hazards {
		if h.PegLabel == "" {
			out = append(out, h.care())
			continue
		}
		if pegs[h.Kind] == nil {
			kinds = append(kinds, h.Kind)
		}
		pegs[h.Kind] = append(pegs[h.Kind], h.PegLabel)
	}
	for _, k := range kinds {
		slices.SortFunc(pegs[k], func(a, b string) int { return v.order(a) - v.order(b) })
		c := Hazard{Kind: k}.care()
		out = append(out, Care{c.Head, strings.TrimSpace("At " + pegsWords(pegs[k]) + "; see there." + c.Text)})
	}
	if v.Standing.Latest == nil {
		return out
	}
	offset := v.Standing.Zero.OffsetM
	for _, r := range v.Rules {
		if r.Effect == Caution && r.Holds(now, v.Standing.Latest.LevelM+offset) {
			out = append(out, Care{"The club's word on this level", r.where() + r.Words(offset)})
		}
	}
	return out
}

// where names the pegs of a rule that is not for all of them, before its words.
func (r LevelRule) where() string {
	if r.FromLabel == "" {
		return ""
	}
	return upperFirst(SpanWords(r.FromLabel, r.ToLabel)) + ". "
}

// order is a peg's place downstream.
func (v VenueView) order(label string) int {
	return slices.IndexFunc(v.Pegs, func(l PegLine) bool { return l.Peg.Label == label })
}

// pegsWords is "peg 9" or "pegs 17, 18 and 19".
func pegsWords(labels []string) string {
	if len(labels) == 1 {
		return "peg " + labels[0]
	}
	last := len(labels) - 1
	return "pegs " + strings.Join(labels[:last], ", ") + " and " + labels[last]
}
