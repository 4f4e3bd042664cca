package web

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"levelpeg/hydro"
)

// metres is "1.86 m".
func metres(m float64) string { return fixed(m, 2) + " m" }

// fixed is v with n decimals, a true minus sign, and no "−0.00".
func fixed(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.HasPrefix(s, "-") {
		if strings.Trim(s, "-0.") == "" {
			return s[1:]
		}
		return "−" + s[1:]
	}
	return s
}

const inchM = 0.0254

// feet is "6 ft 1 in", to the nearest inch; "11 in" under a foot.
func feet(m float64) string {
	inches := int(math.Round(m / inchM))
	switch {
	case inches < 12:
		return strconv.Itoa(inches) + " in"
	case inches%12 == 0:
		return strconv.Itoa(inches/12) + " ft"
	}
	return fmt.Sprintf("%d ft %d in", inches/12, inches%12)
}

// centimetres is "± 6 cm", never "± 0".
func plusMinus(low, high float64) string {
	return "± " + strconv.Itoa(max(1, int(math.Round((high-low)*50)))) + " cm"
}

// give is how far a depth may be off: "± 6 cm", or "(1.71 to 2.37)" where it may be off
// by much more one way than the other.
func give(f hydro.Figure) string {
	const evenM = 0.02
	up, down := f.High-f.Mid, f.Mid-f.Low
	if max(up, down) > 1.5*min(up, down)+evenM {
		return "(" + fixed(f.Low, 2) + " to " + fixed(f.High, 2) + ")"
	}
	return plusMinus(f.Low, f.High)
}

// grams is "0.25 g", or "3 g" for a whole number of them.
func grams(g float64) string {
	s := strconv.FormatFloat(math.Round(g*1000)/1000, 'f', -1, 64)
	if _, decimals, ok := strings.Cut(s, "."); ok && len(decimals) == 1 {
		s += "0"
	}
	return s + " g"
}

const kgPerLb = 0.45359237

// pounds is "2 lb 14 oz".
func pounds(kg float64) string {
	oz := int(math.Round(kg / kgPerLb * 16))
	if oz%16 == 0 {
		return strconv.Itoa(oz/16) + " lb"
	}
	if oz < 16 {
		return strconv.Itoa(oz) + " oz"
	}
	return fmt.Sprintf("%d lb %d oz", oz/16, oz%16)
}

// ago is how long since: "just now", "20 min ago", "5 hours ago", "3 weeks ago".
func ago(d time.Duration) string {
	const day = 24 * time.Hour
	switch {
	case d < 2*time.Minute:
		return "just now"
	case d < time.Hour:
		return fmt.Sprintf("%d min ago", int(d.Minutes()))
	case d < 36*time.Hour:
		return count(int(d.Round(time.Hour).Hours()), "hour") + " ago"
	case d < 21*day:
		return count(int(d.Round(day)/day), "day") + " ago"
	case d < 90*day:
		return count(int(d/(7*day)), "week") + " ago"
	case d < 730*day:
		return count(int(d/(30*day)), "month") + " ago"
	}
	return count(int(d/(365*day)), "year") + " ago"
}

// count is "1 peg" or "3 pegs".
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

var numberWords = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// numberWord is "six", or "17" past twelve.
func numberWord(n int) string {
	if n >= 0 && n < len(numberWords) {
		return numberWords[n]
	}
	return strconv.Itoa(n)
}

var winds = [...]string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}

// bearing names the nearest of eight points: 225 is "south-west".
func bearing(deg int) string {
	return winds[((deg+22)%360)/45]
}

// capital is words with a capital letter at the front.
func capital(words string) string {
	r, n := utf8.DecodeRuneInString(words)
	if n == 0 {
		return words
	}
	return string(unicode.ToUpper(r)) + words[n:]
}
