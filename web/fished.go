package web

import (
	"math"
	"strconv"

	"levelpeg/club"
)

// fishedLines say how often the peg was fished and what the water was like, what was
// near the sheet's level first; none where nobody wrote it down.
func fishedLines(s *club.Sheet) []string {
	f := s.Fished()
	if f.Times == 0 {
		return nil
	}
	out := make([]string, 0, 2)
	b := make([]byte, 0, 160)
	if len(f.Colours) > 0 || f.LowC != nil {
		b = append(b, "Near this level, within "...)
		b = strconv.AppendInt(b, int64(math.Round(f.NearM*100)), 10)
		b = append(appendWater(append(b, " cm, the water was "...), &f), '.')
		out = append(out, string(b))
	}
	b = appendTimes(append(b[:0], "Fished "...), f.Times)
	if f.More {
		b = append(b, " or more"...)
	}
	b = append(append(b, " in the last 12 months, last "...), ago(max(0, s.Now.Sub(f.Last)))...)
	switch {
	case s.Level.Known && f.Near == 0:
		b = append(b, ", never near this level"...)
	case s.Level.Known:
		b = append(appendTimes(append(b, ", "...), f.Near), " near this level"...)
	}
	return append(out, string(append(b, '.')))
}

// appendWater writes "clear four times, a tinge once; 8 to 13 °C".
func appendWater(b []byte, f *club.Fished) []byte {
	for i, c := range f.Colours {
		if i > 0 {
			b = append(b, ", "...)
		}
		b = appendTimes(append(append(b, c.Colour...), ' '), c.Times)
	}
	if f.LowC == nil {
		return b
	}
	if len(f.Colours) > 0 {
		b = append(b, "; "...)
	}
	low, high := math.Round(*f.LowC), math.Round(*f.HighC)
	b = appendDegrees(b, low)
	if high != low {
		b = appendDegrees(append(b, " to "...), high)
	}
	return append(b, " °C"...)
}

// appendDegrees writes a whole degree, as an angler says it.
func appendDegrees(b []byte, c float64) []byte {
	if c < 0 {
		b, c = append(b, "−"...), -c
	}
	return strconv.AppendInt(b, int64(c), 10)
}

// appendTimes writes "once", "twice", "three times".
func appendTimes(b []byte, n int) []byte {
	switch n {
	case 1:
		return append(b, "once"...)
	case 2:
		return append(b, "twice"...)
	}
	return append(append(b, numberWord(n)...), " times"...)
}
