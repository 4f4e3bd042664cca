package web

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"levelpeg/club"
	"levelpeg/rig"
)

// TonightPage is the few rigs to tie for a venue.
type TonightPage struct {
	Print     Print  // for the same on paper
	Day       string // the wind and the fish that were asked for
	Shell     Shell
	Problem   string
	Name      string
	Level     string // "Level 0.95 m, four times in five …"
	Gauge     string
	GaugeHref string
	Stops     StopBox
	Cares     []club.Care
	Answer    string // the answer in a sentence
	Edges     []EdgeLine
	Draw      []DrawnPeg
	Rigs      []TiedCard
	Left      []club.PegWord
	Shut      []ShutLine // pegs nobody may fish then, those with one reason together
	Silent    []club.PegWord
	Form      TonightForm
	Lead      string
	Kit       string // the reader's own kit in words; empty where they have not said
	KitSays   string
	Full      string // the same with a full box
	Help      string // what would help the kit most here
	Text      string // the same to keep, as plain text
	JSON      string
	PDF       string
	Venue     string // its address
}

// ShutLine is pegs that nobody may fish, and why.
type ShutLine struct{ Head, Why string }

// shutLines are the pegs that are shut for a reason of their own, in order downstream.
func shutLines(t *club.Tonight) []ShutLine {
	along := map[string]bool{}
	for _, s := range t.Stops {
		along[s.Text] = true
	}
	var whys []string
	pegs := map[string]map[string]bool{}
	for _, w := range t.Shut {
		if along[w.Say] {
			continue
		}
		if pegs[w.Say] == nil {
			pegs[w.Say] = map[string]bool{}
			whys = append(whys, w.Say)
		}
		pegs[w.Say][w.Label] = true
	}
	var out []ShutLine
	for _, why := range whys {
		out = append(out, ShutLine{"Do not fish " + spansOf(t, pegs[why]) + " then.", why})
	}
	return out
}

// EdgeLine is what would be tied at one end of the level's range.
type EdgeLine struct{ Level, Href, Say string }

// TiedCard is a rig to tie and the pegs it serves.
type TiedCard struct {
	Name   string
	Head   string // "1. 4 × No.4 stick"
	Serves string // "Pegs 1 to 6 and 9"
	Card   RigCard
	Rows   []ServedRow
}

// DrawnPeg leads from a peg that was drawn to what is done for it.
type DrawnPeg struct{ Label, Href, Rig, Says string }

// ServedRow is one peg that a rig serves.
type ServedRow struct {
	ID             string
	Peg, Href, Run string
	Depth, Pace    string
	Set, SetFeet   string
	Do, Better     string
}

// TonightForm is what is asked.
type TonightForm struct {
	Action      string
	At, Level   string
	Most        []Option
	Fish, Baits []Option
	Winds       []Option
	Forces      []Option
	Runs        []Option
	From, To    string
	Junior      bool
	Keep        []Pair // shot
	Fixtures    []SpanLink
}

