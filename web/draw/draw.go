// Package draw makes the product's drawings as SVG: the stave and section of a
// peg, the chart of a gauge. It writes straight to the page, and nothing but
// classes, so that one stylesheet gives both their colours.
package draw

import (
	"context"
	"io"
	"math"
	"strconv"

	"github.com/a-h/templ"
)

// canvas gathers SVG.
type canvas []byte

func (c *canvas) s(parts ...string) {
	for _, p := range parts {
		*c = append(*c, p...)
	}
}

// n writes a length with one decimal, and none where it is a whole number. The
// drawing's lengths are in the hundreds, so tenths fit an integer with room to spare.
func (c *canvas) n(v float64) {
	tenths := int64(math.Round(v * 10))
	if tenths < 0 {
		*c, tenths = append(*c, '-'), -tenths
	}
	*c = strconv.AppendInt(*c, tenths/10, 10)
	if d := tenths % 10; d != 0 {
		*c = append(*c, '.', byte('0'+d))
	}
}

// attr writes ` name="v"`.
func (c *canvas) attr(name string, v float64) {
	c.s(" ", name, `="`)
	c.n(v)
	c.s(`"`)
}

// text writes a label whose middle, start or end (by class) is at x.
func (c *canvas) text(class string, x, y float64, words string) {
	c.s(`<text class="`, class, `"`)
	c.attr("x", x)
	c.attr("y", y)
	c.s(">", templ.EscapeString(words), "</text>")
}

// line writes a straight line.
func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	c.s(`<path class="`, class, `" d="M`)
	c.point(x1, y1)
	c.s("L")
	c.point(x2, y2)
	c.s(`"/>`)
}

func (c *canvas) point(x, y float64) {
	c.n(x)
	c.s(" ")
	c.n(y)
}

// component puts what was gathered on the page.
func (c *canvas) component() templ.Component {
	drawn := *c
	return templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
		_, err := w.Write(drawn)
		return err
	})
}
