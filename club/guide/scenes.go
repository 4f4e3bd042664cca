package guide

import (
	"fmt"
	"math"

	"levelpeg/club/sketch"
	"levelpeg/rig"
)

const sceneH = 196.0

func scene(title string) *sketch.Pen {
	p := sketch.New(wide, sceneH)
	p.D.Title = title
	return p
}

// bank is the ground on the left as far as x, with the river beyond it, its top at y.
func bank(p *sketch.Pen, x, y float64) {
	p.PathAt(sketch.Water, 0, 0, 1, fmt.Sprintf("M%.0f %.0fL%.0f %.0fL%.0f %.0fL%.0f %.0fZ", x-10, y, wide, y, wide, sceneH, x-10, sceneH))
	p.PathAt(sketch.Bed, 0, 0, 1, fmt.Sprintf("M0 %.0fL%.0f %.0fC%.0f %.0f %.0f %.0f %.0f %.0fL0 %.0fZ", y-14, x-14, y-14, x, y-10, x+4, y+20, x+22, sceneH, sceneH))
	p.Line(sketch.Surface, x+3, y, wide, y)
}

// figure stands with its feet at x, y; what it holds is drawn by the scene.
func figure(p *sketch.Pen, x, y, high float64) {
	k := high / 100
	p.Circle(sketch.Shell, x, y-88*k, 11*k)
	p.PathAt(sketch.Ink, x, y, k, "M0 -77L0 -36M0 -36L-11 0M0 -36L11 0")
}

func peopleDrawing() sketch.Drawing {
	p := scene("A grown-up and a child side by side on the bank, and a phone at home that knows where they are.")
	bank(p, 214, 160)
	figure(p, 120, 146, 108)
	figure(p, 168, 146, 82)
	p.Line(sketch.Ink, 120, 68, 104, 104)
	p.Line(sketch.Ink, 120, 68, 138, 100)
	p.Line(sketch.Ink, 168, 90, 156, 114)
	p.Line(sketch.Ink, 168, 90, 188, 104)
	p.Line(sketch.Ink, 184, 110, 306, 44)
	p.Path(sketch.Shell, "M14 66L46 38L78 66M20 62L20 104L72 104L72 62")
	p.Box(sketch.Shell, 36, 70, 18, 30, 4)
	p.Line(sketch.Fine, 41, 94, 49, 94)
	p.Words(sketch.Label, 46, 124, sketch.Middle, "home knows")
	p.Words(sketch.Label, 146, 178, sketch.Middle, "two of you")
	return p.D
}

// item is a thing on the mat, with its name under it.
func item(p *sketch.Pen, x, y float64, name string, draw func()) {
	draw()
	p.Words(sketch.Label, x, y, sketch.Middle, name)
}

