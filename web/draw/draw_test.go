package draw

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/a-h/templ"
	"pgregory.net/rapid"
)

func drawn(t interface{ Fatalf(string, ...any) }, c templ.Component) string {
	var b bytes.Buffer
	if err := c.Render(context.Background(), &b); err != nil {
		t.Fatalf("%v", err)
	}
	return b.String()
}

// element is an element of a drawing that has an id or a class, with its attributes.
type element map[string]string

// elements reads a drawing strictly as XML.
func elements(t interface{ Fatalf(string, ...any) }, svg string) []element {
	var out []element
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatalf("not well-formed: %v in\n%s", err, svg)
		}
		if e, ok := token.(xml.StartElement); ok {
			x := element{"": e.Name.Local}
			for _, a := range e.Attr {
				x[a.Name.Local] = a.Value
			}
			out = append(out, x)
		}
	}
}

func (e element) number(t interface{ Fatalf(string, ...any) }, name string) float64 {
	v, err := strconv.ParseFloat(e[name], 64)
	if err != nil {
		t.Fatalf("%s %q of %v: %v", name, e[name], e, err)
	}
	return v
}

func find(t interface{ Fatalf(string, ...any) }, all []element, name, value string) element {
	for _, e := range all {
		if e[name] == value {
			return e
		}
	}
	t.Fatalf("no element whose %s is %s", name, value)
	return nil
}

func anySection(t *rapid.T) Section {
	level := rapid.Float64Range(-3, 6).Draw(t, "level")
	d := Section{Title: `Peg "1" <&>`, Desc: "'d' <script>", MarkM: rapid.Float64Range(-1, 4).Draw(t, "mark"), LowM: 0.2, HighM: 1.4}
	if rapid.Bool().Draw(t, "level known") {
		d.Level = &level
	}
	at := 0.0
	for i := range rapid.IntRange(0, 5).Draw(t, "runs") {
		at += rapid.Float64Range(0.3, 20).Draw(t, "apart")
		bed := rapid.Float64Range(-6, 3).Draw(t, "bed")
		give := rapid.Float64Range(0, 2).Draw(t, "give")
		d.Runs = append(d.Runs, RunDepth{DistanceM: at, BedM: bed, BedLowM: bed - give, BedHM: bed + give, Depth: "1.86",
			Known: rapid.Bool().Draw(t, "known"), Chosen: i == 1})
	}
	if len(d.Runs) > 1 && d.Runs[1].Known {
		d.Float = &Float{DistanceM: d.Runs[1].DistanceM, SetM: 2, BedM: d.Runs[1].BedM, Weights: []Bead{{AtM: 0.2, MassG: 0.06}, {AtM: 0.6, MassG: 3, Olivet: true}}, Line: anyLine(t, 2)}
	}
	return d
}

// TestSection: any section is well-formed, without a script, and its water stands
// where the scale it tells of puts the level, with the line straight across.
func TestSection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anySection(t)
		svg := drawn(t, d.Draw())
		all := elements(t, svg)
		if strings.Contains(svg, "<script") || strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || strings.Contains(svg, "style=") {
			t.Fatalf("it holds what it must not:\n%s", svg)
		}
		root := find(t, all, "", "svg")
		top, low, y0, y1 := root.number(t, "data-top"), root.number(t, "data-bottom"), root.number(t, "data-y0"), root.number(t, "data-y1")
		if d.Level == nil {
			for _, e := range all {
				if e["id"] == "water" || e["class"] == "waterline" || e["id"] == "mark" {
					t.Fatalf("water is drawn at no level: %v", e)
				}
			}
			return
		}
		want := y0 + (top-*d.Level)/(top-low)*(y1-y0)
		const rounding = 0.051 // lengths are written with one decimal
		if y := find(t, all, "id", "water").number(t, "y"); math.Abs(y-want) > rounding {
			t.Fatalf("the water is at %v, the level at %v", y, want)
		}
		var x1, lineY1, x2, lineY2 float64
		line := find(t, all, "class", "waterline")["d"]
		if _, err := fmt.Sscanf(line, "M%g %gL%g %g", &x1, &lineY1, &x2, &lineY2); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		if lineY1 != lineY2 || math.Abs(lineY1-want) > rounding || x2 <= x1 {
			t.Fatalf("the water's line is %q, the level at %v", line, want)
		}
		if want < y0-rounding || want > y1+rounding {
			t.Fatalf("the level is drawn at %v, outside the board", want)
		}
	})
}

// TestCurve: between any two points the bed's line stays between their heights.
func TestCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := 0.0
		var p []place
		for range rapid.IntRange(2, 8).Draw(t, "points") {
			p = append(p, place{x, rapid.Float64Range(0, 300).Draw(t, "y")})
			x += rapid.Float64Range(0.5, 80).Draw(t, "step")
		}
		m := monotone(p)
		for i := 1; i < len(p); i++ {
			a, b := p[i-1], p[i]
			third := (b.x - a.x) / 3
			for s := 0.0; s <= 1; s += 0.02 {
				// The cubic that curve writes, by its four points (Bézier).
				u := 1 - s
				y := u*u*u*a.y + 3*u*u*s*(a.y+m[i-1]*third) + 3*u*s*s*(b.y-m[i]*third) + s*s*s*b.y
				if y < min(a.y, b.y)-1e-9 || y > max(a.y, b.y)+1e-9 {
					t.Fatalf("between %v and %v it goes to %v", a, b, y)
				}
			}
		}
	})
}

// TestRunAtTheMark is a run at no distance at all, which the book allows: the bed
// falls straight down there, and nothing is drawn outside the picture or uphill.
func TestRunAtTheMark(t *testing.T) {
	level := 1.0
	for _, nextM := range []float64{0.8, 6} {
		d := Section{MarkM: 2, LowM: 0, HighM: 1, Level: &level, Runs: []RunDepth{
			{DistanceM: 0, BedM: 0.5, BedLowM: 0.4, BedHM: 0.6, Known: true, Depth: "0.50"},
			{DistanceM: nextM, BedM: -1, BedLowM: -1.1, BedHM: -0.9, Known: true, Depth: "2.00"},
		}}
		for _, e := range elements(t, drawn(t, d.Draw())) {
			for _, f := range strings.FieldsFunc(e["d"], func(r rune) bool { return !strings.ContainsRune("0123456789.-", r) }) {
				if v, err := strconv.ParseFloat(f, 64); err == nil && math.Abs(v) > 10*width {
					t.Errorf("the next run at %v m: %s goes to %v", nextM, e["class"], v)
				}
			}
		}
		mid, _, _ := d.bed(newScale(&d))
		for i := 1; i < len(mid); i++ {
			if mid[i].y < mid[i-1].y {
				t.Errorf("the next run at %v m: the bed goes uphill from %v to %v", nextM, mid[i-1], mid[i])
			}
		}
	}
}
