package draw

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// fanShare is the most of the drawing's width that what is foretold takes.
const fanShare = 0.4

// fanShown leaves out of what is foretold what would take too much of the drawing.
func (d Levels) fanShown() []FanPoint {
	room := time.Duration(float64(d.To.Sub(d.From)) * fanShare / (1 - fanShare))
	return slices.DeleteFunc(slices.Clone(d.Fan), func(p FanPoint) bool { return p.At.Sub(d.To) > room })
}

// fan draws what is foretold: its range, and a dashed line through the middle.
func (d Levels) fan(c *canvas, s chartScale) {
	if len(d.Fan) < 2 {
		return
	}
	c.s(`<path class="fan" d="M`)
	for i, p := range d.Fan {
		join(c, i)
		c.point(s.x(p.At), s.y(p.HighM))
	}
	for _, p := range slices.Backward(d.Fan) {
		c.s("L")
		c.point(s.x(p.At), s.y(p.LowM))
	}
	c.s(`Z"/><path class="foretold" d="M`)
	for i, p := range d.Fan {
		join(c, i)
		c.point(s.x(p.At), s.y(p.MidM))
	}
	c.s(`"/>`)
	if now := s.x(d.To); chartR-now > wordRoom {
		c.line("nowline", now, chartT, now, chartB)
		c.text("start", now+4, chartB-5, "expected")
	}
}

func (d Levels) now(c *canvas, s chartScale) {
	if d.Latest.At.Before(d.From) {
		return // the board's mark shows it
	}
	c.s(`<circle class="now"`)
	c.attr("cx", math.Min(s.x(d.Latest.At), chartR-3))
	c.attr("cy", s.y(d.Latest.LevelM))
	c.s(` r="4.5"/>`)
}

// rules draws the levels at which the club's rules begin. One too near the one above
// it for words has the line alone, and stands in the list below the drawing.
func (d Levels) rules(c *canvas, s chartScale) {
	rules := slices.Clone(d.Rules)
	slices.SortStableFunc(rules, func(a, b Rule) int { return cmp.Compare(b.LevelM, a.LevelM) })
	said := math.Inf(-1)
	for i, r := range rules {
		if i > 0 && r.LevelM == rules[i-1].LevelM {
			continue
		}
		y := s.y(r.LevelM)
		c.line("rule", chartL, y, chartR, y)
		if y-said >= labelApart {
			wide := float64(len([]rune(r.Words))) * ruleLetter
			c.under(chartR-wide, y-13, wide, 12)
			c.text("end", chartR, y-4, r.Words)
			said = y
		}
	}
}

// zeros marks where a new zero began.
func (d Levels) zeros(c *canvas, s chartScale) {
	free, end := chartL, chartR
	if len(d.Fan) > 1 {
		end = s.x(d.To)
	}
	for _, z := range d.Zeros {
		x := s.x(z)
		if x <= chartL || x >= chartR {
			continue
		}
		c.line("plumb", x, chartT, x, chartB)
		left := math.Min(math.Max(x-wordRoom/2, chartL), end-wordRoom)
		if left >= free {
			c.under(left-2, chartB-15, wordRoom, 13)
			c.text("start", left, chartB-5, "new zero")
			free = left + wordRoom
		}
	}
}

// under makes what is drawn fainter where words are to lie over it.
func (c *canvas) under(x, y, wide, high float64) {
	c.s(`<rect class="under"`)
	c.attr("x", x)
	c.attr("y", y)
	c.attr("width", wide)
	c.attr("height", high)
	c.s("/>")
}