func layOutDrawing(r rig.Rig) sketch.Drawing {
	p := sketch.New(wide, 236)
	p.D.Title = "Float, shot, hook packet, landing net, disgorger, plummet, pliers and mat laid out."
	p.Box(sketch.Shell, 2, 2, wide-4, 232, 14)
	item(p, 50, 62, "float", func() {
		shape := floatShapes[r.Pattern]
		p.PathAt(sketch.Ink, 18, 30, 1.4, shape[1])
		p.PathAt(sketch.Shell, 18, 30, 1.4, shape[0])
		p.Line(sketch.Tip, 22, 30, 33, 30)
	})
	item(p, 138, 62, "shot", func() {
		p.Circle(sketch.Shell, 138, 30, 21)
		for i, a := range []float64{0.4, 1.5, 2.6, 3.8, 5.2} {
			p.Circle(sketch.Solid, 138+12*math.Cos(a), 30+12*math.Sin(a), 3+float64(i%3))
		}
	})
	item(p, 252, 62, "hook length", func() {
		p.Box(sketch.Shell, 214, 14, 74, 32, 5)
		p.PathAt(sketch.Ink, 226, 30, 1, "M0 0L42 0C50 0 50 12 43 12C39 12 38 9 38 6")
	})
	item(p, 64, 156, "landing net", func() {
		p.Line(sketch.Ink, 10, 132, 56, 106)
		p.Ellipse(sketch.Shell, 84, 98, 30, 20)
		p.Path(sketch.Fine, "M64 86L98 112M60 94L84 116M76 80L108 104M104 84L70 110M92 80L60 102M110 92L84 116")
	})
	item(p, 178, 156, "disgorger", func() {
		p.Line(sketch.Ink, 140, 130, 214, 88)
		p.Path(sketch.Ink, "M214 88L222 90M214 88L217 80")
		p.Box(sketch.Solid, 136, 122, 18, 12, 5)
	})
	item(p, 282, 156, "plummet", func() {
		p.Path(sketch.Solid, "M282 94L296 128C296 134 268 134 268 128Z")
		p.Circle(sketch.Shell, 282, 90, 5)
	})
	item(p, 66, 224, "pliers", func() {
		p.Path(sketch.Ink, "M30 180C56 184 66 190 84 182L104 178M30 204C56 198 66 192 84 198L104 184")
		p.Circle(sketch.Solid, 72, 190, 4)
	})
	item(p, 164, 224, "mat", func() {
		p.Box(sketch.Shell, 134, 174, 76, 32, 8)
		p.Path(sketch.Fine, "M144 184C152 180 156 188 164 184C172 180 176 188 184 184C192 180 196 188 202 184M144 196C152 192 156 200 164 196C172 192 176 200 184 196C192 192 196 200 202 196")
	})
	item(p, 276, 224, "soap, plaster", func() {
		p.Box(sketch.Shell, 244, 178, 30, 26, 6)
		p.Box(sketch.Shell, 282, 184, 34, 14, 7)
		p.Box(sketch.Grey, 293, 186, 12, 10, 1)
	})
	return p.D
}

func wiresDrawing() sketch.Drawing {
	p := scene("A power line over the bank. Whoever carries a rod stays 30 metres away, with the rod taken down.")
	p.PathAt(sketch.Bed, 0, 0, 1, "M0 168L328 168L328 196L0 196Z")
	p.Path(sketch.Ink, "M58 168L58 26M34 40L82 40M40 58L76 58")
	p.Curve(sketch.Ink, 34, 40, 14, 48, 0, 50)
	p.Curve(sketch.Ink, 82, 40, 180, 66, wide, 50)
	p.Curve(sketch.Ink, 76, 58, 180, 84, wide, 68)
	p.Path(sketch.Warn, "M160 20L186 64L134 64Z")
	p.Path(sketch.Ink, "M160 20L186 64L134 64Z")
	p.Path(sketch.Solid, "M163 30L151 48L159 48L155 60L169 42L161 42Z")
	figure(p, 282, 168, 76)
	p.Line(sketch.Ink, 282, 116, 266, 132)
	p.Line(sketch.Ink, 282, 116, 298, 132)
	p.Line(sketch.Ink, 254, 136, 314, 128)
	p.Line(sketch.Ink, 256, 140, 312, 132)
	p.Line(sketch.Fine, 58, 140, 58, 152)
	p.Measure(58, 262, 146, "30 m and more")
	p.Words(sketch.Quiet, 284, 188, sketch.Middle, "rod taken down")
	return p.D
}

// staveAt is a gauge board with its top at y0, its foot at y1.
func staveAt(p *sketch.Pen, x, y0, y1 float64) {
	p.Box(sketch.Shell, x, y0, 26, y1-y0, 2)
	for y, i := y0+8, 0; y < y1-4; y, i = y+9, i+1 {
		if i%2 == 0 {
			p.Path(sketch.Solid, fmt.Sprintf("M%.1f %.1fH%.1fV%.1fH%.1fZ", x+13, y, x+26, min(y+9, y1), x+13))
		}
	}
}

