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
// down with its grams, then its line, hook and rod.
func (d *doc) rigCard(r *web.RigCard, s rigSizes, of string) {
	d.para([]span{{of + r.Name, true}}, s.name, 0.4)
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
	d.string(r, s)
	d.para([]span{{r.Sum + ".", true}, {words: r.Against}}, s.body, 0.8)
	for _, t := range r.Tackle {
		d.para(headed(t.Term+":", t.Text), s.body*0.92, 0.3)
	}
	for _, x := range r.Findings {
		d.para(plain(x), s.body*0.92, 0.3)
	}
}

// string prints the drawing and the list of weights side by side. They stay together.
func (d *doc) string(r *web.RigCard, s rigSizes) {
	rows := stringRows(r)
	const atW, gramsW, gap = 0.26, 0.17, 1.5
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
	ends := top + p.H*by
	for i, c := range cells {
		if d.y+highs[i] > d.bottom() {
			d.page()
			ends = d.y
		}
		d.write(c[0], x, d.y, s.body)
		d.write(c[1], x+w*atW, d.y, s.body)
		d.write(c[2], x+w*(1-gramsW), d.y, s.body)
		d.y += highs[i]
		d.pdf.SetLineWidth(0.1)
		d.pdf.SetDrawColor(0, 0, 0)
		d.pdf.Line(x, d.y-0.5, d.right(), d.y-0.5)
	}
	d.y = math.Max(d.y, ends) + 0.8
}

// stringRow is a row of the list: where, what, and what it weighs.
type stringRow struct {
	at, what, grams string
	bold            bool
}

// stringRows are a rig from its float to its hook.
func stringRows(r *web.RigCard) []stringRow {
	rows := []stringRow{{"from hook", r.Name + ", " + r.Set, "", true}}
	for _, b := range r.Beads {
		rows = append(rows, stringRow{b.At, b.What, b.Grams, !b.Loop})
	}
	return append(rows, stringRow{"0 cm", r.Hook, "", false})
}
