package paper

import (
	"math"

	"levelpeg/web"
	"levelpeg/web/draw"
)

// card is a peg's card: on one side the water, on the other the rig.
type card struct{ web.PegCard }

func (c card) draw(d *doc) {
	d.head = func() { c.again(d) }
	d.page()
	c.title(d)
	c.warnings(d)
	c.section(d)
	c.table(d)
	d.page()
	c.rig(d)
	c.others(d)
	c.always(d)
}

func (c card) again(d *doc) {
	d.words(d.left(), d.y+baseOf(10), 10, true, d.clipped("Peg "+c.Label+", "+c.Venue, 10, true, d.wide()))
	d.y += lineOf(10) + 0.6
	d.rule(0.3)
	d.y += 1.4
}

// title names the peg, with its code in the corner.
func (c card) title(d *doc) {
	const side, gap = 25.0, 2.0
	top, w := d.y, d.wide()-side-gap
	quiet := side * 4 / 40 // of the code's own white edge
	d.qr(c.Address, d.right()-side+quiet, top-quiet, side)
	d.centred(d.right()-side/2+quiet, top+side-quiet+1.2, 6.5, true, d.clipped(c.Code, 6.5, true, side))
	peg := "Peg " + c.Label
	size := d.fits(peg, true, w, 26, 10)
	d.words(d.left(), d.y+baseOf(size), size, true, d.clipped(peg, size, true, w))
	d.y += lineOf(size)
	d.paraIn([]span{{c.Venue, true}}, d.left(), w, 9*d.by, 0.6)
	d.paraIn(plain(c.Where), d.left(), w, 6.5*d.by, 0.4)
	d.paraIn([]span{{c.Level, true}}, d.left(), w, 6.5*d.by, 0)
	d.y = math.Max(d.y, top+side+1.6) + 0.8
}

func (c card) warnings(d *doc) {
	size := 7 * d.by
	d.first(c.Stops.Head, c.Stops.Why, size)
	for _, x := range c.Cares {
		d.care(headed(x.Head+".", x.Text), size)
	}
	for _, x := range c.Rules {
		d.care(plain(x), size)
	}
	for _, x := range c.Doubts {
		d.care(plain(x), size)
	}
}

// A section's height on a card, and the room for the names of its levels beside it.
const (
	sectionLeast, sectionMost = 50.0, 60.0
	sectionSmall              = 34.0 // where words are small already
	namesW                    = 22.0
)

// section draws the water with the card's levels across it, as large as what else stands
// on this side leaves it.
func (c card) section(d *doc) {
	p := c.Section.Plan()
	room := d.bottom() - d.y - c.tableHigh(d) - 2
	least := sectionLeast
	if d.by <= smallWords {
		least = sectionSmall
	}
	high := math.Min(math.Max(room, least), sectionMost)
	by := math.Min(high/p.H, (d.wide()-namesW)/p.W)
	d.need(by * p.H)
	x := d.left()
	c.levels(d, &p, x, d.y, by)
	d.drawing(p, x, d.y, by)
	d.y += by*p.H + 1
}

// levels draws the other levels' lines, and names all of them beside the section, apart
// from one another where the lines are close.
func (c card) levels(d *doc, p *draw.Plan, x, y, by float64) {
	right, size := x+p.Right*by, 6.5*d.by
	last := math.Inf(1)
	for i, l := range c.Levels { // from the lowest up
		at := y + p.Y(l.LevelM)*by
		label := math.Min(at, last-lineOf(size))
		last = label
		d.pdf.SetDrawColor(0, 0, 0)
		d.pdf.SetLineWidth(0.18)
		if i != c.Here {
			d.pdf.SetDashPattern([]float64{1.4, 0.9}, 0)
			d.pdf.Line(x+p.Left*by, at, right, at)
			d.pdf.SetDashPattern(nil, 0)
		}
		d.pdf.Line(right, at, right+3, label)
		words := d.clipped(l.Word+" "+l.Level, size, i == c.Here, d.right()-right-4)
		d.words(right+3.6, label+size*mmPerPoint*0.35, size, i == c.Here, words)
	}
}

// The table of runs: the run's name, and a column a level.
const nameW = 19.0

func (c card) sizes(d *doc) (head, cell float64) { return 7 * d.by, 6.2 * d.by }

func (c card) tableHigh(d *doc) float64 {
	if len(c.Levels) == 0 || len(c.Runs) == 0 {
		return 6
	}
	head, cell := c.sizes(d)
	h := lineOf(head) + 1 + c.stopHigh(d)
	for i := range c.Runs {
		h += c.rowHigh(d, i, cell)
	}
	return h + lineOf(cell) + 1
}

func (c card) columnW(d *doc) float64 { return (d.wide() - nameW) / float64(len(c.Levels)) }