func riverDrawing(w rig.Water, levelM *float64) sketch.Drawing {
	p := scene("The bank, the river's board and the water in front of it.")
	const top = 92.0
	p.PathAt(sketch.Water, 0, 0, 1, "M120 92L328 92L328 196L120 196Z")
	p.PathAt(sketch.Bed, 0, 0, 1, "M0 66L96 66C118 66 120 100 132 130C150 168 200 172 328 174L328 196L0 196Z")
	staveAt(p, 146, 44, 146)
	p.Line(sketch.Surface, 112, top, wide, top)
	p.Path(sketch.Tip, "M142 92L130 86L130 98Z")
	figure(p, 52, 66, 62)
	p.Line(sketch.Ink, 52, 24, 40, 44)
	p.Line(sketch.Ink, 52, 24, 66, 42)
	p.Upright(204, top+2, 172, fmt.Sprintf("%.2f m", w.DepthM), feet(w.DepthM))
	if levelM != nil {
		p.Words(sketch.Strong, 182, 62, sketch.Start, fmt.Sprintf("board: %.2f m", *levelM))
	} else {
		p.Words(sketch.Label, 182, 62, sketch.Start, "read the board")
	}
	p.Words(sketch.Label, 14, 88, sketch.Start, "stay here")
	if w.PaceMPS >= 0.05 {
		p.Arrow(236, 112, 236+min(20+50*w.PaceMPS, 84), 112)
	}
	return p.D
}

func packetDrawing(r rig.Rig) sketch.Drawing {
	p := scene("The hook stays in its packet.")
	p.Box(sketch.Shell, 64, 40, 200, 112, 10)
	p.Box(sketch.Grey, 64, 40, 200, 26, 8)
	p.PathAt(sketch.Ink, 104, 100, 1.5, "M0 0L50 0C62 0 62 18 52 18C46 18 44 14 44 9L47 12")
	p.Curve(sketch.Fine, 104, 100, 92, 118, 110, 136, 150, 138, 200, 136)
	p.Words(sketch.Strong, 164, 59, sketch.Middle, fmt.Sprintf("Hook size %d", r.HookSize))
	if r.ReadyTied {
		p.Words(sketch.Label, 164, 174, sketch.Middle, "tied, no barb: leave shut")
	} else {
		p.Words(sketch.Label, 164, 174, sketch.Middle, "leave it shut")
	}
	return p.D
}

func washDrawing() sketch.Drawing {
	p := scene("A plaster on a cut finger, and hands washed with soap before eating.")
	hand := "M0 60C-2 40 0 30 6 26L6 2C6 -4 14 -4 14 2L14 22L16 -6C16 -12 24 -12 24 -6L24 22L27 -2C28 -8 36 -7 35 -1L33 24L37 10C39 4 46 6 45 12L40 40C38 54 34 60 30 66L4 66Z"
	p.PathAt(sketch.Shell, 40, 74, 1.3, hand)
	p.PathAt(sketch.Grey, 40, 74, 1.3, "M15 2L25 2L25 12L15 12Z")
	p.Line(sketch.Fine, 72, 84, 104, 62)
	p.Words(sketch.Label, 106, 58, sketch.Start, "plaster")
	p.Path(sketch.Ink, "M216 40L216 24L262 24L262 48")
	p.Path(sketch.Fine, "M258 56L258 80M264 56L264 84M270 56L270 78")
	p.PathAt(sketch.Shell, 226, 98, 0.9, "M0 20C20 0 50 0 70 14C84 24 70 34 56 30L20 44C6 48 -6 34 0 20Z")
	p.Box(sketch.Shell, 206, 150, 44, 20, 6)
	p.Words(sketch.Label, 228, 188, sketch.Middle, "soap")
	p.Words(sketch.Label, 66, 188, sketch.Middle, "cut covered")
	return p.D
}

func skyDrawing() sketch.Drawing {
	p := scene("A flash, then a bang: under 30 seconds, the rod lies down and the angler goes inside.")
	p.PathAt(sketch.Bed, 0, 0, 1, "M0 168L328 168L328 196L0 196Z")
	p.Path(sketch.Grey, "M40 66C22 66 22 42 42 42C44 22 78 20 86 36C104 28 120 42 112 54C124 60 116 68 106 68Z")
	p.Path(sketch.Warn, "M78 72L58 110L74 110L60 146L98 100L80 100L92 72Z")
	p.Path(sketch.Ink, "M78 72L58 110L74 110L60 146L98 100L80 100L92 72Z")
	p.Words(sketch.Strong, 136, 36, sketch.Start, "flash? count")
	p.Words(sketch.Label, 136, 58, sketch.Start, "under 30: go in")
	p.Path(sketch.Shell, "M222 116L268 84L314 116L314 168L222 168Z")
	p.Box(sketch.Grey, 256, 126, 24, 42, 2)
	figure(p, 192, 168, 58)
	p.Line(sketch.Ink, 192, 128, 204, 142)
	p.Line(sketch.Ink, 192, 128, 182, 144)
	p.Line(sketch.Ink, 16, 172, 150, 166)
	p.Words(sketch.Quiet, 84, 188, sketch.Middle, "rod down")
	return p.D
}

