package web

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"levelpeg/rig"
	"levelpeg/web/draw"
)

// RigCard is one rig: a list that is also a drawing, from float to hook.
type RigCard struct {
	ID, Name, For string
	Set, SetFeet  string
	Beads         []BeadLine // from the float down
	Hook          string
	Sum, Against  string
	Tackle        []Pair
	Why           []string
	Stops         []string // why the rig is not to be used; shown before anything else of it
	Cares         []string
	Findings      []string
	Wants         []string // what the kit lacks for it
	Drawing       draw.String
	Guide         string // where it is set up, step by step; empty: nowhere
}

// BeadLine is one weight, a few alike, or the loop that the hook length hangs on.
type BeadLine struct {
	At, What, Grams string
	Loop            bool
	Dot             string // the class that draws it
}

// Pair is a word and what it stands for.
type Pair struct{ Term, Text string }

var ordinals = [...]string{"first", "second", "third"}

func rigCard(r *rig.Rig, water rig.Water, i int) RigCard {
	c := RigCard{
		ID: "rig-" + ordinals[min(i, len(ordinals)-1)], Name: r.Name,
		For:     fmt.Sprintf("For %s. Worked out for about %s and %s m/s%s.", r.Bait, metres(water.DepthM), fixed(water.PaceMPS, 2), windFor(water)),
		Set:     "set at " + metres(r.SetM),
		SetFeet: " (" + feet(r.SetM) + ")",
		Hook:    fmt.Sprintf("hook size %s, %s", r.Hook, r.Bait),
		Sum:     "All the weights: " + grams(r.OnLineG),
		Against: against(r),
		Tackle:  append(tackle(r), feedPair(r, water)...),
		Why:     r.Why,
		Drawing: draw.String{SetM: r.SetM, HookLengthM: r.HookLengthM, Weights: drawnWeights(r)},
	}
	c.Guide = setUpHref(r, water, nil, false)
	for _, w := range r.Wants {
		c.Wants = append(c.Wants, w.Text)
	}
	for j := len(r.Weights) - 1; j >= 0; j-- {
		c.Beads = append(c.Beads, beadLine(r.Weights[j]))
	}
	c.Beads = append(c.Beads, BeadLine{Loop: true, At: centimetres(r.HookLengthM), What: "loop: the hook length joins the line here"})
	c.Stops, c.Cares, c.Findings = findings(r, rig.StopLevel), findings(r, rig.CareLevel), findings(r, rig.NoteLevel)
	return c
}

// findings are a rig's findings of one level, each with its remedy.
func findings(r *rig.Rig, level rig.Level) []string {
	var out []string
	for _, f := range r.Findings {
		if f.Level == level {
			out = append(out, strings.TrimSpace(f.Text+" "+f.Remedy))
		}
	}
	return out
}

// drawnWeights is every single weight of a rig.
func drawnWeights(r *rig.Rig) []draw.Bead {
	var out []draw.Bead
	for _, w := range r.Weights {
		for _, at := range w.Positions() {
			out = append(out, draw.Bead{AtM: at, MassG: w.EachG, Olivet: w.Kind == rig.Olivette})
		}
	}
	return out
}

// against compares the weights with the float. Weights of another metal than lead
// pull differently from their grams, and a float is marked in grams of lead.
func against(r *rig.Rig) string {
	return fmt.Sprintf("In water they pull like %s g of lead, and the float carries %s. Dot it down.", fixed(r.PullG, 2), grams(r.CapacityG))
}

func tackle(r *rig.Rig) []Pair {
	out := []Pair{
		{"Hook length", centimetres(r.HookLengthM) + " of " + lineSpec(r.HookLengthMM, r.HookLengthKg, r.HookLengthBy)},
		{"Main line", r.MainLine + ", " + lineSpec(r.MainLineMM, r.MainLineKg, r.MainLineBy)},
		{"Strengths", r.HookLengthFrom},
		{"Rod", rodWords(r.RodFtLow, r.RodFtHigh)},
		{"Hold back", r.HoldBackWords},
		{"Settles", settleWords(r)},
	}
	if len(r.Wind) > 0 {
		out = append(out, Pair{"In this wind", strings.Join(r.Wind, " ")})
	}
	return out
}

// lineSpec is a line's diameter and what it holds, by its label or about that by a chart;
// a braid whose label nobody read holds nobody knows what.
func lineSpec(mm, kg float64, by rig.Basis) string {
	about := "about "
	if by == rig.ByLabel {
		about = "by its label "
	}
	if kg == 0 {
		return fixed(mm, 2) + " mm"
	}
	return fmt.Sprintf("%s mm, %s%s kg (%s)", fixed(mm, 2), about, fixed(kg, 1), pounds(kg))
}

// windFor is the wind a rig was worked out for.
func windFor(w rig.Water) string {
	if w.WindForce == 0 || w.Wind == "" {
		return ""
	}
	return ", the wind force " + strconv.Itoa(w.WindForce) + " " + windWays[w.Wind]
}

var windWays = map[rig.Wind]string{
	rig.WindFacing: "in your face", rig.WindBehind: "from behind you", rig.WindUpstream: "up the river", rig.WindDownstream: "down the river",
}

