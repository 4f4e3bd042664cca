package rig

import (
	"fmt"
	"math"
)

// why says in two to four sentences why this rig.
func (o offer) why(r Rig, k Kit) []string {
	out := []string{o.What}
	if s := o.leanWords(r, k); s != "" {
		out = append(out, s)
	}
	out = append(out, o.decidedWords())
	if r.HoldBack > 0 {
		out = append(out, fmt.Sprintf("Held back %s the bait runs %s%s.",
			shareWords(r.HoldBack), placeWords(r.AheadM), leanTakes(r.SetM-o.water.DepthM)))
	}
	return out
}

// leanWords compare the float with the next size down.
func (o offer) leanWords(r Rig, k Kit) string {
	if o.water.PaceMPS == 0 {
		return ""
	}
	held := "held back a third, "
	switch {
	case o.runs:
		held = "running free, "
	case o.aim.HeldStill:
		held = "held still, "
	}
	mine := o.tilt(beads(r.Weights, o.bait), o.water.PaceMPS)
	s := fmt.Sprintf("At %.2f m/s and %s, %s%s keeps the line %.0f° off upright", o.water.PaceMPS,
		metreWords(o.water.DepthM), held, article(r.Marking+" float"), mine)
	switch {
	case o.at == 0 && o.size().grams > o.made[0].grams:
		return s + "; it is the lightest of its kind in the kit."
	case o.at == 0:
		return s + "; it is the lightest of its kind."
	}
	less := o.sizes[o.at-1]
	ws, err := Shot(less.grams, o.layout, k)
	if err != nil {
		return s + "."
	}
	lean := o.tilt(beads(ws, o.bait), o.water.PaceMPS)
	if lean <= mine {
		return s + "." // its shot fall differently, and lean decided nothing
	}
	return fmt.Sprintf("%s; %s would lean %.0f°.", s, less.marking, lean)
}

// decidedWords say what decided the capacity.
func (o offer) decidedWords() string {
	asked := gramWords(math.Round(o.need.grams*10) / 10)
	switch o.need.decided {
	case "the pace":
		return fmt.Sprintf("The pace decides: %s is the least whose line leans no more than %.0f°.", asked, o.limitDeg())
	case "the pattern's least":
		return fmt.Sprintf("Nothing here asks for more than the lightest of its kind, %s.", o.made[0].marking)
	}
	return fmt.Sprintf("The pace alone would ask for %s; %s is for %s.",
		gramWords(math.Round(o.need.paceG*10)/10), asked, o.need.decided)
}

// leanTakes says how much deeper than the water the float is set.
func leanTakes(overM float64) string {
	if overM < 0.005 {
		return ""
	}
	return fmt.Sprintf(", and the lean takes %s of line", lengthWords(overM))
}

func metreWords(m float64) string { return fmt.Sprintf("%.2f m", m) }
