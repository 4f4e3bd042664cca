package web

import (
	"bytes"
	"context"
	"math"
	"net/url"
	"strconv"
	"strings"
	"sync"

	"github.com/a-h/templ"

	"levelpeg/club"
	"levelpeg/rig"
)

// OwnForm asks for what a reader found on the peg. Its fields belong to a form that
// stands on the page by itself with what changes from page to page.
type OwnForm struct {
	Depth      string
	Paces      []Option
	Over, Secs string
	Day        string // what is chosen of wind, fish and bait, in words; empty where nothing is
	Winds      []Option
	Forces     []Option
	Fish       []Option
	Baits      []Option
	Junior     bool
}

// OwnLine says which figures are the reader's own.
type OwnLine struct {
	Say   string
	Back  string // the address with the book's figures
	Write string // the address that writes them down; empty for who may not, and for what is no sounding of now
}

func ownForm(o club.Own, wind club.Breeze, aim rig.Aim) OwnForm {
	return OwnForm{
		Depth: decimals(o.DepthM, 2), Paces: paceOptions(o), Over: someDecimals(o.OverM), Secs: someDecimals(o.TimedS),
		Day:   dayWords(wind, aim),
		Winds: windOptions(wind.From, nil), Forces: forceOptions(wind.Force),
		Fish: nameOptions("whatever bites", rig.Fish(), aim.Fish), Baits: nameOptions("what suits the float", rig.Baits(), aim.Bait), Junior: aim.Junior,
	}
}

// dayWords is "wind south-west 4, chub, bread flake".
func dayWords(wind club.Breeze, aim rig.Aim) string {
	var words []string
	if wind.Force > 0 {
		from := wind.From
		if p, ok := club.PointByName(wind.From); ok {
			from = p.Word
		}
		words = append(words, "wind "+from+" "+strconv.Itoa(wind.Force))
	}
	for _, w := range []string{aim.Fish, aim.Bait} {
		if w != "" {
			words = append(words, w)
		}
	}
	if aim.Junior {
		words = append(words, "a junior fishes")
	}
	return capital(strings.Join(words, ", "))
}

// paceOptions are the book's pace, slower and faster; and the pace that was typed,
// where one was.
func paceOptions(o club.Own) []Option {
	out := []Option{
		{Value: "", Label: "pace by the book", Chosen: o.Feel == ""},
		{Value: string(club.Slower), Label: "slower", Chosen: o.Feel == club.Slower},
		{Value: string(club.Faster), Label: "faster", Chosen: o.Feel == club.Faster},
	}
	if o.PaceMPS != nil {
		out[0].Chosen = false
		out = append(out, Option{Value: decimals(o.PaceMPS, 2), Label: fixed(*o.PaceMPS, 2) + " m/s", Chosen: true})
	}
	return out
}

// windOptions are the points of the compass, and where the angler stands by no peg
// (own is not nil) the winds as they feel them.
func windOptions(from string, own []rig.Wind) []Option {
	out := []Option{{Value: "", Label: "no wind to speak of", Chosen: from == ""}}
	for _, w := range own {
		out = append(out, Option{string(w), windFelt[w], from == string(w)})
	}
	if own != nil {
		return out
	}
	for _, p := range club.Points() {
		out = append(out, Option{p.Name, p.Word, from == p.Name})
	}
	return out
}

var windFelt = map[rig.Wind]string{
	rig.WindFacing: "in my face", rig.WindBehind: "from behind me", rig.WindUpstream: "up the river, against the flow", rig.WindDownstream: "down the river, with the flow",
}

// forces are the Beaufort scale in its usual words, from memory, as far as anybody
// float fishes.
var forces = []string{"", "light air", "light breeze", "gentle breeze", "moderate breeze", "fresh breeze", "strong breeze", "near gale", "gale"}

func forceOptions(force int) []Option {
	out := []Option{{Value: "", Label: "how hard", Chosen: force == 0}}
	for i := 1; i < len(forces); i++ {
		out = append(out, Option{strconv.Itoa(i), strconv.Itoa(i) + ", " + forces[i], i == force})
	}
	return out
}

