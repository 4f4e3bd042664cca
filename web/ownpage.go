package web

import (
	"strconv"

	"github.com/a-h/templ"

	"levelpeg/club"
	"levelpeg/hydro"
	"levelpeg/rig"
	"levelpeg/web/draw"
)

// OwnPage is the rig for a water that somebody gives.
type OwnPage struct {
	Shell   Shell
	Problem string
	Lacks   string
	Answer  *AnswerLine
	No      string
	Fuller  *FullerLine
	Wind    string
	Cares   []club.Care
	Doubts  []string
	Section draw.Section
	Drawn   bool
	Hang    *HangLine
	Form    OwnForm
	Pace    string
	Boils   []Option
	Out     string
	Keep    []Pair
	ShotFor []Pair
	Shot    templ.Component
	Cards   templ.Component
	JSON    string
}

// NewOwnPage shapes a sheet of no peg for the page, with its rig cards from m.
func NewOwnPage(a Assets, m *CardMemory, s *club.OwnSheet) OwnPage {
	p := OwnPage{
		Shell: NewShell(a, s.Club, s.Member, "Rig for your own water"),
		Lacks: s.Lacks, No: s.Answer.No, Cares: s.Cares, Doubts: s.Doubts,
		Form: ownForm(s.Own, s.Wind, s.Aim), Keep: append(shotPairsOf(s.Tackle), holdPair(s.Hold)...),
		ShotFor: append(append(ownPairs(s.Own), dayPairs(s.Wind, s.Aim)...), holdPair(s.Hold)...),
		Out:     decimals(s.Own.OutM, 1), Boils: boilOptions(s.Own.Boil),
	}
	p.Form.Winds = windOptions(s.Wind.From, rig.Winds())
	if s.Own.PaceMPS != nil {
		p.Pace = strconv.FormatFloat(*s.Own.PaceMPS, 'f', -1, 64)
	}
	asked := queryOf(ownPairs(s.Own), dayPairs(s.Wind, s.Aim), shotPairsOf(s.Tackle), holdPair(s.Hold))
	p.JSON = "/rig.json" + asked
	if s.Lacks != "" {
		return p
	}
	if s.Wind.Force > 0 {
		p.Wind = "Wind force " + strconv.Itoa(s.Wind.Force) + " (" + forces[s.Wind.Force] + "), " + windWays[rig.Wind(s.Wind.From)] + "."
	}
	p.Section, p.Drawn = ownSection(s), true
	p.Fuller = fullerLine(s.Fuller, "/rig"+queryOf(ownPairs(s.Own), dayPairs(s.Wind, s.Aim), kitNone))
	p.addRigs(m, s)
	return p
}

func (p *OwnPage) addRigs(m *CardMemory, s *club.OwnSheet) {
	if len(s.Answer.Rigs) == 0 {
		p.Shot = tackleChoice(s.Tackle.Spelt())
		return
	}
	first := &s.Answer.Rigs[0]
	p.Cards = m.of(&s.Answer, s.Tackle.Spelt())
	p.Answer = &AnswerLine{Guide: setUpHref(first, s.Answer.For, nil, false), Run: "Your water", Depth: metres(s.Water.DepthM), Give: "(" + feet(s.Water.DepthM) + ")",
		Word: hydro.PaceWord(s.Pace.Mid) + " at " + fixed(s.Pace.Mid, 2) + " m/s", Rig: first.Name, Shots: shotsLine(first.Weights)}
	if len(findings(first, rig.StopLevel)) > 0 {
		p.Answer.Stop = "Do not use it with this shot: see below."
	}
	at := queryOf(ownPairs(s.Own), dayPairs(s.Wind, s.Aim), shotPairsOf(s.Tackle)) + "&hold="
	p.Hang = &HangLine{Words: hangWords(s.Hang), Holds: holdLinks(at, s.Hang.HoldBack)}
}

// ownSection draws one run of that depth, its bed at nought, so that the stave reads
// as depth.
func ownSection(s *club.OwnSheet) draw.Section {
	depth := s.Water.DepthM
	d := draw.Section{
		Title: "Your water in section, " + metres(depth) + " deep", Desc: "The stave counts from the bed up.",
		Level: &depth, MarkM: depth + 0.5, LowM: 0, HighM: depth, Asks: "depth",
		Runs: []draw.RunDepth{{DistanceM: max(s.Water.DistanceM, 1), Depth: fixed(depth, 2), Known: true, Chosen: true}},
	}
	if s.Hang == nil {
		return d
	}
	r := &s.Answer.Rigs[0]
	d.Float = floatHung(r, s.Hang, d.Runs[0].DistanceM, 0)
	d.Desc += " " + hangDesc(s.Hang)
	return d
}

func boilOptions(boil *int) []Option {
	out := []Option{}
	for i, w := range boilWords {
		out = append(out, Option{strconv.Itoa(i), capital(w), boil != nil && *boil == i || boil == nil && i == 0})
	}
	return out
}
