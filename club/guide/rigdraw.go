package guide

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"levelpeg/club/sketch"
	"levelpeg/rig"
)

// A guide's drawings are as wide as the narrowest phone's page, so that a length in them
// is a pixel there.
const (
	wide   = 328.0
	eyeX   = 46.0  // where the float stops and its line begins
	hookX  = 314.0 // and where that ends
	lineY  = 52.0
	closeY = 158.0
)

// piece is one single weight of a rig.
type piece struct {
	w   rig.Weight
	of  int // which weight of the rig it belongs to
	atM float64
	x   float64
	y   float64
	rx  float64
	ry  float64
}

// pieces are all the single weights of a rig, from the hook up, laid where they belong:
// across by their distance, and beside the line where one would lie over another.
func pieces(r rig.Rig, x func(m float64) float64) []piece {
	var out []piece
	for i, w := range r.Weights {
		for _, at := range w.Positions() {
			p := piece{w: w, of: i, atM: at, x: x(at), y: lineY}
			p.rx = 1.7 + 2.9*math.Cbrt(w.EachG)
			p.ry = p.rx
			if w.Kind == rig.Olivette {
				p.rx *= 1.9
			}
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b piece) int { return cmp.Compare(a.atM, b.atM) })
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	// The biggest take the line itself.
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(out[b].ry, out[a].ry) })
	var laid []piece
	for _, i := range order {
		out[i] = out[i].clear(laid)
		laid = append(laid, out[i])
	}
	return out
}

// clear moves a piece off the line, up and down by turns, until it lies over none.
func (p piece) clear(laid []piece) piece {
	for off := 0.0; ; off += 0.5 {
		for _, y := range []float64{lineY - off, lineY + off} {
			try := p
			try.y = y
			if !slices.ContainsFunc(laid, try.over) {
				return try
			}
		}
	}
}

func (p piece) over(o piece) bool {
	const edge = 0.3
	return math.Abs(p.x-o.x) < p.rx+o.rx-edge && math.Abs(p.y-o.y) < p.ry+o.ry-edge
}

// rigDrawing is a whole rig laid out on a table, to scale along its line but for the
// sizes of float, shot and hook; the weights that hand picks are dark and ringed, the
// rest are faint, with how far they are from the loop and from the hook.
type rigDrawing struct {
	r     rig.Rig
	p     *sketch.Pen
	parts []piece
	hand  func(i int) bool // which weights are in hand; none: all are shown alike
	float bool             // the float is in hand
	hook  bool             // the hook length is
}

func (d *rigDrawing) x(m float64) float64 { return hookX - m/d.r.SetM*(hookX-eyeX) }

// layRig draws the rig itself, and says where the weights in hand lie.
func layRig(r rig.Rig, h float64, title string, hand func(i int) bool, float, hook bool) *rigDrawing {
	d := &rigDrawing{r: r, p: sketch.New(wide, h), hand: hand, float: float, hook: hook}
	d.p.D.Title = title
	d.parts = pieces(r, d.x)
	dim := hand != nil || float || hook
	line := sketch.Ink
	if dim {
		line = sketch.Faint
	}
	d.ruler()
	d.p.Line(line, eyeX-4, lineY, d.x(r.HookLengthM)-4, lineY)
	hl := line
	if hook {
		hl = sketch.Ink
	}
	d.p.Line(hl, d.x(r.HookLengthM)-4, lineY, hookX, lineY)
	d.loop(hl)
	d.p.PathAt(hl, hookX, lineY, 1, "M0 0L7 0C13 0 13 11 7 11C3.5 11 3 7.5 3 6")
	d.drawFloat(!dim || float)
	for i, one := range d.parts {
		style := sketch.Grey
		if !dim || hand != nil && hand(one.of) {
			style = sketch.Solid
		}
		d.p.D.Shapes = append(d.p.D.Shapes, sketch.Shape{Style: style, At: sketch.Point{X: one.x, Y: one.y}, Rx: one.rx, Ry: one.ry, Weight: i + 1})
	}
	return d
}

