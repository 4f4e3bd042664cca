package draw

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func ofClass(p Plan, class string) []Shape {
	return slices.DeleteFunc(slices.Clone(p.Shapes), func(s Shape) bool { return s.Class != class })
}

// TestPlanIsTheDrawing: a section's plan has its water, its weights and its bed where the
// SVG has them.
func TestPlanIsTheDrawing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anySection(t)
		all, p := elements(t, drawn(t, d.Draw())), d.Plan()
		var drops []Shape
		for _, e := range all {
			switch e["class"] {
			case "shot":
				drops = append(drops, Shape{X: e.number(t, "cx"), Y: e.number(t, "cy")})
			case "water":
				if got := ofClass(p, "water")[0].Y; math.Abs(got-e.number(t, "y")) > rounding {
					t.Fatalf("the plan's water is at %v, the drawing's at %v", got, e.number(t, "y"))
				}
			case "bedline":
				samePath(t, e["d"], ofClass(p, "bedline")[0].Steps)
			case "thread":
				samePath(t, e["d"], ofClass(p, "thread")[0].Steps)
			}
		}
		sameSpots(t, drops, ofClass(p, "shot"))
	})
}

// samePath checks every place a path comes to against the numbers of the drawing's.
func samePath(t *rapid.T, d string, steps []Step) {
	t.Helper()
	want := numbers(t, d)
	var got []float64
	for _, s := range steps {
		if s.Op == 'C' {
			got = append(got, s.AX, s.AY, s.BX, s.BY)
		}
		got = append(got, s.X, s.Y)
	}
	if len(got) != len(want) {
		t.Fatalf("the plan's path has %d numbers, the drawing's %d", len(got), len(want))
	}
	for i := range got {
		if math.Abs(got[i]-want[i]) > rounding {
			t.Fatalf("number %d of a path is %v in the plan and %v in the drawing", i, got[i], want[i])
		}
	}
}

func sameSpots(t *rapid.T, want, got []Shape) {
	t.Helper()
	if len(want) != len(got) {
		t.Fatalf("%d weights are drawn, the plan has %d", len(want), len(got))
	}
	for i := range want {
		if math.Hypot(want[i].X-got[i].X, want[i].Y-got[i].Y) > 2*rounding {
			t.Fatalf("weight %d is at %v, in the plan at %v", i, want[i], got[i])
		}
	}
}

// TestStringPlan: a rig's plan has every weight once, from the hook up, at its height to
// scale or higher where there was no room.
func TestStringPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		setM := rapid.Float64Range(0.5, 5).Draw(t, "set")
		d := String{SetM: setM, HookLengthM: 0.3, Weights: anyRigWeights(t, setM)}
		p := d.Plan(rapid.SampledFrom([]float64{0, 300, 900}).Draw(t, "high"))
		shots := ofClass(p, "shot")
		if len(shots) != len(d.Weights) {
			t.Fatalf("%d weights are planned of %d", len(shots), len(d.Weights))
		}
		for i, w := range d.Weights {
			if low := p.Y(w.AtM); !slices.ContainsFunc(shots, func(s Shape) bool { return s.Y <= low+1e-9 && s.RX == w.radius() }) {
				t.Fatalf("weight %d is nowhere at or above %v", i, low)
			}
		}
		for _, s := range p.Shapes {
			for _, at := range append(s.Steps, Step{X: s.X, Y: s.Y}) {
				if at.X < -1 || at.X > p.W+1 || at.Y < -1 || at.Y > p.H+1 {
					t.Fatalf("%s goes to %v, %v of %v × %v", s.Class, at.X, at.Y, p.W, p.H)
				}
			}
		}
	})
}

// numbers are the lengths in a path.
func numbers(t *rapid.T, d string) []float64 {
	var out []float64
	for _, f := range strings.FieldsFunc(d, func(r rune) bool { return !strings.ContainsRune("0123456789.-", r) }) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			t.Fatalf("%q in %q: %v", f, d, err)
		}
		out = append(out, v)
	}
	return out
}
