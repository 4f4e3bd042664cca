package parse

import (
	"errors"
	"math"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"levelpeg/club"
	"levelpeg/rig"
)

// Own reads what somebody found on the peg: a query's "depth" (metres, or feet and
// inches), "pace" (metres a second, or slower or faster than the book says) or "over"
// metres in "secs", "boil" and "out". A part that makes no sense is left out; one that
// is empty was not given.
func Own(q url.Values) (club.Own, error) {
	var o club.Own
	var bad [6]error
	o.DepthM, bad[0] = length(q, "depth", "a depth")
	switch text := said(q, "pace"); club.Feel(text) {
	case club.Slower, club.Faster:
		o.Feel = club.Feel(text)
	default:
		o.PaceMPS, bad[1] = number(q, "pace", "a pace in metres a second")
	}
	o.OutM, bad[2] = length(q, "out", "how far out")
	o.Boil, bad[3] = whole(q, "boil", "how broken the water is")
	over, badOver := length(q, "over", "how far the float ran")
	secs, badSecs := number(q, "secs", "how many seconds it took")
	bad[4], bad[5] = badOver, badSecs
	if over != nil {
		o.OverM = *over
	}
	if secs != nil {
		o.TimedS = *secs
	}
	return sound(o, errors.Join(bad[:]...))
}

// sound leaves out what no run can be, with why.
func sound(o club.Own, bad error) (club.Own, error) {
	if bad != nil { // what was timed is of no use by half
		o.OverM, o.TimedS = 0, 0
	}
	if err := o.Check(); err != nil {
		return club.Own{}, errors.Join(bad, err)
	}
	return o, bad
}

// Breeze reads a query's "wind", where it comes from, and "force".
func Breeze(q url.Values) (club.Breeze, error) {
	b := club.Breeze{From: said(q, "wind")}
	force, err := whole(q, "force", "the force of a wind")
	if err != nil {
		return club.Breeze{}, err
	}
	if force != nil {
		b.Force = *force
	}
	if err := b.Check(); err != nil {
		return club.Breeze{}, err
	}
	return b, nil
}

// Aim reads a query's "fish", "bait" and "junior", which is 1 where a child fishes.
func Aim(q url.Values) (rig.Aim, error) {
	fish, badFish := oneOfSaid(q, "fish", "a fish", rig.Fish())
	bait, badBait := oneOfSaid(q, "bait", "a bait", rig.Baits())
	junior, badJunior := oneOfSaid(q, "junior", "a way to say that a junior fishes", []string{"1"})
	return rig.Aim{Fish: fish, Bait: bait, Junior: junior == "1"}, errors.Join(badFish, badBait, badJunior)
}

// oneOfSaid is oneOf where an empty name was not given.
func oneOfSaid(q url.Values, name, what string, offered []string) (string, error) {
	if said(q, name) == "" {
		return "", nil
	}
	return oneOf(q, name, what, offered, "")
}

// said is what a query has under a name, without spaces about it.
func said(q url.Values, name string) string { return strings.TrimSpace(q.Get(name)) }

// feet is how people write a length in feet and inches: 7 ft 3 in, 7', 6'10", 6ft 6.
var feet = regexp.MustCompile(`^([0-9]{1,3}) ?(?:ft|feet|foot|'|′|’) ?(?:([0-9]{1,2}) ?(?:in|inches|"|″|”)?)?$`)

// length reads metres, or feet and inches, from a query; nil where it has none.
func length(q url.Values, name, what string) (*float64, error) {
	text := strings.ToLower(said(q, name))
	if m := feet.FindStringSubmatch(text); m != nil {
		ft, _ := strconv.Atoi(m[1]) // digits, by the expression
		in, _ := strconv.Atoi(m[2]) // none is 0
		if in < 12 {
			v := math.Round((float64(ft)*12+float64(in))*2.54) / 100
			return &v, nil
		}
	}
	q = url.Values{name: {strings.TrimSpace(strings.TrimSuffix(text, "m"))}}
	v, err := number(q, name, what)
	if err != nil {
		return nil, club.Faultf(club.Invalid, "“%s” is not %s. Write metres, such as 2.20, or feet and inches, such as 7 ft 3.", short(text), what)
	}
	return v, nil
}

// number reads a decimal number from a query; nil where it has none. Thousandths are
// the finest anybody means.
func number(q url.Values, name, what string) (*float64, error) {
	text := said(q, name)
	if text == "" {
		return nil, nil
	}
	if !decimal.MatchString(text) {
		return nil, club.Faultf(club.Invalid, "“%s” is not %s. Write a number, such as 0.45.", short(text), what)
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return nil, club.Faultf(club.Invalid, "“%s” is not %s. Write a number, such as 0.45.", short(text), what)
	}
	v = math.Round(v*1000) / 1000
	return &v, nil
}

// whole reads a whole number from a query; nil where it has none.
func whole(q url.Values, name, what string) (*int, error) {
	text := said(q, name)
	if text == "" {
		return nil, nil
	}
	v, err := strconv.Atoi(text)
	if err != nil {
		return nil, club.Faultf(club.Invalid, "“%s” is not %s. Write a whole number.", short(text), what)
	}
	return &v, nil
}

// code is a peg's lasting code, as it is printed: letters and digits.
var code = regexp.MustCompile(`^[0-9A-Za-z]{1,12}$`)

// Code reads a peg's code from a query; empty where it has none.
func Code(q url.Values) (string, error) {
	text := strings.ReplaceAll(said(q, "code"), " ", "")
	if text != "" && !code.MatchString(text) {
		return "", club.Faultf(club.Invalid, "“%s” is not a peg's code: it is a few letters and digits, as on the post or at the end of the peg's page.", short(text))
	}
	return strings.ToUpper(text), nil
}
