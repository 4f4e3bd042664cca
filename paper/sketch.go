package paper

import (
	"math"

	"codeberg.org/go-pdf/fpdf"

	"levelpeg/club/sketch"
)

// stroke is how a style of a sketch is printed: black and white alone. What is not in
// hand, grey on a screen, is white with a thin edge.
type stroke struct {
	thick  float64 // in the sketch's own units; 0 draws no edge
	fill   int     // 0 none, 1 white, 2 black
	dash   bool
	ground bool
	size   float64 // of words
	bold   bool
}

var strokes = map[sketch.Style]stroke{
	sketch.Ink:     {thick: 2.2},
	sketch.Fine:    {thick: 0.9},
	sketch.Faint:   {thick: 0.8},
	sketch.Dash:    {thick: 2, dash: true},
	sketch.Solid:   {fill: 2},
	sketch.Grey:    {thick: 0.8, fill: 1},
	sketch.Shell:   {thick: 1.6, fill: 1},
	sketch.Cord:    {thick: 7},
	sketch.Dark:    {thick: 5},
	sketch.Water:   {},
	sketch.Bed:     {thick: 1.6, fill: 1, ground: true},
	sketch.Surface: {thick: 2.4},
	sketch.Tip:     {thick: 5},
	sketch.Warn:    {fill: 1},
	sketch.Label:   {size: 15},
	sketch.Strong:  {size: 16, bold: true},
	sketch.Quiet:   {size: 14},
}

// sketch draws a sketch with its upper left corner at a place, by millimetres a unit.
func (d *doc) sketch(s sketch.Drawing, x, y, by float64) {
	d.pdf.SetDrawColor(0, 0, 0)
	var grounds [][]fpdf.PointType
	for _, shape := range s.Shapes {
		k := strokes[shape.Style]
		if shape.Text != "" {
			d.sketchWords(shape, k, x, y, by, s.W, grounds)
			continue
		}
		d.pdf.SetLineWidth(k.thick * by)
		if k.dash {
			d.pdf.SetDashPattern([]float64{7 * by, 6 * by}, 0)
		}
		white := 255 * (k.fill & 1)
		d.pdf.SetFillColor(white, white, white)
		switch how := drawHow(k); {
		case how == "":
		case shape.Rx > 0:
			d.pdf.Ellipse(x+shape.At.X*by, y+shape.At.Y*by, shape.Rx*by, shape.Ry*by, 0, how)
		default:
			d.sketchPath(shape.Path, x, y, by, how)
		}
		d.pdf.SetDashPattern(nil, 0)
		if shape.Style == sketch.Cord { // light inside
			d.pdf.SetDrawColor(255, 255, 255)
			d.pdf.SetLineWidth(4 * by)
			d.sketchPath(shape.Path, x, y, by, "D")
			d.pdf.SetDrawColor(0, 0, 0)
		}
		if k.ground {
			grounds = append(grounds, outline(shape.Path, x, y, by))
			d.hatch(grounds[len(grounds)-1])
		}
	}
	d.pdf.SetFillColor(0, 0, 0)
}

// drawHow is whether a shape is filled, edged or both; empty for neither.
func drawHow(k stroke) string {
	how := ""
	if k.fill > 0 {
		how = "F"
	}
	if k.thick > 0 {
		how += "D"
	}
	return how
}

func (d *doc) sketchPath(ops []sketch.Op, x, y, by float64, how string) {
	for _, op := range ops {
		a, b, c := op.P[0], op.P[1], op.P[2]
		switch op.Do {
		case 'M':
			d.pdf.MoveTo(x+a.X*by, y+a.Y*by)
		case 'L':
			d.pdf.LineTo(x+a.X*by, y+a.Y*by)
		case 'C':
			d.pdf.CurveBezierCubicTo(x+a.X*by, y+a.Y*by, x+b.X*by, y+b.Y*by, x+c.X*by, y+c.Y*by)
		case 'Z':
			d.pdf.ClosePath()
		}
	}
	d.pdf.DrawPath(how)
}

// hatch fills an area with slanting strokes: ground.
func (d *doc) hatch(edge []fpdf.PointType) {
	if len(edge) < 3 {
		return
	}
	loX, loY, hiX, hiY := bounds(edge)
	d.pdf.ClipPolygon(edge, false)
	d.pdf.SetLineWidth(0.12)
	high := hiY - loY
	for at := loX; at < hiX+high; at += 1.3 {
		d.pdf.Line(at, loY, at-high, hiY)
	}
	d.pdf.ClipEnd()
}

func bounds(edge []fpdf.PointType) (loX, loY, hiX, hiY float64) {
	loX, loY, hiX, hiY = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range edge {
		loX, hiX, loY, hiY = min(loX, p.X), max(hiX, p.X), min(loY, p.Y), max(hiY, p.Y)
	}
	return loX, loY, hiX, hiY
}

// outline is a path as straight pieces.
func outline(ops []sketch.Op, x, y, by float64) []fpdf.PointType {
	var out []fpdf.PointType
	var at sketch.Point
	put := func(px, py float64) { out = append(out, fpdf.PointType{X: x + px*by, Y: y + py*by}) }
	for _, op := range ops {
		switch op.Do {
		case 'M', 'L':
			at = op.P[0]
			put(at.X, at.Y)
		case 'C':
			const parts = 16
			for i := 1; i <= parts; i++ {
				t := float64(i) / parts
				u := 1 - t // the four terms of a cubic (Bézier)
				put(u*u*u*at.X+3*u*u*t*op.P[0].X+3*u*t*t*op.P[1].X+t*t*t*op.P[2].X,
					u*u*u*at.Y+3*u*u*t*op.P[0].Y+3*u*t*t*op.P[1].Y+t*t*t*op.P[2].Y)
			}
			at = op.P[2]
		}
	}
	return out
}

// sketchWords writes a sketch's words where they stand, never past its edges, and on white
// where the ground is hatched.
func (d *doc) sketchWords(s sketch.Shape, k stroke, x, y, by, wide float64, grounds [][]fpdf.PointType) {
	words := printable(s.Text)
	size := k.size * by / mmPerPoint
	w := d.width(words, size, k.bold)
	if w > wide*by {
		size *= wide * by / w
		w = wide * by
	}
	left := s.At.X * by
	switch s.Anchor {
	case sketch.Middle:
		left -= w / 2
	case sketch.End:
		left -= w
	}
	left = x + math.Max(0, math.Min(left, wide*by-w))
	base := y + s.At.Y*by
	for _, g := range grounds {
		if loX, loY, hiX, hiY := bounds(g); left+w > loX && left < hiX && base > loY && base-size*mmPerPoint < hiY {
			d.pdf.SetFillColor(255, 255, 255)
			d.pdf.Rect(left-0.5, base-size*mmPerPoint*0.8, w+1, size*mmPerPoint*1.05, "F")
			break
		}
	}
	d.words(left, base, size, k.bold, words)
}
