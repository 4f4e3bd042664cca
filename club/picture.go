package club

import "unicode/utf8"

// Picture is a photograph of a peg or a venue, as it stands in the book.
type Picture struct {
	Posted
	Caption       string // what it shows, also for who cannot see it
	Hash, Small   string // of the large and the small one, in hexadecimal
	Width, Height int    // of the small one
	Open          bool   // visitors see it
	Board         bool   // it is of a gauge's board, with a level
}

// SeenBy says whether a member may see the photograph; the zero one is a visitor, who
// sees only what was opened.
func (p Picture) SeenBy(m Member) bool {
	return p.seenBy(m) && (p.Open || m.ID != 0)
}

// May says whether a member may do an act to a photograph they can see.
func (p Picture) May(m Member, a Act) error {
	if err := p.may(m, a, "photograph"); err != nil {
		return err
	}
	switch {
	case a == ActOpen && (p.Hidden || p.Waits):
		return Faultf(Conflict, "A photograph that is hidden or waits is not opened to visitors.")
	case a == ActOpen && p.Open:
		return Faultf(Conflict, "That photograph is open already.")
	case a == ActShut && !p.Open:
		return Faultf(Conflict, "That photograph is for members only already.")
	}
	return nil
}

// Image is a picture's bytes. They hold nothing but the picture: no position, no name of
// a camera, no time.
type Image struct {
	Kind          string // media type
	Data          []byte
	Width, Height int
}

// Photo is a photograph made small: once to be looked at, once for a list.
type Photo struct{ Large, Small Image }

// PictureDraft is a photograph as somebody adds it.
type PictureDraft struct {
	Photo
	Caption string
}

// Checked is the draft as it is to be kept, or a fault whose sentence says what to write
// instead.
func (d PictureDraft) Checked() (PictureDraft, error) {
	var err error
	d.Caption, err = CheckCaption(d.Caption)
	return d, err
}

// CheckCaption gives a photograph's words as they are kept, or a fault.
func CheckCaption(text string) (string, error) {
	text = oneLine(keptText(text))
	if !visible(text) {
		return text, Faultf(Invalid, "Say in a few words what the photograph shows: not everyone can see it.")
	}
	if n := utf8.RuneCountInString(text); n > CaptionMost {
		return text, Faultf(Invalid, "What it shows is %d signs long; there is room for %d.", n, CaptionMost)
	}
	return text, nil
}