func rodDrawing(r rig.Rig) sketch.Drawing {
	p := scene("The line goes from the reel through every ring to the tip.")
	p.Line(sketch.Ink, 14, 150, 314, 58)
	p.Line(sketch.Dark, 14, 150, 70, 133)
	p.Circle(sketch.Shell, 66, 152, 15)
	p.Circle(sketch.Solid, 66, 152, 4)
	pts := []float64{70, 142}
	for _, x := range []float64{112, 158, 200, 238, 270, 296, 314} {
		y := 150 - (x-14)*92/300
		rr := 7 - (x-112)/60
		p.Line(sketch.Ink, x, y, x+1, y+4)
		p.Circle(sketch.Shell, x+2, y+4+rr, rr)
		pts = append(pts, x+2, y+4+rr)
	}
	p.Curve(sketch.Ink, append(pts, 320, 104)...)
	p.Words(sketch.Label, 66, 186, sketch.Middle, "reel")
	p.Words(sketch.Label, 190, 158, sketch.Middle, "through each ring")
	p.Arrow(190, 142, 204, 116)
	p.Words(sketch.Strong, 14, 40, sketch.Start, rodWords(r))
	p.Words(sketch.Label, 14, 60, sketch.Start, fmt.Sprintf("line %.2f mm, %s", r.MainLineMM, r.MainLine))
	return p.D
}

func threadDrawing(r rig.Rig, w rig.Weight) sketch.Drawing {
	p := scene(fmt.Sprintf("The line's end goes through the hole in the %s olivette.", w.Size))
	p.Line(sketch.Ink, 0, 96, 128, 96)
	p.Ellipse(sketch.Solid, 176, 96, 48, 25)
	p.Line(sketch.Cord, 128, 96, 224, 96)
	p.Curve(sketch.Ink, 224, 96, 256, 96, 284, 104, 300, 122)
	p.Head(304, 128, 1)
	p.Words(sketch.Strong, 176, 54, sketch.Middle, w.Size)
	p.Words(sketch.Label, 4, 82, sketch.Start, "← to the float")
	p.Words(sketch.Label, 324, 152, sketch.End, "line's end")
	p.Arrow(150, 144, 76, 144)
	p.Words(sketch.Quiet, 112, 164, sketch.Middle, "slide it up")
	return p.D
}

func parkDrawing() sketch.Drawing {
	p := scene("The hook is stuck in a cork by the handle of the rod, and the line is just tight.")
	p.Line(sketch.Dark, 0, 120, 170, 120)
	p.Line(sketch.Ink, 170, 120, wide, 120)
	p.Circle(sketch.Shell, 66, 144, 20)
	p.Circle(sketch.Solid, 66, 144, 5)
	p.Box(sketch.Shell, 186, 84, 54, 28, 8)
	p.PathAt(sketch.Ink, 206, 92, 1, "M34 -34L10 -8C2 0 6 12 14 8C18 6 18 2 16 0")
	p.Line(sketch.Ink, 240, 58, wide, 24)
	p.Words(sketch.Label, 212, 142, sketch.Middle, "cork")
	p.Words(sketch.Label, 250, 34, sketch.End, "line just tight")
	p.Words(sketch.Label, 66, 184, sketch.Middle, "reel")
	return p.D
}

// column is the water from its top to the bed, with a float at x.
func column(p *sketch.Pen, top, bed float64) {
	p.Path(sketch.Water, fmt.Sprintf("M0 %.1fH%.0fV%.1fH0Z", top, wide, bed))
	p.Path(sketch.Bed, fmt.Sprintf("M0 %.1fH%.0fV%.0fH0Z", bed, wide, p.D.H))
	p.Line(sketch.Ink, 0, bed, wide, bed)
	p.Line(sketch.Surface, 0, top, wide, top)
}

