package guide

import (
	"levelpeg/club/sketch"
)

// Knot is how a knot is tied, or a shot set, step by step. All of it is common practice,
// no source; the drawings are our own.
type Knot struct {
	Key, Name, For string
	Adult          bool // a grown-up ties it: the hook is bare
	Steps          []KnotStep
}

// KnotStep is one move of a knot.
type KnotStep struct {
	Do   string
	Draw sketch.Drawing
}

// Knots are the knots there are.
func Knots() []Knot {
	return []Knot{shotKnot(), loopKnot(), joinKnot(), stopKnot(), spadeKnot(), eyedKnot()}
}

// KnotOf finds a knot by its key.
func KnotOf(key string) (Knot, bool) {
	for _, k := range Knots() {
		if k.Key == key {
			return k, true
		}
	}
	return Knot{}, false
}

const knotH = 168.0

// move starts the drawing of a knot's step.
func move(title string) *sketch.Pen {
	p := sketch.New(wide, knotH)
	p.D.Title = title
	return p
}

func step(do string, p *sketch.Pen) KnotStep {
	p.D.Title = do
	return KnotStep{Do: do, Draw: p.D}
}

// lastOf is a knot's last drawings but one and last, one over the other, for a step of a
// guide: how it is laid, and what it looks like when it is done.
func lastOf(k Knot) sketch.Drawing {
	n := len(k.Steps)
	laid, done := k.Steps[n-2].Draw, k.Steps[n-1].Draw
	const down, high = 116, 252
	p := sketch.New(wide, high)
	p.D.Title = k.Name + ". " + k.Steps[n-2].Do + " " + k.Steps[n-1].Do
	p.D.Shapes = append(p.D.Shapes, laid.Shapes...)
	for _, s := range done.Shapes {
		p.D.Shapes = append(p.D.Shapes, lowered(s, down))
	}
	return p.D
}

func lowered(s sketch.Shape, by float64) sketch.Shape {
	ops := make([]sketch.Op, len(s.Path))
	for i, op := range s.Path {
		ops[i] = op
		for j := range op.P {
			ops[i].P[j].Y += by
		}
	}
	s.Path = ops
	s.At.Y += by
	return s
}

// loopKnot is the figure of eight loop, tied in the doubled end of the line.
func loopKnot() Knot {
	k := Knot{Key: "loop", Name: "A loop in the line", For: "The hook length hangs on it. It is a figure of eight, tied in doubled line."}
	p := move("")
	p.Line(sketch.Cord, 0, 70, 236, 70)
	p.Curve(sketch.Cord, 96, 98, 150, 98, 236, 98)
	p.Curve(sketch.Cord, 236, 70, 256, 74, 262, 84, 256, 94, 236, 98)
	p.Words(sketch.Label, 4, 52, sketch.Start, "line")
	p.Words(sketch.Label, 90, 124, sketch.Middle, "short end")
	p.Words(sketch.Label, 258, 122, sketch.Middle, "fold")
	k.Steps = append(k.Steps, step("Fold the end back, so that the line is double.", p))

	double := func(p *sketch.Pen, xy ...float64) { p.Curve(sketch.Dark, xy...) }
	p = move("")
	double(p, 0, 92, 90, 92, 150, 96, 196, 78, 186, 44, 146, 40, 122, 66)
	double(p, 122, 66, 108, 92, 96, 126)
	p.Curve(sketch.Cord, 96, 126, 88, 140, 78, 142, 76, 132, 84, 118)
	p.Words(sketch.Label, 4, 78, sketch.Start, "both lines")
	p.Words(sketch.Label, 104, 152, sketch.Start, "the fold")
	p.Arrow(212, 30, 168, 30)
	k.Steps = append(k.Steps, step("Bend the double line back over itself, to make a ring.", p))

	p = move("")
	double(p, 122, 60, 106, 96, 84, 128, 54, 128, 40, 104)
	p.Curve(sketch.Cord, 0, 92, 40, 92, 90, 92)
	double(p, 0, 92, 90, 92, 150, 96, 196, 78, 186, 44, 146, 40, 122, 60)
	double(p, 40, 104, 38, 84, 46, 66, 70, 60)
	p.Curve(sketch.Cord, 70, 60, 84, 56, 88, 46, 78, 40, 66, 46, 62, 58)
	p.Arrow(92, 38, 138, 58)
	p.Words(sketch.Label, 200, 132, sketch.Start, "behind, then")
	p.Words(sketch.Label, 200, 150, sketch.Start, "in at the ring")
	k.Steps = append(k.Steps, step("Bring the fold round behind both lines, then put it in at the ring.", p))

	p = move("")
	double(p, 0, 84, 96, 84)
	p.Curve(sketch.Dark, 96, 72, 112, 100)
	p.Curve(sketch.Dark, 112, 70, 130, 100)
	p.Curve(sketch.Dark, 130, 72, 144, 96)
	p.Ellipse(sketch.Shell, 120, 84, 28, 19)
	p.Curve(sketch.Ink, 100, 74, 118, 90, 138, 98)
	p.Curve(sketch.Ink, 112, 66, 124, 84, 146, 92)
	p.Curve(sketch.Ink, 98, 96, 112, 88, 130, 68)
	p.Curve(sketch.Cord, 146, 84, 176, 74, 214, 70, 236, 76, 242, 84, 236, 92, 214, 98, 176, 94, 146, 84)
	p.Words(sketch.Label, 214, 126, sketch.Middle, "loop")
	p.Words(sketch.Label, 120, 50, sketch.Middle, "wet it, pull slowly")
	k.Steps = append(k.Steps, step("Wet it, and pull slowly. Cut the short end.", p))
	return k
}