// ruler is every half metre from the hook.
func (d *rigDrawing) ruler() {
	const y = 88.0
	d.p.Line(sketch.Fine, d.x(d.r.SetM), y, hookX, y)
	step := 0.5
	if d.r.SetM > 3 {
		step = 1
	}
	for m := 0.0; m < d.r.SetM; m += step {
		d.p.Line(sketch.Fine, d.x(m), y-4, d.x(m), y+4)
		text := fmt.Sprintf("%.0f", m*100)
		if m == 0 {
			d.p.Words(sketch.Quiet, hookX+12, y+18, sketch.End, "hook 0")
			continue
		}
		if d.x(m) > 30 && d.x(m) < hookX-66 {
			d.p.Words(sketch.Quiet, d.x(m), y+18, sketch.Middle, text)
		}
	}
	d.p.Words(sketch.Quiet, 4, y+18, sketch.Start, "cm")
}

func (d *rigDrawing) loop(style sketch.Style) {
	x := d.x(d.r.HookLengthM)
	d.p.PathAt(style, x, lineY, 1, "M-6 0C-3 -5 4 -5 5 0C4 5 -3 5 -6 0Z")
}

// floatShapes are the outlines of floats lying on the table, tip to the left, 38 long,
// around the line: body, stem.
var floatShapes = map[string][2]string{
	"avon-short": {"M10 0C10 -7 14 -7 18 -5.4C22 -3.6 26 -1.4 29 -1L29 1C26 1.4 22 3.6 18 5.4C14 7 10 7 10 0Z", "M29 0L44 0"},
	"avon-long":  {"M9 0C9 -6 14 -6 19 -4.6C25 -3 30 -1.2 33 -1L33 1C30 1.2 25 3 19 4.6C14 6 9 6 9 0Z", "M33 0L45 0"},
	"avon-slim":  {"M9 0C12 -5 20 -4 27 -1L27 1C20 4 12 5 9 0Z", "M27 0L45 0"},
	"balsa":      {"M6 -4C4 -4 4 4 6 4L38 1.5L38 -1.5Z", "M38 0L40 0"},
	"bolognese":  {"M11 0C11 -10 22 -10 25 0C22 10 11 10 11 0Z", "M25 0L46 0"},
	"flat":       {"M12 0C12 -12 20 -12 20 0C20 12 12 12 12 0Z", "M20 0L44 0"},
	"stick":      {"M7 -2.6C5 -2.6 5 2.6 7 2.6L24 1.6L24 -1.6Z", "M24 0L44 0"},
	"stubby":     {"M8 -5C4 -5 4 5 8 5L28 2L28 -2Z", "M28 0L33 0"},
	"waggler":    {"M12 -2L30 -2C34 -6 40 -5 42 0C40 5 34 6 30 2L12 2Z", "M42 0L45 0"},
}

func (d *rigDrawing) drawFloat(inHand bool) {
	shape := floatShapes[d.r.Pattern]
	stem, body := sketch.Faint, sketch.Shell
	if inHand {
		stem = sketch.Ink
	}
	d.p.PathAt(stem, 0, lineY, 1, shape[1])
	d.p.PathAt(body, 0, lineY, 1, shape[0])
	d.p.Line(sketch.Tip, 3, lineY, 11, lineY)
	if d.float {
		d.p.Box(sketch.Dash, 1, lineY-20, 50, 40, 14)
	}
}

// held are the single weights in hand.
func (d *rigDrawing) held() []piece {
	var out []piece
	for _, one := range d.parts {
		if d.hand != nil && d.hand(one.of) {
			out = append(out, one)
		}
	}
	return out
}

// ring goes round what is in hand.
func (d *rigDrawing) ring() {
	held := d.held()
	if len(held) == 0 {
		return
	}
	x1, x2, y1, y2 := math.Inf(1), 0.0, math.Inf(1), 0.0
	for _, one := range held {
		x1, x2 = min(x1, one.x-one.rx), max(x2, one.x+one.rx)
		y1, y2 = min(y1, one.y-one.ry), max(y2, one.y+one.ry)
	}
	const room = 6
	d.p.Box(sketch.Dash, max(2, x1-room), max(2, y1-room), min(x2+room, wide-2)-max(2, x1-room), y2-y1+2*room, 12)
}

