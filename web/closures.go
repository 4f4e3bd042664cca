package web

import (
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// ClosuresPage is what of a venue is closed, and its level rules, as a page. Who may
// close pegs gets forms.
type ClosuresPage struct {
	Shell            Shell
	Name             string
	Level            LevelLine
	Said             string // what was just done; empty for nothing
	Problem          string
	Stops            StopBox // that are of no closure: a level rule, the close season
	Standing, Coming []ClosureLine
	Rules            []RuleLine
	MayClose         bool
	Close            CloseForm
	Rule             RuleForm
}

// ClosureLine is a closure in its list.
type ClosureLine struct{ Pegs, Words, By, LiftHref string }

// RuleLine is a level rule in its list.
type RuleLine struct {
	Pegs, Words, DropHref string
	Holds                 bool // now
}

// CloseForm is what somebody has filled in to close pegs.
type CloseForm struct {
	Href     string
	Sum      string // what it closes as it stands: "Peg 14, from now, until it is lifted"
	Unfolded bool
	From, To []Choice
	Typed    Typed
	Reasons  []string
}

// RuleForm is what somebody has filled in to set a level rule.
type RuleForm struct {
	Href              string
	Unfolded          bool
	From, To          []Choice
	Sides, Effects    []Choice
	Typed             Typed
	OrdinaryLow, High string // of the board, to go by
}

// Typed is what was typed, as it was typed, so that nothing is lost.
type Typed struct{ Level, Text, Starts, Ends string }

// Choice is one thing to choose from a list.
type Choice struct {
	Value, Label string
	Chosen       bool
}

// Filled is what the page's forms are filled in with.
type Filled struct {
	Form          string // FormClose or FormRule; empty: none was sent
	From, To      string // values of the choices of pegs
	Below         bool
	Effect        club.Effect
	Typed         Typed
	Said, Problem string
	Asked         bool // a peg was asked for by the address
}

// The page's forms.
const (
	FormClose = "close"
	FormRule  = "rule"
)

func closuresHref(slug string) string { return "/venues/" + slug + "/closures" }

// PegValue is how a form names a peg: by what its post says and by its lasting code, so
// that a page which is older than a renumbering is noticed.
func PegValue(label, code string) string { return label + "." + code }

// NewClosuresPage shapes a venue's closures and rules for the page.
func NewClosuresPage(a Assets, v club.VenueView, f Filled, now time.Time, loc *time.Location) ClosuresPage {
	href, off := closuresHref(v.Venue.Slug), v.Standing.Zero.OffsetM
	p := ClosuresPage{
		Shell: NewShell(a, v.Club, v.Member, "Closures and level rules, "+v.Venue.Name).At(v.Venue),
		Name:  v.Venue.Name, Level: levelLine(v.Standing, now), Said: f.Said, Problem: f.Problem,
		MayClose: v.Member.Role.MayClose(),
	}
	p.Stops = stopBox(club.VenueStops(v.Venue, v.Standing, nil, v.Rules, now, loc))
	for _, c := range v.Closures {
		l := ClosureLine{Pegs: capital(club.SpanWords(c.FromLabel, c.ToLabel)), Words: c.Words(now, loc), LiftHref: href + "/" + strconv.FormatInt(c.ID, 10) + "/lift"}
		if p.MayClose && c.SetBy != "" {
			l.By = "Set by " + strings.TrimSuffix(c.SetBy, ".") + "."
		}
		if c.In(now) {
			p.Standing = append(p.Standing, l)
		} else {
			p.Coming = append(p.Coming, l)
		}
	}
	for _, r := range v.Rules {
		p.Rules = append(p.Rules, RuleLine{
			Pegs: capital(club.SpanWords(r.FromLabel, r.ToLabel)), Words: r.Says(off, loc),
			DropHref: "/venues/" + v.Venue.Slug + "/rules/" + strconv.FormatInt(r.ID, 10) + "/drop",
			Holds:    v.Standing.Latest != nil && r.Holds(now, v.Standing.Latest.LevelM+off),
		})
	}
	if p.MayClose {
		p.Close, p.Rule = closeForm(v, f), ruleForm(v, f)
	}
	return p
}

func closeForm(v club.VenueView, f Filled) CloseForm {
	out := CloseForm{Href: closuresHref(v.Venue.Slug), Reasons: club.CloseReasons(), Unfolded: f.Form == FormClose || !f.Asked}
	from, to := NotChosen, ""
	if f.Form == FormClose || f.Asked {
		from, to, out.Typed = f.From, f.To, f.Typed
	}
	out.From, out.To = pegChoices(v.Pegs, "The whole water", from), pegChoices(v.Pegs, "That peg alone", to)
	label, _, _ := strings.Cut(from, ".")
	out.Sum = capital(club.SpanWords(label, label)) + ", from now, until it is lifted"
	return out
}

func ruleForm(v club.VenueView, f Filled) RuleForm {
	g, off := v.Standing.Gauge, v.Standing.Zero.OffsetM
	out := RuleForm{Href: "/venues/" + v.Venue.Slug + "/rules", Unfolded: f.Form == FormRule, OrdinaryLow: metres(g.LowM - off), High: metres(g.HighM - off)}
	from, to := "", ""
	if f.Form == FormRule {
		from, to, out.Typed = f.From, f.To, f.Typed
	}
	out.From, out.To = pegChoices(v.Pegs, "The whole water", from), pegChoices(v.Pegs, "That peg alone", to)
	below, caution := f.Form == FormRule && f.Below, f.Form == FormRule && f.Effect == club.Caution
	out.Sides = []Choice{{"above", "Above the level", !below}, {"below", "Below the level", below}}
	out.Effects = []Choice{{string(club.NoFishing), "No fishing", !caution}, {string(club.Caution), "Take care", caution}}
	return out
}

// NotChosen is the value of a choice of pegs that nobody made yet.
const NotChosen = "?"

// pegChoices are the venue's pegs going downstream, after what choosing none means. One
// that is not there any more is to be chosen anew: it must not turn into the whole water.
func pegChoices(pegs []club.PegLine, none, chosen string) []Choice {
	out := []Choice{{"", none, chosen == ""}}
	found := chosen == ""
	for _, l := range pegs {
		value := PegValue(l.Peg.Label, l.Peg.Code)
		is := value == chosen || l.Peg.Label == chosen
		found = found || is
		out = append(out, Choice{value, "Peg " + l.Peg.Label, is})
	}
	if !found {
		out = append([]Choice{{NotChosen, "Choose", true}}, out...)
	}
	return out
}

// closeLink leads from a sheet to where its peg is closed, or opened again.
func closeLink(s *club.Sheet) *SpanLink {
	for _, c := range s.Closures {
		if c.In(s.Now) {
			return &SpanLink{Label: "Open it again", Href: closuresHref(s.Venue.Slug)}
		}
	}
	return &SpanLink{Label: "Close this peg", Href: closuresHref(s.Venue.Slug) + "?peg=" + s.Peg.Label + "#close"}
}