// NewTonightPage shapes the answer for the page.
func NewTonightPage(a Assets, t *club.Tonight) TonightPage {
	path := "/venues/" + t.Venue.Slug + "/tonight"
	p := TonightPage{
		Shell: NewShell(a, t.Club, t.Member, "What to tie for "+t.Venue.Name).At(t.Venue), Name: t.Venue.Name,
		Gauge: t.Standing.Gauge.Name, GaugeHref: "/gauges/" + t.Standing.Gauge.Slug, Level: tonightLevel(t),
		Stops: stopBox(t.Stops), Cares: t.Cares, Answer: tonightAnswer(t), Shut: shutLines(t), Silent: t.Silent,
		Form: tonightForm(t, path), Venue: "/venues/" + t.Venue.Slug, Day: dayWords(t.Asked.Wind, t.Asked.Aim),
	}
	if p.Stops.Head != "" && !t.Level.At.IsZero() {
		p.Stops.Head = "Do not fish here at that hour."
	}
	query := queryOf(tonightPairs(t))
	p.Text, p.JSON, p.PDF = path+".txt"+query, path+".json"+query, path+".pdf"+query
	p.Edges = edgeLines(t, path)
	var rigs []rig.Rig
	for i := range t.Cover.Rigs {
		p.Rigs = append(p.Rigs, tiedCard(t, i))
		rigs = append(rigs, t.Cover.Rigs[i].Rig)
	}
	p.Left, p.Draw = leftWords(t), drawnPegs(t)
	if m := t.Asked.Tackle.MyKit(); m != nil {
		full := *t
		full.Asked.Tackle = club.Tackle{From: club.KitOff}
		p.Kit, p.KitSays, p.Full = m.Words(), kitSays[t.Asked.Tackle.From], path+queryOf(tonightPairs(&full))
		p.Help = "/kit/help" + queryOf([]Pair{{"venue", t.Venue.Slug}}, shotPairsOf(t.Asked.Tackle))
	}
	if len(rigs) > 0 {
		p.Lead = leadWords(rigs)
	}
	return p
}

// NewTonightPrint shapes the answer for paper.
func NewTonightPrint(t *club.Tonight) TonightPage {
	p := NewTonightPage(Assets{}, t)
	p.Print = newPrint(t.Club, "What to tie for "+t.Venue.Name, t.Known(), t.Now, t.Loc)
	p.Level = printedLevel(t.Level, t.Standing, t.Loc)
	if t.Level.Coming && t.Level.Known {
		p.Level += " Rain that nobody has seen yet is not in it: look again in the morning."
	}
	return p
}

func edgeLines(t *club.Tonight, path string) []EdgeLine {
	var out []EdgeLine
	for _, e := range t.Edges {
		at := t.Asked
		at.LevelM = &e.LevelM
		level := *t
		level.Asked, level.Level = at, club.LevelShown{Known: true, Asked: true, LevelM: e.LevelM}
		out = append(out, EdgeLine{Level: metres(e.LevelM), Href: path + queryOf(tonightPairs(&level)), Say: edgeWords(t, &e)})
	}
	return out
}

// edgeWords are what to tie at one end of the range, beside what is tied for its middle.
func edgeWords(t *club.Tonight, e *club.Edge) string {
	if len(e.Stops) > 0 {
		return "no fishing. " + e.Stops[0].Text
	}
	tied := map[string]bool{}
	for i := range t.Cover.Rigs {
		tied[t.Cover.Rigs[i].Rig.Name] = true
	}
	var names, more []string
	for i := range e.Rigs {
		name := e.Rigs[i].Rig.Name
		names = append(names, name)
		if !tied[name] {
			more = append(more, name)
		}
	}
	switch {
	case len(names) == 0:
		return "nothing can be said."
	case len(more) == 0:
		return "the same floats cover it."
	}
	return joined(names) + "."
}

func tiedCard(t *club.Tonight, i int) TiedCard {
	tied := &t.Cover.Rigs[i]
	c := TiedCard{
		Head: strconv.Itoa(i+1) + ". " + tiedName(t, i), Card: rigCard(&tied.Rig, t.Waters[tied.For].Water, i),
		Serves: servesWords(t, tied),
	}
	c.Name = tiedName(t, i)
	c.Card.ID = "rig-" + strconv.Itoa(i+1)
	for _, s := range tied.Serves {
		c.Rows = append(c.Rows, servedRow(t, &s))
	}
	return c
}

// tiedName is a rig's name, with its lines where another that is tied has the same.
func tiedName(t *club.Tonight, i int) string {
	r := &t.Cover.Rigs[i].Rig
	for j := range t.Cover.Rigs {
		if j != i && t.Cover.Rigs[j].Rig.Name == r.Name {
			return r.Name + " on " + fixed(r.MainLineMM, 2) + " mm, hook length " + fixed(r.HookLengthMM, 2) + " mm"
		}
	}
	return r.Name
}