// groupDrawing shows where a group of weights goes, and what it looks like close to.
func groupDrawing(r rig.Rig, title string, in []int) sketch.Drawing {
	d := layRig(r, 222, title, func(i int) bool { return slices.Contains(in, i) }, false, false)
	d.ring()
	d.marks()
	d.closeUp(in)
	return d.p.D
}

// marks write each place in hand over the line, where there is room for all of them,
// and else from where to where.
func (d *rigDrawing) marks() {
	var at []float64
	for _, one := range d.held() {
		if len(at) == 0 || one.atM > at[len(at)-1]+1e-9 {
			at = append(at, one.atM)
		}
	}
	if len(at) == 0 {
		return
	}
	const y = 18
	low, high := at[0], at[len(at)-1]
	roomy := true
	for i := 1; i < len(at); i++ {
		roomy = roomy && d.x(at[i-1])-d.x(at[i]) > sketch.TextWide(sketch.Label, "000")
	}
	if len(at) == 1 {
		d.p.Words(sketch.Strong, d.x(low), y, sketch.Middle, cm(low))
		return
	}
	if !roomy || len(at) > 6 {
		d.p.Words(sketch.Strong, (d.x(low)+d.x(high))/2, y, sketch.Middle, fmt.Sprintf("%.0f to %s", low*100, cm(high)))
		return
	}
	for _, m := range at {
		d.p.Words(sketch.Label, d.x(m), y, sketch.Middle, fmt.Sprintf("%.0f", m*100))
	}
}

// closeUp draws the group as it looks in the hand, with the name of each size, and the
// distance from its lowest to the loop.
func (d *rigDrawing) closeUp(in []int) {
	d.p.Line(sketch.Ink, 8, closeY, wide-8, closeY)
	type bead struct {
		w  rig.Weight
		rx float64
		ry float64
	}
	var beads []bead
	for k := len(in) - 1; k >= 0; k-- {
		w := d.r.Weights[in[k]]
		for range w.Count {
			b := bead{w: w, rx: 4 + 7*math.Cbrt(w.EachG)}
			b.ry = b.rx
			if w.Kind == rig.Olivette {
				b.rx *= 1.9
			}
			beads = append(beads, b)
		}
	}
	total := 0.0
	for _, b := range beads {
		total += 2*b.rx + 2
	}
	by := min(1, (wide-40)/total)
	apart := spreadOut(d.r, in)
	gap := 2.0
	if apart && len(beads) > 1 {
		gap = min(34, (wide-40-total*by)/float64(len(beads)-1)+2)
	}
	x := (wide - (total*by + (gap-2)*float64(len(beads)-1))) / 2
	var names []struct {
		text string
		x, n float64
	}
	for _, b := range beads {
		rx, ry := b.rx*by, b.ry*by
		if b.w.Kind == rig.Olivette {
			d.p.Ellipse(sketch.Solid, x+rx, closeY, rx, ry)
		} else { // the split that the line goes through
			d.p.Circle(sketch.Solid, x+rx, closeY, rx)
		}
		text := b.w.Size
		if b.w.Kind == rig.Olivette {
			text += " olivette"
		}
		if n := len(names); n > 0 && names[n-1].text == text {
			names[n-1].x, names[n-1].n = names[n-1].x+x+rx, names[n-1].n+1
		} else {
			names = append(names, struct {
				text string
				x, n float64
			}{text, x + rx, 1})
		}
		x += 2*rx + gap
	}
	high := 0.0
	for _, b := range beads {
		high = max(high, b.ry*by)
	}
	rows := []float64{closeY - high - 9, closeY + high + 20, closeY + high + 39}
	free := make([]float64, len(rows)) // how far each row of names is taken
	for i, n := range names {
		text := n.text
		if n.n > 1 {
			text = fmt.Sprintf("%.0f × %s", n.n, n.text)
		}
		half := sketch.TextWide(sketch.Label, text) / 2
		at := min(max(n.x/n.n, half+2), wide-half-2)
		row := i % 2
		for k := range rows {
			if free[row] <= at-half {
				break
			}
			row = k
		}
		free[row] = at + half + 4
		d.p.Words(sketch.Label, at, rows[row], sketch.Middle, text)
	}
	d.p.Words(sketch.Quiet, 4, 216, sketch.Start, "← float")
	d.p.Words(sketch.Quiet, wide-4, 216, sketch.End, "hook →")
}

