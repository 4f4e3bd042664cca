package draw

import (
	"cmp"
	"math"
	"slices"
)

// Plan is a drawing as shapes, for what is not a page: the same places as the SVG has,
// worked out by the same sums, in the same units, with y downwards.
type Plan struct {
	W, H        float64
	Left, Right float64 // of the ground, where the water lies
	Shapes      []Shape
	y           func(m float64) float64
}

// Y is where a level lies in a section's plan.
func (p *Plan) Y(levelM float64) float64 { return p.y(levelM) }

// Shape is one shape. Its class says what it is, in the stylesheet's words.
type Shape struct {
	Kind   Kind
	Class  string
	Steps  []Step  // of a line or an area
	X, Y   float64 // middle of a blob or a box's upper left corner; where words stand on their line
	RX, RY float64 // of a blob; a box's width and height
	Words  string
}

// Kind is the kind of a shape.
type Kind uint8

// The kinds of shape.
const (
	Line  Kind = iota // a path that is drawn along
	Area              // a path that is filled
	Blob              // a filled ellipse
	Box               // a filled rectangle
	Words             // text
)

// Step is a step of a path: to (X, Y), straight or by the points before it.
type Step struct {
	Op           byte // M, L, Q with one point, C with two
	AX, AY       float64
	BX, BY, X, Y float64
}

func (p *Plan) line(class string, steps ...Step) {
	p.Shapes = append(p.Shapes, Shape{Kind: Line, Class: class, Steps: steps})
}

func (p *Plan) area(class string, steps ...Step) {
	p.Shapes = append(p.Shapes, Shape{Kind: Area, Class: class, Steps: steps})
}

func (p *Plan) box(class string, x, y, w, h float64) {
	p.Shapes = append(p.Shapes, Shape{Kind: Box, Class: class, X: x, Y: y, RX: w, RY: h})
}

func (p *Plan) words(class string, x, y float64, words string) {
	p.Shapes = append(p.Shapes, Shape{Kind: Words, Class: class, X: x, Y: y, Words: words})
}

func moveTo(x, y float64) Step               { return Step{Op: 'M', X: x, Y: y} }
func lineTo(x, y float64) Step               { return Step{Op: 'L', X: x, Y: y} }
func bendTo(ax, ay, x, y float64) Step       { return Step{Op: 'Q', AX: ax, AY: ay, X: x, Y: y} }
func straight(x1, y1, x2, y2 float64) []Step { return []Step{moveTo(x1, y1), lineTo(x2, y2)} }

// smooth is the steps of the bed's smooth line, as canvas.curve writes it.
func smooth(pts []place) []Step {
	slopes := monotone(pts)
	out := []Step{moveTo(pts[0].x, pts[0].y)}
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		third := (b.x - a.x) / 3
		out = append(out, Step{'C', a.x + third, a.y + slopes[i-1]*third, b.x - third, b.y - slopes[i]*third, b.x, b.y})
	}
	return out
}

// smoothBack is the same line from its last point to its first, from wherever a path is.
func smoothBack(pts []place) []Step {
	slopes := monotone(pts)
	last := len(pts) - 1
	out := []Step{lineTo(pts[last].x, pts[last].y)}
	for i := last; i > 0; i-- {
		a, b := pts[i-1], pts[i]
		third := (b.x - a.x) / 3
		out = append(out, Step{'C', b.x - third, b.y - slopes[i]*third, a.x + third, a.y + slopes[i-1]*third, a.x, a.y})
	}
	return out
}

// Plan is the stave and section as Draw draws them.
func (d Section) Plan() Plan {
	s := newScale(&d)
	p := Plan{W: width, H: height, Left: left, Right: right, y: s.y}
	d.planGround(&p, s)
	rows := d.labelRows(s)
	for i, r := range d.Runs {
		d.planRun(&p, s, r, rows[i])
	}
	if d.Float != nil && d.Level != nil {
		d.Float.plan(&p, s, *d.Level)
	}
	board{topM: s.topM, botM: s.botM, top: top, bottom: bottom, right: staveW - 2, wide: 16, level: d.Level}.plan(&p, 0.5)
	return p
}

func (d *Section) planGround(p *Plan, s scale) {
	if d.Level != nil {
		y := s.y(*d.Level)
		p.box("water", left, y, right-left, math.Max(0, bottom-y))
	}
	mid, low, high := d.bed(s)
	p.area("bed", append(smooth(mid), lineTo(right, bottom), lineTo(left, bottom))...)
	if !slices.Equal(low, high) {
		p.area("band", append(smooth(high), smoothBack(low)...)...)
	}
	p.line("bedline", smooth(mid)...)
	if d.Level != nil {
		y := s.y(*d.Level)
		p.line("waterline", straight(staveW, y, right, y)...)
	}
}

func (d *Section) planRun(p *Plan, s scale, r RunDepth, row int) {
	if d.Level == nil {
		return
	}
	class, words := "mid", r.Depth
	if r.Chosen {
		class = "mid on"
	}
	x, y := s.x(r.DistanceM), s.y(*d.Level)
	switch {
	case !r.Known:
		words = "?"
	case r.Depth == "":
		words = "dry"
	default:
		p.line("plumb", straight(x, y, x, s.y(r.BedM))...)
	}
	p.words(class, x, d.figureY(y, r, row), words)
}

// figureY is where a run's figure stands above the water at y.
func (d *Section) figureY(y float64, r RunDepth, row int) float64 {
	above := y - 8 - float64(row)*(labelH+tipH)
	if r.Chosen && d.Float != nil && row == 0 {
		above -= tipH
	}
	return above
}

