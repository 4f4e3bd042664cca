package guide

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// Reading level by Flesch and Kincaid's grade, from J. P. Kincaid, R. P. Fishburne,
// R. L. Rogers and B. S. Chissom, Derivation of New Readability Formulas for Navy Enlisted
// Personnel, Naval Technical Training Command, Research Branch Report 8-75, 1975:
//
//	grade = 0.39·(words ÷ sentences) + 11.8·(syllables ÷ words) − 15.59
//
// over sentences of four words or more. A trade word that the glossary explains counts as
// two syllables, since the one who reads can tap it; figures and units count as they are
// said. Syllables are counted by rule, as the report's own computer versions did.
const gradeMost = 6.0

var sentenceEnd = regexp.MustCompile(`[.!?:]+(\s+|$)|\n+`)

// spoken are units and shorthand, as they are said.
var spoken = map[string]string{
	"cm": "centimetres", "m": "metres", "mm": "millimetres", "g": "grams", "ft": "feet", "in": "in", "m/s": "metres a second", "×": "times",
}

func sentences(text string) [][]string {
	text = regexp.MustCompile(`No\.(\d)`).ReplaceAllString(text, "No$1")
	text = regexp.MustCompile(`(\d)\.(\d)`).ReplaceAllString(text, "${1}point$2")
	var out [][]string
	for _, s := range sentenceEnd.Split(text, -1) {
		words := strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(`,;()"–-`, r) })
		if len(words) >= 4 {
			out = append(out, words)
		}
	}
	return out
}

var tradeWords = func() map[string]bool {
	out := map[string]bool{}
	for _, t := range terms {
		for _, f := range t.Forms {
			for _, w := range strings.Fields(f) {
				out[strings.ReplaceAll(w, ".", "")] = true
			}
		}
	}
	return out
}()

// syllables of a word as it is said.
func syllables(word string) int {
	w := strings.ToLower(strings.Trim(word, `'’“”`))
	w = strings.TrimSuffix(w, "'s")
	if tradeWords[w] {
		return 2
	}
	if said, ok := spoken[w]; ok {
		n := 0
		for _, one := range strings.Fields(said) {
			n += vowels(one)
		}
		return n
	}
	if strings.ContainsAny(w, "0123456789") {
		n := 0
		for _, r := range w { // about as figures are said: seven, ten and the point as two or one
			switch {
			case r == '7':
				n += 2
			case unicode.IsDigit(r):
				n++
			}
		}
		return max(1, n+strings.Count(w, "point"))
	}
	return vowels(w)
}

// odd are words the rule of vowels gets wrong.
var odd = map[string]int{"centimetres": 4, "millimetres": 4, "metres": 2, "people": 2, "being": 2, "ready": 2, "idea": 3, "quiet": 2, "science": 2, "area": 3, "someone": 2, "something": 2, "outside": 2, "sideways": 2,
	"somewhere": 2, "every": 2, "evenly": 3, "finger": 2, "tied": 1, "gone": 1, "else": 1, "are": 1, "were": 1, "where": 1, "there": 1, "here": 1, "before": 2, "unhooking": 3, "sideway": 2, "careful": 2}

func vowels(w string) int {
	if n, ok := odd[w]; ok {
		return n
	}
	n, last := 0, false
	for _, r := range w {
		v := strings.ContainsRune("aeiouy", r)
		if v && !last {
			n++
		}
		last = v
	}
	if strings.HasSuffix(w, "e") && !strings.HasSuffix(w, "le") || strings.HasSuffix(w, "es") && !regexp.MustCompile(`(s|x|z|ch|sh|g|c|l)es$`).MatchString(w) ||
		strings.HasSuffix(w, "ed") && !regexp.MustCompile(`[td]ed$`).MatchString(w) || regexp.MustCompile(`[aeiouy]les?$`).MatchString(w) {
		n--
	}
	return max(1, n)
}

func grade(text string) (g float64, words int) {
	var n, syl int
	all := sentences(text)
	for _, s := range all {
		n += len(s)
		for _, w := range s {
			syl += syllables(w)
		}
	}
	if n == 0 {
		return 0, 0
	}
	return 0.39*float64(n)/float64(len(all)) + 11.8*float64(syl)/float64(n) - 15.59, n
}

func (s *Step) prose() string {
	return strings.Join(slices.Concat(s.Do, []string{s.Why, s.Done, s.Hands}, s.List), "\n")
}

// TestGradeFormula: the formula on a text whose counts are done by hand: two sentences,
// thirteen words, fourteen syllables.
func TestGradeFormula(t *testing.T) {
	got, words := grade("Wet your hands and the mat. Keep the fish low, over the mat.")
	want := 0.39*13/2 + 11.8*14/13 - 15.59
	if words != 13 || got < want-0.001 || got > want+0.001 {
		t.Errorf("grade %v over %d words, want %v over 13", got, words, want)
	}
	for word, n := range map[string]int{"plummet": 2, "disgorger": 2, "leptospirosis": 2, "thumb": 1, "little": 2, "cm": 4, "hole": 1, "pulled": 1, "packet": 2, "holes": 1, "touches": 2, "17": 3, "angler": 2, "needed": 2} {
		if got := syllables(word); got != n {
			t.Errorf("%s has %d syllables by rule, %d as it is said", word, got, n)
		}
	}
}

// TestReadingLevel: every guide of the grid reads at grade six or below, and so does each
// knot and what the glossary says.
func TestReadingLevel(t *testing.T) {
	worst, at := -99.0, ""
	for _, s := range grid(t) {
		g, err := For(s)
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for i := range g.Steps {
			all = append(all, g.Steps[i].prose())
		}
		got, _ := grade(strings.Join(all, "\n"))
		if got > worst {
			worst, at = got, g.Name+" "+g.Code
		}
		if got > gradeMost {
			t.Errorf("%s reads at grade %.1f: %s", g.Name, got, g.Code)
		}
	}
	t.Logf("the hardest guide reads at grade %.2f: %s", worst, at)
	var knots, words []string
	for _, k := range Knots() {
		knots = append(knots, k.For)
		for _, m := range k.Steps {
			knots = append(knots, m.Do)
		}
	}
	for _, term := range Terms() {
		words = append(words, term.Means)
	}
	for name, text := range map[string][]string{"knots": knots, "words": words} {
		if got, _ := grade(strings.Join(text, "\n")); got > gradeMost {
			t.Errorf("%s read at grade %.1f", name, got)
		}
	}
}

// TestStepGrades writes the hardest steps, for whoever writes them.
func TestStepGrades(t *testing.T) {
	if os.Getenv("LEVELPEG_LONG") == "" {
		t.Skip("for whoever writes the words: LEVELPEG_LONG=1")
	}
	type hard struct {
		g    float64
		text string
	}
	seen := map[string]hard{}
	for _, s := range grid(t) {
		g, err := For(s)
		if err != nil {
			t.Fatal(err)
		}
		for i := range g.Steps {
			text := g.Steps[i].prose()
			if got, _ := grade(text); got > seen[g.Steps[i].Key].g {
				seen[g.Steps[i].Key] = hard{got, text}
			}
		}
	}
	for key, h := range seen {
		t.Logf("%-12s %.1f\n%s", key, h.g, h.text)
	}
}
