package club

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Found is a venue, or a peg of it, that answers what was looked for.
type Found struct {
	VenueSlug, VenueName string
	Label                string // empty: the venue itself
}

// Stops says why nobody should fish what was found now; empty where nothing forbids it.
func (h Home) Stops(f Found, now time.Time, loc *time.Location) []string {
	i := slices.IndexFunc(h.Venues, func(v VenueCard) bool { return v.Venue.Slug == f.VenueSlug })
	if i < 0 {
		return nil
	}
	v := &h.Venues[i]
	labels := make([]string, len(v.Pegs))
	for i, p := range v.Pegs {
		labels[i] = p.Label
	}
	var out []string
	for _, s := range VenueStops(v.Venue, v.Standing, v.Closures, v.Rules, now, loc) {
		out = append(out, s.Text)
	}
	for _, p := range PartStops(v.Standing, v.Closures, v.Rules, now, loc) {
		switch {
		case f.Label == "":
			out = append(out, upperFirst(p.Pegs())+": "+p.Text)
		case covers(p.FromLabel, p.ToLabel, labels, slices.Index(labels, f.Label)):
			out = append(out, p.Text)
		}
	}
	return out
}

// LostPeg is the fault for a peg that a venue does not have.
type LostPeg struct {
	VenueName, VenueSlug string
	Nearest              []string // labels of pegs it has, nearest first
	Fault                *Fault
}

// Error is the sentence.
func (l *LostPeg) Error() string { return l.Fault.Error() }

// Unwrap gives the fault, so that KindOf finds it.
func (l *LostPeg) Unwrap() error { return l.Fault }

// PegNotFound names the pegs of the venue that are nearest to the one asked for.
func PegNotFound(venueName, venueSlug, label string, nearest []string) *LostPeg {
	f := Faultf(NotFound, "%s has no peg %s. It has %s.", venueName, label, strings.Join(nearest, ", "))
	if len(nearest) == 0 {
		f = Faultf(NotFound, "%s has no peg %s; it has no pegs yet.", venueName, label)
	}
	return &LostPeg{VenueName: venueName, VenueSlug: venueSlug, Nearest: nearest, Fault: f}
}

// NearestLabels picks up to n of a venue's labels nearest to the one asked for, by
// their numbers; where it has no number, the first n.
func NearestLabels(labels []string, asked string, n int) []string {
	near := slices.Clone(labels)
	if want, ok := number(asked); ok {
		slices.SortStableFunc(near, func(a, b string) int { return cmp.Compare(away(a, want), away(b, want)) })
	}
	near = near[:min(n, len(near))]
	slices.SortStableFunc(near, func(a, b string) int {
		return cmp.Compare(slices.Index(labels, a), slices.Index(labels, b))
	})
	return near
}

// lastPlace is further away than any number on a post.
const lastPlace = 1 << 30

func away(label string, want int) int {
	got, ok := number(label)
	if !ok {
		return lastPlace
	}
	return max(got-want, want-got)
}

var leadingDigits = regexp.MustCompile(`^[0-9]{1,8}`)

func number(label string) (int, bool) {
	n, err := strconv.Atoi(leadingDigits.FindString(label))
	return n, err == nil
}

// labelLike is what a peg's label looks like in a sentence: a number, perhaps with
// a letter after it.
var labelLike = regexp.MustCompile(`^[0-9]{1,4}[A-Za-z]?$`)

// Wanted is what someone typed into the box that takes a peg.
type Wanted struct {
	Label string   // "14"; empty where no number was given
	Words []string // the rest, such as a venue's name
}

// ParseWanted reads "14", "peg 14", "sallow reach 14" or a venue's name.
func ParseWanted(text string) Wanted {
	var w Wanted
	for _, word := range strings.Fields(text) {
		switch {
		case labelLike.MatchString(word):
			w.Label = word
		case strings.EqualFold(word, "peg"), strings.EqualFold(word, "no"):
		default:
			w.Words = append(w.Words, word)
		}
	}
	return w
}
