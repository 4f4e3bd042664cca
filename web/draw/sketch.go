package draw

import (
	"strconv"

	"github.com/a-h/templ"

	"levelpeg/club/sketch"
)

// Sketch draws a line drawing of a guide or a knot. Colours and widths are the
// stylesheet's, by the class k- and the shape's style. Its title is its name.
func Sketch(d sketch.Drawing) templ.Component {
	c := make(canvas, 0, 8192)
	c.s(`<svg class="sketch" role="img" viewBox="0 0 `, num(d.W), " ", num(d.H), `" aria-label="`, templ.EscapeString(d.Title), `">`)
	for _, s := range d.Shapes {
		c.shape(s)
	}
	c.s("</svg>")
	return c.component()
}

func (c *canvas) shape(s sketch.Shape) {
	switch {
	case s.Text != "":
		c.s(`<text class="k-`, string(s.Style), " ", string(s.Anchor), `"`)
		c.attr("x", s.At.X)
		c.attr("y", s.At.Y)
		c.s(">", templ.EscapeString(s.Text), "</text>")
	case s.Rx > 0:
		c.ellipse(s)
	case s.Style == sketch.Cord: // its edge, and its light inside
		c.path("k-cord", s.Path)
		c.path("k-cordin", s.Path)
	default:
		c.path("k-"+string(s.Style), s.Path)
	}
}

func (c *canvas) ellipse(s sketch.Shape) {
	c.s(`<ellipse class="k-`, string(s.Style), `"`)
	if s.Weight > 0 {
		c.s(` data-weight="`, strconv.Itoa(s.Weight), `"`)
	}
	c.attr("cx", s.At.X)
	c.attr("cy", s.At.Y)
	c.attr("rx", s.Rx)
	c.attr("ry", s.Ry)
	c.s("/>")
}

func (c *canvas) path(class string, ops []sketch.Op) {
	c.s(`<path class="`, class, `" d="`)
	for _, op := range ops {
		*c = append(*c, op.Do)
		points := map[byte]int{'M': 1, 'L': 1, 'C': 3}[op.Do]
		for i := range points {
			if i > 0 {
				c.s(" ")
			}
			c.point(op.P[i].X, op.P[i].Y)
		}
	}
	c.s(`"/>`)
}
