package rig

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// markOf is a place in whole 5 cm, and whether it is one.
func markOf(atM float64) (int, bool) {
	m := math.Round(atM * 20)
	return int(m), math.Abs(atM*20-m) < 1e-9
}

// diameterM is of a shot, from its volume; an olivette is taken three times as
// long as thick.
func pieceLengthM(w Weight) float64 {
	d := math.Cbrt(6 / math.Pi * w.EachG / (w.Material.Density() * 1e6))
	if w.Kind == Olivette {
		return 3 * d / math.Cbrt(3)
	}
	return d
}

// atMark is what hangs at one mark.
type atMark struct {
	lengthM float64
	sizes   map[string]bool
	roles   map[Role]bool
}

func byMark(ws []Weight) (map[int]*atMark, error) {
	out := map[int]*atMark{}
	for _, w := range ws {
		for _, at := range w.Positions() {
			m, ok := markOf(at)
			if !ok {
				return nil, fmt.Errorf("%s at %g is not on 5 cm", w.Size, at)
			}
			if out[m] == nil {
				out[m] = &atMark{sizes: map[string]bool{}, roles: map[Role]bool{}}
			}
			out[m].lengthM += pieceLengthM(w)
			out[m].sizes[w.Size], out[m].roles[w.Role] = true, true
		}
	}
	return out, nil
}

// checkRoom holds weights to the rule that two sizes never share a place unless
// they are a bulk and its stops, and that each place has the room it takes.
func checkRoom(ws []Weight, setM float64) error {
	hung, err := byMark(ws)
	if err != nil {
		return err
	}
	taken := make([]int, 0, len(hung))
	for m := range hung {
		taken = append(taken, m)
	}
	slices.Sort(taken)
	for i, m := range taken {
		h := hung[m]
		if len(h.sizes) > 1 && !h.roles[Bulk] {
			return fmt.Errorf("%v together at %g", h.sizes, float64(m)/20)
		}
		if h.roles[Bulk] && (h.roles[Dropper] || h.roles[Spare] || h.roles[Strung]) || h.roles[Lock] && len(h.roles) > 1 {
			return fmt.Errorf("%v together at %g", h.roles, float64(m)/20)
		}
		top, next := float64(m)/20+h.lengthM, setM
		if i+1 < len(taken) {
			next = float64(taken[i+1]) / 20
			if above := hung[taken[i+1]]; above.roles[Lock] {
				next -= above.lengthM / 2
			}
		}
		if !h.roles[Lock] && top > next+1e-9 {
			return fmt.Errorf("what hangs at %g reaches %.3f and the next begins at %.3f", float64(m)/20, top, next)
		}
	}
	return nil
}

// checkStyle holds weights to what their layout is.
func checkStyle(s Style, ws []Weight) error {
	lowestBulk, stopsAt := math.Inf(1), 0
	for i, w := range ws {
		if w.Role == Bulk {
			lowestBulk = min(lowestBulk, w.AtM)
		}
		if w.Role == Stop {
			stopsAt++
		}
		if w.Kind == Olivette && (i == 0 || i+1 == len(ws) || ws[i-1].Role != Stop || ws[i+1].Role != Stop ||
			ws[i-1].Count != 1 || ws[i+1].Count != 1 || ws[i-1].AtM != w.AtM || ws[i+1].AtM != w.AtM) {
			return fmt.Errorf("the olivette has no stop each side")
		}
		if w.Role == Stop && (w.Kind != ShotKind || stopsAt > 2) || w.Kind == Olivette && w.Count != 1 {
			return fmt.Errorf("stops or olivettes amiss")
		}
		if s == Tapering && i > 0 && w.EachG < ws[i-1].EachG {
			return fmt.Errorf("%s above %s", w.Size, ws[i-1].Size)
		}
	}
	for _, w := range ws {
		if w.Role == Dropper && w.ToM >= lowestBulk || w.Role == Spare && w.AtM <= lowestBulk {
			return fmt.Errorf("%s %s from %g to %g and the bulk at %g", w.Role, w.Size, w.AtM, w.ToM, lowestBulk)
		}
	}
	return nil
}

