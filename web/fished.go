package web

import (
	"math"
	"strconv"
	"strings"

	"levelpeg/club"
)

// fishedLines say how often the peg was fished and what the water was like, what was
// near the sheet's level first; none where nobody wrote it down.
func fishedLines(s *club.Sheet) []string {
	f := s.Fished()
	if f.Times == 0 {
		return nil
	}
	var out []string
	if water := waterWords(f); water != "" {
		out = append(out, "Near this level, within "+centimetres(f.NearM)+", the water was "+water+".")
	}
	times := timesWord(f.Times)
	if f.More {
		times += " or more"
	}
	all := "Fished " + times + " in the last 12 months, last " + ago(max(0, s.Now.Sub(f.Last)))
	switch {
	case s.Level.Known && f.Near == 0:
		all += ", never near this level"
	case s.Level.Known:
		all += ", " + timesWord(f.Near) + " near this level"
	}
	return append(out, all+".")
}

// waterWords is "clear four times, a tinge once; 8 to 13 °C"; empty where nobody said.
func waterWords(f club.Fished) string {
	var parts []string
	for _, c := range f.Colours {
		parts = append(parts, string(c.Colour)+" "+timesWord(c.Times))
	}
	words := strings.Join(parts, ", ")
	if f.LowC == nil {
		return words
	}
	if words != "" {
		words += "; "
	}
	low, high := degrees(*f.LowC), degrees(*f.HighC)
	if low == high {
		return words + low + " °C"
	}
	return words + low + " to " + high + " °C"
}

// degrees is to the whole degree, as an angler says it.
func degrees(c float64) string {
	return strings.Replace(strconv.Itoa(int(math.Round(c))), "-", "−", 1)
}

// timesWord is "once", "twice", "three times".
func timesWord(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return numberWord(n) + " times"
}
