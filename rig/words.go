package rig

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// gramWords is grams with no more figures than they have: "2.5 g".
func gramWords(g float64) string {
	return strconv.FormatFloat(math.Round(g*1000)/1000, 'f', -1, 64) + " g"
}

// lengthWords is centimetres under a metre and metres from there.
func lengthWords(m float64) string {
	if cm := math.Round(m * 100); cm < 100 {
		return fmt.Sprintf("%.0f cm", cm)
	}
	return fmt.Sprintf("%.2f m", m)
}

// mm is a diameter: "0.16 mm".
func mmWords(mm float64) string { return fmt.Sprintf("%.2f mm", mm) }

var numbers = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}

// countOf is a number of shot: "eight No.8", "12 BB".
func countOf(n int, size string) string {
	if n >= 0 && n < len(numbers) {
		return numbers[n] + " " + size
	}
	return fmt.Sprintf("%d %s", n, size)
}

// shareWords is how much is held back: "about a third".
func shareWords(share float64) string {
	switch {
	case share < 0.2:
		return "not at all"
	case share < 0.28:
		return "about a quarter"
	case share < 0.4:
		return "about a third"
	case share < 0.8:
		return "about half"
	}
	return "altogether"
}

// placeWords is where the bait runs by how far ahead of the float it is.
func placeWords(aheadM float64) string {
	switch {
	case aheadM > underM:
		return fmt.Sprintf("%s ahead of the float", lengthWords(aheadM))
	case aheadM < -underM:
		return fmt.Sprintf("%s behind the float", lengthWords(-aheadM))
	}
	return "just under the float"
}

// capitalArticle is a thing with its article at the head of a sentence.
func capitalArticle(thing string) string {
	s := article(thing)
	return strings.ToUpper(s[:1]) + s[1:]
}

// article is "a" or "an" before a thing that may start with a number.
func article(thing string) string {
	for _, start := range []string{"8 ", "8.", "11 ", "18 ", "A"} {
		if strings.HasPrefix(thing, start) {
			return "an " + thing
		}
	}
	return "a " + thing
}