// upFloat is a float that stands in the water, its tip's foot at x, y.
func upFloat(p *sketch.Pen, pattern string, x, y, by float64) {
	for i, style := range []sketch.Style{sketch.Shell, sketch.Ink} {
		ops, _ := sketch.ParsePath(floatShapes[pattern][i])
		for k := range ops {
			for j, pt := range ops[k].P {
				ops[k].P[j] = sketch.Point{X: x + by*pt.Y, Y: y + by*(pt.X-9)}
			}
		}
		p.D.Shapes = append(p.D.Shapes, sketch.Shape{Style: style, Path: ops})
	}
	p.Line(sketch.Tip, x, y-5*by, x, y+1.5*by)
}

func plumbDrawing(r rig.Rig, w rig.Water) sketch.Drawing {
	p := sketch.New(wide, 226)
	const top, bed = 44.0, 198.0
	p.D.Title = fmt.Sprintf("The float on the water with a plummet on the hook, on the bed %s below.", both(w.DepthM))
	column(p, top, bed)
	upFloat(p, r.Pattern, 84, top+2, 1)
	p.Line(sketch.Ink, 84, top+38, 84, bed-28)
	p.Path(sketch.Solid, fmt.Sprintf("M84 %.0fL94 %.0fC94 %.0f 74 %.0f 74 %.0fZ", bed-26, bed-4, bed, bed, bed-4))
	p.Curve(sketch.Fine, 84, top-6, 140, 10, wide, 4)
	p.Upright(150, top+1, bed-1, fmt.Sprintf("%.2f m", w.DepthM), feet(w.DepthM))
	p.Words(sketch.Label, 10, bed+20, sketch.Start, "plummet on the bed")
	p.Words(sketch.Label, 60, 26, sketch.End, "tip")
	p.Line(sketch.Fine, 62, 24, 78, 36)
	return p.D
}

func setDrawing(r rig.Rig, w rig.Water) sketch.Drawing {
	d := layRig(r, 168, fmt.Sprintf("The float stands %s from the hook.", both(r.SetM)), nil, true, false)
	d.p.Measure(d.x(r.SetM), hookX, 132, fmt.Sprintf("%.2f m = %s", r.SetM, feet(r.SetM)))
	return d.p.D
}

func dotDrawing(r rig.Rig) sketch.Drawing {
	p := scene("Three floats: the first shows too much, the second just its tip, the third is under.")
	const top = 84.0
	p.Path(sketch.Water, fmt.Sprintf("M0 %.0fH%.0fV%.0fH0Z", top, wide, sceneH))
	for i, f := range []struct {
		x, y        float64
		word, below string
	}{{56, top - 26, "too high", "add"}, {164, top - 1, "right", "tip shows"}, {272, top + 14, "too low", "take off"}} {
		upFloat(p, r.Pattern, f.x, f.y, 1.3)
		p.Words(sketch.Strong, f.x, 28, sketch.Middle, f.word)
		p.Words(sketch.Label, f.x, 180, sketch.Middle, f.below)
		if i == 1 {
			p.Box(sketch.Dash, f.x-58, 8, 116, 184, 16)
		}
	}
	p.Line(sketch.Surface, 0, top, wide, top)
	return p.D
}

// hookShape is a big hook with its point up.
const hookShape = "M0 -60L0 24C0 56 44 56 44 26L44 10L36 20"

