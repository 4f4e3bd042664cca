package paper

import (
	"strings"

	"levelpeg/web"
)

// tonight is what to tie.
type tonight struct{ web.TonightPage }

func (t tonight) draw(d *doc) {
	d.head = func() { d.again("What to tie: " + t.Name) }
	d.page()
	d.para([]span{{"What to tie", true}}, 20, 0.3)
	d.para([]span{{t.Name, true}}, 12, 0.6)
	d.para(plain(t.Level), 9.5, 0.5)
	if t.Day != "" {
		d.para(plain(t.Day+"."), 9.5, 0.5)
	}
	d.y += 1
	d.first(t.Stops.Head, t.Stops.Why, 9.5)
	for _, s := range t.Shut {
		d.care(headed(s.Head, s.Why), 9)
	}
	for _, c := range t.Cares {
		d.care(headed(c.Head+".", c.Text), 9)
	}
	t.answer(d)
	for i := range t.Rigs {
		t.rig(d, &t.Rigs[i])
	}
	t.rest(d)
}

func (t tonight) answer(d *doc) {
	if t.Answer != "" {
		d.y += 1
		d.para([]span{{t.Answer, true}}, 11, 1)
	}
	for _, r := range t.Rigs {
		d.para([]span{{r.Head + ".", true}, {words: r.Serves + "."}}, 9.5, 0.3)
	}
	for _, e := range t.Edges {
		d.para(headed("If it comes out at "+e.Level+":", e.Say), 9, 0.3)
	}
	if t.Kit != "" {
		d.para(headed(t.KitSays+":", t.Kit+"."), 8.5, 0.3)
	}
	if len(t.Draw) > 0 {
		words := make([]string, len(t.Draw))
		for i, p := range t.Draw {
			words[i] = p.Label + "\u00A0" + p.Rig
		}
		d.para(headed("Drawn a peg?", strings.Join(words, ", ")+"."), 9, 0.5)
	}
}

// Columns of the pegs that a rig serves.
const (
	servedPegW = 16.0
	servedSetW = 34.0
	tieBody    = 8.5
)

func (t tonight) rig(d *doc, r *web.TiedCard) {
	d.y += 2
	d.need(70)
	d.rule(0.5)
	d.y += 1.5
	d.para([]span{{r.Head, true}}, 13, 0.2)
	d.para([]span{{r.Serves, true}}, 9.5, 0.5)
	d.rigCard(&r.Card, rigSizes{name: 9.5, body: tieBody, drawing: 78}, "")
	d.y += 0.5
	t.servedHead(d)
	for i := range r.Rows {
		t.served(d, &r.Rows[i])
	}
}

func (t tonight) servedHead(d *doc) {
	d.need(3 * lineOf(tieBody))
	for _, c := range []struct {
		x    float64
		head string
	}{{0, "Peg"}, {servedPegW, "Water"}, {d.wide() - servedSetW, "Set at"}} {
		d.words(d.left()+c.x, d.y+baseOf(tieBody), tieBody, true, c.head)
	}
	d.y += lineOf(tieBody) + 0.2
	d.rule(0.3)
	d.y += 0.5
}

func (t tonight) served(d *doc, s *web.ServedRow) {
	spans := []span{{words: s.Run + " " + s.Depth + ", " + s.Pace + "."}}
	if s.Do != "" {
		spans = append(spans, span{s.Do, true})
	}
	if s.Better != "" {
		spans = append(spans, span{words: "Better there: a " + s.Better + "."})
	}
	water := d.lines(spans, tieBody, d.wide()-servedPegW-servedSetW-2)
	peg := d.lines([]span{{s.Peg, true}}, tieBody, servedPegW-1)
	set := d.lines([]span{{s.Set, true}, {words: s.SetFeet}}, tieBody, servedSetW)
	h := float64(max(len(water), len(peg), len(set))) * lineOf(tieBody)
	d.need(h)
	d.write(peg, d.left(), d.y, tieBody)
	d.write(water, d.left()+servedPegW, d.y, tieBody)
	d.write(set, d.right()-servedSetW, d.y, tieBody)
	d.y += h + 0.4
	d.rule(0.1)
	d.y += 0.4
}

func (t tonight) rest(d *doc) {
	for _, part := range []struct {
		head string
		all  []line
	}{{"Not covered", pegWords(t.left())}, {"Nothing to say of", pegWords(t.silent())}} {
		if len(part.all) == 0 {
			continue
		}
		d.y += 1.5
		d.need(3 * lineOf(tieBody))
		d.para([]span{{part.head, true}}, 10, 0.4)
		for _, l := range part.all {
			d.para(l, tieBody, 0.2)
		}
	}
	d.y += 1.5
	d.para(plain(t.Lead+" A range holds four times in five. Plumb before you trust it. Go by the club’s rules, the byelaws of the water, and your own eyes on the day. Look up: stay 30 m from power lines."), 7.5, 0)
}

func (t tonight) left() (out [][2]string) {
	for _, w := range t.Left {
		out = append(out, [2]string{w.Label, w.Say})
	}
	return out
}

func (t tonight) silent() (out [][2]string) {
	for _, w := range t.Silent {
		out = append(out, [2]string{w.Label, w.Say})
	}
	return out
}

func pegWords(all [][2]string) []line {
	out := make([]line, len(all))
	for i, w := range all {
		out[i] = headed("Peg "+w[0]+".", w[1])
	}
	return out
}
