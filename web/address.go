package web

import (
	"math"
	"strconv"
	"strings"

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
// level where the sheet was not asked for another. It carries what was chosen of
// shot and hold-back.
func pegHref(s *club.Sheet, label string, levelM float64, run string) string {
	return address(s, label, askedLevel(s, levelM), runPair(run), chosen(s))
}

// askedLevel is the level as an address has it; none where it is the latest.
func askedLevel(s *club.Sheet, levelM float64) []Pair {
	if !s.Level.Known || !s.Level.Asked && levelM == s.Level.LevelM {
		return nil
	}
	return []Pair{{"level", strconv.FormatFloat(hundredth(levelM), 'f', 2, 64)}}
}

// address is that of a peg of the venue, with what is asked of its sheet.
func address(s *club.Sheet, label string, asked ...[]Pair) string {
	var b strings.Builder
	b.WriteString("/venues/" + s.Venue.Slug + "/pegs/" + label)
	mark := "?"
	for _, part := range asked {
		for _, p := range part {
			b.WriteString(mark + p.Term + "=" + p.Text)
			mark = "&"
		}
	}
	return b.String()
}

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