func servedRow(t *club.Tonight, s *rig.Served) ServedRow {
	w := &t.Waters[s.Water]
	r := ServedRow{
		ID: rowID(w), Peg: w.Label, Href: "/venues/" + t.Venue.Slug + "/pegs/" + w.Label + queryOf(sheetPairs(t, w)),
		Run: w.Run.Name, Depth: metres(w.Run.Depth.Mid) + " " + give(w.Run.Depth), Pace: w.Run.Word,
		Set: metres(s.To.SetM), SetFeet: "(" + feet(s.To.SetM) + ")", Better: s.Better, Do: movesLine(s.Moves),
	}
	if !w.Run.Timed {
		r.Pace = "pace not timed"
	}
	return r
}

func rowID(w *club.PegWater) string { return "peg-" + w.Label + "-" + w.Run.Slug }

// drawnPegs are the pegs in order downstream, each with the rig that serves it; only
// where one run of each is asked for, so that there is one rig to name.
func drawnPegs(t *club.Tonight) []DrawnPeg {
	if t.Asked.Run == club.AllRuns || len(t.Cover.Rigs) == 0 {
		return nil
	}
	out := make([]DrawnPeg, len(t.Waters))
	for i := range t.Cover.Rigs {
		for _, s := range t.Cover.Rigs[i].Serves {
			w, n := &t.Waters[s.Water], strconv.Itoa(i+1)
			out[s.Water] = DrawnPeg{w.Label, "#" + rowID(w), "rig " + n, "Peg " + w.Label + ": rig " + n}
		}
	}
	return slices.DeleteFunc(out, func(d DrawnPeg) bool { return d.Label == "" })
}

// movesLine is what to do besides setting the depth, which stands beside it.
func movesLine(ms rig.Moves) string {
	var rest rig.Moves
	for _, m := range ms {
		if m.Kind != rig.SetDepth {
			rest = append(rest, m)
		}
	}
	if len(rest) == 0 {
		return ""
	}
	return capital(strings.Join(rest.Words(), "; ")) + "."
}

// servesWords is "Pegs 1 to 6 and 9, 7 of 26", the pegs in order downstream.
func servesWords(t *club.Tonight, tied *rig.Tied) string {
	served := map[string]bool{}
	for _, s := range tied.Serves {
		served[t.Waters[s.Water].Label] = true
	}
	return capital(spansOf(t, served))
}

// spansOf names pegs by the spans they make: "pegs 1 to 6 and 9".
func spansOf(t *club.Tonight, in map[string]bool) string {
	var parts []string
	total := 0
	for i := 0; i < len(t.Pegs); i++ {
		if !in[t.Pegs[i].Peg.Label] {
			continue
		}
		first := i
		for i+1 < len(t.Pegs) && in[t.Pegs[i+1].Peg.Label] {
			i++
		}
		total += i - first + 1
		switch from, to := t.Pegs[first].Peg.Label, t.Pegs[i].Peg.Label; {
		case i == first:
			parts = append(parts, from)
		case i == first+1:
			parts = append(parts, from, to)
		default:
			parts = append(parts, from+" to "+to)
		}
	}
	if total == 1 {
		return "peg " + parts[0]
	}
	return "pegs " + joined(parts)
}

