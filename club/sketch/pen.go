package sketch

import (
	"math"
	"strconv"
	"strings"
)

// Pen draws on a drawing.
type Pen struct{ D Drawing }

// New is a pen on an empty field.
func New(w, h float64) *Pen { return &Pen{Drawing{W: w, H: h}} }

func (p *Pen) add(s Shape) { p.D.Shapes = append(p.D.Shapes, s) }

// Path draws a path written as SVG writes it, with the absolute M, L, H, V, C, Q and Z
// alone. A path that cannot be read draws what could be: tests see to it that there is
// none.
func (p *Pen) Path(style Style, d string) {
	ops, _ := ParsePath(d)
	p.add(Shape{Style: style, Path: ops})
}

// PathAt is Path moved to a place and made bigger or smaller.
func (p *Pen) PathAt(style Style, x, y, by float64, d string) {
	ops, _ := ParsePath(d)
	for i := range ops {
		for j := range ops[i].P {
			ops[i].P[j] = Point{x + by*ops[i].P[j].X, y + by*ops[i].P[j].Y}
		}
	}
	p.add(Shape{Style: style, Path: ops})
}

// Line draws straight from point to point.
func (p *Pen) Line(style Style, xy ...float64) {
	var ops []Op
	for i := 0; i+1 < len(xy); i += 2 {
		do := byte('L')
		if i == 0 {
			do = 'M'
		}
		ops = append(ops, Op{Do: do, P: [3]Point{{xy[i], xy[i+1]}}})
	}
	p.add(Shape{Style: style, Path: ops})
}

// Curve draws a smooth curve through points (Catmull and Rom's, as Bézier curves).
func (p *Pen) Curve(style Style, xy ...float64) {
	var pts []Point
	for i := 0; i+1 < len(xy); i += 2 {
		pts = append(pts, Point{xy[i], xy[i+1]})
	}
	p.add(Shape{Style: style, Path: smooth(pts)})
}

func smooth(pts []Point) []Op {
	if len(pts) == 0 {
		return nil
	}
	ops := []Op{{Do: 'M', P: [3]Point{pts[0]}}}
	at := func(i int) Point { return pts[min(max(i, 0), len(pts)-1)] }
	for i := 0; i+1 < len(pts); i++ {
		a, b, c, d := at(i-1), at(i), at(i+1), at(i+2)
		ops = append(ops, Op{Do: 'C', P: [3]Point{
			{b.X + (c.X-a.X)/6, b.Y + (c.Y-a.Y)/6}, {c.X - (d.X-b.X)/6, c.Y - (d.Y-b.Y)/6}, c,
		}})
	}
	return ops
}

// Circle and Ellipse draw those.
func (p *Pen) Circle(style Style, x, y, r float64) { p.Ellipse(style, x, y, r, r) }

// Ellipse draws one.
func (p *Pen) Ellipse(style Style, x, y, rx, ry float64) {
	p.add(Shape{Style: style, At: Point{x, y}, Rx: rx, Ry: ry})
}

// Box draws a rectangle with round corners.
func (p *Pen) Box(style Style, x, y, w, h, r float64) {
	r = min(r, w/2, h/2)
	k := r * 0.45
	n := func(v ...float64) string {
		var b strings.Builder
		for _, x := range v {
			b.WriteString(strconv.FormatFloat(x, 'f', 2, 64) + " ")
		}
		return b.String()
	}
	p.Path(style, "M"+n(x+r, y)+"L"+n(x+w-r, y)+"C"+n(x+w-k, y, x+w, y+k, x+w, y+r)+"L"+n(x+w, y+h-r)+"C"+n(x+w, y+h-k, x+w-k, y+h, x+w-r, y+h)+
		"L"+n(x+r, y+h)+"C"+n(x+k, y+h, x, y+h-k, x, y+h-r)+"L"+n(x, y+r)+"C"+n(x, y+k, x+k, y, x+r, y)+"Z")
}

// Sizes of words by their style.
const (
	labelSize  = 15.0
	strongSize = 17.0
	quietSize  = 14.0
)

// TextWide is about how wide words are, in a wide sans: what has to be left free.
func TextWide(style Style, text string) float64 {
	const each = 0.68
	size := map[Style]float64{Strong: strongSize, Quiet: quietSize}[style]
	if size == 0 {
		size = labelSize
	}
	return each * size * float64(len([]rune(text)))
}

// Words writes, and keeps to the field.
func (p *Pen) Words(style Style, x, y float64, anchor Anchor, text string) {
	size := map[Style]float64{Label: labelSize, Strong: strongSize, Quiet: quietSize}[style]
	long := TextWide(style, text)
	before := map[Anchor]float64{Start: 0, Middle: long / 2, End: long}[anchor]
	const edge = 2
	x = max(min(x, p.D.W-edge-(long-before)), edge+before)
	p.add(Shape{Style: style, At: Point{x, y}, Text: text, Size: size, Anchor: anchor})
}