// joinKnot is loop to loop.
func joinKnot() Knot {
	k := Knot{Key: "join", Name: "Loop to loop", For: "It joins the hook length to the line, and comes off again with no cutting."}
	line := func(p *sketch.Pen) { p.Line(sketch.Cord, 0, 72, 60, 72) }
	p := move("")
	line(p)
	p.Curve(sketch.Cord, 60, 72, 90, 52, 140, 50, 160, 72, 140, 94, 90, 92, 60, 72)
	p.Curve(sketch.Dark, 300, 72, 230, 72)
	p.Curve(sketch.Dark, 230, 72, 210, 56, 190, 60, 184, 72, 190, 84, 210, 88, 230, 72)
	p.Words(sketch.Label, 66, 40, sketch.Middle, "line's loop")
	p.Words(sketch.Label, 248, 48, sketch.Middle, "hook length")
	p.Words(sketch.Label, 324, 104, sketch.End, "hook →")
	k.Steps = append(k.Steps, step("Hold the two loops nose to nose.", p))

	p = move("")
	p.Curve(sketch.Dark, 128, 72, 100, 58, 84, 64, 84, 80, 100, 88, 128, 72)
	line(p)
	p.Curve(sketch.Cord, 60, 72, 90, 46, 150, 42, 182, 72)
	p.Curve(sketch.Cord, 182, 72, 150, 102, 90, 98, 60, 72)
	p.Curve(sketch.Dark, 84, 74, 76, 64, 90, 54, 112, 64, 128, 72)
	p.Curve(sketch.Dark, 128, 72, 170, 76, 214, 96, 240, 120)
	p.Words(sketch.Label, 226, 66, sketch.Start, "line's loop")
	p.Words(sketch.Label, 226, 84, sketch.Start, "goes in")
	p.Words(sketch.Label, 196, 138, sketch.End, "hook length")
	k.Steps = append(k.Steps, step("Put the line's loop through the loop of the hook length.", p))

	p = move("")
	line(p)
	p.Curve(sketch.Dark, 118, 56, 104, 58, 100, 72, 104, 86, 118, 88)
	p.Curve(sketch.Cord, 60, 72, 84, 54, 130, 52, 178, 58, 190, 72, 178, 86, 130, 92, 84, 90, 60, 72)
	p.Curve(sketch.Dark, 118, 56, 134, 60, 144, 72)
	p.Curve(sketch.Dark, 118, 88, 134, 84, 144, 72)
	p.Curve(sketch.Dark, 144, 72, 166, 74, 210, 72, 250, 100, 236, 138, 196, 136, 172, 104)
	p.Head(170, 100, -2.1)
	p.Words(sketch.Label, 324, 40, sketch.End, "the hook goes")
	p.Words(sketch.Label, 324, 58, sketch.End, "round and in")
	k.Steps = append(k.Steps, step("Now bring the hook round, and in at the line's loop. Pull all of it through.", p))

	p = move("")
	p.Line(sketch.Cord, 0, 72, 96, 72)
	p.Curve(sketch.Cord, 96, 72, 116, 58, 148, 60, 158, 72)
	p.Curve(sketch.Dark, 220, 72, 196, 58, 148, 58, 138, 72, 148, 86, 196, 86, 220, 72)
	p.Curve(sketch.Cord, 158, 72, 148, 84, 116, 86, 96, 72)
	p.Line(sketch.Dark, 220, 72, 300, 72)
	p.Words(sketch.Label, 148, 42, sketch.Middle, "like two hands")
	p.Words(sketch.Label, 4, 56, sketch.Start, "line")
	p.Words(sketch.Label, 324, 56, sketch.End, "hook →")
	k.Steps = append(k.Steps, step("Wet it, and pull until the loops hold each other.", p))
	return k
}

