package draw

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// anyLine is a line of some length that leans one way or another, more and more
// towards the hook.
func anyLine(t *rapid.T, longM float64) []Hung {
	const points = 24
	lean := rapid.Float64Range(-1.2, 1.4).Draw(t, "lean")
	out := []Hung{{}}
	for i := range points - 1 {
		angle := lean * float64(i) / points
		last := out[len(out)-1]
		out = append(out, Hung{last.DownstreamM + longM/(points-1)*math.Sin(angle), last.DeepM + longM/(points-1)*math.Cos(angle)})
	}
	return out
}

// anyRigWeights are weights with nothing above the float, from the hook up, many of
// them in one place.
func anyRigWeights(t *rapid.T, setM float64) []Bead {
	var out []Bead
	steps := int(setM / 0.05)
	for range rapid.IntRange(1, 32).Draw(t, "weights") {
		out = append(out, Bead{AtM: 0.05 * float64(rapid.IntRange(1, steps).Draw(t, "place")), MassG: rapid.Float64Range(0.01, 2).Draw(t, "mass")})
	}
	out[len(out)-1].Olivet = rapid.Bool().Draw(t, "olivette")
	slices.SortStableFunc(out, func(a, b Bead) int { return int(math.Copysign(1, a.AtM-b.AtM)) })
	return out
}

// spot is where a weight was drawn.
type spot struct{ x, y, half, high float64 }

func shots(t *rapid.T, all []element) []spot {
	var out []spot
	for _, e := range all {
		if e["class"] != "shot" {
			continue
		}
		s := spot{x: e.number(t, "cx"), y: e.number(t, "cy")}
		if e[""] == "ellipse" {
			s.half, s.high = e.number(t, "rx"), e.number(t, "ry")
		} else {
			s.half = e.number(t, "r")
			s.high = s.half
		}
		out = append(out, s)
	}
	return out
}

// rounding is what a length written with one decimal may be off; two places may be off
// by twice its diagonal from one another.
const rounding = 0.051

// TestFloat: every weight is drawn once, on the line, in the order it has on it, at
// its distance from the hook along it; and nothing lies under the bed or above the
// water.
func TestFloat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		level := rapid.Float64Range(0, 2).Draw(t, "level")
		setM := rapid.Float64Range(0.5, 5).Draw(t, "set")
		deepM := setM * rapid.Float64Range(0.8, 1.2).Draw(t, "depth")
		f := &Float{DistanceM: rapid.Float64Range(1, 20).Draw(t, "out"), SetM: setM, BedM: level - deepM,
			Line: anyLine(t, setM), Weights: anyRigWeights(t, setM)}
		d := Section{MarkM: level + 1, LowM: level - 1, HighM: level + 1, Level: &level, Float: f,
			Runs: []RunDepth{{DistanceM: f.DistanceM, BedM: f.BedM, BedLowM: f.BedM - 0.1, BedHM: f.BedM + 0.1, Known: true, Chosen: true, Depth: "1"}}}
		all := elements(t, drawn(t, d.Draw()))
		s := newScale(&d)
		got := shots(t, all)
		if len(got) != len(f.Weights) {
			t.Fatalf("%d weights are drawn of %d", len(got), len(f.Weights))
		}
		line := points(t, find(t, all, "class", "thread")["d"])
		for i, w := range got {
			if w.y > s.y(f.BedM)+rounding || w.y < s.y(level)-rounding {
				t.Fatalf("weight %d is at %v, between the water at %v and the bed at %v", i, w.y, s.y(level), s.y(f.BedM))
			}
			if i > 0 && w.y > got[i-1].y+2*rounding {
				t.Fatalf("weight %d at %v m is under weight %d at %v m", i, f.Weights[i].AtM, i-1, f.Weights[i-1].AtM)
			}
			if off := fromLine(line, w); off > 2*math.Sqrt2*rounding {
				t.Fatalf("weight %d is %v off the line", i, off)
			}
		}
		hook := line[len(line)-1]
		if hook.y > s.y(f.BedM)+rounding {
			t.Fatalf("the hook is at %v, under the bed at %v", hook.y, s.y(f.BedM))
		}
		// A line that leans downstream ends right of the float, and by as much as the
		// heights' scale makes of it.
		want := f.Line[len(f.Line)-1].DownstreamM * s.perM()
		if got := hook.x - s.x(f.DistanceM); math.Abs(got-want) > 2*rounding {
			t.Fatalf("the hook is drawn %v right of the float, want %v", got, want)
		}
	})
}

// TestWeightsAreAlongTheLine by length, not by depth: on a straight line that leans
// 60° a weight half way up is at half the depth and half the lean (derived).
func TestWeightsAreAlongTheLine(t *testing.T) {
	level, lean := 1.0, math.Pi/3
	end := Hung{2 * math.Sin(lean), 2 * math.Cos(lean)}
	f := &Float{DistanceM: 2, SetM: 2, BedM: -2, Line: []Hung{{}, end}, Weights: []Bead{{AtM: 0.5, MassG: 0.1}, {AtM: 1, MassG: 0.1}, {AtM: 2, MassG: 0.1}}}
	s := scale{topM: 2, botM: -2, farM: 10}
	at := f.along(f.places(s, level))
	for i, share := range []float64{0.75, 0.5, 0} {
		x, y := s.x(2)+share*end.DownstreamM*s.perM(), s.y(level-share*end.DeepM)
		if math.Abs(at[i].x-x) > 1e-9 || math.Abs(at[i].y-y) > 1e-9 {
			t.Errorf("%v m from the hook: at %v, want %v, %v", f.Weights[i].AtM, at[i], x, y)
		}
	}
}

