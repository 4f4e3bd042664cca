package web

import (
	"fmt"

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
	Asked     string      // the level that was asked for; empty for the latest
	Moment    *MomentLine // the moment that was asked for; nil where none was
	Hour      HourForm
	Stops     StopBox
	Doubts    []string // what is unsure of the run the rigs are for
	Answer    *AnswerLine
	NoRig     string
	ByKit     string      // the address by the reader's own kit, where a full box was asked for
	Fuller    *FullerLine // what a full box would have; nil where the reader's own kit does
	Cares     []club.Care
	Section   draw.Section
	Steps     LevelSteps
	Own       *OwnLine        // nil where every figure is the book's
	Wind      string          // where the wind blows here; empty where none was given
	OwnKeep   []Pair          // what the form for the reader's own figures carries
	OwnRow    OwnForm         // that form
	Day       templ.Component // its other fields
	Hang      *HangLine       // how the first rig hangs; nil where none is offered
	ShotKeep  []Pair          // what the choice of shot carries: level, run and hold-back
	Shot      templ.Component // that choice where there are no cards, which begin with it
	Runs      []RunLine
	Cards     templ.Component // the rigs' cards, and what to change on the first; nil where none is offered
	Notes     []NoteLine
	Photos    []PhotoLine
	NoteLinks NotesLinks
	Fished    []string  // how often the peg was fished, and in what water
	Close     *SpanLink // for those who may close and open it
	Sound     string    // address for writing down what was plumbed here; empty for a visitor
	Up, Down  *PegLink
	JSON      string
	Card      string // address of the same on a printed card
}

// AnswerLine is the sheet in one line.
type AnswerLine struct {
	Run, Depth, Give, Word string
	Rig, Shots             string
	Doubt                  string // "Plumb first."; empty where the figures are sure enough
	Stop                   string // why the rig is not to be used; empty where it may be
	Guide                  string // where it is set up, step by step; empty: nowhere
}

// LevelSteps is the bar under the drawing: the level, a step down, a step up.
type LevelSteps struct {
	Value               string
	Keep                []Pair // what else the form carries: the run and what was chosen
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
	p.Moment, p.Hour = momentLine(s), hourForm(s)
	p.Stops = stopBox(s.Stops)
	if p.Stops.Head != "" && p.Moment != nil {
		p.Stops.Head = "Do not fish here at that hour."
	}
	if p.Stops.Head != "" && s.Level.Asked && s.Stops[0].Kind == club.StopLevelRule {
		p.Stops.Head = "Do not fish here at " + p.Asked + "."
	}
	for i := range s.Runs {
		p.Runs = append(p.Runs, runLine(s, i))
	}
	p.Section, p.Steps, p.JSON = section(s), steps(s), address(s, s.Peg.Label+".json", askedPairs(s), runPair(chosenSlug(s)), chosen(s), ownPairs(s.Own))
	p.Card = address(s, s.Peg.Label+".pdf", askedPairs(s), runPair(chosenSlug(s)), chosen(s), ownPairs(s.Own))
	p.Own, p.Wind, p.OwnKeep = ownLine(s), windLine(s.Wind, s.Blows), ownKeep(s)
	p.OwnRow, p.Day = ownParts(s)
	p.ShotKeep = shotKeep(s)
	if s.Tackle.From == club.KitOff {
		p.ByKit = address(s, s.Peg.Label, askedPairs(s), runPair(chosenSlug(s)), ownPairs(s.Own), dayPairs(s.Wind, s.Aim))
	}
	p.Fuller = fullerLine(s.Fuller, address(s, s.Peg.Label, askedPairs(s), runPair(chosenSlug(s)), ownPairs(s.Own), dayPairs(s.Wind, s.Aim), kitNone))
	if len(s.Answer.Rigs) == 0 && s.Answer.No != "" { // another shot may mend that
		p.Shot = tackleChoice(s.Tackle.Spelt())
	}
	p.addRigs(m, s)
	p.Notes, p.Fished = noteLines(s), fishedLines(s)
	p.Photos, p.NoteLinks = sheetPhotoLines(s.Pictures, s.Member, s.Loc), notesLinks(s.Member, s.Venue.Slug, s.Peg.Label)
	if s.Member.Role.MayClose() {
		p.Close = closeLink(s)
	}
	if club.SoundingEntry.MayWrite(s.Member.Role) {
		p.Sound = "/record?kind=sounding&peg=" + s.Peg.Code
	}
	return p
}