// split draws a shot from its side with its split open or shut, with the line in it.
func split(p *sketch.Pen, x, y, r float64, open bool) {
	p.Circle(sketch.Solid, x, y, r)
	if open {
		p.PathAt(sketch.Shell, x, y, r/20, "M0 4L-9 -21L9 -21Z")
		return
	}
	p.Line(sketch.Cord, x, y-r-1, x, y+2)
}

// shotKnot is how a shot is set and moved.
func shotKnot() Knot {
	k := Knot{Key: "shot", Name: "Put on a shot", For: "A shot has a split. It holds by its grip alone."}
	p := move("")
	split(p, 164, 86, 36, true)
	p.Curve(sketch.Ink, 40, 24, 110, 30, 152, 42)
	p.Head(156, 43, 0.2)
	p.Words(sketch.Label, 14, 20, sketch.Start, "thumb nail")
	p.Words(sketch.Label, 216, 60, sketch.Start, "split")
	p.Line(sketch.Fine, 212, 56, 176, 64)
	k.Steps = append(k.Steps, step("Open the split with your nail, if it is shut.", p))

	p = move("")
	split(p, 164, 86, 36, true)
	p.Line(sketch.Dark, 20, 86, 128, 86)
	p.Line(sketch.Dark, 200, 86, 308, 86)
	p.Ellipse(sketch.Dark, 164, 88, 3, 3)
	p.Arrow(164, 12, 164, 62)
	p.Words(sketch.Label, 180, 24, sketch.Start, "line in here")
	k.Steps = append(k.Steps, step("Lay the line in the split, right to the bottom of it.", p))

	p = move("")
	p.Line(sketch.Dark, 20, 86, 308, 86)
	p.Circle(sketch.Solid, 164, 86, 32)
	p.Line(sketch.Shell, 164, 54, 164, 70)
	p.Box(sketch.Shell, 140, -40, 48, 98, 24)
	p.Box(sketch.Fine, 150, 24, 28, 26, 10)
	p.Box(sketch.Shell, 142, 114, 44, 90, 22)
	p.Words(sketch.Label, 204, 36, sketch.Start, "thumb")
	p.Words(sketch.Label, 204, 146, sketch.Start, "finger")
	k.Steps = append(k.Steps, step("Squeeze gently with thumb and finger. Never use your teeth.", p))

	p = move("")
	p.Line(sketch.Dark, 20, 86, 308, 86)
	p.Circle(sketch.Grey, 104, 86, 26)
	p.Circle(sketch.Solid, 218, 86, 26)
	p.Curve(sketch.Fine, 104, 52, 160, 28, 206, 50)
	p.Head(210, 54, 0.8)
	p.Words(sketch.Label, 160, 20, sketch.Middle, "open it, then set it again")
	p.Words(sketch.Label, 160, 148, sketch.Middle, "just a bit? slide it")
	k.Steps = append(k.Steps, step("To move it far, open it and set it again. A shot that is dragged hurts the line.", p))
	return k
}