// table gives every run at every level.
func (c card) table(d *doc) {
	if len(c.Levels) == 0 || len(c.Runs) == 0 {
		d.para(plain("No level and no runs to tell of yet."), 7*d.by, 1)
		return
	}
	head, cell := c.sizes(d)
	d.need(lineOf(head) + 1)
	w := c.columnW(d)
	for i, l := range c.Levels {
		words := l.Word + " " + l.Level
		size := d.fits(words, true, w-1, head, 4.5)
		d.words(d.left()+nameW+float64(i)*w, d.y+baseOf(head), size, true, d.clipped(words, size, true, w-1))
	}
	d.y += lineOf(head)
	d.rule(0.3)
	d.y += 0.5
	for i := range c.Runs {
		d.need(c.rowHigh(d, i, cell))
		c.row(d, i, cell)
	}
	c.stops(d, cell)
	d.para(plain("A range holds four times in five. Low, middle and high are of the board’s ordinary range."), 5.6*d.by, 0)
}

func (c card) rowHigh(d *doc, i int, size float64) float64 {
	r := c.Runs[i]
	n := len(d.lines([]span{{r.Name, true}}, size, nameW-1)) + len(d.lines(plain(r.Out), size*0.9, nameW-1))
	for _, cell := range r.Cells {
		n = max(n, len(d.lines([]span{{cell.Depth, true}}, size, c.columnW(d)-1))+len(d.lines(plain(cell.Feet), size, c.columnW(d)-1))+len(d.lines(plain(cell.Pace), size, c.columnW(d)-1)))
	}
	return float64(n)*lineOf(size) + 0.9
}

func (c card) row(d *doc, i int, size float64) {
	r, top, high, w := c.Runs[i], d.y, c.rowHigh(d, i, size), c.columnW(d)
	if r.Chosen {
		d.pdf.SetFillColor(0, 0, 0)
		d.pdf.Rect(d.left()-1.8, top+0.2, 1, high-0.9, "F")
	}
	d.stack(d.left(), top, nameW-1, size, span{r.Name, true}, span{words: r.Out})
	for k, cell := range r.Cells {
		d.stack(d.left()+nameW+float64(k)*w, top, w-1, size, span{cell.Depth, true}, span{words: cell.Feet}, span{words: cell.Pace})
	}
	d.y = top + high
	d.pdf.SetLineWidth(0.1)
	d.pdf.Line(d.left(), d.y-0.5, d.right(), d.y-0.5)
}

// stack writes each of the spans on lines of its own, one below another.
func (d *doc) stack(x, y, w, size float64, spans ...span) {
	for _, s := range spans {
		ls := d.lines([]span{s}, size, w)
		d.write(ls, x, y, size)
		y += float64(len(ls)) * lineOf(size)
	}
}

func (c card) stopHigh(d *doc) float64 {
	h := 0.0
	for _, l := range c.Levels {
		if l.Stop != "" && c.Stops.Head == "" {
			h += d.high(headed("No fishing at "+l.Level+".", l.Stop), 6.2*d.by, d.wide()-2.2) + 0.8
		}
	}
	return h
}

// stops says at which of the levels nobody fishes, where that is not said of all.
func (c card) stops(d *doc, size float64) {
	for _, l := range c.Levels {
		if l.Stop != "" && c.Stops.Head == "" {
			d.care(headed("No fishing at "+l.Level+".", l.Stop), size)
		}
	}
}

// rig is the other side: how to tie it.
func (c card) rig(d *doc) {
	if c.Rig == nil {
		if c.Stops.Head != "" {
			d.first(c.Stops.Head, c.Stops.Why, 8*d.by)
			d.para(plain("So no rig is printed."), 8*d.by, 1)
		}
		if c.NoRig != "" {
			d.para([]span{{c.NoRig, true}}, 8*d.by, 1)
		}
		return
	}
	d.rigCard(c.Rig, rigSizes{name: 11 * d.by, body: 7 * d.by, drawing: 70}, c.Run+": "+c.Rig.Name, c.Hang)
	d.y += 0.6
}

// others are the rigs at the other levels.
func (c card) others(d *doc) {
	if c.Stops.Head != "" || c.Rig == nil && c.NoRig == "" {
		return
	}
	for i, l := range c.Levels {
		if i != c.Here && l.Rig != "" {
			d.para(headed(l.Word+" "+l.Level+".", l.Rig), 6.4*d.by, 0.5)
		}
	}
	d.y += 0.4
}

// always is what holds at any level and on any day.
func (c card) always(d *doc) {
	size := 6.2 * d.by
	d.need(lineOf(size))
	d.rule(0.2)
	d.y += 0.8
	d.para(plain("Read the board and plumb before you trust this card. Look up: stay 30 m from power lines. "+c.Lead+" Closed since? The code on the other side says: "+c.Address), size, 0)
}
