package draw

import "math"

// Float is the rig hanging in the chosen run. Its line is drawn as it is seen from
// the bank, on the scale of the heights: what leans downstream leans to the right,
// whichever bank the peg is on.
type Float struct {
	DistanceM float64
	SetM      float64 // float to hook, along the line
	BedM      float64 // the run's; nothing is drawn under it
	Line      []Hung  // from the float down to the hook; none: the line has no shape to draw
	Weights   []Bead
}

// Hung is a place on the line.
type Hung struct {
	DownstreamM float64 // of the float
	DeepM       float64 // below the surface
}

// Bead is one weight on the line.
type Bead struct {
	AtM    float64 // from the hook, along the line
	MassG  float64
	Olivet bool
}

// beside is the room beside what hangs farthest from the float.
const beside = 8.0

// farM is how far across the drawing has to reach for the rig to lie within it.
func (f *Float) farM(s scale) float64 {
	lean := beside
	for _, p := range f.Line {
		lean = math.Max(lean, p.DownstreamM*s.perM()+beside)
	}
	// The float stands at its share of the width; what is right of it has to hold the
	// lean. A lean of most of the width is cut off instead.
	lean = math.Min(lean, (right-left)*0.6)
	return f.DistanceM * (right - left) / (right - left - lean)
}

// draw hangs the rig from the surface to its hook, to scale but for the sizes of
// float and shot, which would be too small to see.
func (f *Float) draw(c *canvas, s scale, level float64) {
	line := f.places(s, level)
	x, y := s.x(f.DistanceM), s.y(level)
	c.s(`<g class="rig">`)
	if len(line) > 1 {
		f.floor(c, s, line)
		f.hang(c, line)
	}
	c.s(`<path class="body" d="M`)
	c.point(x, y-3)
	c.s(`q5 7 2.4 14q-2.4 3-4.8 0q-2.6-7 2.4-14z"/><path class="tip" d="M`)
	c.point(x, y-11)
	c.s(`v9"/></g>`)
}

// floor draws the run's own bed under a rig that leans: it is along the stream that
// the rig leans, where the bed is as it is under the float, and not across it, where
// the drawing has other runs and the bank.
func (f *Float) floor(c *canvas, s scale, line []place) {
	x, end := line[0].x, line[len(line)-1].x
	if math.Abs(end-x) > beside {
		y := s.y(f.BedM)
		c.line("plumb", x, y, end+math.Copysign(beside, end-x), y)
	}
}

// hang draws the line, every weight at its place along it, and the hook at its end.
func (f *Float) hang(c *canvas, line []place) {
	c.s(`<path class="thread" d="M`)
	for i, p := range line {
		if i > 0 {
			c.s("L")
		}
		c.point(p.x, p.y)
	}
	c.s(`"/>`)
	for i, at := range f.along(line) {
		f.Weights[i].draw(c, at.x, at.y, 1.1+1.5*math.Cbrt(f.Weights[i].MassG))
	}
	hook := line[len(line)-1]
	c.s(`<path class="hook" d="M`)
	c.point(hook.x, hook.y-6)
	c.s(`v3q0 3 2.6 3q2.2 0 2.2-2.6"/>`)
}

// places are the line's points in the drawing. Line that would be under the bed
// lies on it.
func (f *Float) places(s scale, level float64) []place {
	out := make([]place, len(f.Line))
	x := s.x(f.DistanceM)
	for i, p := range f.Line {
		out[i] = place{x + p.DownstreamM*s.perM(), s.y(math.Max(level-p.DeepM, math.Min(f.BedM, level)))}
	}
	return out
}

// along gives where each of the weights is on the line in the drawing, by its share
// of the line's length from the hook. The shares are of the line as it hangs, before
// any of it is laid on the bed.
func (f *Float) along(line []place) []place {
	fromHook := make([]float64, len(f.Line))
	for i := len(f.Line) - 2; i >= 0; i-- {
		a, b := f.Line[i], f.Line[i+1]
		fromHook[i] = fromHook[i+1] + math.Hypot(b.DownstreamM-a.DownstreamM, b.DeepM-a.DeepM)
	}
	out := make([]place, len(f.Weights))
	for i, w := range f.Weights {
		out[i] = between(line, fromHook, w.AtM/f.SetM*fromHook[0])
	}
	return out
}

// between gives the place on the line m from the hook, by how far its points are.
func between(line []place, fromHook []float64, m float64) place {
	i := len(line) - 1
	for i > 1 && fromHook[i-1] < m {
		i--
	}
	a, b := line[i], line[i-1] // the lower and the upper end
	long := fromHook[i-1] - fromHook[i]
	if long <= 0 {
		return a
	}
	t := math.Min(1, math.Max(0, (m-fromHook[i])/long))
	return place{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)}
}

// olivetLong is how much longer than wide an olivette is drawn.
const olivetLong = 1.9

// draw draws a weight of radius r at a place.
func (b Bead) draw(c *canvas, x, y, r float64) {
	if b.Olivet {
		c.s(`<ellipse class="shot"`)
		c.attr("cx", x)
		c.attr("cy", y)
		c.attr("rx", r)
		c.attr("ry", r*olivetLong)
		c.s("/>")
		return
	}
	c.s(`<circle class="shot"`)
	c.attr("cx", x)
	c.attr("cy", y)
	c.attr("r", r)
	c.s("/>")
}