func baitDrawing(bait string) sketch.Drawing {
	p := scene("A hook with " + bait + " on it, and its point free.")
	p.PathAt(sketch.Ink, 130, 96, 1.1, hookShape)
	p.Line(sketch.Ink, 130, 30, 130, 0)
	maggot := "M0 0C4 -9 22 -12 34 -6C42 -2 42 6 34 9C20 14 4 10 0 0Z"
	switch bait {
	case "single maggot", "double maggot", "maggot bunch":
		n := map[string]int{"single maggot": 1, "double maggot": 2, "maggot bunch": 4}[bait]
		for i := range n {
			p.PathAt(sketch.Shell, 140-float64(i%2)*52, 118+float64(i)*9, 1, maggot)
		}
	case "redworm":
		p.Curve(sketch.Cord, 118, 60, 142, 72, 122, 96, 140, 118, 128, 142, 156, 156, 196, 148)
	case "bread flake":
		p.Path(sketch.Shell, "M118 110C104 104 104 130 116 132C112 150 140 160 148 148C160 160 180 146 170 134C182 124 168 108 158 114C152 100 126 98 118 110Z")
		p.PathAt(sketch.Ink, 130, 96, 1.1, "M44 26L44 10L36 20")
	case "luncheon meat":
		p.Path(sketch.Shell, "M108 116L150 108L166 122L166 158L124 166L108 152ZM108 116L124 130L166 122M124 130L124 166")
		p.PathAt(sketch.Ink, 130, 96, 1.1, "M44 26L44 10L36 20")
	case "caster", "hemp":
		p.Ellipse(sketch.Shell, 150, 142, 30, 14)
	default:
		p.Ellipse(sketch.Shell, 152, 142, 24, 20)
	}
	p.Words(sketch.Label, 208, 92, sketch.Start, "point free")
	p.Line(sketch.Fine, 204, 92, 186, 104)
	p.Words(sketch.Strong, 208, 174, sketch.Start, bait)
	return p.D
}

func castDrawing(r rig.Rig) sketch.Drawing {
	p := scene("The rig flies out low over the water, weights first, the float after, and a finger slows the line.")
	bank(p, 90, 158)
	figure(p, 52, 144, 96)
	p.Line(sketch.Ink, 52, 74, 74, 92)
	p.Line(sketch.Ink, 52, 74, 66, 100)
	p.Line(sketch.Ink, 62, 100, 168, 46)
	p.Curve(sketch.Fine, 168, 46, 206, 66, 236, 84)
	p.Curve(sketch.Fine, 236, 84, 268, 104, 300, 134)
	p.PathAt(sketch.Shell, 232, 76, 0.6, "M0 0L20 10L16 18L-2 6Z")
	p.Line(sketch.Tip, 228, 76, 234, 79)
	for i, at := range []float64{0.3, 0.6, 0.95} {
		p.Circle(sketch.Solid, 244+50*at, 90+42*at, 5-float64(i))
	}
	how := "smooth and low"
	if r.Pattern == "waggler" {
		how = "overhead"
	}
	p.Curve(sketch.Dash, 176, 24, 240, 40, 296, 92)
	p.Words(sketch.Label, 190, 20, sketch.Start, how)
	p.Words(sketch.Label, 104, 138, sketch.Start, "finger on spool")
	p.Line(sketch.Fine, 106, 124, 76, 102)
	return p.D
}

// holdDrawing is the rig hanging in the water it was made for, held back, to scale.
func holdDrawing(r rig.Rig, w rig.Water) sketch.Drawing {
	p := sketch.New(wide, 226)
	const top, bed = 46.0, 204.0
	p.D.Title = "The float from the bank, its line slanting down to the bait by the bed, the river going to the right."
	column(p, top, bed)
	by := (bed - top - 3) / w.DepthM
	shape, err := rig.HangAt(r, w, r.HoldBack)
	x0 := 150.0
	if err == nil && len(shape.Points) > 1 {
		last := shape.Points[len(shape.Points)-1]
		x0 = min(max(164-last.XM*by/2, 60), 268)
		var xy []float64
		for _, pt := range shape.Points {
			xy = append(xy, min(max(x0+pt.XM*by, 4), wide-4), top+min(pt.ZM*by, bed-top-2))
		}
		p.Line(sketch.Ink, xy...)
		hx, hy := xy[len(xy)-2], xy[len(xy)-1]
		for _, one := range r.Weights {
			if one.Role == rig.Lock {
				continue
			}
			for _, at := range one.Positions() {
				x, y := alongLine(xy, at/r.SetM)
				p.Circle(sketch.Solid, x, y, 1.6+2.4*math.Cbrt(one.EachG))
			}
		}
		p.PathAt(sketch.Ink, hx, hy-3, 0.8, "M0 0C0 6 8 6 8 0")
	}
	upFloat(p, r.Pattern, x0, top-1, 0.8)
	p.Curve(sketch.Fine, x0, top-6, x0-40, 12, 0, 2)
	p.Arrow(250, 70, 250+min(20+50*w.PaceMPS, 70), 70)
	p.Words(sketch.Label, 250, 92, sketch.Start, "river")
	p.Words(sketch.Label, 8, 34, sketch.Start, "line to the rod")
	return p.D
}