// spreadOut says whether the weights of a group stand apart on the line.
func spreadOut(r rig.Rig, in []int) bool {
	if len(in) == 1 {
		return apart(r.Weights[in[0]])
	}
	for k := 1; k < len(in); k++ {
		if r.Weights[in[k]].AtM-r.Weights[in[k-1]].ToM > markM-1e-9 {
			return true
		}
	}
	return false
}

// apart says whether the shot of a weight stand 5 cm or more from one another.
func apart(w rig.Weight) bool {
	return w.Count > 1 && (w.ToM-w.AtM)/float64(w.Count-1) >= markM-1e-9
}

// floatDrawing is the float close to, with its rubbers on the line.
func floatDrawing(r rig.Rig, h rig.Handling) sketch.Drawing {
	p := sketch.New(wide, 158+22*float64(len(h.Rubbers)))
	p.D.Title = "The float on the line: " + strings.Join(h.Rubbers, "; ") + "."
	const x, y, by = 34.0, 92.0, 5.2
	shape := floatShapes[r.Pattern]
	p.Line(sketch.Ink, x+11*by, y, x+15*by, y) // the tip's own stem
	p.PathAt(sketch.Ink, x, y, by, shape[1])
	p.PathAt(sketch.Shell, x, y, by, shape[0])
	p.Line(sketch.Tip, x+2*by, y, x+11*by, y)
	if len(h.Rubbers) == 0 {
		p.D.H = 214
		return lockDrawing(p, r, x, y, by)
	}
	p.Curve(sketch.Ink, 0, y+16, x+4*by, y+9, x+20*by, y+11, x+34*by, y+9, wide, y+16)
	at := map[int][]float64{2: {9.4, 41}, 3: {7, 22, 41}}[len(h.Rubbers)]
	if r.Pattern == "stubby" {
		at = []float64{6.5, 31}
	}
	if r.Pattern == "balsa" {
		at = []float64{6.6, 22, 36}
	}
	for i, rub := range h.Rubbers {
		rx := x + at[i]*by
		p.Box(sketch.Dark, rx-7, y-9, 14, 24, 4)
		n := fmt.Sprint(i + 1)
		p.Words(sketch.Strong, rx, y-24, sketch.Middle, n)
		p.Words(sketch.Label, 14, y+56+22*float64(i), sketch.Start, n+" "+rub)
	}
	p.Words(sketch.Quiet, 4, 20, sketch.Start, "← to the rod")
	p.Words(sketch.Quiet, wide-4, 20, sketch.End, "to the hook →")
	return p.D
}

// lockDrawing is a float held at its foot by shot.
func lockDrawing(p *sketch.Pen, r rig.Rig, x, y, by float64) sketch.Drawing {
	p.D.Title = "The float held at its foot by shot on both sides."
	ring := x + 45*by
	p.Line(sketch.Ink, ring+6, 10, ring+6, 204)
	p.Circle(sketch.Shell, ring+4, y, 7)
	n := 0
	for _, w := range r.Weights {
		if w.Role == rig.Lock {
			n += w.Count
		}
	}
	above := n / 2
	for i := range n {
		at := y + 14 + 17*float64(i-above)
		if i < above {
			at = y - 14 - 17*float64(i)
		}
		p.Circle(sketch.Solid, ring+6, at+3, 8)
	}
	p.Words(sketch.Quiet, ring-6, 20, sketch.End, "to the rod ↑")
	p.Words(sketch.Quiet, ring-6, 202, sketch.End, "to the hook ↓")
	p.Words(sketch.Label, ring-12, y-32, sketch.End, fmt.Sprintf("%d above", above))
	p.Words(sketch.Label, ring-12, y+50, sketch.End, fmt.Sprintf("%d below", n-above))
	return p.D
}

// Whole is the rig as it lies on the table, with nothing picked out.
func Whole(r rig.Rig) sketch.Drawing {
	d := layRig(r, 118, fmt.Sprintf("The whole rig to scale, from its float to its hook, %s.", both(r.SetM)), nil, false, false)
	return d.p.D
}