// Arrow draws a pointer from one place to another, with its head there.
func (p *Pen) Arrow(x1, y1, x2, y2 float64) {
	p.Line(Fine, x1, y1, x2, y2)
	p.Head(x2, y2, math.Atan2(y2-y1, x2-x1))
}

// Head draws an arrow's head that points along an angle.
func (p *Pen) Head(x, y, angle float64) {
	const long, half = 9, 3.6
	c, s := math.Cos(angle), math.Sin(angle)
	p.add(Shape{Style: Solid, Path: []Op{
		{Do: 'M', P: [3]Point{{x, y}}}, {Do: 'L', P: [3]Point{{x - long*c + half*s, y - long*s - half*c}}},
		{Do: 'L', P: [3]Point{{x - long*c - half*s, y - long*s + half*c}}}, {Do: 'Z'},
	}})
}

// Measure draws a dimension between two places on a level, with words under it.
func (p *Pen) Measure(x1, x2, y float64, words string) {
	p.Line(Fine, x1, y-7, x1, y+7)
	p.Line(Fine, x2, y-7, x2, y+7)
	p.Arrow((x1+x2)/2, y, x1, y)
	p.Arrow((x1+x2)/2, y, x2, y)
	p.Words(Label, (x1+x2)/2, y+18, Middle, words)
}

// Upright is Measure between two places one above the other, its words to the right.
func (p *Pen) Upright(x, y1, y2 float64, words ...string) {
	p.Line(Fine, x-7, y1, x+7, y1)
	p.Line(Fine, x-7, y2, x+7, y2)
	p.Arrow(x, (y1+y2)/2, x, y1)
	p.Arrow(x, (y1+y2)/2, x, y2)
	for i, w := range words {
		style := Label
		if i == 0 {
			style = Strong
		}
		p.Words(style, x+11, (y1+y2)/2+5+float64(i)*19, Start, w)
	}
}

// ParsePath reads a path of absolute M, L, H, V, C, Q and Z; false where it is none.
func ParsePath(d string) ([]Op, bool) {
	var ops []Op
	var at, start Point
	s := scanner{d: d}
	for {
		do, ok := s.letter()
		if !ok {
			return ops, s.done()
		}
		for first := true; first || s.number(); first = false {
			op, next, ok := s.op(do, at)
			if !ok {
				return ops, false
			}
			if op.Do == 'M' {
				start = next
			}
			if op.Do == 'Z' {
				next = start
			}
			ops, at = append(ops, op), next
			if do == 'Z' {
				break
			}
			if do == 'M' {
				do = 'L'
			}
		}
	}
}

type scanner struct {
	d string
	i int
}

func (s *scanner) skip() {
	for s.i < len(s.d) && strings.IndexByte(" ,\n\t", s.d[s.i]) >= 0 {
		s.i++
	}
}

func (s *scanner) done() bool { s.skip(); return s.i == len(s.d) }

func (s *scanner) letter() (byte, bool) {
	s.skip()
	if s.i < len(s.d) && strings.IndexByte("MLHVCQZ", s.d[s.i]) >= 0 {
		s.i++
		return s.d[s.i-1], true
	}
	return 0, false
}

func (s *scanner) number() bool {
	s.skip()
	return s.i < len(s.d) && strings.IndexByte("-.0123456789", s.d[s.i]) >= 0
}

func (s *scanner) take() (float64, bool) {
	s.skip()
	from := s.i
	for s.i < len(s.d) && strings.IndexByte("-.0123456789", s.d[s.i]) >= 0 && (s.d[s.i] != '-' || s.i == from) {
		s.i++
	}
	v, err := strconv.ParseFloat(s.d[from:s.i], 64)
	return v, err == nil
}

func (s *scanner) point() (Point, bool) {
	x, ok1 := s.take()
	y, ok2 := s.take()
	return Point{x, y}, ok1 && ok2
}

// op reads one stroke after its letter.
func (s *scanner) op(do byte, at Point) (Op, Point, bool) {
	switch do {
	case 'Z':
		return Op{Do: 'Z'}, at, true
	case 'H', 'V':
		v, ok := s.take()
		to := Point{v, at.Y}
		if do == 'V' {
			to = Point{at.X, v}
		}
		return Op{Do: 'L', P: [3]Point{to}}, to, ok
	case 'C':
		a, ok1 := s.point()
		b, ok2 := s.point()
		c, ok3 := s.point()
		return Op{Do: 'C', P: [3]Point{a, b, c}}, c, ok1 && ok2 && ok3
	case 'Q': // a quadratic curve is a cubic one with its middle two thirds of the way
		q, ok1 := s.point()
		c, ok2 := s.point()
		a := Point{at.X + (q.X-at.X)*2/3, at.Y + (q.Y-at.Y)*2/3}
		b := Point{c.X + (q.X-c.X)*2/3, c.Y + (q.Y-c.Y)*2/3}
		return Op{Do: 'C', P: [3]Point{a, b, c}}, c, ok1 && ok2
	}
	to, ok := s.point()
	return Op{Do: do, P: [3]Point{to}}, to, ok
}
