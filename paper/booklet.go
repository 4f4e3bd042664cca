package paper

import (
	"strconv"

	"levelpeg/club/guide"
	"levelpeg/club/sketch"
	"levelpeg/web"
)

// booklet is a guide on A5 pages, in the order they are read: printed on both sides and
// stapled at the left edge, or two to a sheet.
type booklet struct{ web.Booklet }

// Sizes of words, in points: large enough to be read on a bank.
const (
	bookBody  = 10.5
	bookSmall = 8.5
)

func (b booklet) draw(d *doc) {
	d.head = func() { b.again(d) }
	d.page()
	b.cover(d)
	for i := range b.Steps {
		b.step(d, i)
	}
	b.knots(d)
	b.terms(d)
}

func (b booklet) again(d *doc) {
	words := d.clipped("Set up a "+b.Name, 8, false, d.wide()-14)
	d.words(d.left(), d.y+baseOf(8), 8, false, words)
	n := strconv.Itoa(d.pdf.PageNo())
	d.words(d.right()-d.width(n, 9, true), d.y+baseOf(8), 9, true, n)
	d.y += lineOf(8) + 0.6
	d.rule(0.2)
	d.y += 3
}

func (b booklet) cover(d *doc) {
	d.para([]span{{"Set up a " + b.Name, true}}, 22, 1)
	d.para(plain(b.For), 11, 2)
	d.first("Do not use this rig.", b.Stops, bookBody)
	d.first("Never fish alone.", []string{"Go with a grown-up. Tell someone at home where you are. Look up: stay 30 m from power lines. Do not wade. In a storm, put the rod down and go in."}, 12)
	if b.Welfare != "" {
		d.care(headed("Someone worries you?", "Tell "+b.Welfare+"."), bookBody)
	}
	d.y += 2
	whole := guide.Whole(b.Setup.Rig)
	by := d.wide() / whole.W
	d.sketch(whole, d.left(), d.y, by)
	d.y += whole.H*by + 3
	part := ""
	for i := range b.Steps {
		if b.Steps[i].Part != part {
			part = b.Steps[i].Part
			d.para([]span{{strconv.Itoa(i+1) + ".  ", true}, {words: part}}, bookBody, 0.4)
		}
	}
	const side = 30.0
	at := d.bottom() - side
	if d.y > at {
		d.page()
	}
	d.qr(b.Address, d.right()-side+2, at, side)
	d.write(d.lines(plain("The same on a phone, with each step on a screen of its own: scan this."), bookBody, d.wide()-side-4), d.left(), at+side/2-lineOf(bookBody), bookBody)
	d.y = d.bottom()
}

// step keeps a step whole: its drawing, what to do, why, and what is so when it is done.
func (b booklet) step(d *doc, i int) {
	s := &b.Steps[i]
	const drawn = 74.0 // two steps have room on a page
	by := drawn / max(s.Draw.W, 1)
	title := []span{{strconv.Itoa(i+1) + ".  " + s.Title, true}}
	high := d.high(title, 14, d.wide()) + s.Draw.H*by + 8
	for _, p := range stepWords(s) {
		high += d.high(p, bookBody, d.wide()) + 0.8
	}
	d.need(min(high, d.bottom()-d.size.margin-8))
	d.para(title, 14, 1)
	if s.Care {
		d.pdf.SetFillColor(0, 0, 0)
		d.pdf.Rect(d.left()-3.2, d.y-1, 1.4, s.Draw.H*by, "F")
	}
	d.need(s.Draw.H * by)
	d.sketch(s.Draw, d.left(), d.y, by)
	if s.Hands != "" {
		d.aside(s.Hands, drawn+3)
	}
	d.y += s.Draw.H*by + 2
	for _, p := range stepWords(s) {
		d.para(p, bookBody, 0.8)
	}
	d.y += 5
}

// aside writes words beside a drawing.
func (d *doc) aside(words string, in float64) {
	ls := d.lines(headed("By hand:", words), bookSmall, d.wide()-in)
	d.write(ls, d.left()+in, d.y+1, bookSmall)
}

// stepWords are the paragraphs of a step.
func stepWords(s *guide.Step) [][]span {
	var out [][]span
	for _, do := range s.Do {
		out = append(out, []span{{do, true}})
	}
	for _, l := range s.List {
		out = append(out, plain("–  "+l))
	}
	if s.Why != "" {
		out = append(out, headed("Why:", s.Why))
	}
	if s.Done != "" {
		out = append(out, headed("Done when:", s.Done))
	}
	return out
}

// knots are those that the steps tie, two drawings a row.
func (b booklet) knots(d *doc) {
	if len(b.Knots) == 0 {
		return
	}
	d.page()
	for _, k := range b.Knots {
		d.need(70)
		d.para([]span{{k.Name, true}}, 14, 0.3)
		d.para(plain(k.For), bookBody, 1)
		if k.Adult {
			d.care([]span{{"A grown-up ties this: the hook is bare.", true}}, bookBody)
		}
		for i := 0; i < len(k.Steps); i += 2 {
			b.moves(d, k.Steps[i:min(i+2, len(k.Steps))], i)
		}
		d.y += 3
	}
}

// moves are up to two moves of a knot side by side.
func (b booklet) moves(d *doc, all []guide.KnotStep, from int) {
	w := d.wide()/2 - 2
	drawn, words := 0.0, 0.0
	texts := make([][]line, len(all))
	for i, m := range all {
		texts[i] = d.lines([]span{{strconv.Itoa(from+i+1) + ".", true}, {words: m.Do}}, bookSmall, w)
		drawn, words = max(drawn, m.Draw.H*sketchBy(m.Draw, w)), max(words, float64(len(texts[i]))*lineOf(bookSmall))
	}
	d.need(drawn + words + 2)
	for i, m := range all {
		x := d.left() + float64(i)*(w+4)
		d.sketch(m.Draw, x, d.y, sketchBy(m.Draw, w))
		d.write(texts[i], x, d.y+drawn+1, bookSmall)
	}
	d.y += drawn + words + 3
}

func sketchBy(s sketch.Drawing, w float64) float64 { return w / max(s.W, 1) }

// terms are the trade words, in plain ones.
func (b booklet) terms(d *doc) {
	if len(b.Terms) == 0 {
		return
	}
	d.y += 3
	d.need(30)
	d.para([]span{{"What the words mean", true}}, 14, 1)
	for _, t := range b.Terms {
		d.para(headed(t.Word+":", t.Means), bookBody, 0.7)
	}
}
