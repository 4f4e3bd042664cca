package web

import (
	"net/url"
	"slices"
	"strconv"
	"time"

	"levelpeg/club"
)

// RecordPage is the page for writing things down on the bank.
type RecordPage struct {
	Shell
	Script, Outbox  string
	MemberID        string
	ClubID, Epoch   string
	Said            string
	Level           *RecordForm // nil for who may not
	Sounding        *RecordForm
	Closure         *RecordForm
	Incident        *RecordForm
	Gauges          []GaugeChoice
	Last            string // of the gauge chosen: "1.18 m, 2 h ago"
	Nearest         bool   // there are gauges to choose the nearest of
	Venues          []PegGroup
	Places          []PegGroup
	Runs            []Choice
	Colours         []Choice
	Boils           []Choice
	Reasons         []string
	Kinds           []Choice
	IncidentLine    string
	IncidentCalling string // its digits, to be rung
	Mine            []SpanLink
}

// RecordForm is one of its forms as it is filled in.
type RecordForm struct {
	Kind, ID string
	Open     bool
	Problem  string
	Ask      bool // the problem is only a question
	Corrects string
	Values   url.Values
}

// Value is what a box holds.
func (f RecordForm) Value(name string) string { return f.Values.Get(name) }

// Nth is what one of several boxes of a name holds.
func (f RecordForm) Nth(name string, n int) string {
	if all := f.Values[name]; n < len(all) {
		return all[n]
	}
	return ""
}

// GaugeChoice is a gauge with its last level, for the page's script.
type GaugeChoice struct {
	Choice
	Level, At string // the level as a box has it, and when (RFC 3339); empty for none
	Lat, Lon  string // about where it is, in degrees; empty where nobody has said
}

// PegGroup is a venue's pegs to choose from.
type PegGroup struct {
	Name, Gauge string
	Pegs        []PegChoice
}

// PegChoice is a peg with the names of its runs, for the page's script.
type PegChoice struct {
	Choice
	Runs string // joined by |
}

// RecordFill is what the page's forms are filled in with.
type RecordFill struct {
	Values        url.Values
	Open          club.EntryKind // the form they are of; empty: of any
	Said, Problem string
	Ask           bool
	Keep          string // the number of the entry that is being mended
	NewID         func() string
}

// NewRecordPage shapes the page for whoever is signed in.
func NewRecordPage(a Assets, v club.RecordView, f RecordFill, now time.Time, loc *time.Location) RecordPage {
	p := RecordPage{
		Shell: NewShell(a, v.Club, v.Member, "Write it down"), Script: a.Record, Outbox: a.Outbox,
		MemberID: strconv.FormatInt(v.Member.ID, 10), ClubID: v.Key.ID, Epoch: v.Key.Epoch, Said: f.Said,
		Reasons: club.CloseReasons(), IncidentLine: v.Incident, IncidentCalling: dialled(v.Incident),
	}
	p.Shell.Touch = a.Touch
	for _, w := range v.Mine {
		p.Mine = append(p.Mine, SpanLink{Label: w.Words + ", " + w.At.In(loc).Format("2 Jan 15:04"), Href: "/record?" + url.Values{"kind": {string(w.Kind)}, "corrects": {w.ID}}.Encode()})
	}
	forms := map[club.EntryKind]**RecordForm{club.LevelEntry: &p.Level, club.SoundingEntry: &p.Sounding, club.ClosureEntry: &p.Closure, club.IncidentEntry: &p.Incident}
	for kind, form := range forms {
		if kind.MayWrite(v.Member.Role) {
			*form = recordForm(kind, f)
		}
	}
	if p.Level != nil {
		p.addGauges(v, now)
		p.Colours = wordChoices(club.Colours(), p.Level.Value("colour"), "Not said")
	}
	p.addPlaces(v, f)
	p.Boils = []Choice{{"", "As the book says", true}, {"0", "0, smooth", false}, {"1", "1", false}, {"2", "2", false}, {"3", "3, boily", false}}
	p.Kinds = wordChoices(club.IncidentKinds(), p.Incident.Value("incident"), "Choose")
	choose(p.Boils, p.Sounding.Value("boil"))
	return p
}

