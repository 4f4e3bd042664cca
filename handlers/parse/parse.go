// Package parse turns what came in a request into values of the domain. One
// parser a kind of input; each gives a *club.Fault whose sentence says what to
// write instead.
package parse

import (
	"math"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"levelpeg/club"
)

// decimal is how people write a level: 1.24, 1,24, -0.3, .5. Exponents, names of
// numbers and hexadecimal are not.
var decimal = regexp.MustCompile(`^[+-]?([0-9]{1,4}([.,][0-9]{0,6})?|[.,][0-9]{1,6})$`)

// Level reads metres on a board from a query's "level". It is nil where the query
// has none. A level is read to the centimetre, so it is rounded to one.
func Level(q url.Values) (*float64, error) {
	if !q.Has("level") {
		return nil, nil
	}
	text := strings.TrimSpace(strings.ReplaceAll(q.Get("level"), "−", "-"))
	text = strings.TrimSpace(strings.TrimSuffix(text, "m"))
	if text == "" {
		return nil, club.Faultf(club.Invalid, "Write the level in metres as the board shows it, such as 1.24.")
	}
	if !decimal.MatchString(text) {
		return nil, club.Faultf(club.Invalid, "“%s” is not a level. Write metres as the board shows them, such as 1.24.", short(text))
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || v < club.MinLevelM || v > club.MaxLevelM {
		return nil, club.Faultf(club.Invalid, "%s m is not a level a board shows: those are from %g to %g.", short(text), club.MinLevelM, club.MaxLevelM)
	}
	v = math.Round(v*100) / 100
	return &v, nil
}

// Days reads how far back to look, one of the days offered; the first where the
// query says nothing.
func Days(q url.Values, offered []int) (int, error) {
	text := q.Get("days")
	if text == "" {
		return offered[0], nil
	}
	n, err := strconv.Atoi(text)
	for _, d := range offered {
		if err == nil && n == d {
			return n, nil
		}
	}
	return offered[0], club.Faultf(club.Invalid, "“%s” is not a span this page looks back over. Choose one below the drawing.", short(text))
}

const longestShown = 30

// short keeps what is said back to a person readable, however much was sent.
func short(text string) string {
	r := []rune(text)
	if len(r) <= longestShown {
		return text
	}
	return string(r[:longestShown]) + "…"
}
