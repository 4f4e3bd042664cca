package guide

import (
	"slices"
	"strings"
	"unicode"
)

// Term is a word of the trade, with what it means in plain words.
type Term struct {
	Key   string // its place on the page of words
	Word  string
	Means string
	Forms []string // how it stands in a text, in small letters; empty: only on the page
}

// Terms are the words of the glossary, in the order they are shown.
func Terms() []Term { return slices.Clone(terms) }

var terms = []Term{
	{"set-at", "Set at", "How far the float stands from the hook.", nil},
	{"bed", "Bed", "The floor of the river.", []string{"bed"}},
	{"swim", "Swim", "The bit of river in front of you, where you fish.", []string{"swim"}},
	{"rig", "Rig", "All that is on the line: float, weights, hook.", []string{"rig"}},
	{"float", "Float", "It stands in the water, and its tip shows what the bait does.", nil},
	{"rubber", "Float rubber", "A short, soft tube. The line and the float go through it.", []string{"rubber", "rubbers"}},
	{"shot", "Shot", "A small round weight with a split in it. The line goes in the split. No.8 is small, BB and AAA are big.", []string{"shot", "no.1", "no.3", "no.4", "no.5", "no.6", "no.7", "no.8", "no.9", "no.10", "no.11", "no.12", "no.13", "ssg", "aaa", "ab", "bb"}},
	{"olivette", "Olivette, stops", "A weight with a hole through it. It slides on the line, so a small shot each side holds it still.", []string{"olivette", "olivettes", "stops"}},
	{"bulk", "Bulk", "Most of the weight, all in one place on the line.", []string{"bulk"}},
	{"droppers", "Droppers", "The small shot below the bulk.", []string{"droppers"}},
	{"spare", "Spare", "Small shot that wait by the big weight, for when you want to move some.", []string{"spare"}},
	{"spread", "Evenly spread", "The shot sit at the places listed, one at each.", nil},
	{"hook-length", "Hook length", "The last, thin bit of line, with the hook on it. It joins the reel line by a loop.", []string{"hook length"}},
	{"bend", "Shank and bend", "The shank is the straight part of a hook. The bend is its round part.", []string{"shank"}},
	{"barb", "Barb", "A tiny spike behind a hook's point. A barbless hook has none, and comes out with ease.", []string{"barb", "barbless"}},
	{"plumb", "Plumb, plummet", "To plumb is to hang a heavy plummet on the hook and find how deep the water is.", []string{"plumb", "plummet"}},
	{"dot", "Dot it down", "Add or pinch off the smallest shot until only the tip of the float shows.", nil},
	{"feather", "Feather", "To slow the line with a finger as the rig flies out.", []string{"feathering"}},
	{"spool", "Spool", "The part of the reel that the line is wound on.", []string{"spool"}},
	{"hold-back", "Hold back", "Slow the float with the line, so that it goes slower than the water.", []string{"hold back", "hold it back"}},
	{"strike", "Strike", "To lift the rod when a fish bites, so that the hook goes in.", []string{"strike"}},
	{"disgorger", "Disgorger", "A thin stick with a slot. It pushes a hook out of a fish's mouth.", []string{"disgorger"}},
	{"settles", "Settles", "How long the rig takes to sink most of the way after the cast.", nil},
	{"level", "Level", "How high the river stands on its board, in metres.", nil},
	{"run", "Run", "The path your float takes past the peg: inside is close in, then a rod length out, two rods, the middle.", nil},
	{"pace", "Pace", "How fast the top of the water goes. Time a bit of stick over ten seconds or more.", nil},
	{"sounding", "Sounding", "A depth that somebody plumbed, with the level on that day.", nil},
	{"leptospirosis", "Leptospirosis", "An illness from a germ that rats leave in water. Say LEP-toe-spy-ROH-sis.", []string{"leptospirosis"}},
}

// wordsIn are the keys of the terms that a text uses.
func wordsIn(text string) []string {
	text = strings.ToLower(text)
	var out []string
	for _, t := range terms {
		if slices.ContainsFunc(t.Forms, func(f string) bool { return hasWord(text, f) }) {
			out = append(out, t.Key)
		}
	}
	return out
}

// hasWord says whether a form stands in a text as words of its own.
func hasWord(text, form string) bool {
	for from := 0; ; {
		i := strings.Index(text[from:], form)
		if i < 0 {
			return false
		}
		i += from
		if !inWord(text, i-1) && !inWord(text, i+len(form)) {
			return true
		}
		from = i + 1
	}
}

func inWord(text string, i int) bool {
	return i >= 0 && i < len(text) && (unicode.IsLetter(rune(text[i])) || unicode.IsDigit(rune(text[i])))
}

// TermOf finds a term by its key.
func TermOf(key string) (Term, bool) {
	i := slices.IndexFunc(terms, func(t Term) bool { return t.Key == key })
	if i < 0 {
		return Term{}, false
	}
	return terms[i], true
}
