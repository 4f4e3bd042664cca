package paper

import (
	"math"

	"levelpeg/web"
)

// rigSizes are how large a rig is printed.
type rigSizes struct {
	name, body float64 // points
	drawing    float64 // millimetres, the most
}

// rigCard prints a rig: its drawing to scale, and beside it every weight from the float
// down with its grams, then its line, hook and rod, and more.
func (d *doc) rigCard(r *web.RigCard, s rigSizes, of string, more ...string) {
	if of != "" {
		d.para([]span{{of, true}}, s.name, 0.4)
	}
	d.para(plain(r.For), s.body*0.9, 0.6)
	d.first("Do not use it.", r.Stops, s.body)
	for _, x := range r.Cares {
		d.care(headed("Take care.", x), s.body)
	}
	if len(r.Wants) > 0 {
		for _, x := range r.Wants {
			d.para(plain(x), s.body*0.9, 0.3)
		}
	}
	beside := d.string(r, s)
	all := [][]span{{{r.Sum + ".", true}, {words: r.Against}}}
	for _, t := range r.Tackle {
		all = append(all, headed(t.Term+":", t.Text))
	}
	for _, x := range append(r.Findings, more...) {
		all = append(all, plain(x))
	}
	for _, x := range all {
		beside.next(d)
		d.para(x, s.body, 0.5)
	}
	beside.end(d)
}

// beside is the room beside a drawing: how far in it begins, and where the drawing ends.
type beside struct {
	page     int
	in, ends float64
}

// next puts what comes beside the drawing, or below where it has ended.
func (b beside) next(d *doc) {
	d.in = 0
	if d.pdf.PageNo() == b.page && d.y < b.ends {
		d.in = b.in
	}
}

// end goes below the drawing.
func (b beside) end(d *doc) {
	d.in = 0
	if d.pdf.PageNo() == b.page {
		d.y = math.Max(d.y, b.ends)
	}
}

// string prints the drawing and beside it the list of weights, below which there may be
// room left.
func (d *doc) string(r *web.RigCard, s rigSizes) beside {
	rows := stringRows(r)
	const atW, gramsW, gap = 0.27, 0.13, 1.5
	p := r.Drawing.Plan(0)
	drawnW := s.drawing * 0.27
	by := math.Min(s.drawing/p.H, drawnW/p.W)
	x := d.left() + p.W*by + gap
	w := d.right() - x
	high := 0.0
	cells := make([][3][]line, len(rows))
	highs := make([]float64, len(rows))
	for i, row := range rows {
		cells[i] = [3][]line{d.lines(plain(row.at), s.body, w*atW-gap), d.lines([]span{{row.what, row.bold}}, s.body, w*(1-atW-gramsW)-gap), d.lines([]span{{row.grams, true}}, s.body, w*gramsW)}
		highs[i] = float64(max(1, len(cells[i][0]), len(cells[i][1]), len(cells[i][2])))*lineOf(s.body) + 0.9
		high += highs[i]
	}
	if d.y+math.Max(high, p.H*by) > d.bottom() && d.y > d.size.h/2 {
		d.page()
	}
	top := d.y
	d.drawing(p, d.left(), top, by)
	b := beside{d.pdf.PageNo(), p.W*by + gap, top + p.H*by + 0.8}
	for i, c := range cells {
		if d.y+highs[i] > d.bottom() {
			d.page()
		}
		d.write(c[0], x, d.y, s.body)
		d.write(c[1], x+w*atW, d.y, s.body)
		d.write(c[2], x+w*(1-gramsW), d.y, s.body)
		d.y += highs[i]
		d.pdf.SetLineWidth(0.1)
		d.pdf.SetDrawColor(0, 0, 0)
		d.pdf.Line(x, d.y-0.5, d.right(), d.y-0.5)
	}
	d.y += 0.8
	return b
}

// stringRow is a row of the list: where, what, and what it weighs.
type stringRow struct {
	at, what, grams string
	bold            bool
}

// stringRows are a rig from its float to its hook.
func stringRows(r *web.RigCard) []stringRow {
	rows := []stringRow{{"from the hook", "from the float down", "weight", false}, {"", r.Name + ", " + r.Set + r.SetFeet, "", true}}
	for _, b := range r.Beads {
		rows = append(rows, stringRow{b.At, b.What, b.Grams, !b.Loop})
	}
	return append(rows, stringRow{"0 cm", r.Hook, "", false})
}