// alongLine is the place a share of the way up a line from its last point.
func alongLine(xy []float64, share float64) (x, y float64) {
	long := 0.0
	for i := 2; i < len(xy); i += 2 {
		long += math.Hypot(xy[i]-xy[i-2], xy[i+1]-xy[i-1])
	}
	left := share * long
	for i := len(xy) - 2; i >= 2; i -= 2 {
		d := math.Hypot(xy[i]-xy[i-2], xy[i+1]-xy[i-1])
		if left <= d && d > 0 {
			t := left / d
			return xy[i] + t*(xy[i-2]-xy[i]), xy[i+1] + t*(xy[i-1]-xy[i+1])
		}
		left -= d
	}
	return xy[0], xy[1]
}

func biteDrawing(r rig.Rig) sketch.Drawing {
	p := scene("Three bites: the float goes under, it lifts, it stops.")
	const top = 84.0
	p.Path(sketch.Water, fmt.Sprintf("M0 %.0fH%.0fV%.0fH0Z", top, wide, sceneH))
	upFloat(p, r.Pattern, 56, top+22, 1.1)
	p.Arrow(86, top+8, 86, top+46)
	upFloat(p, r.Pattern, 164, top-24, 1.1)
	p.Arrow(194, top+10, 194, top-28)
	upFloat(p, r.Pattern, 264, top-2, 1.1)
	p.Line(sketch.Ink, 286, top-26, 286, top+20)
	p.Arrow(316, top-20, 290, top-20)
	p.Line(sketch.Surface, 0, top, wide, top)
	for i, word := range []string{"under", "lifts", "stops"} {
		p.Words(sketch.Strong, []float64{54, 164, 280}[i], 184, sketch.Middle, word)
	}
	return p.D
}

func strikeDrawing(r rig.Rig) sketch.Drawing {
	p := scene("The rod is swept up, and to the side for a float with its line sunk.")
	bank(p, 96, 160)
	figure(p, 58, 146, 96)
	p.Line(sketch.Ink, 58, 76, 80, 94)
	p.Line(sketch.Ink, 58, 76, 70, 102)
	p.Line(sketch.Faint, 68, 102, 204, 120)
	if r.Pattern == "waggler" {
		p.Line(sketch.Ink, 68, 102, 196, 74)
		p.Curve(sketch.Dash, 212, 118, 216, 98, 206, 80)
		p.Head(204, 76, -2)
		p.Words(sketch.Label, 222, 84, sketch.Start, "low, to the side")
		p.Line(sketch.Fine, 196, 74, 290, 172)
		return p.D
	}
	p.Curve(sketch.Ink, 68, 102, 110, 58, 160, 24, 184, 18)
	p.Curve(sketch.Dash, 212, 116, 216, 76, 200, 36)
	p.Head(196, 28, -2)
	p.Words(sketch.Label, 224, 76, sketch.Start, "up and back")
	p.Line(sketch.Fine, 184, 18, 280, 160)
	upFloat(p, r.Pattern, 282, 160, 0.6)
	return p.D
}

const fishShape = "M0 0C20 -22 66 -24 96 -4L118 -18L114 2L120 20L96 8C66 26 20 22 0 0Z"

func fish(p *sketch.Pen, x, y, by float64) {
	p.PathAt(sketch.Shell, x, y, by, fishShape)
	p.Circle(sketch.Solid, x+16*by, y-3*by, 2.6*by)
	p.PathAt(sketch.Fine, x, y, by, "M30 -14C36 -4 36 4 30 13M54 -18C60 -26 74 -24 78 -16")
}

