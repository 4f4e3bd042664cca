package web

import (
	"fmt"
	"math"
	"strconv"

	"levelpeg/club"
)

// HangLine says how the first rig hangs at a hold-back, and leads to others.
type HangLine struct {
	Words string
	Holds []HoldLink
}

// HoldLink leads to the sheet with another hold-back.
type HoldLink struct {
	Label, Href string
	Chosen      bool
}

func hangLine(s *club.Sheet) *HangLine {
	if s.Hang == nil {
		return nil
	}
	l := &HangLine{Words: hangWords(s.Hang)}
	at := address(s, s.Peg.Label, askedLevel(s, s.Level.LevelM), runPair(chosenSlug(s)), ownPairs(s.Own), dayPairs(s.Wind, s.Aim), shotPairs(s), []Pair{{"hold", ""}})
	l.Holds = holdLinks(at, s.Hang.HoldBack)
	return l
}

// holdLinks lead to the same with each hold-back there is, behind an address.
func holdLinks(at string, now int) []HoldLink {
	var out []HoldLink
	for _, h := range club.HoldBacks() {
		out = append(out, HoldLink{Label: holdLabels[h], Chosen: h == now, Href: at + strconv.Itoa(h)})
	}
	return out
}

var holdLabels = map[int]string{0: "run free", 25: "a quarter", 30: "a third", 50: "a half", 100: "held still"}

// heldWords is how a float is held back: "Held back a third".
func heldWords(percent int) string {
	switch percent {
	case 0:
		return "Running free"
	case perCent:
		return "Held still"
	}
	if share, ok := holdLabels[percent]; ok {
		return "Held back " + share
	}
	return "Held back " + strconv.Itoa(percent) + " %"
}

const perCent = 100

// hangWords is the hang in a sentence.
func hangWords(h *club.Hang) string {
	held := heldWords(h.HoldBack)
	if h.Slack {
		return held + ", the weights do not hold the line down in this pace."
	}
	if !h.Asked {
		held += ", as advised"
	}
	words := fmt.Sprintf("%s: line %s, bait %s, lifted %s", held, leanWords(h.TiltDeg), baitWords(h.AheadM), span(h.LiftM))
	if h.OnBed {
		words += ", dragging on the bed: set it shallower"
	}
	return words + "."
}

// leanWords is how far the line leans, to whole degrees.
func leanWords(deg float64) string {
	whole := int(math.Round(math.Abs(deg)))
	switch {
	case whole == 0:
		return "upright"
	case deg < 0:
		return fmt.Sprintf("%d° off upright (upstream, drawn to the left)", whole)
	}
	return fmt.Sprintf("%d° off upright (downstream, drawn to the right)", whole)
}

// baitWords is where the bait runs, to whole centimetres.
func baitWords(aheadM float64) string {
	switch cm := math.Round(aheadM * 100); {
	case cm > 0:
		return span(aheadM) + " ahead of the float"
	case cm < 0:
		return span(-aheadM) + " behind the float"
	}
	return "right under the float"
}

// span is centimetres under a metre and metres from there.
func span(m float64) string {
	if math.Round(m*100) < 100 {
		return centimetres(m)
	}
	return metres(m)
}

// hangDesc says in the drawing's description what it draws of the rig.
func hangDesc(h *club.Hang) string {
	if h.Slack {
		return "The float alone is drawn: its weights do not hold the line down."
	}
	lean := "downstream"
	if h.TiltDeg < 0 {
		lean = "upstream"
	}
	return "The rig hangs in the chosen run to scale, as seen from the bank, and leans " + lean + ". " + hangWords(h)
}
