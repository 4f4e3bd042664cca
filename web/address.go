package web

import (
	"math"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// pegLink leads to another peg of the venue, at the level that was asked for.
func pegLink(s *club.Sheet, label string) *PegLink {
	if label == "" {
		return nil
	}
	return &PegLink{Label: label, Href: pegHref(s, label, s.Level.LevelM, "")}
}

// pegHref is the address of a peg's sheet at a level and for a run; the latest
// level, or that of the moment asked for, where the sheet was not asked for another. It carries what was chosen of
// shot and hold-back.
func pegHref(s *club.Sheet, label string, levelM float64, run string) string {
	return address(s, label, askedLevel(s, levelM), runPair(run), chosen(s))
}

// pegHrefAt is the address of the sheet's own peg and run at another level.
func pegHrefAt(s *club.Sheet, levelM float64) string {
	return address(s, s.Peg.Label, levelPair(levelM), runPair(chosenSlug(s)), chosen(s))
}

// askedLevel is the level as an address has it; the moment where one was asked for, and
// nothing where it is the latest.
func askedLevel(s *club.Sheet, levelM float64) []Pair {
	if !s.Level.Known || !s.Level.Asked && levelM == s.Level.LevelM {
		return momentPair(s)
	}
	return levelPair(levelM)
}

func levelPair(levelM float64) []Pair {
	return []Pair{{"level", strconv.FormatFloat(hundredth(levelM), 'f', 2, 64)}}
}

// address is that of a peg of the venue, with what is asked of its sheet. On the
// sheet's own peg what is asked is enough: it goes behind the page's own path.
func address(s *club.Sheet, label string, asked ...[]Pair) string {
	query := queryOf(asked...)
	if label == s.Peg.Label && query != "" {
		return query
	}
	return "/venues/" + s.Venue.Slug + "/pegs/" + label + query
}

// queryOf is what is asked as an address has it, with its mark; empty for nothing.
func queryOf(asked ...[]Pair) string {
	b := make([]byte, 0, 64)
	for _, part := range asked {
		for _, p := range part {
			mark := byte('&')
			if len(b) == 0 {
				mark = '?'
			}
			b = append(append(append(append(b, mark), p.Term...), '='), spaced(p.Text)...)
		}
	}
	return string(b)
}

// spaced is a text as a query has it. Nothing else that an address here carries needs
// more than its spaces written otherwise.
func spaced(text string) string { return strings.ReplaceAll(text, " ", "+") }

func hundredth(v float64) float64 {
	v = math.Round(v*100) / 100
	if v == 0 {
		return 0 // not −0
	}
	return v
}

func chosenSlug(s *club.Sheet) string {
	if s.Chosen < 0 {
		return ""
	}
	return s.Runs[s.Chosen].Slug
}

// clockLayout is how an address has a time: as the club's clock shows it.
const clockLayout = "2006-01-02T15:04"

func clock(at time.Time, loc *time.Location) string { return at.In(loc).Format(clockLayout) }

// atHref is the address of a page of a venue or a peg at a time to come.
func atHref(path string, at time.Time, loc *time.Location) string {
	return path + "?at=" + clock(at, loc)
}