func recordForm(kind club.EntryKind, f RecordFill) *RecordForm {
	out := &RecordForm{Kind: string(kind), ID: f.NewID(), Open: f.Open == kind, Values: url.Values{}}
	for _, name := range []string{"gauge", "peg", "where"} {
		if v := f.Values.Get(name); v != "" {
			out.Values.Set(name, v)
		}
	}
	if f.Open != kind {
		return out
	}
	out.Values, out.Problem, out.Ask, out.Corrects = f.Values, f.Problem, f.Ask, f.Values.Get("corrects")
	if f.Keep != "" {
		out.ID = f.Keep
	}
	return out
}

func wordChoices[S ~string](all []S, chosen, none string) []Choice {
	out := []Choice{{"", none, chosen == ""}}
	for _, w := range all {
		out = append(out, Choice{string(w), capital(string(w)), string(w) == chosen})
	}
	return out
}

func choose(all []Choice, value string) {
	for i := range all {
		all[i].Chosen = all[i].Value == value
	}
}

func (p *RecordPage) addGauges(v club.RecordView, now time.Time) {
	chosen := p.Level.Value("gauge")
	if !slices.ContainsFunc(v.Gauges, func(s club.Standing) bool { return s.Gauge.Slug == chosen }) && len(v.Gauges) > 0 {
		chosen = v.Gauges[0].Gauge.Slug
	}
	for _, s := range v.Gauges {
		g := GaugeChoice{Choice: Choice{s.Gauge.Slug, s.Gauge.Name, s.Gauge.Slug == chosen}}
		if s.Latest != nil {
			g.Level, g.At = fixed(s.Latest.LevelM, 2), s.Latest.At.UTC().Format(time.RFC3339)
			if g.Chosen {
				p.Last = metres(s.Latest.LevelM) + ", " + ago(now.Sub(s.Latest.At))
			}
		}
		if at := v.GaugeAt(s.Gauge.Slug); at != nil {
			g.Lat, g.Lon = fixed(at.LatDeg, 4), fixed(at.LonDeg, 4)
		}
		p.Gauges = append(p.Gauges, g)
	}
	placed := 0
	for _, g := range p.Gauges {
		if g.Lat != "" {
			placed++
		}
	}
	p.Nearest = placed > 1
}

func (p *RecordPage) addPlaces(v club.RecordView, f RecordFill) {
	peg, where := p.Sounding.Value("peg"), p.Incident.Value("where")
	if p.Closure != nil && p.Closure.Open {
		where = p.Closure.Value("where")
	}
	var runs []string
	for _, venue := range v.Venues {
		g := PegGroup{Name: venue.Venue.Name, Gauge: venue.Gauge}
		whole := Choice{"venue:" + venue.Venue.Slug, "All of " + venue.Venue.Name, "venue:"+venue.Venue.Slug == where}
		places := PegGroup{Name: venue.Venue.Name, Pegs: []PegChoice{{Choice: whole}}}
		for _, x := range venue.Pegs {
			label, joined := venue.Venue.Name+" "+x.Label, ""
			for i, r := range x.Runs {
				if i > 0 {
					joined += "|"
				}
				joined += r
				if !slices.Contains(runs, r) {
					runs = append(runs, r)
				}
			}
			g.Pegs = append(g.Pegs, PegChoice{Choice{x.Code, label, x.Code == peg}, joined})
			places.Pegs = append(places.Pegs, PegChoice{Choice: Choice{x.Code, label, x.Code == where}})
		}
		p.Venues, p.Places = append(p.Venues, g), append(p.Places, places)
	}
	p.Runs = wordChoices(runs, p.Sounding.Value("run"), "Choose")
}

// dialled is what to ring of a line such as "the hotline, 0800 80 70 60".
func dialled(line string) string {
	var out []rune
	for _, r := range line {
		if r >= '0' && r <= '9' || r == '+' && len(out) == 0 {
			out = append(out, r)
		}
	}
	if len(out) < 3 || len(out) > 16 {
		return ""
	}
	return string(out)
}
