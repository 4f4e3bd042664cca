package web

import (
	"slices"
	"time"

	"levelpeg/club"
	"levelpeg/club/guide"
)

// Booklet is a guide on paper.
type Booklet struct {
	Print
	guide.Guide
	Address string // of the same on a phone
	Stops   []string
	Cares   []string // what the rig itself wants care with
	Knots   []guide.Knot
	Terms   []guide.Term // the trade words in it
	Welfare string       // the club's welfare contact, for a junior who prints it
}

// NewBooklet shapes a guide for paper, with the knots it ties and the words it uses.
func NewBooklet(c club.Club, m club.Member, g guide.Guide, origin string, now time.Time, loc *time.Location) Booklet {
	b := Booklet{Guide: g, Address: origin + guideHref(g.Code, ""), Stops: lawStops(g), Welfare: m.Welfare}
	// A guide rests on its code alone, which knows of no day.
	b.Print = newPrint(c, "Set up a "+g.Name, time.Time{}, now, loc)
	b.Known = "from the guide’s own code"
	for i := range g.Steps {
		for _, key := range g.Steps[i].Knots {
			if k, ok := guide.KnotOf(key); ok && !slices.ContainsFunc(b.Knots, func(o guide.Knot) bool { return o.Key == key }) {
				b.Knots = append(b.Knots, k)
			}
		}
	}
	for _, t := range guide.Terms() {
		if slices.ContainsFunc(g.Steps, func(s guide.Step) bool { return slices.Contains(s.Words, t.Key) }) {
			b.Terms = append(b.Terms, t)
		}
	}
	return b
}
