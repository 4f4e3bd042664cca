package draw

import (
	"math"
	"strconv"
)

// stave draws the gauge board: blocks of a centimetre in groups of five, left and
// right by turns, a figure every half metre, and the mark where the water stands.
// The blocks are one pattern of 20 cm, so a board of any height costs the same.
func (d *Section) stave(c *canvas, s scale) {
	metre := (bottom - top) / (s.topM - s.botM)
	period := 0.2 * metre
	c.s(`<defs><pattern id="cm" patternUnits="userSpaceOnUse" width="16" height="`, num3(period),
		`" x="`, num(staveW-18), `" y="`, num3(s.y(math.Ceil(s.topM))), `"><path class="blocks" d="`)
	for i := range 10 {
		x := 0.0
		if i >= 5 {
			x = 8
		}
		c.s("M")
		c.point(x, 0)
		c.s(" m0 ", num3(period*(float64(i)*2+0.5)/20), "h8")
	}
	c.s(`" stroke-width="`, num3(period/20), `"/></pattern></defs><g class="stave" id="stave"><rect class="board" x="1" y="4" width="`,
		num(staveW-2), `" height="`, num(height-8), `" rx="3"/><rect fill="url(#cm)"`)
	c.attr("x", staveW-18)
	c.attr("y", s.y(s.topM))
	c.attr("width", 16)
	c.attr("height", bottom-top)
	c.s("/>")
	for i := int(math.Ceil(s.botM * 2)); float64(i) <= s.topM*2; i++ {
		m := float64(i) / 2
		c.line("tick", staveW-19, s.y(m), staveW-2, s.y(m))
		c.text("num", staveW-21, s.y(m)+4, signed(m))
	}
	if d.Level != nil {
		c.s(`<path class="mark" id="mark" d="M`)
		c.point(staveW+1, s.y(*d.Level))
		c.s(`l-13-8v16z"/>`)
	}
	c.s("</g>")
}

func num3(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

func signed(m float64) string {
	if m < 0 {
		return "−" + strconv.FormatFloat(-m, 'f', 1, 64)
	}
	return strconv.FormatFloat(m, 'f', 1, 64)
}
