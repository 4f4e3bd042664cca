// Package draw makes the product's drawings as SVG: the stave and section of a
// peg, the chart of a gauge. It writes straight to the page, and nothing but
// classes, so that one stylesheet gives both their colours.
package draw

import (
	"context"
	"io"
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

// n writes a length with one decimal.
func (c *canvas) n(v float64) { *c = strconv.AppendFloat(*c, round1(v), 'f', -1, 64) }

func round1(v float64) float64 {
	if v < 0 {
		return -round1(-v)
	}
	return float64(int64(v*10+0.5)) / 10
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
