package paper

import (
	"strings"

	"levelpeg/web"
)

// venueSheet is a whole venue.
type venueSheet struct{ web.VenueSheet }

// Columns of the table of pegs, in millimetres from the left edge.
var venueColumns = []struct {
	head string
	w    float64
}{{"Peg", 21}, {"Run", 25}, {"Out", 14}, {"Depth", 40}, {"Feet", 18}, {"Pace", 38}, {"Bottom", 30}}

const (
	sheetBody  = 8.5
	sheetSmall = 7.5
)

func (v venueSheet) draw(d *doc) {
	d.head = func() { d.again(v.Name) }
	d.page()
	v.title(d)
	d.first(v.Stops.Head, v.Stops.Why, 9.5)
	for _, s := range v.Shut {
		d.care(headed(s.Head, s.Why), 9)
	}
	for _, c := range v.Cares {
		d.care(headed(c.Head+".", c.Text), 9)
	}
	for _, r := range v.Rules {
		d.care(plain(r), sheetBody)
	}
	d.y += 1
	for _, words := range []string{v.About, v.Access} {
		if words != "" {
			d.para(plain(words), sheetBody, 0.8)
		}
	}
	v.pegs(d)
	d.y += 1.5
	d.para(plain("A range holds four times in five. A dot marks the run that is best known and most likely to be fished. Plumb before you trust it. Read the board: these figures are for the level above. Look up, and stay 30 m from power lines."), sheetSmall, 0)
}

// again stands at the top of pages after the first.
func (d *doc) again(name string) {
	d.words(d.left(), d.y+baseOf(11), 11, true, d.clipped(name, 11, true, d.wide()))
	d.y += lineOf(11) + 1
	d.rule(0.4)
	d.y += 2
}

func (v venueSheet) title(d *doc) {
	const side = 24.0
	top, w := d.y, d.wide()-side-3
	d.qr(v.Address, d.right()-side+2, top-2, side)
	d.paraIn([]span{{v.Name, true}}, d.left(), w, d.fits(v.Name, true, w, 22, 14), 0.5)
	d.paraIn(plain(v.River), d.left(), w, 10, 0.5)
	d.paraIn([]span{{v.Level, true}}, d.left(), w, 10, 0)
	d.y = max(d.y, top+side-2) + 1.5
}

func (v venueSheet) heads(d *doc) {
	x := d.left()
	for _, c := range venueColumns {
		d.words(x, d.y+baseOf(sheetBody), sheetBody, true, c.head)
		x += c.w
	}
	d.y += lineOf(sheetBody) + 0.3
	d.rule(0.4)
	d.y += 0.8
}

// pegs is the table. A peg stays whole on a page where a page can hold it, and the heads
// stand on every one.
func (v venueSheet) pegs(d *doc) {
	d.need(30)
	v.heads(d)
	d.head = func() {
		d.again(v.Name)
		v.heads(d)
	}
	for i := range v.Pegs {
		v.peg(d, &v.Pegs[i])
	}
	d.head = func() { d.again(v.Name) }
}

func (v venueSheet) peg(d *doc, p *web.SheetPeg) {
	name := d.pegName(p)
	rows, high := make([][]([]line), len(p.Runs)), 0.0
	for i := range p.Runs {
		rows[i] = d.runCells(&p.Runs[i])
		high += rowHigh(rows[i])
	}
	left := float64(len(name)) * lineOf(sheetSmall)
	d.need(max(high, left) + v.caresHigh(d, p) + 1)
	top := d.y
	d.words(d.left(), top+baseOf(11), d.fits(p.Label, true, venueColumns[0].w-2, 11, 5), true, p.Label)
	d.write(name, d.left(), top+lineOf(11), sheetSmall)
	for i, cells := range rows {
		d.need(rowHigh(cells))
		d.runRow(cells, p.Runs[i].Usual)
	}
	if len(p.Runs) == 0 {
		d.words(d.left()+venueColumns[0].w, d.y+baseOf(sheetBody), sheetBody, false, "no runs yet")
	}
	d.y = max(d.y, top+left+lineOf(11))
	for _, c := range p.Cares {
		d.paraIn(plain(c), d.left()+venueColumns[0].w, d.wide()-venueColumns[0].w, sheetSmall, 0)
	}
	d.y += 0.7
	d.rule(0.15)
	d.y += 0.7
}

// pegName is what stands under a peg's number.
func (d *doc) pegName(p *web.SheetPeg) []line {
	spans := []span{{words: strings.TrimSuffix(p.Bank, " bank") + " " + p.Code}}
	if p.Mark != "" {
		spans = append(spans, span{p.Mark, true})
	}
	return d.lines(spans, sheetSmall, venueColumns[0].w-2)
}

func (v venueSheet) caresHigh(d *doc, p *web.SheetPeg) float64 {
	h := 0.0
	for _, c := range p.Cares {
		h += d.high(plain(c), sheetSmall, d.wide()-venueColumns[0].w)
	}
	return h
}

func (d *doc) runCells(r *web.SheetRun) [][]line {
	texts := []span{{r.Name, r.Usual}, {words: r.Out}, {r.Depth, true}, {words: r.Feet}, {words: r.Pace}, {words: r.Bottom}}
	out := make([][]line, len(texts))
	for i, t := range texts {
		out[i] = d.lines([]span{t}, sheetBody, venueColumns[i+1].w-1.5)
	}
	return out
}

func rowHigh(cells [][]line) float64 {
	n := 1
	for _, c := range cells {
		n = max(n, len(c))
	}
	return float64(n) * lineOf(sheetBody)
}

func (d *doc) runRow(cells [][]line, usual bool) {
	x := d.left() + venueColumns[0].w
	if usual {
		d.pdf.SetFillColor(0, 0, 0)
		d.pdf.Circle(x-1.6, d.y+lineOf(sheetBody)*0.5, 0.6, "F")
	}
	for i, c := range cells {
		d.write(c, x, d.y, sheetBody)
		x += venueColumns[i+1].w
	}
	d.y += rowHigh(cells)
}