// turns draws a line wound n times round a bar, and where it ends.
func turns(p *sketch.Pen, x, y, step, half float64, n int) {
	for i := range n {
		at := x + step*float64(i)
		p.Curve(sketch.Dark, at-step*0.35, y+half, at-step*0.1, y, at+step*0.35, y-half)
	}
}

// stopKnot is a float stop, tied on the line with a bit of its own.
func stopKnot() Knot {
	k := Knot{Key: "stop", Name: "A float stop", For: "It marks a depth on the line, or stops a float that slides. It goes through the rod rings."}
	p := move("")
	p.Line(sketch.Cord, 0, 96, wide, 96)
	p.Curve(sketch.Dark, 70, 112, 150, 112, 236, 112, 252, 92, 236, 60, 120, 52, 84, 70)
	p.Words(sketch.Label, 4, 80, sketch.Start, "reel line")
	p.Words(sketch.Label, 164, 40, sketch.Middle, "10 cm of other line")
	k.Steps = append(k.Steps, step("Lay a short bit of line along the reel line, and bend it back in a loop.", p))

	p = move("")
	p.Line(sketch.Cord, 0, 96, wide, 96)
	p.Line(sketch.Dark, 70, 110, 240, 110)
	p.Curve(sketch.Dark, 240, 110, 256, 96, 244, 66, 120, 56, 92, 74)
	turns(p, 120, 98, 24, 22, 4)
	p.Curve(sketch.Dark, 200, 76, 214, 70, 232, 68, 270, 46)
	p.Head(274, 44, -0.5)
	p.Words(sketch.Label, 160, 150, sketch.Middle, "four turns, inside the loop")
	k.Steps = append(k.Steps, step("Wind the end four times round both, inside the loop.", p))

	p = move("")
	p.Line(sketch.Cord, 0, 90, wide, 90)
	turns(p, 132, 90, 15, 12, 5)
	p.Curve(sketch.Dark, 124, 100, 104, 112, 90, 112)
	p.Curve(sketch.Dark, 204, 80, 222, 70, 238, 70)
	p.Words(sketch.Label, 160, 52, sketch.Middle, "wet it, pull both ends")
	p.Words(sketch.Label, 160, 138, sketch.Middle, "leave 1 cm at each end")
	k.Steps = append(k.Steps, step("Wet it and pull both ends. Leave the ends long, so that they fold in the rings.", p))
	return k
}

// bigHook draws a hook's shank to the left with its bend at the right.
func bigHook(p *sketch.Pen, eye bool) {
	p.Path(sketch.Ink, "M74 92L232 92C284 92 284 146 240 146C226 146 220 138 220 128L226 136")
	if eye {
		p.Circle(sketch.Shell, 66, 92, 9)
		return
	}
	p.Path(sketch.Solid, "M74 84L86 90L86 94L74 100Z")
}

