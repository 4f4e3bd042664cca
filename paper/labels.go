package paper

import (
	"math"

	"levelpeg/web"
)

// labels are for the posts of pegs.
type labels struct{ web.Labels }

// grid is how labels lie on a page: so many across and down. Every one is a cell of the
// page within its margin.
var grids = map[int][2]int{2: {1, 2}, 4: {2, 2}, 8: {2, 4}, 12: {3, 4}, 21: {3, 7}, 24: {3, 8}}

func (l labels) draw(d *doc) {
	grid, ok := grids[l.Per]
	if !ok {
		grid = grids[8]
	}
	per := grid[0] * grid[1]
	w, h := d.wide()/float64(grid[0]), (d.bottom()-d.size.margin)/float64(grid[1])
	if len(l.Pegs) == 0 {
		d.page()
		d.para(plain("No peg here has a label yet."), 10, 0)
	}
	for i, peg := range l.Pegs {
		at := i % per
		if at == 0 {
			d.page()
			l.where(d)
			d.cuts(grid[0], grid[1], w, h)
		}
		l.one(d, peg, d.left()+float64(at%grid[0])*w, d.size.margin+float64(at/grid[0])*h, w, h)
	}
}

// where says, beside the footer, where the codes lead.
func (l labels) where(d *doc) {
	d.words(d.left(), d.size.h-d.size.margin+lineOf(7), 7, false,
		d.clipped("The codes lead to "+l.Origin+". See that a phone gets there before you print many.", 7, false, d.wide()))
}

// cuts draws where to cut: thin dashes between the labels and around them.
func (d *doc) cuts(across, down int, w, h float64) {
	d.pdf.SetDrawColor(0, 0, 0)
	d.pdf.SetLineWidth(0.1)
	d.pdf.SetDashPattern([]float64{1, 2}, 0)
	for i := 0; i <= across; i++ {
		x := d.left() + float64(i)*w
		d.pdf.Line(x, d.size.margin, x, d.size.margin+float64(down)*h)
	}
	for i := 0; i <= down; i++ {
		y := d.size.margin + float64(i)*h
		d.pdf.Line(d.left(), y, d.right(), y)
	}
	d.pdf.SetDashPattern(nil, 0)
}

// one draws a label: the peg's number big, its code to scan beside or below it, and the
// venue and the code in words at the foot.
func (l labels) one(d *doc, p web.Label, x, y, w, h float64) {
	const pad = 3.0
	foot := math.Min(9, math.Max(6, h/12)) // points
	words := 2*lineOf(foot) + 1
	if w > h*1.1 {
		side := math.Min(h-words-1.5*pad, w*0.55)
		d.qr(p.Address, x+w-side-pad/2, y+pad/2, side)
		d.number(p.Peg, x+pad, y+pad, w-side-2*pad, h-words-2*pad)
	} else {
		side := math.Min(w-pad, (h-words)*0.66)
		d.qr(p.Address, x+(w-side)/2, y+h-words-pad-side, side)
		d.number(p.Peg, x+pad, y+pad, w-2*pad, h-words-side-2*pad)
	}
	at := y + h - words - pad/2
	d.pdf.SetDrawColor(0, 0, 0)
	d.words(x+pad, at+baseOf(foot), foot, true, d.clipped(l.Venue, foot, true, w-2*pad))
	d.words(x+pad, at+lineOf(foot)+baseOf(foot), foot, false, d.clipped("Code "+p.Code+"  "+l.Club, foot, false, w-2*pad))
}

// number writes a peg's number as large as its room lets it.
func (d *doc) number(peg string, x, y, w, h float64) {
	const digitHigh = 0.72 // of the size, of the embedded font
	most := h / (digitHigh * mmPerPoint)
	size := d.fits(peg, true, w, math.Min(most, 200), 6)
	d.centred(x+w/2, y+h/2+size*mmPerPoint*digitHigh/2, size, true, d.clipped(peg, size, true, w))
}