// joined is "1, 4 and 9".
func joined(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

// swimName is "peg 14", and its run where every run was asked for.
func swimName(t *club.Tonight, w *club.PegWater) string {
	if t.Asked.Run == club.AllRuns {
		return w.Label + ", " + w.Run.Name
	}
	return w.Label
}

func tonightLevel(t *club.Tonight) string {
	l := &t.Level
	switch {
	case !l.Known && l.Why != "":
		return l.Why
	case !l.Known:
		return "Nobody has read the board yet."
	case l.Asked:
		return "At level " + metres(l.LevelM) + ", as you asked."
	case l.At.IsZero():
		line := levelLine(t.Standing, t.Now)
		return "At level " + line.Level + ", " + line.How + "."
	}
	say := l.At.In(t.Loc).Format(whenFormat) + ": level " + metres(l.LevelM) + ", four times in five from " + fixed(l.Range.Low, 2) + " to " + fixed(l.Range.High, 2) + " m"
	if l.Coming {
		return say + ", foreseen. Rain that nobody has seen yet is not in it: look again in the morning."
	}
	return say + "."
}

// tonightAnswer is the answer in a sentence.
func tonightAnswer(t *club.Tonight) string {
	c := &t.Cover
	switch {
	case len(t.Stops) > 0:
		return ""
	case len(t.Waters) == 0 && !t.Level.Known:
		return "Without a level there is nothing to tie for. Ask for the level you expect."
	case len(t.Waters) == 0:
		return "No peg here can be answered for: see below why."
	case t.No != "":
		return t.No
	case len(c.Rigs) == 0:
		return "No rig can be worked out for these waters: see below why."
	}
	swims := len(t.Waters)
	noun := "peg"
	if t.Asked.Run == club.AllRuns {
		noun = "run"
	}
	served := swims - len(c.Left)
	say := capital(countWord(len(c.Rigs), "rig")) + verb(len(c.Rigs), " covers ", " cover ")
	switch {
	case served == swims && swims == 1:
		say += "the one " + noun + " that may be fished."
	case served == swims:
		say += "all " + strconv.Itoa(swims) + " " + noun + "s that may be fished."
	default:
		say += fmt.Sprintf("%d of the %d %ss that may be fished.", served, swims, noun)
	}
	if c.Fewest > len(c.Rigs) {
		say += fmt.Sprintf(" For every one that can be served it takes %d.", c.Fewest)
	}
	if !c.Close {
		say += " So few do it only by looking less closely: tie more where a better float is named."
	}
	if !c.Exact {
		say += " Fewer may do: the search was cut short."
	}
	return say
}

func countWord(n int, noun string) string {
	if n == 1 {
		return "one " + noun
	}
	return numberWord(n) + " " + noun + "s"
}

func verb(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

// tonightPairs is all that was asked, as an address has it.
func tonightPairs(t *club.Tonight) []Pair {
	out := append(whenPairs(t), dayPairs(t.Asked.Wind, t.Asked.Aim)...)
	if t.Asked.Most != club.TieUsual {
		out = append(out, Pair{"most", strconv.Itoa(t.Asked.Most)})
	}
	out = append(out, runPair(t.Asked.Run)...)
	for _, p := range []Pair{{"from", t.Asked.FromLabel}, {"to", t.Asked.ToLabel}} {
		if p.Text != "" {
			out = append(out, p)
		}
	}
	return append(out, shotPairsOf(t.Asked.Tackle)...)
}

// whenPairs are the level or the moment that was asked for.
func whenPairs(t *club.Tonight) []Pair {
	switch {
	case t.Level.Asked:
		return levelPair(t.Level.LevelM)
	case !t.Level.At.IsZero():
		return []Pair{{"at", clock(t.Level.At, t.Loc)}}
	}
	return nil
}

// sheetPairs lead to the sheet of one of the waters, for the same day.
func sheetPairs(t *club.Tonight, w *club.PegWater) []Pair {
	out := append(whenPairs(t), dayPairs(t.Asked.Wind, t.Asked.Aim)...)
	if t.Asked.Run != "" {
		out = append(out, Pair{"run", w.Run.Slug})
	}
	return append(out, shotPairsOf(t.Asked.Tackle)...)
}

func tonightForm(t *club.Tonight, path string) TonightForm {
	f := TonightForm{
		Action: path, Junior: t.Asked.Aim.Junior, From: t.Asked.FromLabel, To: t.Asked.ToLabel, Keep: shotPairsOf(t.Asked.Tackle),
		Fish: nameOptions("whatever bites", rig.Fish(), t.Asked.Aim.Fish), Baits: nameOptions("what suits the float", rig.Baits(), t.Asked.Aim.Bait),
		Winds: windOptions(t.Asked.Wind.From, nil), Forces: forceOptions(t.Asked.Wind.Force), Runs: runOptions(t),
	}
	if t.Level.Asked {
		f.Level = levelPair(t.Level.LevelM)[0].Text
	} else if !t.Level.At.IsZero() {
		f.At = clock(t.Level.At, t.Loc)
	}
	for n := club.TieLeast; n <= club.TieMost; n++ {
		f.Most = append(f.Most, Option{strconv.Itoa(n), "up to " + strconv.Itoa(n), n == t.Asked.Most})
	}
	if len(t.Pegs) > 0 {
		for _, x := range t.Pegs[0].Fixtures {
			f.Fixtures = append(f.Fixtures, SpanLink{Label: x.Name + ", " + x.Words(t.Now, t.Loc), Href: atHref(path, x.Starts, t.Loc)})
		}
	}
	return f
}

// runOptions are the runs that pegs of the venue have.
func runOptions(t *club.Tonight) []Option {
	out := []Option{{"", "the best run of each peg", t.Asked.Run == ""}, {club.AllRuns, "every run of each peg", t.Asked.Run == club.AllRuns}}
	seen := map[string]bool{}
	for _, p := range t.Pegs {
		for _, r := range p.Runs {
			slug := club.Slug(r.Name)
			if !seen[slug] {
				seen[slug] = true
				out = append(out, Option{slug, r.Name, t.Asked.Run == slug})
			}
		}
	}
	return out
}

// TonightText writes the answer as plain text, to keep where there is no signal.
func TonightText(b *bytes.Buffer, t *club.Tonight) {
	fmt.Fprintf(b, "%s: what to tie\n%s\n", t.Venue.Name, tonightLevel(t))
	if line := dayWords(t.Asked.Wind, t.Asked.Aim); line != "" {
		fmt.Fprintf(b, "%s.\n", line)
	}
	for _, s := range t.Stops {
		fmt.Fprintf(b, "DO NOT FISH: %s\n", s.Text)
	}
	for _, l := range shutLines(t) {
		fmt.Fprintf(b, "%s %s\n", l.Head, l.Why)
	}
	for _, c := range t.Cares {
		fmt.Fprintf(b, "%s: %s\n", c.Head, c.Text)
	}
	for _, e := range edgeLines(t, "") {
		fmt.Fprintf(b, "If it comes out at %s: %s\n", e.Level, e.Say)
	}
	if say := tonightAnswer(t); say != "" {
		fmt.Fprintf(b, "\n%s\n", say)
	}
	for i := range t.Cover.Rigs {
		tied := &t.Cover.Rigs[i]
		fmt.Fprintf(b, "\n%d. %s\nTie %s\n", i+1, strings.ToUpper(tiedName(t, i)), inFull(&tied.Rig))
		for _, s := range tied.Serves {
			r := servedRow(t, &s)
			fmt.Fprintf(b, "  Peg %s, %s: %s, %s. Set it at %s. %s\n", r.Peg, r.Run, r.Depth, r.Pace, r.Set, strings.TrimSpace(r.Do+betterWords(r.Better)))
		}
	}
	textWords(b, "Not covered", leftWords(t))
	textWords(b, "Nothing to say of", t.Silent)
	b.WriteString("\nPlumb before you trust it. Go by the club's rules, the byelaws of the water, and your own eyes on the day.\n")
}

func betterWords(better string) string {
	if better == "" {
		return ""
	}
	return " A " + better + " would suit it better."
}

func leftWords(t *club.Tonight) []club.PegWord {
	var out []club.PegWord
	for _, l := range t.Cover.Left {
		out = append(out, club.PegWord{Label: swimName(t, &t.Waters[l.Water]), Say: l.Why})
	}
	return out
}

func textWords(b *bytes.Buffer, head string, all []club.PegWord) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", head)
	for _, w := range all {
		fmt.Fprintf(b, "  Peg %s: %s\n", w.Label, w.Say)
	}
}
