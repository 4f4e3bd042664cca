package rig

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestOnlyFloatsInTheKit(t *testing.T) {
	k := StandardKit()
	k.Floats = []Float{{"stick", 1.0}, {"avon-short", 3.5}, {"avon-short", 4}}
	rs, err := Suggest(Water{DepthM: 1.83, PaceMPS: 0.8, Boil: 1, DistanceM: 8}, Aim{}, k)
	if err != nil {
		t.Fatal(err)
	}
	if rs[0].Pattern != "avon-short" || rs[0].CapacityG != 3.5 || rs[0].Marking != "3.5 g" {
		t.Errorf("%s of %g g, where a 3.5 g Avon is held", rs[0].Name, rs[0].CapacityG)
	}
	for _, r := range rs {
		if r.Pattern != "avon-short" && r.Pattern != "stick" {
			t.Errorf("%s is not in the kit", r.Name)
		}
	}
}

func TestSaysWhatWouldBeBetter(t *testing.T) {
	w := Water{DepthM: 3, PaceMPS: 0.4, DistanceM: 10}
	k := StandardKit()
	k.Floats = []Float{{"avon-short", 6}, {"bolognese", 8}}
	rs, err := Suggest(w, Aim{Fish: "roach"}, k)
	if err != nil {
		t.Fatal(err)
	}
	if !finding(rs[0], "2 g slim balsa Avon would suit this water better") {
		t.Errorf("%s, and no word of the slim Avon: %+v", rs[0].Name, rs[0].Findings)
	}
	k.Floats = append(k.Floats, Float{"avon-slim", 2})
	if rs, err = Suggest(w, Aim{Fish: "roach"}, k); err != nil || finding(rs[0], "would suit this water better") {
		t.Errorf("with the slim Avon in the kit: %v, %+v", err, rs)
	}
}

func TestNoFloatsAtAll(t *testing.T) {
	k := StandardKit()
	k.Floats = []Float{}
	_, err := Suggest(Water{DepthM: 1.5, PaceMPS: 0.5}, Aim{}, k)
	var no *NoRigError
	if !errors.As(err, &no) || !strings.Contains(no.Why, "no float") {
		t.Errorf("%v", err)
	}
}

func TestFloatErrorsAndKeys(t *testing.T) {
	for _, f := range []Float{{"plug", 2}, {"stick", math.NaN()}, {"stick", -1}, {"stick", math.Inf(1)}, {"stick", 1000}} {
		k := StandardKit()
		k.Floats = []Float{f}
		if _, err := Suggest(Water{DepthM: 1.5, PaceMPS: 0.5}, Aim{}, k); err == nil {
			t.Errorf("%+v is taken", f)
		}
	}
	key := func(fs []Float) string { k := StandardKit(); k.Floats = fs; return k.Key() }
	a, b := Float{"stick", 1}, Float{"waggler", 2.4}
	if key([]Float{a, b}) != key([]Float{b, a}) || key(nil) == key([]Float{}) || key([]Float{a}) == key([]Float{b}) {
		t.Error("kits' keys do not follow their floats")
	}
}

// TestSaysWhatIsMissing names the shot that would load the float.
func TestSaysWhatIsMissing(t *testing.T) {
	k := StandardKit()
	k.OlivettesG, k.Sizes = []float64{2}, []string{"8"}
	k.Held = map[string]int{"8": 8}
	rs, err := Suggest(Water{DepthM: 1.83, PaceMPS: 0.8}, Aim{}, k)
	if err != nil {
		t.Fatal(err)
	}
	said := 0
	for _, r := range rs {
		for _, f := range r.Findings {
			if short(r) && strings.Contains(f.Text, "leaves this float") && strings.Contains(f.Remedy, "would do it") {
				said++
			}
		}
	}
	if said == 0 {
		t.Errorf("no rig of this kit says what it lacks: %+v", rs)
	}
}

// A float of a size that its pattern is not usually made in is marked as those are.
func TestFloatMarkedAsItsKind(t *testing.T) {
	for _, c := range []struct {
		float Float
		chart Chart
		want  string
	}{
		{Float{"stick", 9 * 0.167}, ChartCounts, "9 × No.4"}, {Float{"stick", 1.8}, ChartRetail, "9 × No.4"}, {Float{"balsa", 2.4}, ChartRetail, "3 AAA"},
		{Float{"balsa", 6 * 0.4}, ChartRetail, "3 AAA"}, {Float{"waggler", 2.8}, ChartRetail, "7 BB"}, {Float{"stick", 2.03}, ChartRetail, "2.05 g"}, {Float{"avon-short", 3.3}, ChartRetail, "3.3 g"},
	} {
		k := StandardKit()
		k.Chart, k.Floats = c.chart, []Float{c.float}
		if got := byPattern(c.float.Pattern).held(k); len(got) != 1 || got[0].marking != c.want {
			t.Errorf("%+v on %s is marked %+v, want %s", c.float, c.chart.Name, got, c.want)
		}
	}
}
