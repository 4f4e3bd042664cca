package paper

import "strings"

// span is words in one weight.
type span struct {
	words string
	bold  bool
}

func plain(words string) []span { return []span{{words: words}} }

func headed(head, words string) []span { return []span{{head, true}, {words: words}} }

// line is a line of spans as it is written.
type line []span

// lines breaks spans into lines no wider than w. A word that is wider is broken.
func (d *doc) lines(spans []span, size, w float64) []line {
	var out []line
	var now line
	at := 0.0
	flush := func() {
		if now != nil {
			out, now, at = append(out, now), nil, 0
		}
	}
	for _, s := range spans {
		space := d.width(" ", size, s.bold)
		for _, word := range strings.Split(printable(s.words), " ") {
			for _, piece := range d.pieces(word, size, s.bold, w) {
				wide := d.width(piece, size, s.bold)
				if at > 0 && at+space+wide > w {
					flush()
				}
				if at > 0 {
					at += space
					piece = " " + piece
				}
				now, at = now.add(piece, s.bold), at+wide
			}
		}
	}
	flush()
	return out
}

// add puts a word behind a line.
func (l line) add(word string, bold bool) line {
	if n := len(l); n > 0 && l[n-1].bold == bold {
		l[n-1].words += word
		return l
	}
	return append(l, span{word, bold})
}

// pieces is a word, or the parts of one that is wider than a line; none for no word.
func (d *doc) pieces(word string, size float64, bold bool, w float64) []string {
	if word == "" {
		return nil
	}
	if d.width(word, size, bold) <= w {
		return []string{word}
	}
	var out []string
	var now []rune
	for _, r := range word {
		if len(now) > 0 && d.width(string(now)+string(r), size, bold) > w {
			out, now = append(out, string(now)), nil
		}
		now = append(now, r)
	}
	return append(out, string(now))
}

// write writes lines from a place down.
func (d *doc) write(ls []line, x, y, size float64) {
	for _, l := range ls {
		at := x
		for _, s := range l {
			d.words(at, y+baseOf(size), size, s.bold, s.words)
			at += d.width(s.words, size, s.bold)
		}
		y += lineOf(size)
	}
}

// para writes a paragraph at the document's place, over pages where it is long, and
// leaves a gap below it.
func (d *doc) para(spans []span, size, gap float64) {
	d.paraIn(spans, d.left(), d.wide(), size, gap)
}

func (d *doc) paraIn(spans []span, x, w, size, gap float64) {
	for _, l := range d.lines(spans, size, w) {
		d.need(lineOf(size))
		d.write([]line{l}, x, d.y, size)
		d.y += lineOf(size)
	}
	d.y += gap
}

// high is how high a paragraph is.
func (d *doc) high(spans []span, size, w float64) float64 {
	return float64(len(d.lines(spans, size, w))) * lineOf(size)
}

// box writes a paragraph white on black: what must be read first.
func (d *doc) box(spans []span, size float64) {
	const pad = 1.2
	ls := d.lines(spans, size, d.wide()-2*pad)
	for len(ls) > 0 {
		d.need(lineOf(size) + 2*pad)
		n := min(len(ls), max(1, int((d.bottom()-d.y-2*pad)/lineOf(size)+1e-9)))
		h := float64(n)*lineOf(size) + 2*pad
		d.pdf.SetFillColor(0, 0, 0)
		d.pdf.Rect(d.left(), d.y, d.wide(), h, "F")
		d.pdf.SetTextColor(255, 255, 255)
		d.write(ls[:n], d.left()+pad, d.y+pad, size)
		d.pdf.SetTextColor(0, 0, 0)
		d.y += h + 1
		ls = ls[n:]
	}
}

// care writes a paragraph beside a thick bar: what can hurt someone.
func (d *doc) care(spans []span, size float64) {
	const in = 2.2
	ls := d.lines(spans, size, d.wide()-in)
	for _, l := range ls {
		d.need(lineOf(size))
		d.pdf.SetFillColor(0, 0, 0)
		d.pdf.Rect(d.left(), d.y, 0.9, lineOf(size), "F")
		d.write([]line{l}, d.left()+in, d.y, size)
		d.y += lineOf(size)
	}
	d.y += 0.8
}

// rule draws a line across.
func (d *doc) rule(thick float64) {
	d.pdf.SetDrawColor(0, 0, 0)
	d.pdf.SetLineWidth(thick)
	d.pdf.Line(d.left(), d.y, d.right(), d.y)
}

// first writes what must be read before anything else.
func (d *doc) first(head string, why []string, size float64) {
	for i, say := range why {
		if i == 0 {
			d.box(headed(head, say), size)
			continue
		}
		d.box(plain(say), size)
	}
}
