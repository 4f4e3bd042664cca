package draw

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"levelpeg/club/guide"
	"levelpeg/club/sketch"
)

var golden = flag.Bool("golden", false, "write the golden drawings anew")

// goldenCodes are guides whose every drawing stands in testdata: a stick for a junior, a
// waggler, and an Avon with an olivette.
var goldenCodes = map[string]string{
	"stick":   "165B150C0T60808Y1J8102MP068DRAAF10M0M080AG7REABT",
	"waggler": "184RH30G0T3H099R1J9144JM384HG8Y00MHG7GW0001BTD",
	"avon":    "110CG58101464011CH5H04B200GP405HG1WW2R0MRGG95GS4Y1HEATH40022YZ",
}

// TestGoldenSketches holds every drawing of a few guides, and every knot, against the
// drawing that was looked at: go test ./web/draw -run Golden -golden writes them anew,
// to be looked at again.
func TestGoldenSketches(t *testing.T) {
	all := map[string]sketch.Drawing{}
	for name, code := range goldenCodes {
		g, err := guide.Read(code)
		if err != nil {
			t.Fatal(err)
		}
		for i := range g.Steps {
			all[name+"-"+g.Steps[i].Key] = g.Steps[i].Draw
		}
		all[name+"-whole"] = guide.Whole(g.Setup.Rig)
	}
	for _, k := range guide.Knots() {
		for i, s := range k.Steps {
			all["knot-"+k.Key+"-"+string(rune('1'+i))] = s.Draw
		}
	}
	for name, d := range all {
		svg := drawn(t, Sketch(d))
		elements(t, svg) // is well-formed
		for _, bad := range []string{"NaN", "Inf", "style=", "<script", "fill=", "stroke="} {
			if strings.Contains(svg, bad) {
				t.Errorf("%s holds %q", name, bad)
			}
		}
		path := filepath.Join("testdata", "sketch", name+".svg")
		if *golden {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(svg+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if strings.TrimSpace(string(want)) != svg {
			t.Errorf("%s is drawn otherwise than the drawing that was looked at", name)
		}
	}
}

// TestSketchEscapes: words that look like markup stay words.
func TestSketchEscapes(t *testing.T) {
	p := sketch.New(100, 100)
	p.D.Title = `"a" <b>`
	p.Words(sketch.Label, 50, 50, sketch.Middle, "<script> & '\"")
	if svg := drawn(t, Sketch(p.D)); strings.Contains(svg, "<script>") {
		t.Errorf("%s", svg)
	} else {
		elements(t, svg)
	}
}