// drawKit is any kit of a chart, its counts held or not.
func drawKit(t *rapid.T) Kit {
	k := Kit{Chart: rapid.SampledFrom(Charts()).Draw(t, "chart")}
	materials := rapid.SampledFrom([]Material{Lead, Tin, Tungsten})
	k.ShotMaterial, k.OlivetteMaterial = materials.Draw(t, "shot"), materials.Draw(t, "of olivettes")
	k.Held = map[string]int{}
	for _, s := range k.Chart.Sizes {
		if !rapid.Bool().Draw(t, s.Name) {
			continue
		}
		k.Sizes = append(k.Sizes, s.Name)
		if rapid.Bool().Draw(t, "counted "+s.Name) {
			k.Held[s.Name] = rapid.IntRange(0, 20).Draw(t, "held "+s.Name)
		}
	}
	k.OlivettesG = rapid.SliceOfN(rapid.SampledFrom(OlivetteSteps()), 0, 6).Draw(t, "olivettes")
	return k
}

func drawLayout(t *rapid.T) Layout {
	l := Layout{Style: rapid.SampledFrom(Styles()).Draw(t, "style"), SetM: rapid.Float64Range(0.4, 6).Draw(t, "depth")}
	l.HookLengthM = rapid.Float64Range(0, min(l.SetM/2, 0.5)).Draw(t, "hook length")
	l.BulkM = rapid.Float64Range(0, l.SetM).Draw(t, "bulk")
	l.GroupM = rapid.SampledFrom([]float64{0, 0, 0.1, 0.2}).Draw(t, "group")
	l.LowShare = rapid.SampledFrom([]float64{0, 0.5, 0.6, 0.75}).Draw(t, "low share")
	return l
}

func TestPlacesOfAnyLayoutAndKit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, l := drawKit(t), drawLayout(t)
		capacityG := rapid.Float64Range(0.2, 12).Draw(t, "capacity")
		ws, err := Shot(capacityG, l, k)
		if err != nil {
			refused(t, err, k, l, capacityG)
			return
		}
		for _, e := range []error{
			checkPlaces(ws, l.HookLengthM, l.SetM), checkRoom(ws, l.SetM), checkStyle(l.Style, ws), checkHeld(ws, capacityG, k),
		} {
			if e != nil {
				t.Fatalf("%s in %g m, hook length %g, %g g: %v: %+v", l.Style, l.SetM, l.HookLengthM, capacityG, e, ws)
			}
		}
	})
}

// refused says that a kit may be refused only where nothing is light enough,
// nothing is held, or the line is too short for what it would carry.
func refused(t *rapid.T, err error, k Kit, l Layout, capacityG float64) {
	least := math.Inf(1)
	for _, name := range k.Sizes {
		s, _ := k.Chart.Size(name)
		if n, counted := k.Held[name]; !counted || n > 0 {
			least = min(least, k.ShotMaterial.LeadGrams(s.MassG))
		}
	}
	// A hook length within 30 cm of the float leaves two or three places.
	long := capacityG >= 4 && l.SetM-l.HookLengthM < 0.8 || l.SetM-l.HookLengthM < 0.3
	if least <= capacityG && !long {
		t.Fatalf("%s, %g g in %g m, hook length %g: %v: %v %v of %s", l.Style, capacityG, l.SetM, l.HookLengthM, err, k.Sizes, k.Held, k.Chart.Name)
	}
}