func (p *PegPage) addRigs(m *CardMemory, s *club.Sheet) {
	if len(s.Answer.Rigs) == 0 {
		return
	}
	run := &s.Runs[s.Chosen]
	p.Cards = m.of(&s.Answer, s.Tackle.Spelt())
	first := &s.Answer.Rigs[0]
	p.Answer = &AnswerLine{
		Run: capital(run.Name), Depth: metres(run.Depth.Mid), Give: give(run.Depth),
		Word: run.Word, Rig: first.Name, Shots: shotsLine(first.Weights),
	}
	p.Answer.Guide = sheetGuide(s)
	switch {
	case run.Ours.Depth:
		p.Answer.Give = "as you plumbed it"
	case !run.Timed && !run.Ours.Pace:
		p.Answer.Word = "pace not timed"
	}
	if run.Unsure() {
		p.Answer.Doubt = "Plumb first."
	}
	if len(findings(first, rig.StopLevel)) > 0 {
		p.Answer.Stop = "Do not use it with this shot: see below."
	}
	p.Doubts = s.Doubts()
	p.Hang = hangLine(s)
}

// leadRule is the rule on lead weights. Source: SI 1986/1992 and the freshwater rod
// fishing rules, gov.uk.
const leadRule = "In England and Wales a lead weight must be 0.06 g or less, or over 28.35 g. Local byelaws and the club go first."

// leadWords gives the rule on lead weights.
func leadWords(rigs []rig.Rig) string {
	for _, r := range rigs {
		for _, w := range r.Weights {
			if w.Material == rig.Lead {
				return leadRule
			}
		}
	}
	return "No weight here is lead. " + leadRule
}

func changeLines(a *club.Answer) []ChangeLine {
	rise := ChangeLine{"River up 30 cm", changeWords(a.IfRise)}
	if !a.Risen {
		rise.Do = []string{"Stop fishing: the club's rule closes this water at that level."}
	}
	return []ChangeLine{{"Wind gets up, force 6 in your face", changeWords(a.IfWind)}, rise}
}

// fishLines are what to change when other fish are there or are wanted.
func fishLines(a *club.Answer) []ChangeLine {
	var out []ChangeLine
	for _, t := range a.IfFish {
		out = append(out, ChangeLine{capital(string(t.When)), doWords(t.Do)})
	}
	return out
}

func changeWords(c club.Change) []string {
	switch {
	case c.No != "":
		return []string{c.No}
	case c.Instead != nil:
		words := []string{"Tie another: " + inFull(c.Instead)}
		for _, stop := range findings(c.Instead, rig.StopLevel) {
			words = append(words, "Do not use it. "+stop)
		}
		return words
	}
	return doWords(c.Do)
}

func doWords(do []string) []string {
	if len(do) == 0 {
		return []string{"Nothing: this rig still does it."}
	}
	out := make([]string, len(do))
	for i, d := range do {
		out[i] = capital(d) + "."
	}
	return out
}

func steps(s *club.Sheet) LevelSteps {
	if !s.Level.Known {
		return LevelSteps{}
	}
	run := chosenSlug(s)
	st := LevelSteps{
		Value:     levelPair(s.Level.LevelM)[0].Text,
		Keep:      append(runPair(run), chosen(s)...),
		LowerHref: pegHrefAt(s, s.Level.LevelM-levelStepM),
		MoreHref:  pegHrefAt(s, s.Level.LevelM+levelStepM),
	}
	if s.Level.Asked && s.Level.Now != nil {
		st.LatestHref = address(s, s.Peg.Label, chosen(s))
	}
	return st
}

// noAnswer is the line where the answer would stand, when there is none though
// fishing is allowed.
func (p PegPage) noAnswer() string {
	switch {
	case p.NoRig != "":
		return p.NoRig
	case p.Moment != nil && p.Steps.Value == "":
		return "Without a level there is no depth to answer for."
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
