package paper

import (
	"math"

	"levelpeg/web/draw"
)

// ink is how a class of shape is drawn, all of it in black: a line's thickness in
// millimetres and its dashes, an area's outline where it is not filled, and the size of
// words in points.
type ink struct {
	thick   float64
	dash    []float64
	outline bool // an area is drawn along and not filled
	ground  bool // strokes under a line say that it is the ground
	hidden  bool
	size    float64
	bold    bool
}

var inks = map[string]ink{
	"water":     {hidden: true},
	"bed":       {hidden: true},
	"band":      {outline: true, thick: 0.12, dash: []float64{0.3, 0.6}},
	"bedline":   {thick: 0.4, ground: true},
	"waterline": {thick: 0.5},
	"plumb":     {thick: 0.15, dash: []float64{0.6, 0.6}},
	"mid":       {size: 7},
	"mid on":    {size: 8.5, bold: true},
	"thread":    {thick: 0.25},
	"shot":      {},
	"hook":      {thick: 0.35},
	"body":      {},
	"tip":       {thick: 0.6},
	"blocks":    {},
	"board":     {thick: 0.2},
	"tick":      {thick: 0.15},
	"num":       {size: 6},
	"mark":      {thick: 0.3},
	"grid":      {thick: 0.15},
	"scale":     {size: 5},
}

// drawing draws a plan with its upper left corner at a place, by millimetres a unit.
func (d *doc) drawing(p draw.Plan, x, y, by float64) {
	d.pdf.SetDrawColor(0, 0, 0)
	d.pdf.SetFillColor(0, 0, 0)
	for _, s := range p.Shapes {
		i := inks[s.Class]
		d.pdf.SetLineWidth(i.thick)
		d.pdf.SetDashPattern(i.dash, 0)
		switch {
		case i.hidden:
		case s.Kind == draw.Line:
			d.path(s.Steps, x, y, by)
			d.pdf.DrawPath("D")
			if i.ground {
				d.ground(s.Steps, x, y, by)
			}
		case s.Kind == draw.Area && s.Class == "mark": // it lies on the board's blocks
			d.pdf.SetFillColor(255, 255, 255)
			d.path(s.Steps, x, y, by)
			d.pdf.ClosePath()
			d.pdf.DrawPath("FD")
			d.pdf.SetFillColor(0, 0, 0)
		case s.Kind == draw.Area:
			d.path(s.Steps, x, y, by)
			d.pdf.ClosePath()
			d.pdf.DrawPath(map[bool]string{true: "D", false: "F"}[i.outline])
		case s.Kind == draw.Blob:
			d.pdf.Ellipse(x+s.X*by, y+s.Y*by, s.RX*by, s.RY*by, 0, "F")
		case s.Kind == draw.Box:
			d.pdf.Rect(x+s.X*by, y+s.Y*by, s.RX*by, s.RY*by, "F")
		case s.Kind == draw.Words:
			d.label(s, i, x, y, by)
		}
	}
	d.pdf.SetDashPattern(nil, 0)
}

// Strokes under a bed, in millimetres.
const (
	strokeEvery = 1.5
	strokeLong  = 1.0
)

// ground puts short strokes under a line.
func (d *doc) ground(steps []draw.Step, x, y, by float64) {
	d.pdf.SetLineWidth(0.15)
	at, next := steps[0], 0.0
	for _, s := range steps[1:] {
		const parts = 40
		px, py := at.X*by, at.Y*by
		for k := 1; k <= parts; k++ {
			qx, qy := along(at, s, float64(k)/parts)
			qx, qy = qx*by, qy*by
			next -= math.Hypot(qx-px, qy-py)
			if next <= 0 && qx > strokeLong {
				d.pdf.Line(x+qx, y+qy, x+qx-strokeLong*0.7, y+qy+strokeLong)
				next = strokeEvery
			}
			px, py = qx, qy
		}
		at = s
	}
}

// along is a place on a step from where the one before it ended.
func along(from, s draw.Step, t float64) (x, y float64) {
	if s.Op != 'C' {
		return from.X + t*(s.X-from.X), from.Y + t*(s.Y-from.Y)
	}
	u := 1 - t // the four terms of a cubic (Bézier)
	a, b, c, e := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
	return a*from.X + b*s.AX + c*s.BX + e*s.X, a*from.Y + b*s.AY + c*s.BY + e*s.Y
}

func (d *doc) path(steps []draw.Step, x, y, by float64) {
	for _, s := range steps {
		tx, ty := x+s.X*by, y+s.Y*by
		switch s.Op {
		case 'M':
			d.pdf.MoveTo(tx, ty)
		case 'L':
			d.pdf.LineTo(tx, ty)
		case 'Q':
			d.pdf.CurveTo(x+s.AX*by, y+s.AY*by, tx, ty)
		case 'C':
			d.pdf.CurveBezierCubicTo(x+s.AX*by, y+s.AY*by, x+s.BX*by, y+s.BY*by, tx, ty)
		}
	}
}

// Words in a drawing are of their usual size where a unit is as long as in a drawing of
// fifty millimetres, smaller with the drawing where it is less, and never too small to read.
const (
	usualBy    = 50.0 / 300
	leastWords = 4.8
)

// label writes a drawing's words: a board's figures end where they stand, a run's have
// their middle there, a scale's begin there.
func (d *doc) label(s draw.Shape, i ink, x, y, by float64) {
	tx, ty := x+s.X*by, y+s.Y*by
	i.size = math.Max(leastWords, i.size*math.Min(1, by/usualBy))
	switch s.Class {
	case "num":
		tx -= d.width(printable(s.Words), i.size, i.bold)
	case "scale":
	default:
		tx -= d.width(printable(s.Words), i.size, i.bold) / 2
	}
	if s.Class != "num" && s.Class != "scale" { // a level's line may run behind a depth
		d.pdf.SetFillColor(255, 255, 255)
		d.pdf.Rect(tx-0.3, ty-i.size*mmPerPoint*0.75, d.width(printable(s.Words), i.size, i.bold)+0.6, i.size*mmPerPoint*0.85, "F")
		d.pdf.SetFillColor(0, 0, 0)
	}
	d.words(tx, ty, i.size, i.bold, s.Words)
}
