package draw

import (
	"math"
	"slices"
	"strconv"

	"github.com/a-h/templ"
)

// Section is a peg's stave and section: heights in metres on the board's zero in
// force, distances in metres from the peg's mark.
type Section struct {
	Title, Desc string
	Level       *float64
	MarkM       float64 // height of the peg's mark
	LowM, HighM float64 // the board's ordinary range
	Runs        []RunDepth
	Float       *Float // the rig, to scale; nil where none is offered
	Asks        string // what moving along the stave asks for; empty: "level"
}

// RunDepth is the bed under one run.
type RunDepth struct {
	DistanceM            float64
	BedM, BedLowM, BedHM float64
	Depth                string // "1.86", at the section's level; empty where dry or unknown
	Known                bool   // it was plumbed
	Chosen               bool
}

// The drawing's own units. The stave is wide enough for a finger.
const (
	width, height  = 360.0, 300.0
	staveW         = 56.0
	left           = 68.0 // where the ground begins
	right          = width - 4
	top, bottom    = 14.0, height - 12
	minHeightM     = 2.0
	pastLastRunM   = 3.0
	metresAcrossLo = 6.0
)

// scale turns metres into the drawing's units.
type scale struct {
	topM, botM, farM float64
}

func (s scale) y(m float64) float64 { return top + (s.topM-m)/(s.topM-s.botM)*(bottom-top) }
func (s scale) x(m float64) float64 { return left + m/s.farM*(right-left) }

// perM is a metre of height in the drawing's units.
func (s scale) perM() float64 { return (bottom - top) / (s.topM - s.botM) }

func newScale(d *Section) scale {
	lo, hi, far := math.Min(d.LowM, d.MarkM-1), math.Max(d.HighM, d.MarkM), metresAcrossLo
	if d.Level != nil {
		lo, hi = math.Min(lo, *d.Level), math.Max(hi, *d.Level)
	}
	for _, r := range d.Runs {
		far = math.Max(far, r.DistanceM)
		if r.Known {
			lo = math.Min(lo, math.Max(r.BedLowM, r.BedM-0.6))
		}
	}
	lo = math.Floor((lo-0.1)*2) / 2
	if d.Level != nil {
		// Room above the water for two rows of figures.
		hi = math.Max(hi, (*d.Level-lo*figuresShare)/(1-figuresShare))
	}
	hi = math.Ceil((hi+0.1)*2) / 2
	s := scale{topM: math.Max(hi, lo+minHeightM), botM: lo, farM: far + pastLastRunM}
	if d.Float != nil && d.Level != nil {
		s.farM = math.Max(s.farM, d.Float.farM(s))
	}
	return s
}

// Draw draws the stave with the water's mark and the section beside it, on one
// scale, so that the water runs straight from the board's mark across the peg.
func (d Section) Draw() templ.Component {
	s := newScale(&d)
	c := make(canvas, 0, 4096)
	c.s(`<svg class="section" viewBox="0 0 `, num(width), " ", num(height), `" role="img" aria-labelledby="sect-t sect-d"`,
		` data-top="`, num(s.topM), `" data-bottom="`, num(s.botM), `" data-y0="`, num(top), `" data-y1="`, num(bottom), `"`)
	if d.Asks != "" {
		c.s(` data-asks="`, d.Asks, `"`)
	}
	c.s(`>`,
		`<title id="sect-t">`, templ.EscapeString(d.Title), `</title><desc id="sect-d">`, templ.EscapeString(d.Desc), `</desc>`)
	d.ground(&c, s)
	rows := d.labelRows(s)
	for i, r := range d.Runs {
		d.run(&c, s, r, rows[i])
	}
	if d.Float != nil && d.Level != nil {
		d.Float.draw(&c, s, *d.Level)
	}
	board{id: "cm", topM: s.topM, botM: s.botM, top: top, bottom: bottom, right: staveW - 2, wide: 16, level: d.Level}.numbered(&c, 0.5)
	c.s("</svg>")
	return c.component()
}

func num(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }

// ground draws water, the bed with the band it lies in, and the water's line.
func (d *Section) ground(c *canvas, s scale) {
	if d.Level != nil {
		y := s.y(*d.Level)
		c.s(`<rect class="water" id="water"`)
		c.attr("x", left)
		c.attr("y", y)
		c.attr("width", right-left)
		c.attr("height", math.Max(0, bottom-y))
		c.s(`/>`)
	}
	mid, low, high := d.bed(s)
	c.s(`<path class="bed" d="`)
	c.curve(mid)
	c.s("L")
	c.point(right, bottom)
	c.s("L")
	c.point(left, bottom)
	c.s(`Z"/>`)
	if !slices.Equal(low, high) {
		c.s(`<path class="band" d="`)
		c.curve(high)
		c.back(low)
		c.s(`Z"/>`)
	}
	c.s(`<path class="bedline" d="`)
	c.curve(mid)
	c.s(`"/>`)
	if d.Level != nil {
		y := s.y(*d.Level)
		c.line("waterline", staveW, y, right, y)
	}
}

