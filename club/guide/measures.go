package guide

import (
	"fmt"
	"math"
	"strings"

	"levelpeg/rig"
)

// A hand measures well enough, for nobody ties to the centimetre. The sizes are about
// those of someone of thirteen (common practice, no source), and the guide says to try
// one's own against a ruler first.
const (
	spanM   = 0.18 // thumb to little finger, stretched
	fingerM = 0.015
)

// byHand is a length in spans, half spans and fingers: "2 spans and 3 fingers".
func byHand(m float64) string {
	const half = spanM / 2
	if m >= 5*spanM { // so far a finger more or less is nothing
		return halves(m / spanM)
	}
	n := math.Floor(m/half + 1e-9)
	fingers := math.Round((m - n*half) / fingerM)
	if fingers*fingerM > half-1e-9 {
		n, fingers = n+1, 0
	}
	spans := spanWords(int(n))
	switch {
	case n == 0:
		return some(int(max(fingers, 1)), "finger")
	case fingers == 0:
		return spans
	}
	return spans + " and " + some(int(fingers), "finger")
}

// spanWords is so many half spans.
func spanWords(n int) string {
	switch {
	case n == 1:
		return "half a span"
	case n%2 == 1:
		return number(n/2) + " and a half spans"
	}
	return some(n/2, "span")
}

func halves(spans float64) string {
	twice := int(math.Round(2 * spans))
	if twice%2 == 0 {
		return fmt.Sprintf("%d spans", twice/2)
	}
	return fmt.Sprintf("%d and a half spans", twice/2)
}

var numbers = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

func number(n int) string {
	if n >= 0 && n < len(numbers) {
		return numbers[n]
	}
	return fmt.Sprint(n)
}

func some(n int, noun string) string {
	if n == 1 {
		return "one " + noun
	}
	return number(n) + " " + noun + "s"
}

func cm(m float64) string { return fmt.Sprintf("%.0f cm", m*100) }

// long is centimetres under a metre and metres from there.
func long(m float64) string {
	if math.Round(m*100) < 100 {
		return cm(m)
	}
	return fmt.Sprintf("%.2f m", m)
}

// feet is a depth in feet and inches, beside the metres.
func feet(m float64) string {
	inches := int(math.Round(m / 0.0254))
	switch {
	case inches < 12:
		return fmt.Sprintf("%d in", inches)
	case inches%12 == 0:
		return fmt.Sprintf("%d ft", inches/12)
	}
	return fmt.Sprintf("%d ft %d in", inches/12, inches%12)
}

func both(m float64) string { return fmt.Sprintf("%.2f m (%s)", m, feet(m)) }

// count is so many of a weight: "six No.8", "a 3 g olivette".
func count(w rig.Weight) string {
	if w.Kind == rig.Olivette {
		return an(w.Size) + " olivette"
	}
	if w.Count == 1 {
		return "one " + w.Size
	}
	return number(w.Count) + " " + w.Size
}

func an(thing string) string {
	for _, start := range []string{"8 ", "8.", "11 ", "18 "} {
		if strings.HasPrefix(thing, start) {
			return "an " + thing
		}
	}
	return "a " + thing
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// list is "a, b and c".
func list(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}

// places are where the shot of a weight stand, from so far above the hook: "25, 30 and
// 35 cm".
func places(w rig.Weight, fromM float64) string {
	var words []string
	last := -1.0
	for _, m := range w.Positions() {
		if m > last+1e-9 {
			words = append(words, fmt.Sprintf("%.0f", (m-fromM)*100))
		}
		last = m
	}
	return list(words) + " cm"
}
