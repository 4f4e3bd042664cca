package club

import (
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// MayApprove says whether a role passes what a junior wrote or photographed.
func (r Role) MayApprove() bool { return r == Coach || r.MayHide() }

// MayHide says whether a role hides what others wrote, and opens photographs to visitors.
func (r Role) MayHide() bool { return r == Secretary || r == Bailiff }

// MayWrite says whether a role writes notes and adds photographs: every member's does.
func (r Role) MayWrite() bool {
	return r == Secretary || r == Bailiff || r == Coach || r == Angler || r == Junior
}

// ErrMayNotPost is said to visitors.
func ErrMayNotPost() *Fault {
	return Faultf(Forbidden, "Only members who are signed in write notes and add photographs.")
}

// Posted is what notes and photographs have in common: who it is from, and who may see it.
type Posted struct {
	ID       int64
	At       time.Time
	Author   string // empty once they have been removed
	AuthorID int64  // zero once they have been removed
	Junior   bool   // the author is a junior, whom no visitor sees named
	Waits    bool   // a junior's that nobody has approved yet
	Hidden   bool   // by a bailiff or the secretary
	Why      string // why it was hidden
}

// By says whether the member wrote it.
func (p Posted) By(m Member) bool { return m.ID != 0 && p.AuthorID == m.ID }

// seenBy says whether a member may see it; the zero one is a visitor. What waits is seen
// by its author and those who approve, what is hidden by its author and those who hide.
func (p Posted) seenBy(m Member) bool {
	switch {
	case p.By(m):
		return true
	case p.Hidden:
		return m.Role.MayHide()
	case p.Waits:
		return m.Role.MayApprove()
	}
	return true
}

// SignedFor is the author's name as a reader sees it; empty for one who has left no name.
func (p Posted) SignedFor(m Member) string {
	if p.Junior && m.ID == 0 {
		return "a junior"
	}
	return p.Author
}

// Note is a member's words about a peg or a venue.
type Note struct {
	Posted
	Text    string   // Markdown
	LowM    *float64 // the levels it holds for, on the datum
	HighM   *float64
	Private bool // seen by the writer alone
}

// SeenBy says whether a member may see the note; the zero one is a visitor.
func (n Note) SeenBy(m Member) bool {
	if n.Private {
		return n.By(m)
	}
	return n.seenBy(m)
}

// Place is a peg, or with no Peg a whole venue, as an address or a form names it.
type Place struct {
	Venue string // slug
	Peg   PegRef
}

// NotesView is everything that a peg's or a venue's page of notes is made of: what the
// member may see, newest first.
type NotesView struct {
	Club     Club
	Member   Member
	Venue    Venue
	Standing Standing
	Peg      *Peg // nil: the venue's own
	Notes    []Note
	Pictures []Picture
}

// Waiting is what of juniors waits to be approved, by where it is.
type Waiting struct {
	Club   Club
	Member Member
	Places []WaitingPlace
}

// WaitingPlace is a peg, or with no label a venue, with how much waits there.
type WaitingPlace struct {
	VenueSlug, VenueName, PegLabel string
	Notes, Pictures                int
}

// ErrMayNotApprove is said to everyone who does not approve.
func ErrMayNotApprove() *Fault {
	return Faultf(Forbidden, "Only a coach, a bailiff or the secretary approves what a junior made.")
}

// What a member may write.
const (
	NoteMost    = 4000 // signs in a note
	CaptionMost = 200  // signs under a photograph
	whyMost     = 300  // signs in a reason
	// NotesEach is how many notes one member keeps at one place.
	NotesEach = 50
	// PicturesADay is how many photographs one member adds in a day.
	PicturesADay = 30
)

// NoteDraft is a note as somebody writes it. Its levels are on the board's zero in force.
type NoteDraft struct {
	Text        string
	LowM, HighM *float64 // nil: at any
	Private     bool
}

// Checked is the draft as it is to be kept, or a fault whose sentence says what to write
// instead.
func (d NoteDraft) Checked() (NoteDraft, error) {
	d.Text = keptText(d.Text)
	if !visible(d.Text) {
		return d, Faultf(Invalid, "Write the note first: there is nothing in it yet.")
	}
	if n := utf8.RuneCountInString(d.Text); n > NoteMost {
		return d, Faultf(Invalid, "The note is %d signs long; there is room for %d. Make two of it.", n, NoteMost)
	}
	if d.LowM != nil && d.HighM != nil && *d.LowM > *d.HighM {
		return d, Faultf(Invalid, "The note holds from a level that is above the one it holds to. Turn the two round, or leave one empty.")
	}
	return d, nil
}

// keptText is text with plain breaks, without control signs, or spaces at its ends.
func keptText(text string) string {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	text = strings.Map(func(r rune) rune {
		if r != '\n' && r != '\t' && unicode.IsControl(r) {
			return -1
		}
		return r
	}, text)
	return strings.Trim(strings.TrimRightFunc(text, unicode.IsSpace), "\n")
}

// visible says whether there is a sign in text that prints.
func visible(text string) bool {
	return strings.ContainsFunc(text, func(r rune) bool { return unicode.IsGraphic(r) && !unicode.IsSpace(r) })
}

// Act is what is done to a note or a photograph that is there.
type Act string

// The acts.
const (
	ActRemove  Act = "remove"
	ActHide    Act = "hide"
	ActShow    Act = "show" // what was hidden
	ActApprove Act = "approve"
	ActRefuse  Act = "refuse"
	ActOpen    Act = "open" // a photograph, to visitors
	ActShut    Act = "shut" // a photograph that was opened
)

// NeedsWhy says whether the act is done with a reason; removing one's own is not.
func (a Act) NeedsWhy(own bool) bool {
	return a == ActHide || a == ActRefuse || a == ActRemove && !own
}

// CheckWhy gives a reason as it is kept, or a fault.
func CheckWhy(why string) (string, error) {
	why = oneLine(keptText(why))
	if !visible(why) {
		return why, Faultf(Invalid, "Write why, in a few words: whoever it is from reads it.")
	}
	if n := utf8.RuneCountInString(why); n > whyMost {
		return why, Faultf(Invalid, "The reason is %d signs long; there is room for %d.", n, whyMost)
	}
	return why, nil
}

// May says whether a member may do an act to a note they can see; with a fault that
// says who may, or that it is done already.
func (n Note) May(m Member, a Act) error {
	if n.Private && a != ActRemove {
		return Faultf(Conflict, "Only you see this note, so there is nothing to %s.", a)
	}
	if a == ActRemove && !n.By(m) {
		return Faultf(Forbidden, "Only its writer takes a note away. A bailiff or the secretary can hide it.")
	}
	if a == ActOpen || a == ActShut {
		return Faultf(NotFound, "A note is not opened or shut.")
	}
	return n.may(m, a, "note")
}

// MayEdit says whether a member may write a note anew.
func (n Note) MayEdit(m Member) error {
	switch {
	case !n.By(m):
		return Faultf(Forbidden, "Only its writer changes a note.")
	case n.Hidden:
		return Faultf(Conflict, "This note was hidden, so it stays as it is. You can take it away, and write another.")
	}
	return nil
}

func (p Posted) may(m Member, a Act, what string) error {
	switch a {
	case ActRemove:
		if !p.By(m) && !m.Role.MayHide() {
			return Faultf(Forbidden, "Only whoever it is from, a bailiff or the secretary takes a %s away.", what)
		}
	case ActApprove, ActRefuse:
		if !m.Role.MayApprove() {
			return ErrMayNotApprove()
		}
		if !p.Waits || p.Hidden {
			return Faultf(Conflict, "That %s does not wait any more: somebody was quicker.", what)
		}
	default:
		if !m.Role.MayHide() {
			return Faultf(Forbidden, "Only a bailiff or the secretary may %s a %s.", a, what)
		}
	}
	switch {
	case a == ActHide && p.Hidden:
		return Faultf(Conflict, "That %s is hidden already.", what)
	case a == ActShow && !p.Hidden:
		return Faultf(Conflict, "That %s is not hidden any more.", what)
	}
	return nil
}

// NoSuchPosted is said of a note or a photograph that is not there, or not for this
// reader: they are not told which.
func NoSuchPosted(what string) *Fault {
	return Faultf(Conflict, "That %s is not here any more.", what)
}

// Done says what an act did, for the page.
func (a Act) Done(what string) string {
	did := map[Act]string{ActRemove: "taken away", ActHide: "hidden", ActShow: "shown again", ActApprove: "approved: every member sees it now",
		ActRefuse: "not approved", ActOpen: "open: visitors see it, too", ActShut: "for members only again"}[a]
	return fmt.Sprintf("The %s is %s.", what, did)
}
