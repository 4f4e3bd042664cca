// Package paper prints: cards, sheets, labels and booklets as PDF, from the models that
// the pages are made of. Everything is drawn as lines and text in an embedded font, in
// black and white, and the same model gives the same bytes.
package paper

import (
	"io"

	"levelpeg/web"
)

// Press prints. It holds nothing and is safe for many goroutines.
type Press struct{}

// Card prints a peg's card, A6, two sides where its words have room on them.
func (Press) Card(w io.Writer, c web.PegCard) error { return fitted(w, c.Print, a6, 2, card{c}.draw) }

// VenueSheet prints a venue, A4, on as many pages as its pegs need.
func (Press) VenueSheet(w io.Writer, v web.VenueSheet) error {
	return fitted(w, v.Print, a4, 0, venueSheet{v}.draw)
}

// Tonight prints what to tie, A4.
func (Press) Tonight(w io.Writer, t web.TonightPage) error {
	return fitted(w, t.Print, a4, 0, tonight{t}.draw)
}

// Labels prints labels for peg posts, A4.
func (Press) Labels(w io.Writer, l web.Labels) error {
	return fitted(w, l.Print, a4, 0, labels{l}.draw)
}

// Booklet prints a guide, A5.
func (Press) Booklet(w io.Writer, b web.Booklet) error {
	return fitted(w, b.Print, a5, 0, booklet{b}.draw)
}

// smaller is how words may be larger or smaller for what is printed to take no more sides
// than it should: from 8.4 to 5.6 points on a card.
var smaller = []float64{1.2, 1.15, 1.1, 1.05, 1, 0.95, 0.9, 0.85, 0.8}

// fitted prints at the largest size that takes no more than so many pages; 0 is any
// number.
func fitted(w io.Writer, p web.Print, size paperSize, pages int, draw func(*doc)) error {
	if pages == 0 {
		pages = 1 << 20
	}
	for i, by := range smaller {
		d := newDoc(p, size, by)
		draw(d)
		if err := d.pdf.Error(); err != nil {
			return err
		}
		if d.pdf.PageCount() <= pages || i == len(smaller)-1 {
			return d.pdf.Output(w)
		}
	}
	return nil
}