func TestRoomForALongBulk(t *testing.T) {
	// Calculated: a tin SSG of 1.6 g is 7.48 mm across, so eight are 6.0 cm long:
	// the spare shot has to wait 10 cm above where the bulk begins.
	k := Kit{Chart: ChartRetail, ShotMaterial: Tin, Sizes: []string{"SSG", "6"}, Held: map[string]int{"6": 12}}
	l := Layout{Style: ShotBulk, SetM: 2, HookLengthM: 0.2, BulkM: 0.8}
	ws, err := Shot(13.2, l, k)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range ws {
		if w.Role == Bulk && (w.Size != "SSG" || w.Count != 8 || w.AtM != 0.8) || w.Role == Spare && w.AtM != 0.9 {
			t.Errorf("%+v", w)
		}
	}
	// In the shallowest water it comes down to clear the float.
	l.SetM, l.BulkM, l.HookLengthM = 0.4, 0.35, 0.1
	if ws, err = Shot(13.2, l, k); err != nil || checkRoom(ws, 0.4) != nil {
		t.Errorf("%v %v", ws, err)
	}
	// And 40 g of tin is longer than the line there.
	l.HookLengthM = 0.15
	if ws, err := Shot(40, l, Kit{Chart: ChartRetail, ShotMaterial: Tin, Sizes: []string{"SSG", "AAA", "6"}}); err == nil {
		t.Errorf("40 g in 40 cm: %v", ws)
	}
}

func TestShallowWaterHasRoomForTheStandardKit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLayout(t)
		l.SetM = rapid.Float64Range(0.4, 0.6).Draw(t, "shallow")
		l.HookLengthM, l.BulkM, l.GroupM = min(l.HookLengthM, l.SetM/2), min(l.BulkM, l.SetM), 0
		most := 6.0
		if l.Style == StrungOut || l.Style == Tapering {
			most = 3 // more up a string is longer than the 10 cm there may be
		}
		ws, err := Shot(rapid.Float64Range(0.3, most).Draw(t, "capacity"), l, StandardKit())
		if err != nil || checkRoom(ws, l.SetM) != nil || checkPlaces(ws, l.HookLengthM, l.SetM) != nil {
			t.Fatalf("%+v: %v %v", l, err, ws)
		}
	})
}

// layoutOf is the roles and sizes of a load from the hook up.
func layoutOf(t *testing.T, capacityG float64, l Layout) string {
	t.Helper()
	ws, err := Shot(capacityG, l, Kit{Chart: ChartRetail, ShotMaterial: Tin, OlivetteMaterial: Tungsten, OlivettesG: StandardKit().OlivettesG})
	if err != nil {
		t.Fatal(err)
	}
	out := ""
	for _, w := range ws {
		out += fmt.Sprintf("%s %d %s %.2f-%.2f; ", w.Role, w.Count, w.Size, w.AtM, w.ToM)
	}
	return out
}

func TestLayouts(t *testing.T) {
	// Common practice, no source: where each layout puts a load; the counts are
	// the search's own, checked by brute force elsewhere.
	l := Layout{SetM: 2, HookLengthM: 0.2, BulkM: 0.9}
	for style, want := range map[Style]string{
		OlivetteBulk: "dropper 3 No.10 0.25-0.65; stop 1 No.10 0.90-0.90; bulk 1 1.75 g 0.90-0.90; stop 1 No.10 0.90-0.90; ",
		ShotBulk:     "dropper 3 No.6 0.25-0.65; bulk 3 AB 0.90-0.90; ",
		DoubleBulk:   "dropper 3 No.6 0.25-0.45; bulk 1 AB 0.55-0.55; bulk 2 AB 0.90-0.90; ",
		BulkSpread:   "dropper 4 No.11 0.25-0.70; stop 1 No.11 0.90-0.90; bulk 1 1.75 g 0.90-0.90; stop 1 No.11 0.90-0.90; ",
		StrungOut:    "strung 14 No.5 0.25-1.70; ",
		Tapering:     "strung 2 No.5 0.25-0.40; strung 9 No.4 0.55-1.70; ",
		AtFloat:      "dropper 9 No.6 0.25-0.50; lock 2 AB 2.00-2.00; ",
	} {
		l.Style = style
		if got := layoutOf(t, 2, l); got != want {
			t.Errorf("%s: %s", style, got)
		}
	}
}