func feedPair(r *rig.Rig, water rig.Water) []Pair {
	words := feedWords(r, water)
	if words == "" {
		return nil
	}
	return []Pair{{"Loose feed", words}}
}

func rodWords(low, high float64) string {
	if high <= low {
		return fmt.Sprintf("%g ft (%s m)", low, fixed(low*0.3048, 1))
	}
	return fmt.Sprintf("%g to %g ft (%s to %s m)", low, high, fixed(low*0.3048, 1), fixed(high*0.3048, 1))
}

// settleWords are how long the rig sinks, and how far down the swim the float is then.
func settleWords(r *rig.Rig) string {
	s := "in about " + fixed(r.SettleS, 0) + " s"
	if r.SettleM >= 1 {
		s += ", some " + fixed(r.SettleM, 0) + " m down the swim"
	}
	return s
}

func centimetres(m float64) string { return fixed(m*100, 0) + " cm" }

func beadLine(w rig.Weight) BeadLine {
	b := BeadLine{Dot: dotClass(w), Grams: grams(w.EachG * float64(w.Count)), What: weightWords(w)}
	switch {
	case w.Role == rig.Lock:
		b.At = "at the float"
	case spreadOut(w):
		b.At = placesWords(w)
	case w.ToM > w.AtM:
		b.At = fixed(w.AtM*100, 0) + "–" + centimetres(w.ToM)
	default:
		b.At = centimetres(w.AtM)
	}
	return b
}

// spreadOut says whether weights stand apart: by five centimetres or more, the least
// that anybody ties to. Closer ones are a bunch.
func spreadOut(w rig.Weight) bool {
	return w.Count > 1 && (w.ToM-w.AtM)/float64(w.Count-1) >= 0.05-1e-9
}

// placesWords lists where each of a few weights stands: "35, 60 and 85 cm".
func placesWords(w rig.Weight) string {
	at := w.Positions()
	words := make([]string, len(at))
	for i, m := range at {
		words[i] = fixed(m*100, 0)
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last] + " cm"
}

// dotClass draws a heavier shot bigger, by the cube root as its width is, from 3 to
// 8 pixels to its edge: what a line of text can hold. An olivette has its own shape.
func dotClass(w rig.Weight) string {
	if w.Kind == rig.Olivette {
		return "olivette"
	}
	return "d" + strconv.Itoa(min(8, max(3, int(math.Round(2+4.5*math.Cbrt(w.EachG))))))
}

func weightWords(w rig.Weight) string {
	what := numberWord(w.Count) + " " + w.Size
	if w.Kind == rig.Olivette {
		return string(w.Material) + " olivette"
	}
	switch w.Role {
	case rig.Stop:
		return w.Size + " stop"
	case rig.Spare:
		return what + ", spare for re-shotting"
	case rig.Lock:
		return what + ", " + lockWords(w.Count)
	case rig.Strung, rig.Bulk, rig.Dropper:
		switch {
		case spreadOut(w) && w.Role == rig.Strung:
			return what + ", evenly spread"
		case spreadOut(w):
			return what + ", spread"
		case w.Count > 1:
			return what + ", close together"
		}
	}
	return what
}

// lockWords says how shot hold a waggler on the line: more below than above, so
// that the float is pushed off the heavier side in the cast. Common practice, no source.
func lockWords(n int) string {
	if n < 2 {
		return "just below the float"
	}
	return fmt.Sprintf("%s above the float and %s below", numberWord(n/2), numberWord(n-n/2))
}

// inFull is a rig in one sentence, enough to tie it.
func inFull(r *rig.Rig) string {
	var b strings.Builder
	fmt.Fprintf(&b, "a %s, set at %s. From the float down: ", r.Name, metres(r.SetM))
	for j := len(r.Weights) - 1; j >= 0; j-- {
		line := beadLine(r.Weights[j])
		b.WriteString(line.What + " (" + line.At + "), ")
	}
	fmt.Fprintf(&b, "hook length %s of %s mm, hook %s with %s. Main line %s, %s mm.", centimetres(r.HookLengthM), fixed(r.HookLengthMM, 2),
		r.Hook, r.Bait, r.MainLine, fixed(r.MainLineMM, 2))
	return b.String()
}

// shotsLine is the weights in one line, biggest first: "3 g olivette, two No.4, ten No.8".
func shotsLine(ws []rig.Weight) string {
	type total struct {
		what  string
		count int
	}
	var sums []total
	for i := len(ws) - 1; i >= 0; i-- {
		name := ws[i].Size
		if ws[i].Kind == rig.Olivette {
			name += " olivette"
		}
		at := -1
		for j := range sums {
			if sums[j].what == name {
				at = j
			}
		}
		if at < 0 {
			sums = append(sums, total{what: name})
			at = len(sums) - 1
		}
		sums[at].count += ws[i].Count
	}
	words := make([]string, len(sums))
	for i, t := range sums {
		words[i] = numberWord(t.count) + " " + t.what
		if strings.HasSuffix(t.what, "olivette") && t.count == 1 {
			words[i] = t.what
		}
	}
	return strings.Join(words, ", ")
}
