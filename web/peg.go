package web

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"levelpeg/club"
	"levelpeg/rig"
	"levelpeg/web/draw"
)

// PegPage is a peg's sheet as a page.
type PegPage struct {
	Shell     Shell
	Label     string
	Where     string // "left bank, water flowing south-west"
	Access    string
	Code      string
	Problem   string // a sentence about what was asked; empty where it was understood
	Level     LevelLine
	Gauge     string
	GaugeHref string
	Asked     string // the level that was asked for; empty for the latest
	Stops     StopBox
	Doubts    []string // what is unsure of the run the rigs are for
	Answer    *AnswerLine
	NoRig     string
	Cares     []club.Care
	Section   draw.Section
	Steps     LevelSteps
	Runs      []RunLine
	Cards     templ.Component // the rigs' cards, and what to change on the first; nil where none is offered
	Notes     []NoteLine
	Up, Down  *PegLink
	JSON      string
}

// AnswerLine is the sheet in one line.
type AnswerLine struct {
	Run, Depth, Give, Word string
	Rig, Shots             string
	Doubt                  string // "Plumb first."; empty where the figures are sure enough
}

// LevelSteps is the bar under the drawing: the level, a step down, a step up.
type LevelSteps struct {
	Value, Run          string
	LowerHref, MoreHref string
	LatestHref          string // empty where the latest is what is shown
}

// PegLink leads to another peg.
type PegLink struct{ Label, Href string }

// RunLine is one run in the list of runs.
type RunLine struct {
	Name, Out, Href string
	Chosen          bool
	Depth, Give     string // "1.86 m", "± 6 cm"
	Feet, Pace      string
	Rests           []string
}

// ChangeLine is what to change when something changes.
type ChangeLine struct {
	When string
	Do   []string
}

// NoteLine is a note on the page.
type NoteLine struct {
	Text, By string
	Private  bool
	Holds    bool // at the sheet's level
	For      string
}

// levelStepM is the step of the buttons beside the level.
const levelStepM = 0.05

// NewPegPage shapes a sheet for the page, with its rig cards from m.
func NewPegPage(a Assets, m *CardMemory, s *club.Sheet) PegPage {
	p := PegPage{
		Shell:     NewShell(a, s.Club, s.Member, "Peg "+s.Peg.Label+", "+s.Venue.Name).At(s.Venue),
		Label:     s.Peg.Label,
		Where:     fmt.Sprintf("%s bank, water flowing %s", capital(string(s.Peg.Bank)), bearing(s.Peg.BearingDeg)),
		Access:    s.Peg.Access,
		Level:     levelLine(s.Standing, s.Now),
		Gauge:     s.Standing.Gauge.Name,
		GaugeHref: "/gauges/" + s.Standing.Gauge.Slug,
		Cares:     s.Cares,
		NoRig:     s.Answer.No,
		Code:      s.Peg.Code,
		Up:        pegLink(s, s.Upstream),
		Down:      pegLink(s, s.Down),
	}
	if s.Level.Asked {
		p.Asked = metres(s.Level.LevelM)
	}
	p.Stops = stopBox(s.Stops)
	if p.Stops.Head != "" && s.Level.Asked && s.Stops[0].Kind == club.StopLevelRule {
		p.Stops.Head = "Do not fish here at " + p.Asked + "."
	}
	for i := range s.Runs {
		p.Runs = append(p.Runs, runLine(s, i))
	}
	p.Section, p.Steps, p.JSON = section(s), steps(s), pegHref(s, s.Peg.Label+".json", s.Level.LevelM, chosenSlug(s))
	p.addRigs(m, s)
	p.Notes = noteLines(s)
	return p
}

func (p *PegPage) addRigs(m *CardMemory, s *club.Sheet) {
	if len(s.Answer.Rigs) == 0 {
		return
	}
	run := &s.Runs[s.Chosen]
	p.Cards = m.of(&s.Answer)
	first := &s.Answer.Rigs[0]
	p.Answer = &AnswerLine{
		Run: capital(run.Name), Depth: metres(run.Depth.Mid), Give: plusMinus(run.Depth.Low, run.Depth.High),
		Word: run.Word, Rig: first.Name, Shots: shotsLine(first.Weights),
	}
	if !run.Timed {
		p.Answer.Word = "pace not timed"
	}
	if run.Unsure() {
		p.Answer.Doubt = "Plumb first."
	}
	p.Doubts = s.Doubts()
}

// leadWords gives the rule on lead weights. Source: SI 1986/1992 and the freshwater
// rod fishing rules, gov.uk.
func leadWords(rigs []rig.Rig) string {
	const rule = "In England and Wales a lead weight must be 0.06 g or less, or over 28.35 g. Local byelaws and the club go first."
	for _, r := range rigs {
		for _, w := range r.Weights {
			if w.Material == rig.Lead {
				return rule
			}
		}
	}
	return "No weight here is lead. " + rule
}

func changeLines(a *club.Answer) []ChangeLine {
	rise := ChangeLine{"River up 30 cm", changeWords(a.IfRise)}
	if !a.Risen {
		rise.Do = []string{"Stop fishing: the club's rule closes this water at that level."}
	}
	return []ChangeLine{{"Wind gets up, force 6 in your face", changeWords(a.IfWind)}, rise}
}

func changeWords(c club.Change) []string {
	switch {
	case c.No != "":
		return []string{c.No}
	case c.Instead != nil:
		return []string{"Tie another: " + inFull(c.Instead)}
	case len(c.Do) == 0:
		return []string{"Nothing: this rig still does it."}
	}
	out := make([]string, len(c.Do))
	for i, d := range c.Do {
		out[i] = capital(d) + "."
	}
	return out
}

