package paper

import (
	"bytes"
	"fmt"
	"io"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
	"levelpeg/web"
)

// now is a day in the open season.
var now = time.Date(2025, time.October, 18, 10, 7, 0, 0, time.UTC)

const origin = "https://waters.example"

var book = sync.OnceValue(func() club.Book { return demo.Make(now) })

// venue is one of the invented venues as its pages are made from, changed by with.
func venue(t *testing.T, i int, with func(*club.VenuePegs)) club.VenuePegs {
	t.Helper()
	b := book()
	v := b.Venues[i]
	out := club.VenuePegs{Club: b.Club, Venue: v.Venue}
	for _, g := range b.Gauges {
		if g.Slug != v.GaugeSlug {
			continue
		}
		out.Standing = club.Standing{Gauge: g.Gauge, Zero: g.Zeros[len(g.Zeros)-1]}
		last := g.Levels[len(g.Levels)-1]
		out.Standing.Latest = &last
	}
	for k, p := range v.Pegs {
		view := club.PegView{Club: b.Club, Venue: v.Venue, Standing: out.Standing, Peg: p.Peg, Runs: p.Runs, Rules: v.Rules}
		for _, h := range v.Hazards {
			if h.PegLabel == "" || h.PegLabel == p.Label {
				view.Hazards = append(view.Hazards, h)
			}
		}
		labels := make([]string, len(v.Pegs))
		for j := range v.Pegs {
			labels[j] = v.Pegs[j].Label
		}
		for _, c := range v.Closures {
			if club.ClosureCovers(c, labels, k) {
				view.Closures = append(view.Closures, c)
			}
		}
		out.Pegs = append(out.Pegs, view)
	}
	if with != nil {
		with(&out)
	}
	for k := range out.Pegs {
		out.Pegs[k].Venue, out.Pegs[k].Club = out.Venue, out.Club
	}
	return out
}

// named makes everything in a venue that has a name have a long one, with signs that a
// font may lack.
func named(v *club.VenuePegs) {
	v.Venue.Name = "Llyn-y-Cefn and Öbere Wïesenmühle Társaság’s Upper, Middle & Lower Wáter — the ½-mile ×3 stretch (19°) 🐟 العربية"
	v.Venue.About = longWords + " " + v.Venue.About
	v.Club.Name = "The Worshipful and Ancient Society of Anglers of Much-Longer-Than-Anybody-Would-Think-in-the-Vale"
	for i := range v.Pegs {
		v.Pegs[i].Peg.Label = fmt.Sprintf("%dABCDEF", i+1)
		v.Pegs[i].Peg.Access = longWords
		runs := append([]club.RunBook(nil), v.Pegs[i].Runs...)
		for k := range runs {
			runs[k].Name = fmt.Sprintf("beyond the seventh willow %d", k)
			runs[k].Bottom = "Kiesgrubenuntergrundbeschaffenheit"
		}
		v.Pegs[i].Runs = runs
		v.Pegs[i].Hazards = append(v.Pegs[i].Hazards, club.Hazard{Kind: club.Wading, PegLabel: v.Pegs[i].Peg.Label, Text: longWords})
	}
}

const longWords = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaftsversammlungsprotokollführerinnenstellvertretung and go on, as far as the third gate, which is shut, and not a step farther."

// sixty makes a venue of sixty-four pegs.
func sixty(v *club.VenuePegs) {
	all := v.Pegs
	for len(v.Pegs) < 64 {
		v.Pegs = append(v.Pegs, all[len(v.Pegs)%len(all)])
	}
	v.Pegs = v.Pegs[:64]
	for i := range v.Pegs {
		v.Pegs[i].Peg.Label, v.Pegs[i].Peg.Code = fmt.Sprint(i+1), fmt.Sprintf("Z%03dX", i+1)
	}
}

func cardOf(t *testing.T, v club.PegView, ask club.Ask) web.PegCard {
	t.Helper()
	ask.Now = now
	c, err := club.NewCard(v, ask, rigs)
	if err != nil {
		t.Fatal(err)
	}
	return web.NewPegCard(c, origin)
}

var rigs = club.NewRigMemory(256)

// printed is what a press prints, the same twice.
func printed(t *testing.T, on func(io.Writer) error) []byte {
	t.Helper()
	var a, b bytes.Buffer
	for _, out := range []*bytes.Buffer{&a, &b} {
		if err := on(out); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same prints other bytes")
	}
	return a.Bytes()
}