// spadeKnot ties a hook whose shank ends in a spade.
func spadeKnot() Knot {
	k := Knot{Key: "spade", Name: "A spade-end hook", For: "A spade-end hook has no ring: its shank ends flat.", Adult: true}
	p := move("")
	bigHook(p, false)
	p.Curve(sketch.Dark, 0, 80, 80, 82, 200, 82, 224, 66, 200, 46, 130, 48, 112, 76)
	p.Words(sketch.Label, 4, 66, sketch.Start, "line")
	p.Words(sketch.Label, 180, 32, sketch.Middle, "loop")
	p.Words(sketch.Label, 60, 122, sketch.Middle, "spade")
	k.Steps = append(k.Steps, step("Lay the line along the shank, and make a loop.", p))

	p = move("")
	bigHook(p, false)
	p.Line(sketch.Dark, 0, 82, 96, 84)
	turns(p, 104, 92, 14, 13, 7)
	p.Curve(sketch.Dark, 188, 80, 214, 62, 232, 40)
	p.Head(234, 36, -1)
	p.Words(sketch.Label, 146, 60, sketch.Middle, "seven turns")
	k.Steps = append(k.Steps, step("Wind the end seven times round shank and line, away from the spade.", p))

	p = move("")
	bigHook(p, false)
	p.Line(sketch.Dark, 0, 82, 96, 84)
	turns(p, 104, 92, 14, 13, 7)
	p.Curve(sketch.Dark, 190, 80, 220, 64, 244, 74, 226, 92, 196, 78)
	p.Arrow(262, 40, 232, 72)
	p.Words(sketch.Label, 252, 30, sketch.Middle, "in here")
	k.Steps = append(k.Steps, step("Put the end through the loop.", p))

	p = move("")
	bigHook(p, false)
	p.Line(sketch.Dark, 0, 88, 84, 88)
	turns(p, 90, 92, 10, 10, 7)
	p.Line(sketch.Dark, 160, 84, 178, 78)
	p.Words(sketch.Label, 120, 60, sketch.Middle, "pull, push it up")
	k.Steps = append(k.Steps, step("Wet it, pull both ends, and push the turns up to the spade. Cut the end.", p))
	return k
}

// eyedKnot ties a hook with an eye: the tucked half blood.
func eyedKnot() Knot {
	k := Knot{Key: "eyed", Name: "A hook with an eye", For: "An eyed hook has a ring at the end of its shank. Its eye is to the right here.", Adult: true}
	hook := func(p *sketch.Pen) {
		p.Circle(sketch.Shell, 262, 84, 11)
		p.Path(sketch.Ink, "M273 84L328 84")
	}
	p := move("")
	p.Curve(sketch.Dark, 262, 84, 244, 106, 190, 108, 120, 108)
	hook(p)
	p.Curve(sketch.Dark, 0, 72, 150, 72, 240, 74, 262, 84)
	p.Words(sketch.Label, 4, 56, sketch.Start, "line")
	p.Words(sketch.Label, 120, 130, sketch.Middle, "end")
	p.Words(sketch.Label, 322, 112, sketch.End, "hook")
	k.Steps = append(k.Steps, step("Put the end through the eye.", p))

	p = move("")
	p.Curve(sketch.Dark, 262, 84, 246, 100, 226, 102, 210, 84)
	hook(p)
	p.Curve(sketch.Cord, 0, 80, 90, 80, 210, 80, 248, 76, 262, 84)
	turns(p, 108, 80, 24, 15, 5)
	p.Curve(sketch.Dark, 98, 95, 84, 112, 90, 128)
	p.Words(sketch.Label, 160, 48, sketch.Middle, "five turns")
	k.Steps = append(k.Steps, step("Wind it five times round the line.", p))

	p = move("")
	p.Curve(sketch.Dark, 262, 84, 250, 104, 226, 104, 208, 82)
	hook(p)
	p.Curve(sketch.Cord, 0, 80, 90, 80, 210, 80, 248, 70, 262, 84)
	turns(p, 108, 80, 24, 15, 5)
	p.Curve(sketch.Dark, 98, 95, 92, 122, 150, 132, 216, 122, 238, 88, 226, 52, 190, 38)
	p.Curve(sketch.Dark, 190, 38, 150, 34, 128, 46, 120, 58)
	p.Words(sketch.Label, 254, 40, sketch.Start, "1 in by")
	p.Words(sketch.Label, 254, 57, sketch.Start, "the eye")
	p.Words(sketch.Label, 20, 150, sketch.Start, "2 back through the big loop")
	p.Line(sketch.Fine, 104, 136, 112, 122)
	k.Steps = append(k.Steps, step("Put the end in by the eye, then back through the big loop you just made.", p))

	p = move("")
	hook(p)
	p.Line(sketch.Cord, 0, 84, 250, 84)
	turns(p, 182, 84, 14, 12, 5)
	p.Line(sketch.Dark, 178, 74, 162, 58)
	p.Words(sketch.Label, 150, 126, sketch.Middle, "wet it, pull slowly")
	k.Steps = append(k.Steps, step("Wet it, and pull slowly until the turns sit tight. Cut the end.", p))
	return k
}
