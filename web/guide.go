package web

import (
	"strconv"

	"levelpeg/club"
	"levelpeg/club/guide"
	"levelpeg/rig"
)

// GuidePage is a guide's list of steps.
type GuidePage struct {
	Shell   Shell
	Problem string
	Name    string
	For     string
	Stops   []string
	Code    string
	Parts   []GuidePart
	Start   string
	Print   string // address of the same as a booklet
	Draw    DrawnSketch
	Script  string
}

// GuidePart is the steps of one part of a guide.
type GuidePart struct {
	Name  string
	Steps []GuideLink
}

// GuideLink leads to a step.
type GuideLink struct {
	Key, Label, Href string
	N                int
	Here             bool
}

// StepPage is one step of a guide.
type StepPage struct {
	Shell    Shell
	Name     string
	Code     string
	All      string // the list of steps
	Part     string
	N, Of    int
	Step     guide.Step
	Draw     DrawnSketch
	Bar      []bool // a mark a step: whether it is behind
	Back     string
	Next     string
	NextSays string
	Stops    []string
	Words    []SpanLink
	Knots    []SpanLink
	Script   string
}

// guideHref is the address of a guide, or of one of its steps.
func guideHref(code, step string) string {
	if step == "" {
		return "/guide/" + code
	}
	return "/guide/" + code + "/" + step
}

// NewGuidePage shapes a guide's list of steps.
func NewGuidePage(a Assets, s Shell, g guide.Guide) GuidePage {
	p := GuidePage{Shell: s, Name: g.Name, For: g.For, Stops: lawStops(g), Code: g.Code, Script: a.Guide, Print: guideHref(g.Code, "") + ".pdf", Draw: DrawnSketch(guide.Whole(g.Setup.Rig))}
	for i := range g.Steps {
		s := &g.Steps[i]
		if n := len(p.Parts); n == 0 || p.Parts[n-1].Name != s.Part {
			p.Parts = append(p.Parts, GuidePart{Name: s.Part})
		}
		part := &p.Parts[len(p.Parts)-1]
		part.Steps = append(part.Steps, GuideLink{Key: s.Key, Label: s.Title, Href: guideHref(g.Code, s.Key), N: i + 1})
	}
	p.Start = guideHref(g.Code, g.Steps[0].Key)
	return p
}

// NewStepPage shapes step i of a guide.
func NewStepPage(a Assets, s Shell, g guide.Guide, i int) StepPage {
	step := g.Steps[i]
	p := StepPage{
		Shell: s, Name: g.Name, Code: g.Code, All: guideHref(g.Code, ""), Part: step.Part, N: i + 1, Of: len(g.Steps), Step: step,
		Draw: DrawnSketch(step.Draw), Script: a.Guide, Back: guideHref(g.Code, ""), Next: guideHref(g.Code, ""), NextSays: "Done, to the list",
	}
	for k := range g.Steps {
		p.Bar = append(p.Bar, k < i)
	}
	if i > 0 {
		p.Back = guideHref(g.Code, g.Steps[i-1].Key)
	}
	if i+1 < len(g.Steps) {
		p.Next, p.NextSays = guideHref(g.Code, g.Steps[i+1].Key), "Done, next"
	}
	if step.Key == "layout" {
		p.Stops = lawStops(g)
	}
	for _, key := range step.Words {
		if t, ok := guide.TermOf(key); ok {
			p.Words = append(p.Words, SpanLink{Label: t.Word, Href: "/words#" + key})
		}
	}
	for _, key := range step.Knots {
		if k, ok := guide.KnotOf(key); ok {
			p.Knots = append(p.Knots, SpanLink{Label: k.Name, Href: "/knots#" + key})
		}
	}
	return p
}

// lawStops is what the law has against a guide's rig.
func lawStops(g guide.Guide) []string {
	var out []string
	for _, f := range rig.Law(g.Setup.Rig, rig.EnglandAndWales, rig.VenueRules{}) {
		if f.Level == rig.StopLevel {
			out = append(out, f.Text+" "+f.Remedy)
		}
	}
	return out
}

// setUpHref leads to the guide of a rig; empty where no guide can be made of it, or where
// it is not to be used.
func setUpHref(r *rig.Rig, w rig.Water, level *float64, high bool) string {
	for _, f := range r.Findings {
		if f.Level == rig.StopLevel {
			return ""
		}
	}
	s := guide.SetupOf(*r, w)
	s.LevelM, s.High = level, high
	code, err := s.Code()
	if err != nil {
		return ""
	}
	return guideHref(code, "")
}

// sheetGuide is the guide of a sheet's first rig, with the level it is for.
func sheetGuide(s *club.Sheet) string {
	if !s.Level.Known {
		return setUpHref(&s.Answer.Rigs[0], s.Answer.For, nil, false)
	}
	level := s.Level.LevelM
	return setUpHref(&s.Answer.Rigs[0], s.Answer.For, &level, s.DatumM() > s.Standing.Gauge.HighM)
}

// KnotsPage is how the knots are tied.
type KnotsPage struct {
	Shell Shell
	Knots []DrawnKnot
}

// DrawnKnot is a knot with its drawings.
type DrawnKnot struct {
	guide.Knot
	Moves []DrawnMove
}

// DrawnMove is one move of a knot.
type DrawnMove struct {
	N    string
	Do   string
	Draw DrawnSketch
}

// NewKnotsPage shapes the page of knots.
func NewKnotsPage(s Shell) KnotsPage {
	p := KnotsPage{Shell: s}
	for _, k := range guide.Knots() {
		d := DrawnKnot{Knot: k}
		for i, m := range k.Steps {
			d.Moves = append(d.Moves, DrawnMove{strconv.Itoa(i + 1), m.Do, DrawnSketch(m.Draw)})
		}
		p.Knots = append(p.Knots, d)
	}
	return p
}
