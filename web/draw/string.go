package draw

import (
	"math"
	"slices"
	"strconv"

	"github.com/a-h/templ"
)

// String is a whole rig on a straight line from float to hook, to scale along it but
// for the sizes of float, shot and hook. It is for the eye alone: the list beside it
// says the same.
type String struct {
	SetM        float64 // float to hook
	HookLengthM float64
	Weights     []Bead // in any order
}

// A string's own units, which are pixels on the page. It is high enough for places
// 5 cm apart, the closest there are, to be told apart on any but the deepest rigs.
const (
	stringW              = 62.0
	threadX              = 38.0
	floatTop, floatH     = 4.0, 34.0
	belowHook            = 6.0
	perMetre             = 150.0
	stringLow, stringTop = 236.0, 560.0 // its height
	tickEveryM           = 0.5
)

// Draw draws it.
func (d String) Draw() templ.Component {
	high := d.high()
	hook, eye := high-belowHook, floatTop+floatH
	at := func(m float64) float64 { return hook - m/d.SetM*(hook-eye) }
	c := make(canvas, 0, 2048)
	c.s(`<svg class="scale" width="`, num(stringW), `" height="`, num(high), `" viewBox="0 0 `, num(stringW), " ", num(high), `" aria-hidden="true">`)
	d.ticks(&c, at)
	c.line("thread", threadX, eye, threadX, hook)
	c.s(`<path class="body" d="M`)
	c.point(threadX, eye)
	c.s(`q-7-14 0-24q7 10 0 24z"/><path class="tip" d="M`)
	c.point(threadX, floatTop)
	c.s(`v10"/>`)
	c.line("thread", threadX-4, at(d.HookLengthM), threadX+4, at(d.HookLengthM))
	d.weights(&c, at)
	c.s(`<path class="hook" d="M`)
	c.point(threadX, hook-7)
	c.s(`v5q0 5 4 5q3.5 0 3.5-4"/></svg>`)
	return c.component()
}

// high is the drawing's height.
func (d String) high() float64 {
	return math.Min(stringTop, math.Max(stringLow, floatTop+floatH+belowHook+d.SetM*perMetre))
}

// ticks are every half metre from the hook, in centimetres.
func (d String) ticks(c *canvas, at func(float64) float64) {
	for m := 0.0; m < d.SetM-0.1; m += tickEveryM {
		y := at(m)
		c.line("grid", 0, y, threadX-6, y)
		c.s(`<text`)
		c.attr("y", y-2)
		c.s(">", tickWords(m), "</text>")
	}
}

// tickWords is a distance from the hook in centimetres, the first with its unit.
func tickWords(m float64) string {
	if m == 0 {
		return "0 cm"
	}
	return strconv.Itoa(int(math.Round(m * 100)))
}

// weights draws every one once, at its own height. One that would lie over another
// stands beside the line, and a row of them higher where even that has no room.
func (d String) weights(c *canvas, at func(float64) float64) {
	for _, w := range d.laid(at) {
		w.bead.draw(c, w.box.x, w.box.y, w.box.half)
	}
}

// box is the room a weight takes: its middle, and half its width and height.
type box struct{ x, y, half, high float64 }

// clear moves a box to where it lies over none of those taken.
func (b box) clear(taken []box) box {
	for lift := 0.0; ; lift += 2 * b.high {
		for out := 0.0; out <= stringW; out += b.half / 2 {
			for _, x := range [...]float64{threadX + out, threadX - out} {
				try := box{x, b.y - lift, b.half, b.high}
				if x-b.half >= 0 && x+b.half <= stringW && !slices.ContainsFunc(taken, try.over) {
					return try
				}
			}
		}
	}
}

// over says whether two boxes share more than an edge.
func (b box) over(o box) bool {
	const edge = 0.3
	return math.Abs(b.x-o.x) < b.half+o.half-edge && math.Abs(b.y-o.y) < b.high+o.high-edge
}

// radius is of a weight on a string: as its width is, and never too small to see.
func (b Bead) radius() float64 { return 1.2 + 2.6*math.Cbrt(b.MassG) }