type place struct{ x, y float64 }

// bed gives the bed's line and the band it lies in, from the mark outwards. Runs
// that nobody plumbed are passed over: the line is then straight between the ones
// that were.
func (d *Section) bed(s scale) (mid, low, high []place) {
	add := func(x, m, lo, hi float64) {
		if n := len(mid); n > 0 && s.x(x) <= mid[n-1].x {
			return // a run at the mark itself: the bank is drawn there
		}
		mid = append(mid, place{s.x(x), s.y(m)})
		low = append(low, place{s.x(x), math.Min(bottom, s.y(lo))})
		high = append(high, place{s.x(x), s.y(hi)})
	}
	add(0, d.MarkM, d.MarkM, d.MarkM)
	last := RunDepth{BedM: d.MarkM, BedLowM: d.MarkM, BedHM: d.MarkM}
	for _, r := range d.Runs {
		if !r.Known {
			continue
		}
		if len(mid) == 1 && r.DistanceM > 1 {
			// The bank falls from the mark; how is not known, so it is drawn as a
			// step of the same steepness for every peg.
			edge := 0.25 * r.DistanceM
			add(edge, d.MarkM-0.35*(d.MarkM-r.BedM), d.MarkM-0.35*(d.MarkM-r.BedM), d.MarkM-0.35*(d.MarkM-r.BedM))
		}
		add(r.DistanceM, r.BedM, r.BedLowM, r.BedHM)
		last = r
	}
	add(s.farM, last.BedM, last.BedLowM, last.BedHM)
	return mid, low, high
}

// curve writes a smooth line through points whose x never goes back: a cubic with
// the slopes of Fritsch and Carlson's harmonic mean, which makes no dip or bump
// that the points do not have.
func (c *canvas) curve(p []place) {
	c.s("M")
	c.point(p[0].x, p[0].y)
	slopes := monotone(p)
	for i := 1; i < len(p); i++ {
		third := (p[i].x - p[i-1].x) / 3
		c.s("C")
		c.point(p[i-1].x+third, p[i-1].y+slopes[i-1]*third)
		c.s(" ")
		c.point(p[i].x-third, p[i].y-slopes[i]*third)
		c.s(" ")
		c.point(p[i].x, p[i].y)
	}
}

// back writes the same curve from its last point to its first.
func (c *canvas) back(p []place) {
	slopes := monotone(p)
	last := len(p) - 1
	c.s("L")
	c.point(p[last].x, p[last].y)
	for i := last; i > 0; i-- {
		third := (p[i].x - p[i-1].x) / 3
		c.s("C")
		c.point(p[i].x-third, p[i].y-slopes[i]*third)
		c.s(" ")
		c.point(p[i-1].x+third, p[i-1].y+slopes[i-1]*third)
		c.s(" ")
		c.point(p[i-1].x, p[i-1].y)
	}
}

func monotone(p []place) []float64 {
	m := make([]float64, len(p))
	for i := 1; i < len(p)-1; i++ {
		a := (p[i].y - p[i-1].y) / (p[i].x - p[i-1].x)
		b := (p[i+1].y - p[i].y) / (p[i+1].x - p[i].x)
		if a*b > 0 {
			m[i] = 2 * a * b / (a + b)
		}
	}
	return m
}

// run draws a run's depth: a line from the water to the bed with its figure above.
func (d *Section) run(c *canvas, s scale, r RunDepth, row int) {
	if d.Level == nil {
		return
	}
	x, y := s.x(r.DistanceM), s.y(*d.Level)
	above := d.figureY(y, r, row)
	class := "run"
	if r.Chosen {
		class = "run on"
	}
	c.s(`<g class="`, class, `">`)
	switch {
	case !r.Known:
		c.text("mid", x, above, "?")
	case r.Depth == "":
		c.text("mid", x, above, "dry")
	default:
		c.line("plumb", x, y, x, s.y(r.BedM))
		c.text("mid", x, above, r.Depth)
	}
	c.s(`</g>`)
}

// Room that a figure above the water takes, and the float's tip under one.
const (
	digitW       = 8.2
	chosenWider  = 1.25
	labelGap     = 6.0
	labelH       = 17.0
	tipH         = 8.0
	figuresShare = (2*labelH + tipH + 14) / (bottom - top)
)

// labelRows puts a run's figure a row higher where it would touch the one before it.
func (d *Section) labelRows(s scale) []int {
	rows := make([]int, len(d.Runs))
	var ends [2]float64 // where the last figure of each row ends
	for i, r := range d.Runs {
		half := r.labelW() / 2
		x := s.x(r.DistanceM)
		if x-half < ends[0]+labelGap {
			rows[i] = 1
		}
		ends[rows[i]] = x + half
	}
	return rows
}

func (r RunDepth) labelW() float64 {
	w := digitW * 4
	if r.Chosen {
		w *= chosenWider
	}
	return w
}
