// Package parse turns what came in a request into values of the domain. One
// parser a kind of input; each gives a *club.Fault whose sentence says what to
// write instead.
package parse

import (
	"errors"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"levelpeg/club"
	"levelpeg/rig"
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

// Tackle reads the "chart", "shot" and "olivette" of a query; a part that makes no
// sense, or is the standard kit's, is left empty.
func Tackle(q url.Values) (club.Tackle, error) {
	var charts []string
	for _, c := range rig.Charts() {
		charts = append(charts, c.Name)
	}
	std := club.StandardTackle()
	chart, badChart := oneOf(q, "chart", "a chart of shot sizes", charts, std.Chart)
	shot, badShot := oneOf(q, "shot", "a material for shot", club.Materials(), std.Shot)
	olivette, badOlivette := oneOf(q, "olivette", "a material for olivettes", club.Materials(), std.Olivette)
	return club.Tackle{Chart: chart, Shot: shot, Olivette: olivette}, errors.Join(badChart, badShot, badOlivette)
}

// Hold reads how much to hold back from a query's "hold", percent of the pace. It is
// nil where the query has none.
func Hold(q url.Values) (*int, error) {
	var offered []string
	for _, h := range club.HoldBacks() {
		offered = append(offered, strconv.Itoa(h))
	}
	text, err := oneOf(q, "hold", "a hold-back", offered, "")
	if err != nil || text == "" {
		return nil, err
	}
	hold, err := strconv.Atoi(text)
	return &hold, err
}

// oneOf reads a name that must be one of those offered. It is empty where the query
// has none or only what stands for itself.
func oneOf[S ~string](q url.Values, name, what string, offered []S, usual S) (S, error) {
	if !q.Has(name) {
		return "", nil
	}
	text := S(q.Get(name))
	if !slices.Contains(offered, text) {
		names := make([]string, len(offered))
		for i, o := range offered {
			names[i] = string(o)
		}
		return "", club.Faultf(club.Invalid, "“%s” is not %s. It may be %s.", short(string(text)), what, strings.Join(names, ", "))
	}
	if text == usual {
		return "", nil
	}
	return text, nil
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
