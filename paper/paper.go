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
func (Press) Card(w io.Writer, c web.PegCard) error {
	return fitted(w, c.Print, a6, smaller, card{c}.draw)
}

// VenueSheet prints a venue, A4, on as many pages as its pegs need.
func (Press) VenueSheet(w io.Writer, v web.VenueSheet) error {
	return fitted(w, v.Print, a4, asIs, venueSheet{v}.draw)
}

// Tonight prints what to tie, A4.
func (Press) Tonight(w io.Writer, t web.TonightPage) error {
	return fitted(w, t.Print, a4, asIs, tonight{t}.draw)
}

// Labels prints labels for peg posts, A4.
func (Press) Labels(w io.Writer, l web.Labels) error {
	return fitted(w, l.Print, a4, asIs, labels{l}.draw)
}

// Booklet prints a guide, A5.
func (Press) Booklet(w io.Writer, b web.Booklet) error {
	return fitted(w, b.Print, a5, asIs, booklet{b}.draw)
}

// smaller is how words may be larger or smaller for a card to take no more than its two
// sides: from 7.7 to 5.6 points. A card whose words have no room even so takes more.
var smaller = []float64{1.1, 1.05, 1, 0.95, 0.9, 0.85, 0.8}

// smallWords is from where on a card's drawing gives way to its words.
const smallWords = 0.85

// asIs is for what may take any number of pages.
var asIs = []float64{1}

const cardSides = 2

// fitted prints at the first of the sizes that takes no more than a card's sides, or at
// the last.
func fitted(w io.Writer, p web.Print, size paperSize, sizes []float64, draw func(*doc)) error {
	var d *doc
	for _, by := range sizes {
		d = newDoc(p, size, by)
		draw(d)
		if d.pdf.Err() || d.pdf.PageCount() <= cardSides {
			break
		}
	}
	return d.pdf.Output(w)
}
