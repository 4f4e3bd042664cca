package draw

import (
	"context"
	"io"
	"math"
	"strconv"

	"github.com/a-h/templ"
)

// board is a gauge board in a drawing: the level of its top and bottom, where they
// lie, and its right edge. All that shows a level beside a board is on its scale.
type board struct {
	id          string // tells its pattern from those of other boards on the page
	topM, botM  float64
	top, bottom float64
	right       float64
	wide        float64 // of the column of blocks
	level       *float64
}

func (b board) y(m float64) float64 { return b.top + (b.topM-m)/(b.topM-b.botM)*(b.bottom-b.top) }

// blocks draws centimetres in groups of five, left and right by turns. They are one
// pattern of 20 cm, so a board of any height costs the same.
func (b board) blocks(c *canvas) {
	period := 0.2 * (b.bottom - b.top) / (b.topM - b.botM)
	x := b.right - b.wide
	c.s(`<defs><pattern id="`, b.id, `" patternUnits="userSpaceOnUse" width="`, num(b.wide), `" height="`, num3(period),
		`" x="`, num(x), `" y="`, num3(b.y(math.Ceil(b.topM))), `"><path class="blocks" d="`)
	for i := range 10 {
		side := 0.0
		if i >= 5 {
			side = b.wide / 2
		}
		c.s("M", num(side), " ", num3(period*(float64(i)*2+0.5)/20), "h", num(b.wide/2))
	}
	c.s(`" stroke-width="`, num3(period/20), `"/></pattern></defs><rect fill="url(#`, b.id, `)"`)
	c.attr("x", x)
	c.attr("y", b.top)
	c.attr("width", b.wide)
	c.attr("height", b.bottom-b.top)
	c.s("/>")
}

// mark is where the water stands on it.
func (b board) mark(c *canvas, size float64) {
	if b.level == nil {
		return
	}
	c.s(`<path class="mark" d="M`)
	c.point(b.right+size/4, b.y(*b.level))
	c.s("l-", num(size), "-", num(size*0.6), "v", num(size*1.2), `z"/>`)
}

// numbered draws the whole board as the big drawings have it: frame, blocks, a
// figure every step, and the mark.
func (b board) numbered(c *canvas, stepM float64) {
	c.s(`<g class="stave"><rect class="board" x="1" y="`, num(b.top-10), `" width="`, num(b.right+1), `" height="`, num(b.bottom-b.top+18), `" rx="3"/>`)
	b.blocks(c)
	first, past := int(math.Ceil(b.botM/stepM-1e-9)), int(math.Floor(b.topM/stepM+1e-9))+1
	c.s(`<path class="tick" d="`)
	for i := first; i < past; i++ {
		c.s("M")
		c.point(b.right-b.wide-1, b.y(float64(i)*stepM))
		c.s("h", num(b.wide+1))
	}
	c.s(`"/>`)
	for i := first; i < past; i++ {
		m := float64(i) * stepM
		c.text("num", b.right-b.wide-3, b.y(m)+4, signed(m))
	}
	b.mark(c, 13)
	c.s("</g>")
}

// MiniStave is a board small enough to stand beside a name: its ordinary range and
// a little more, and the water's mark.
func MiniStave(id string, lowM, highM float64, level *float64) templ.Component {
	span := highM - lowM
	b := board{id: id, topM: highM + span*0.6, botM: lowM - span*0.3, top: 3, bottom: 77, right: 25, wide: 20, level: level}
	if level != nil {
		b.topM, b.botM = math.Max(b.topM, *level+0.05), math.Min(b.botM, *level-0.05)
	}
	c := make(canvas, 0, 600)
	c.s(`<svg class="mini" width="34" height="80" viewBox="0 0 34 80" aria-hidden="true"><rect class="board" x="2" y="1" width="24" height="78" rx="2"/>`)
	b.blocks(&c)
	b.mark(&c, 11)
	if level != nil {
		c.line("waterline", 26, b.y(*level), 34, b.y(*level))
	}
	c.s(`</svg>`)
	return templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
		_, err := w.Write(c)
		return err
	})
}

func num3(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

func signed(m float64) string {
	m = math.Round(m*10) / 10
	if m < 0 {
		return "−" + strconv.FormatFloat(-m, 'f', 1, 64)
	}
	return strconv.FormatFloat(math.Abs(m), 'f', 1, 64)
}