// A line that leans far downstream on the farthest run still ends inside the drawing.
func TestAFarLeanFitsTheDrawing(t *testing.T) {
	level := 1.0
	f := &Float{DistanceM: 16, SetM: 2.5, BedM: -1.5, Line: []Hung{{}, {2, 1.5}}, Weights: []Bead{{AtM: 0.3, MassG: 0.1}}}
	d := Section{MarkM: 2, LowM: 0, HighM: 1, Level: &level, Float: f, Runs: []RunDepth{{DistanceM: 16, BedM: -1.5, BedLowM: -1.6, BedHM: -1.4, Known: true, Chosen: true, Depth: "2.50"}}}
	s := newScale(&d)
	if x := s.x(16) + 2*s.perM(); x > right {
		t.Errorf("the hook is at %v, the drawing ends at %v", x, right)
	}
}

// A rig whose line has no shape is its float alone.
func TestAFloatWithoutALine(t *testing.T) {
	level := 1.0
	d := Section{MarkM: 2, LowM: 0, HighM: 1, Level: &level, Float: &Float{DistanceM: 4, SetM: 2, BedM: -1, Weights: []Bead{{AtM: 0.3, MassG: 0.1}}}}
	svg := drawn(t, d.Draw())
	for _, class := range []string{"thread", "shot", "hook"} {
		if strings.Contains(svg, `class="`+class+`"`) {
			t.Errorf("it has a %s", class)
		}
	}
	find(t, elements(t, svg), "class", "body")
}

// TestString: every weight is drawn once, none over another, inside the drawing, and
// each at its own height where there is room beside the line.
func TestString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		setM := rapid.Float64Range(0.5, 6.5).Draw(t, "set")
		d := String{SetM: setM, HookLengthM: 0.2, Weights: anyRigWeights(t, setM)}
		all := elements(t, drawn(t, d.Draw()))
		high := all[0].number(t, "height")
		if high < 220 {
			t.Fatalf("it is %v high", high)
		}
		got := shots(t, all)
		if len(got) != len(d.Weights) {
			t.Fatalf("%d weights are drawn of %d", len(got), len(d.Weights))
		}
		for i, a := range got {
			if a.x-a.half < -rounding || a.x+a.half > stringW+rounding || a.y > high {
				t.Fatalf("weight %d at %v is outside", i, a)
			}
			for j, b := range got[:i] {
				if math.Hypot((a.x-b.x)/(a.half+b.half), (a.y-b.y)/(a.high+b.high)) < 0.8 {
					t.Fatalf("weights %d and %d are one: %v, %v", j, i, b, a)
				}
			}
		}
	})
}

// The heights of a string are in the order of its weights and to scale: derived from
// the 1.5 px a centimetre it is drawn at.
func TestStringIsToScale(t *testing.T) {
	d := String{SetM: 2, HookLengthM: 0.2, Weights: []Bead{{AtM: 0.1, MassG: 0.06}, {AtM: 0.15, MassG: 0.06}, {AtM: 0.6, MassG: 2, Olivet: true}, {AtM: 0.6, MassG: 0.06}, {AtM: 1.6, MassG: 0.2}}}
	svg := drawn(t, d.Draw())
	var ys []float64
	for _, e := range elements(t, svg) {
		if e["class"] == "shot" {
			ys = append(ys, e.number(t, "cy"))
		}
	}
	for i, want := range []float64{0, 5, 50, 50, 150} { // cm above the lowest
		if got := (ys[0] - ys[i]) / 1.5; math.Abs(got-want) > 0.1 {
			t.Errorf("weight %d is %v cm above the lowest, want %v", i, got, want)
		}
	}
}

// points reads a path of straight lines.
func points(t *rapid.T, d string) []place {
	var out []place
	for _, p := range strings.FieldsFunc(d, func(r rune) bool { return r == 'M' || r == 'L' }) {
		x, y, ok := strings.Cut(p, " ")
		e := element{"x": x, "y": y}
		if !ok {
			t.Fatalf("no point: %q of %q", p, d)
		}
		out = append(out, place{e.number(t, "x"), e.number(t, "y")})
	}
	return out
}

// fromLine is how far a weight is from the nearest piece of the line.
func fromLine(line []place, w spot) float64 {
	nearest := math.Inf(1)
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		dx, dy := b.x-a.x, b.y-a.y
		t := 0.0
		if long := dx*dx + dy*dy; long > 0 {
			t = math.Min(1, math.Max(0, ((w.x-a.x)*dx+(w.y-a.y)*dy)/long))
		}
		nearest = math.Min(nearest, math.Hypot(w.x-a.x-t*dx, w.y-a.y-t*dy))
	}
	return nearest
}