func netDrawing() sketch.Drawing {
	p := scene("The net lies still in the water, and the fish is drawn over it.")
	p.Path(sketch.Water, "M0 74H328V196H0Z")
	p.Line(sketch.Ink, 0, 40, 120, 106)
	p.Ellipse(sketch.Shell, 178, 122, 64, 26)
	p.Path(sketch.Ink, "M114 124C120 176 236 176 242 124")
	p.Path(sketch.Fine, "M130 140C150 160 206 160 226 140M150 146L158 164M178 150L178 166M206 146L198 164")
	fish(p, 176, 104, 0.8)
	p.Line(sketch.Ink, 176, 102, 120, 0)
	p.Line(sketch.Surface, 0, 74, wide, 74)
	p.Arrow(312, 132, 262, 128)
	p.Words(sketch.Label, 324, 158, sketch.End, "fish")
	p.Words(sketch.Label, 8, 186, sketch.Start, "the net stays still")
	return p.D
}

func unhookDrawing() sketch.Drawing {
	p := scene("The fish on a wet mat, the disgorger slid down the tight line to the hook.")
	p.Box(sketch.Shell, 20, 108, 288, 74, 16)
	fish(p, 84, 140, 1.5)
	p.Line(sketch.Ink, 86, 138, 14, 46)
	p.Line(sketch.Ink, 40, 60, 92, 136)
	p.Box(sketch.Solid, 28, 42, 18, 24, 6)
	p.Words(sketch.Label, 64, 52, sketch.Start, "disgorger down the line")
	p.Words(sketch.Label, 300, 100, sketch.End, "wet hands, wet mat")
	return p.D
}

func fingerDrawing() sketch.Drawing {
	p := scene("A hook in a finger. Nobody pulls: the line is cut.")
	p.PathAt(sketch.Shell, 40, 112, 1, "M0 -24L180 -24C216 -24 216 24 180 24L0 24")
	p.Path(sketch.Fine, "M236 104C244 108 244 116 236 120M130 92C134 98 134 106 130 112M142 92C146 98 146 106 142 112")
	p.PathAt(sketch.Ink, 164, 84, 0.9, "M0 -48L0 20C0 44 34 44 34 22L34 12")
	p.Line(sketch.Ink, 164, 41, 216, 22)
	p.Path(sketch.Ink, "M256 10L208 34M260 34L212 12")
	p.Circle(sketch.Shell, 264, 7, 7)
	p.Circle(sketch.Shell, 268, 38, 7)
	p.Words(sketch.Label, 282, 28, sketch.Start, "cut")
	p.Path(sketch.Dark, "M28 152L60 184M60 152L28 184")
	p.Words(sketch.Strong, 76, 175, sketch.Start, "Do not pull")
	return p.D
}

func awayDrawing() sketch.Drawing {
	p := scene("The hook in its packet, the float in its tube, the rod taken down, the waste line in a bag.")
	p.Box(sketch.Shell, 18, 30, 78, 48, 6)
	p.PathAt(sketch.Ink, 34, 52, 1, "M0 0L34 0C42 0 42 12 35 12C31 12 30 9 30 6")
	p.Words(sketch.Label, 57, 100, sketch.Middle, "1 hook")
	p.Box(sketch.Shell, 122, 36, 94, 34, 17)
	p.Line(sketch.Ink, 158, 53, 200, 53)
	p.Ellipse(sketch.Shell, 156, 53, 14, 7)
	p.Line(sketch.Tip, 134, 53, 144, 53)
	p.Words(sketch.Label, 169, 100, sketch.Middle, "2 float")
	p.Line(sketch.Ink, 238, 44, 312, 44)
	p.Line(sketch.Ink, 238, 56, 312, 56)
	p.Line(sketch.Ink, 238, 68, 312, 68)
	p.Box(sketch.Solid, 256, 38, 6, 36, 2)
	p.Box(sketch.Solid, 290, 38, 6, 36, 2)
	p.Words(sketch.Label, 275, 100, sketch.Middle, "3 rod, down")
	p.Path(sketch.Shell, "M64 128L120 128L126 176C110 184 74 184 58 176Z")
	p.Curve(sketch.Fine, 78, 150, 92, 140, 104, 152, 90, 164, 80, 156, 98, 148)
	p.Words(sketch.Label, 142, 160, sketch.Start, "4 litter, home")
	return p.D
}