// pegLink leads to another peg of the venue, at the level that was asked for.
func pegLink(s *club.Sheet, label string) *PegLink {
	if label == "" {
		return nil
	}
	return &PegLink{Label: label, Href: pegHref(s, label, s.Level.LevelM, "")}
}

// pegHref is the address of a peg's sheet at a level and for a run; the latest
// level where the sheet was not asked for another.
func pegHref(s *club.Sheet, label string, levelM float64, run string) string {
	var b strings.Builder
	b.WriteString("/venues/" + s.Venue.Slug + "/pegs/" + label)
	mark := "?"
	if s.Level.Known && (s.Level.Asked || levelM != s.Level.LevelM) {
		b.WriteString(mark + "level=" + strconv.FormatFloat(hundredth(levelM), 'f', 2, 64))
		mark = "&"
	}
	if run != "" {
		b.WriteString(mark + "run=" + run)
	}
	return b.String()
}

func hundredth(v float64) float64 {
	v = math.Round(v*100) / 100
	if v == 0 {
		return 0 // not −0
	}
	return v
}

func steps(s *club.Sheet) LevelSteps {
	if !s.Level.Known {
		return LevelSteps{}
	}
	run := chosenSlug(s)
	st := LevelSteps{
		Value:     strconv.FormatFloat(hundredth(s.Level.LevelM), 'f', 2, 64),
		Run:       run,
		LowerHref: pegHref(s, s.Peg.Label, s.Level.LevelM-levelStepM, run),
		MoreHref:  pegHref(s, s.Peg.Label, s.Level.LevelM+levelStepM, run),
	}
	if s.Level.Asked && s.Level.Now != nil {
		st.LatestHref = "/venues/" + s.Venue.Slug + "/pegs/" + s.Peg.Label
	}
	return st
}

func chosenSlug(s *club.Sheet) string {
	if s.Chosen < 0 {
		return ""
	}
	return s.Runs[s.Chosen].Slug
}

func section(s *club.Sheet) draw.Section {
	off := s.Standing.Zero.OffsetM
	d := draw.Section{
		Title: "Peg " + s.Peg.Label + " in section",
		MarkM: s.Peg.MarkHeightM - off,
		LowM:  s.Standing.Gauge.LowM - off, HighM: s.Standing.Gauge.HighM - off,
	}
	d.Desc = "The gauge board, and the bed through the runs. The same figures stand in the list of runs."
	if s.Level.Known {
		d.Title += " at level " + metres(s.Level.LevelM)
		d.Level = &s.Level.LevelM
	}
	for i := range s.Runs {
		d.Runs = append(d.Runs, runDepth(&s.Runs[i], off, i == s.Chosen))
	}
	if len(s.Answer.Rigs) > 0 {
		d.Float = floatOn(&s.Answer.Rigs[0], &s.Runs[s.Chosen], off)
	}
	return d
}

func runDepth(r *club.RunSheet, off float64, chosen bool) draw.RunDepth {
	d := draw.RunDepth{DistanceM: r.DistanceM, Chosen: chosen, Known: r.Basis.Soundings > 0,
		BedM: r.Bed.Mid - off, BedLowM: r.Bed.Low - off, BedHM: r.Bed.High - off}
	if r.Plumbed && !r.Dry {
		d.Depth = fixed(r.Depth.Mid, 2)
	}
	return d
}

func floatOn(r *rig.Rig, run *club.RunSheet, off float64) *draw.Float {
	f := &draw.Float{DistanceM: run.DistanceM, SetM: r.SetM, BedM: run.Bed.Mid - off}
	for _, w := range r.Weights {
		for _, at := range w.Positions() {
			f.Weights = append(f.Weights, draw.Bead{AtM: at, MassG: w.EachG, Olivet: w.Kind == rig.Olivette})
		}
	}
	return f
}

func noteLines(s *club.Sheet) []NoteLine {
	var holds, other []NoteLine
	for _, n := range s.Notes {
		l := NoteLine{Text: n.Text, By: n.Author, Private: n.Private, Holds: s.Level.Known && n.HoldsAt(s.DatumM()), For: noteLevels(n, s.Standing.Zero.OffsetM)}
		if l.By == "" {
			l.By = "a former member"
		}
		l.By += ", " + n.At.In(s.Loc).Format("January 2006")
		if l.Holds {
			holds = append(holds, l)
		} else {
			other = append(other, l)
		}
	}
	return append(holds, other...)
}

func noteLevels(n club.Note, off float64) string {
	switch {
	case n.LowM != nil && n.HighM != nil:
		return "from " + metres(*n.LowM-off) + " to " + metres(*n.HighM-off)
	case n.LowM != nil:
		return "above " + metres(*n.LowM-off)
	case n.HighM != nil:
		return "below " + metres(*n.HighM-off)
	}
	return "at any level"
}

// noAnswer is the line where the answer would stand, when there is none though
// fishing is allowed.
func (p PegPage) noAnswer() string {
	switch {
	case p.NoRig != "":
		return p.NoRig
	case p.Steps.Value == "":
		return "Nobody has read the board yet, so there is no level to answer for. Read it and ask for that level."
	case len(p.Runs) == 0:
		return "This peg has no runs yet."
	}
	for _, r := range p.Runs {
		if r.Chosen && r.Depth == unknownDepth {
			return "Nobody has plumbed this run yet: " + r.Name + ". Choose one below that was, or plumb it."
		}
		if r.Chosen {
			return r.Name + " is dry at this level, or too shallow for a float. Choose another run below."
		}
	}
	return "No run here is plumbed and deep enough for a float at this level. Plumb it, or try another level."
}
