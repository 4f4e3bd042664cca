package guide

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"levelpeg/club/sketch"
	"levelpeg/rig"
)

// weightsOf are the single weights drawn to scale, in the order they are drawn.
func weightsOf(d sketch.Drawing) []sketch.Shape {
	var out []sketch.Shape
	for _, s := range d.Shapes {
		if s.Weight > 0 {
			out = append(out, s)
		}
	}
	return out
}

// TestEveryWeightOnceInOrderToScale: in each drawing of a whole rig every single weight
// stands once, in its order from the hook, at its distance from the hook to scale, and
// none lies over another; for every pattern over the grid. Those in hand are the step's.
func TestEveryWeightOnceInOrderToScale(t *testing.T) {
	patterns := map[string]bool{}
	for _, s := range grid(t) {
		g, err := For(s)
		if err != nil {
			t.Fatal(err)
		}
		patterns[s.Rig.Pattern] = true
		var want []float64
		for _, w := range g.Setup.Rig.Weights {
			want = append(want, w.Positions()...)
		}
		slices.Sort(want)
		drawings := []sketch.Drawing{Whole(g.Setup.Rig)}
		inHand := 0
		for i := range g.Steps {
			if ws := weightsOf(g.Steps[i].Draw); len(ws) > 0 {
				drawings = append(drawings, g.Steps[i].Draw)
				if slices.Contains(g.Steps[i].Knots, "shot") {
					inHand += inStyle(ws, sketch.Solid)
				}
			}
		}
		lock := 0
		for _, w := range g.Setup.Rig.Weights {
			if w.Role == rig.Lock {
				lock += w.Count
			}
		}
		if inHand+lock != len(want) {
			t.Fatalf("%s: the steps put on %d weights and the float %d, of %d: %s", g.Name, inHand, lock, len(want), g.Code)
		}
		for _, d := range drawings {
			toScale(t, g, d, want)
		}
	}
	if len(patterns) != len(rig.Patterns()) {
		t.Errorf("the grid has %d patterns of %d", len(patterns), len(rig.Patterns()))
	}
}

func inStyle(ws []sketch.Shape, style sketch.Style) int {
	n := 0
	for _, w := range ws {
		if w.Style == style {
			n++
		}
	}
	return n
}

func toScale(t *testing.T, g Guide, d sketch.Drawing, want []float64) {
	t.Helper()
	ws := weightsOf(d)
	if len(ws) != len(want) {
		t.Fatalf("%s %q: %d weights are drawn of %d", g.Name, d.Title, len(ws), len(want))
	}
	for i, w := range ws {
		at := (hookX - w.At.X) / (hookX - eyeX) * g.Setup.Rig.SetM
		if w.Weight != i+1 || math.Abs(at-want[i]) > 0.001 {
			t.Fatalf("%s %q: weight %d is number %d, drawn at %.3f m, and stands at %.3f m", g.Name, d.Title, i+1, w.Weight, at, want[i])
		}
		for _, o := range ws[:i] {
			if math.Abs(o.At.X-w.At.X) < o.Rx+w.Rx-0.5 && math.Abs(o.At.Y-w.At.Y) < o.Ry+w.Ry-0.5 {
				t.Fatalf("%s %q: two weights lie over one another at %.2f m", g.Name, d.Title, at)
			}
		}
	}
}

// TestDrawingsKeepToTheirFields: no words run out of a drawing or over other words, by
// how wide they may be, and every path can be read.
func TestDrawingsKeepToTheirFields(t *testing.T) {
	seen := map[string]bool{}
	check := func(name string, d sketch.Drawing) {
		var boxes []box
		for _, s := range d.Shapes {
			if s.Text == "" {
				if len(s.Path) == 0 && s.Rx == 0 {
					t.Errorf("%s: a shape of nothing", name)
				}
				continue
			}
			b := boxOf(s)
			if b.x1 < -1 || b.x2 > d.W+1 || b.y1 < 0 || b.y2 > d.H+1 {
				t.Errorf("%s: %q runs out of the drawing: %+v of %v by %v", name, s.Text, b, d.W, d.H)
			}
			for _, o := range boxes {
				if b.over(o) {
					t.Errorf("%s: %q stands over %q", name, b.text, o.text)
				}
			}
			boxes = append(boxes, b)
		}
	}
	for _, s := range grid(t) {
		g, err := For(s)
		if err != nil {
			t.Fatal(err)
		}
		for i := range g.Steps {
			st := &g.Steps[i]
			key := st.Key + fmt.Sprint(words(st.Draw))
			if !seen[key] {
				seen[key] = true
				check(g.Name+" "+st.Key+" "+g.Code, st.Draw)
			}
		}
	}
	for _, k := range Knots() {
		for i, m := range k.Steps {
			check(fmt.Sprint(k.Key, i+1), m.Draw)
		}
	}
}

func words(d sketch.Drawing) []string {
	var out []string
	for _, s := range d.Shapes {
		if s.Text != "" {
			out = append(out, fmt.Sprintf("%s %.0f", s.Text, s.At.X))
		}
	}
	return out
}

type box struct {
	x1, x2, y1, y2 float64
	text           string
}

func boxOf(s sketch.Shape) box {
	long := sketch.TextWide(s.Style, s.Text)
	before := map[sketch.Anchor]float64{sketch.Start: 0, sketch.Middle: long / 2, sketch.End: long}[s.Anchor]
	return box{s.At.X - before, s.At.X - before + long, s.At.Y - s.Size*0.75, s.At.Y + s.Size*0.2, s.Text}
}

func (b box) over(o box) bool { return b.x1 < o.x2 && o.x1 < b.x2 && b.y1 < o.y2-1 && o.y1 < b.y2-1 }

// TestPathsCanBeRead: every path in this package's own words is one.
func TestPathsCanBeRead(t *testing.T) {
	for id, two := range floatShapes {
		for _, d := range two {
			if _, ok := sketch.ParsePath(d); !ok {
				t.Errorf("the float %s has a path that cannot be read: %s", id, d)
			}
		}
	}
	for _, bad := range []string{"M1", "M1 2L", "M1 2 3", "X1 2", "M1 2C3 4", "M1 2Q3 4 5", "10 20", "M1 2zz"} {
		if _, ok := sketch.ParsePath(bad); ok {
			t.Errorf("%q is read as a path", bad)
		}
	}
	for _, p := range rig.Patterns() {
		h := p.Handling
		for name, words := range map[string]string{"Fix": h.Fix, "Cast": h.Cast, "Run": h.Run, "Bite": h.Bite, "Strike": h.Strike, "Breaks": h.Breaks, "Leaves": h.Leaves, "Resize": h.Resize} {
			if !strings.HasSuffix(words, ".") {
				t.Errorf("%s says of %s: %q", p.ID, name, words)
			}
		}
		if _, ok := floatShapes[p.ID]; !ok {
			t.Errorf("there is no drawing of a %s", p.ID)
		}
	}
	for _, b := range rig.Baits() {
		if baitHow[b] == "" {
			t.Errorf("nothing says how %s goes on the hook", b)
		}
	}
}