func (f *Float) plan(p *Plan, s scale, level float64) {
	line := f.places(s, level)
	x, y := s.x(f.DistanceM), s.y(level)
	if len(line) > 1 {
		if end := line[len(line)-1].x; math.Abs(end-line[0].x) > beside {
			p.line("plumb", straight(line[0].x, s.y(f.BedM), end+math.Copysign(beside, end-line[0].x), s.y(f.BedM))...)
		}
		steps := []Step{moveTo(line[0].x, line[0].y)}
		for _, at := range line[1:] {
			steps = append(steps, lineTo(at.x, at.y))
		}
		p.line("thread", steps...)
		for i, at := range f.along(line) {
			f.Weights[i].plan(p, at.x, at.y, 1.1+1.5*math.Cbrt(f.Weights[i].MassG))
		}
		h := line[len(line)-1]
		p.line("hook", moveTo(h.x, h.y-6), lineTo(h.x, h.y-3), bendTo(h.x, h.y, h.x+2.6, h.y), bendTo(h.x+4.8, h.y, h.x+4.8, h.y-2.6))
	}
	p.area("body", moveTo(x, y-3), bendTo(x+5, y+4, x+2.4, y+11), bendTo(x, y+14, x-2.4, y+11), bendTo(x-5, y+4, x, y-3))
	p.line("tip", straight(x, y-11, x, y-2)...)
}

func (b Bead) plan(p *Plan, x, y, r float64) {
	s := Shape{Kind: Blob, Class: "shot", X: x, Y: y, RX: r, RY: r}
	if b.Olivet {
		s.RY *= olivetLong
	}
	p.Shapes = append(p.Shapes, s)
}

// blockM is how high the blocks of a printed board are: the outline of the five
// centimetre marks on each side, which ink would run together.
const blockM = 0.10

// plan is the whole board as numbered draws it, its centimetre marks as blocks.
func (b board) plan(p *Plan, stepM float64) {
	x, half := b.right-b.wide, b.wide/2
	first, past := int(math.Floor(b.botM/blockM)), int(math.Ceil(b.topM/blockM))
	for i := first; i < past; i++ {
		hi, lo := math.Min(b.topM, float64(i+1)*blockM), math.Max(b.botM, float64(i)*blockM)
		side := x
		if i&1 == 0 {
			side += half
		}
		if hi > lo+1e-9 {
			p.box("blocks", side, b.y(hi), half, b.y(lo)-b.y(hi))
		}
	}
	p.line("board", moveTo(x, b.top), lineTo(b.right, b.top), lineTo(b.right, b.bottom), lineTo(x, b.bottom), lineTo(x, b.top))
	for i := int(math.Ceil(b.botM/stepM - 1e-9)); i <= int(math.Floor(b.topM/stepM+1e-9)); i++ {
		y := b.y(float64(i) * stepM)
		p.line("tick", straight(x-4, y, x, y)...)
		p.words("num", x-6, y+4, signed(float64(i)*stepM))
	}
	if b.level != nil {
		const size = 13.0
		mx, my := b.right+size/4, b.y(*b.level)
		p.area("mark", moveTo(mx, my), lineTo(mx-size, my-size*0.6), lineTo(mx-size, my+size*0.6))
	}
}

// Plan is the rig as Draw draws it, in a height of its own: as much as Draw gives it, or
// what is asked where that is more than nothing.
func (d String) Plan(high float64) Plan {
	if high <= 0 {
		high = d.high()
	}
	hook, eye := high-belowHook, floatTop+floatH
	at := func(m float64) float64 { return hook - m/d.SetM*(hook-eye) }
	p := Plan{W: stringW, H: high, Right: stringW, y: at}
	for m := 0.0; m < d.SetM-0.1; m += tickEveryM {
		p.line("grid", straight(0, at(m), threadX-6, at(m))...)
		p.words("scale", 0, at(m)-2, tickWords(m))
	}
	p.line("thread", straight(threadX, eye, threadX, hook)...)
	p.area("body", moveTo(threadX, eye), bendTo(threadX-7, eye-14, threadX, eye-24), bendTo(threadX+7, eye-14, threadX, eye))
	p.line("tip", straight(threadX, floatTop, threadX, floatTop+10)...)
	p.line("thread", straight(threadX-4, at(d.HookLengthM), threadX+4, at(d.HookLengthM))...)
	for _, w := range d.laid(at) {
		w.bead.plan(&p, w.box.x, w.box.y, w.box.half)
	}
	p.line("hook", moveTo(threadX, hook-7), lineTo(threadX, hook-2), bendTo(threadX, hook+3, threadX+4, hook+3), bendTo(threadX+7.5, hook+3, threadX+7.5, hook-1))
	return p
}

// laidBead is a weight and the room it has.
type laidBead struct {
	bead Bead
	box  box
}

// laid gives every weight its room: once each, at its own height, where it lies over no
// other.
func (d String) laid(at func(float64) float64) []laidBead {
	all := slices.Clone(d.Weights)
	slices.SortStableFunc(all, func(a, b Bead) int {
		return cmp.Or(cmp.Compare(a.AtM, b.AtM), cmp.Compare(b.MassG, a.MassG))
	})
	var taken []box
	out := make([]laidBead, len(all))
	for i, w := range all {
		b := box{threadX, at(w.AtM), w.radius(), w.radius()}
		if w.Olivet {
			b.high *= olivetLong
		}
		b = b.clear(taken)
		taken = append(taken, b)
		out[i] = laidBead{w, b}
	}
	return out
}
