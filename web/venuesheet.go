package web

import (
	"slices"
	"strings"

	"levelpeg/club"
)

// VenueSheet is all of a venue on paper.
type VenueSheet struct {
	Print
	Name, River, About, Access string
	Level                      string // the level the figures are at, a sentence
	Address                    string // of the venue's page
	Stops                      StopBox
	Shut                       []ShutLine // pegs nobody may fish, those with one reason together
	Cares                      []club.Care
	Rules                      []string
	Pegs                       []SheetPeg
}

// SheetPeg is a peg of it.
type SheetPeg struct {
	Label, Bank, Code string
	Mark              string   // "No fishing"; empty where it may be fished
	Cares             []string // what is its own
	Runs              []SheetRun
}

// SheetRun is a run of a peg.
type SheetRun struct {
	Name, Out, Depth, Feet, Pace, Bottom string
	Usual                                bool // the run a rig would be for
}

// NewVenueSheet shapes a venue for paper.
func NewVenueSheet(v *club.VenueSheet, origin string) VenueSheet {
	p := VenueSheet{
		Print: newPrint(v.Club, v.Venue.Name, v.Known(), v.Now, v.Loc),
		Name:  v.Venue.Name, River: v.Venue.River, About: v.Venue.About, Access: v.Venue.Access,
		Level: printedLevel(v.Level, v.Standing, v.Loc), Address: origin + "/venues/" + v.Venue.Slug,
		Stops: stopBox(v.Stops), Cares: v.Cares, Rules: rulesOf(v),
	}
	t := &club.Tonight{VenuePegs: v.VenuePegs, Stops: v.Stops}
	for _, s := range v.Sheets {
		if len(s.Stops) > 0 {
			t.Shut = append(t.Shut, club.PegWord{Label: s.Peg.Label, Say: s.Stops[0].Text})
		}
		p.Pegs = append(p.Pegs, sheetPeg(v, s))
	}
	p.Shut = shutLines(t)
	for i := range p.Shut {
		p.Shut[i].Head = strings.TrimSuffix(p.Shut[i].Head, " then.") + "."
	}
	return p
}

// rulesOf are the rules and closures to come of all pegs, each once.
func rulesOf(v *club.VenueSheet) []string {
	var out []string
	for i := range v.Pegs {
		peg := &v.Pegs[i]
		for _, r := range standingRules(v.Venue, peg.Rules, peg.Closures, v.Standing.Zero.OffsetM, v.Now, v.Loc) {
			if !slices.Contains(out, r) {
				out = append(out, r)
			}
		}
	}
	return out
}

func sheetPeg(v *club.VenueSheet, s *club.Sheet) SheetPeg {
	p := SheetPeg{Label: s.Peg.Label, Bank: string(s.Peg.Bank) + " bank", Code: s.Peg.Code}
	if len(s.Stops) > 0 {
		p.Mark = "No fishing"
	}
	for _, c := range s.Cares {
		if !slices.Contains(v.Cares, c) {
			p.Cares = append(p.Cares, c.Head+". "+c.Text)
		}
	}
	for i := range s.Runs {
		p.Runs = append(p.Runs, sheetRun(&s.Runs[i], s.Level.Known, i == s.Chosen))
	}
	return p
}

func sheetRun(r *club.RunSheet, known, usual bool) SheetRun {
	l := SheetRun{Name: capital(r.Name), Out: fixed(r.DistanceM, 1) + " m", Bottom: bottomWords(r), Usual: usual}
	if !known {
		l.Depth = "no level"
		return l
	}
	c := cardCell(r)
	l.Depth, l.Feet = c.Depth, c.Feet
	if l.Feet != "" {
		l.Pace = c.Pace
	}
	return l
}

// bottomWords is what lies under a run: "gravel, snags".
func bottomWords(r *club.RunSheet) string {
	var words []string
	if r.Bottom != "" {
		words = append(words, r.Bottom)
	}
	if r.SteepSide {
		words = append(words, "steep")
	}
	if r.Snaggy {
		words = append(words, "snags")
	}
	return capital(strings.Join(words, ", "))
}