func nameOptions(none string, names []string, chosen string) []Option {
	out := []Option{{Value: "", Label: none, Chosen: chosen == ""}}
	for _, n := range names {
		out = append(out, Option{n, n, n == chosen})
	}
	return out
}

func decimals(v *float64, n int) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', n, 64)
}

func someDecimals(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// emptyDay is the form's other fields with nothing in them, which are the same on every
// sheet.
var emptyDay = sync.OnceValue(func() templ.Component {
	empty := dayFields(ownForm(club.Own{}, club.Breeze{}, rig.Aim{}))
	var html bytes.Buffer
	if err := empty.Render(context.Background(), &html); err != nil {
		return empty
	}
	p, err := newPiece(html.Bytes())
	if err != nil {
		return empty
	}
	return p
})

var noPaces = paceOptions(club.Own{})

// ownParts are the form as the sheet fills it, and its other fields. These stand next to
// the rigs' cards, which are compressed beforehand as they are.
func ownParts(s *club.Sheet) (row OwnForm, day templ.Component) {
	if s.Own.IsZero() && s.Wind.Force == 0 && s.Aim == (rig.Aim{}) {
		return OwnForm{Paces: noPaces}, emptyDay()
	}
	f := ownForm(s.Own, s.Wind, s.Aim)
	return f, dayFields(f)
}

// ownKeep is what the form carries beside its own fields.
func ownKeep(s *club.Sheet) []Pair {
	return append(append(askedPairs(s), runPair(chosenSlug(s))...), tacklePairs(s)...)
}

// askedPairs are the level or the moment that was asked for.
func askedPairs(s *club.Sheet) []Pair {
	if s.Level.Asked {
		return levelPair(s.Level.LevelM)
	}
	return momentPair(s)
}

// ownPairs are what the reader found on the peg, as an address has it. It holds for
// one run at one level, so that links to others leave it out.
func ownPairs(o club.Own) []Pair {
	var out []Pair
	add := func(name, text string) {
		if text != "" {
			out = append(out, Pair{name, text})
		}
	}
	add("depth", decimals(o.DepthM, 2))
	add("pace", string(o.Feel))
	if o.PaceMPS != nil {
		add("pace", strconv.FormatFloat(*o.PaceMPS, 'f', -1, 64))
	}
	add("over", someDecimals(o.OverM))
	add("secs", someDecimals(o.TimedS))
	if o.Boil != nil {
		add("boil", strconv.Itoa(*o.Boil))
	}
	if o.OutM != nil {
		add("out", strconv.FormatFloat(*o.OutM, 'f', -1, 64))
	}
	return out
}

// dayPairs are the wind, the fish and the bait: they hold for every peg that day.
func dayPairs(wind club.Breeze, aim rig.Aim) []Pair {
	var out []Pair
	if wind.Force > 0 {
		out = append(out, Pair{"wind", wind.From}, Pair{"force", strconv.Itoa(wind.Force)})
	}
	if aim.Fish != "" {
		out = append(out, Pair{"fish", aim.Fish})
	}
	if aim.Bait != "" {
		out = append(out, Pair{"bait", aim.Bait})
	}
	if aim.Junior {
		out = append(out, Pair{"junior", "1"})
	}
	return out
}

// ownLine says what the reader's own figures are and what the book says instead.
func ownLine(s *club.Sheet) *OwnLine {
	if s.Chosen < 0 || s.Own.IsZero() {
		return nil
	}
	r := &s.Runs[s.Chosen]
	var yours, book []string
	if r.Ours.Depth {
		yours = append(yours, metres(r.Depth.Mid)+" plumbed")
		if r.Ours.Book.Mid > 0 {
			book = append(book, metres(r.Ours.Book.Mid)+" "+give(r.Ours.Book))
		}
	}
	if r.Ours.Pace {
		yours = append(yours, "about "+fixed(r.Pace.Mid, 2)+" m/s, "+r.Word)
		if r.Ours.BookPace.Mid > 0 {
			book = append(book, fixed(r.Ours.BookPace.Mid, 2)+" m/s")
		}
	}
	if s.Own.Boil != nil {
		yours = append(yours, boilWords[*s.Own.Boil])
	}
	if s.Own.OutM != nil {
		yours = append(yours, fixed(*s.Own.OutM, 1)+" m out")
	}
	l := &OwnLine{Back: address(s, s.Peg.Label, askedPairs(s), runPair(chosenSlug(s)), chosen(s))}
	l.Say = "Yours: " + strings.Join(yours, ", ") + "."
	switch {
	case len(yours) == 0:
		l.Say = "Your pace changes nothing: the book has none to begin with."
	case len(book) > 0:
		l.Say += " The book says " + strings.Join(book, ", ") + "."
	}
	l.Say += " Nothing is written down."
	l.Write = writeOwn(s)
	return l
}

// writeOwn is the page of recording with what was plumbed and timed filled in.
func writeOwn(s *club.Sheet) string {
	if s.Own.DepthM == nil || len(askedPairs(s)) > 0 || !club.SoundingEntry.MayWrite(s.Member.Role) {
		return ""
	}
	q := url.Values{"kind": {string(club.SoundingEntry)}, "peg": {s.Peg.Code}, "run": {s.Runs[s.Chosen].Name}, "depth": {fixed(*s.Own.DepthM, 2)}}
	if s.Own.TimedS > 0 {
		q.Set("over", someDecimals(s.Own.OverM))
		q.Set("secs", someDecimals(s.Own.TimedS))
	}
	if s.Own.Boil != nil {
		q.Set("boil", strconv.Itoa(*s.Own.Boil))
	}
	return "/record?" + q.Encode()
}

// boilWords are how broken the water is.
var boilWords = [...]string{"smooth", "a little broken", "broken", "boily"}

// windLine is the wind at the peg in a sentence; empty where none was given.
func windLine(wind club.Breeze, blows rig.Wind) string {
	if blows == "" {
		return ""
	}
	from := "Wind"
	if p, ok := club.PointByName(wind.From); ok {
		from = "Wind " + p.Word
	}
	return from + ", force " + strconv.Itoa(wind.Force) + " (" + forces[wind.Force] + "): " + windBlows[blows] + "."
}

var windBlows = map[rig.Wind]string{
	rig.WindFacing: "in your face here", rig.WindBehind: "from behind you here", rig.WindUpstream: "up the river here, against the flow", rig.WindDownstream: "down the river here, with the flow",
}

// farFeedM is how far upstream loose feed can be thrown and still be in the swim (common
// practice, no source).
const farFeedM = 15

// feedWords say where to throw loose feed of a rig's bait: it is carried while it sinks, so
// it goes in that far upstream of where it is wanted (common practice, no source).
func feedWords(r *rig.Rig, water rig.Water) string {
	b, err := rig.BaitByName(r.Bait)
	if err != nil {
		return ""
	}
	f, err := b.Feed(water)
	if err != nil {
		return ""
	}
	words := "a little at every cast. It sinks in " + spanWords(f.Least.S, f.Most.S, " s")
	if f.Most.M < 1 {
		return words + " and goes straight down: throw it where you want it."
	}
	words += " and the river carries it " + spanWords(f.Least.M, f.Most.M, " m") + " meanwhile: throw it that far upstream of where you fish."
	if f.Least.M > farFeedM {
		words += " That is far: a dropper, or a stiff ball of groundbait, takes it down sooner."
	}
	return words
}

// spanWords is "5 to 9 s", or "5 s" where both ends round to it.
func spanWords(low, high float64, unit string) string {
	a, b := fixed(math.Round(low), 0), fixed(math.Round(high), 0)
	if a == b {
		return a + unit
	}
	return a + " to " + b + unit
}
