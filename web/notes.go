package web

import (
	"strconv"
	"time"

	"levelpeg/club"
	"levelpeg/web/markdown"
)

// NoteLine is a note as it is read.
type NoteLine struct {
	Text    string // as it is, where it has no markup
	HTML    string // where it has
	By      string
	For     string // "from 1.20 m to 1.50 m"
	Holds   bool   // at the page's level
	Private bool
	Waits   bool
	Hidden  string // why; empty where it is not
}

// PhotoLine is a photograph in a list: the small one, which leads to the large one.
type PhotoLine struct {
	Href, Src     string
	Width, Height string
	Caption, By   string
	Waits, Open   bool
	Hidden        string // why; empty where it is not
}

// sheetPhotos is how many photographs a sheet shows; the rest is a tap away.
const sheetPhotos = 6

func photoHref(hash string) string { return "/pictures/" + hash }

func photoLine(p club.Picture, m club.Member, loc *time.Location) PhotoLine {
	l := PhotoLine{Href: photoHref(p.Hash), Src: photoHref(p.Small), Width: strconv.Itoa(p.Width), Height: strconv.Itoa(p.Height),
		Caption: p.Caption, By: signed(p.Posted, m, loc), Waits: p.Waits && !p.Hidden, Open: p.Open}
	if p.Hidden {
		l.Hidden = p.Why
	}
	return l
}

// signed is who something is from, and when.
func signed(p club.Posted, m club.Member, loc *time.Location) string {
	by := p.SignedFor(m)
	if by == "" {
		by = "a former member"
	}
	return by + ", " + p.At.In(loc).Format("January 2006")
}

// noteLine is a note at a level on the datum; nil is none known.
func noteLine(n club.Note, m club.Member, datumM *float64, offsetM float64, loc *time.Location) NoteLine {
	l := NoteLine{By: signed(n.Posted, m, loc), For: noteLevels(n, offsetM), Private: n.Private, Waits: n.Waits && !n.Hidden,
		Holds: datumM != nil && n.HoldsAt(*datumM)}
	if n.Hidden {
		l.Hidden = n.Why
	}
	if markdown.Plain(n.Text) {
		l.Text = n.Text
	} else {
		l.HTML = markdown.Remembered(n.Text)
	}
	return l
}

// noteLines are a sheet's notes, those that hold at its level first. What was hidden
// stands on the page of notes alone, for those who still see it.
func noteLines(s *club.Sheet) []NoteLine {
	var holds, other []NoteLine
	var at *float64
	if s.Level.Known {
		at = new(s.DatumM())
	}
	for _, n := range s.Notes {
		if n.Hidden {
			continue
		}
		l := noteLine(n, s.Member, at, s.Standing.Zero.OffsetM, s.Loc)
		if l.Holds {
			holds = append(holds, l)
		} else {
			other = append(other, l)
		}
	}
	return append(holds, other...)
}

func sheetPhotoLines(all []club.Picture, m club.Member, loc *time.Location) []PhotoLine {
	var out []PhotoLine
	for _, p := range all {
		if !p.Hidden && !p.Board && len(out) < sheetPhotos {
			out = append(out, photoLine(p, m, loc))
		}
	}
	return out
}

func noteLevels(n club.Note, off float64) string {
	switch {
	case n.LowM != nil && n.HighM != nil:
		return "from " + metres(*n.LowM-off) + " to " + metres(*n.HighM-off)
	case n.LowM != nil:
		return "above " + metres(*n.LowM-off)
	case n.HighM != nil:
		return "below " + metres(*n.HighM-off)
	}
	return "at any level"
}

// NotesLinks lead from a sheet or a venue to its page of notes.
type NotesLinks struct {
	All        string
	MayWrite   bool
	Write, Add string
}

// NotesHref is the address of a peg's notes, or with no peg of a venue's.
func NotesHref(venueSlug, peg string) string { return placeHref(venueSlug, peg) + "/notes" }

func placeHref(venueSlug, peg string) string {
	if peg == "" {
		return "/venues/" + venueSlug
	}
	return "/venues/" + venueSlug + "/pegs/" + peg
}

func notesLinks(m club.Member, venueSlug, peg string) NotesLinks {
	href := NotesHref(venueSlug, peg)
	return NotesLinks{All: href, MayWrite: m.Role.MayWrite(), Write: href + "#write", Add: href + "#photograph"}
}

// NotesPage is a peg's or a venue's notes and photographs as a page. Members get forms.
type NotesPage struct {
	Shell         Shell
	Heading, Back string
	BackHref      string
	Level         LevelLine
	Said, Problem string
	Notes         []NoteItem
	Photos        []PhotoItem
	MayWrite      bool
	Junior        bool
	WaitingHref   string // for those who approve
	Write         NoteForm
	Add           PhotoForm
}

// NoteItem is a note with what the reader may do to it.
type NoteItem struct {
	NoteLine
	Edit *NoteForm // nil for everyone but its writer
	Acts []ActForm
}

// PhotoItem is a photograph with what the reader may do to it.
type PhotoItem struct {
	PhotoLine
	Acts []ActForm
}

// NoteForm is what somebody has filled in to write a note, or to change one.
type NoteForm struct {
	ID, Href, Code      string // ID sets the fields of one form apart from another's
	Unfolded            bool
	Typed               NoteTyped
	Sees                []Choice
	OrdinaryLow, High   string // of the board, to go by
	Button, Place, What string
}

// PhotoForm is what somebody has filled in to add a photograph.
type PhotoForm struct {
	Href, Code, Caption string
}

// ActForm is a button; one that wants a reason unfolds.
type ActForm struct {
	ID, Href, Label, About, Code string
	Why                          bool
	Unfolded                     bool
	Typed                        string
}

// NoteTyped is what was typed, as it was typed, so that nothing is lost.
type NoteTyped struct{ Text, From, To, Why, Caption string }

// NotesFilled is what the page's forms are filled in with.
type NotesFilled struct {
	Form          string // one of FormNote and so on; empty: none was sent
	ID            int64  // of the note or the photograph it was sent for
	Act           club.Act
	Private       bool
	Typed         NoteTyped
	Said, Problem string
}

// The page's forms.
const (
	FormNote     = "note"
	FormEdit     = "edit"
	FormPhoto    = "photo"
	FormNoteAct  = "note act"
	FormPhotoAct = "photo act"
)

// NewNotesPage shapes a place's notes and photographs for the page.
func NewNotesPage(a Assets, v club.NotesView, f NotesFilled, now time.Time, loc *time.Location) NotesPage {
	p := NotesPage{Back: v.Venue.Name, Level: levelLine(v.Standing, now), Said: f.Said, Problem: f.Problem,
		MayWrite: v.Member.Role.MayWrite(), Junior: v.Member.Role == club.Junior}
	label, code := "", ""
	p.Heading = "Notes on " + v.Venue.Name
	if v.Peg != nil {
		label, code = v.Peg.Label, v.Peg.Code
		p.Heading, p.Back = "Notes on peg "+label, "peg "+label
	}
	p.BackHref = placeHref(v.Venue.Slug, label)
	p.Shell = NewShell(a, v.Club, v.Member, p.Heading+", "+v.Venue.Name).At(v.Venue)
	if v.Member.Role.MayApprove() {
		p.WaitingHref = "/waiting"
	}
	at := levelOnDatum(v.Standing)
	forms := noteForms{v: v, f: f, href: p.BackHref, code: code}
	for _, n := range v.Notes {
		p.Notes = append(p.Notes, NoteItem{NoteLine: noteLine(n, v.Member, at, v.Standing.Zero.OffsetM, loc), Edit: forms.edit(n), Acts: forms.noteActs(n)})
	}
	for _, pic := range v.Pictures {
		p.Photos = append(p.Photos, PhotoItem{PhotoLine: photoLine(pic, v.Member, loc), Acts: forms.photoActs(pic)})
	}
	if p.MayWrite {
		p.Write, p.Add = forms.write(), forms.add()
	}
	return p
}

// levelOnDatum is the latest level; nil where nobody has read the board.
func levelOnDatum(st club.Standing) *float64 {
	if st.Latest == nil {
		return nil
	}
	return new(st.Latest.LevelM + st.Zero.OffsetM)
}

// noteForms makes the page's forms.
type noteForms struct {
	v          club.NotesView
	f          NotesFilled
	href, code string
}

func (s noteForms) form(id, href string) NoteForm {
	g, off := s.v.Standing.Gauge, s.v.Standing.Zero.OffsetM
	return NoteForm{ID: id, Href: href, Code: s.code, OrdinaryLow: metres(g.LowM - off), High: metres(g.HighM - off)}
}

func (s noteForms) write() NoteForm {
	f := s.form("w", s.href+"/notes")
	f.Button = "Keep this note"
	sent := s.f.Form == FormNote
	if sent {
		f.Typed = s.f.Typed
	}
	f.Sees = sees(sent && s.f.Private)
	return f
}

func sees(private bool) []Choice {
	return []Choice{{"club", "The club: all who see this page", !private}, {"me", "Only me", private}}
}

func (s noteForms) edit(n club.Note) *NoteForm {
	if n.MayEdit(s.v.Member) != nil {
		return nil
	}
	id := strconv.FormatInt(n.ID, 10)
	f := s.form("n"+id, s.href+"/notes/"+id)
	f.Button = "Keep the change"
	off := s.v.Standing.Zero.OffsetM
	f.Typed, f.Sees = NoteTyped{Text: n.Text, From: levelTyped(n.LowM, off), To: levelTyped(n.HighM, off)}, sees(n.Private)
	if s.f.Form == FormEdit && s.f.ID == n.ID {
		f.Typed, f.Sees, f.Unfolded = s.f.Typed, sees(s.f.Private), true
	}
	return &f
}

func levelTyped(m *float64, off float64) string {
	if m == nil {
		return ""
	}
	return fixed(*m-off, 2)
}

func (s noteForms) add() PhotoForm {
	f := PhotoForm{Href: s.href + "/photographs", Code: s.code}
	if s.f.Form == FormPhoto {
		f.Caption = s.f.Typed.Caption
	}
	return f
}

// actLabels are what the buttons say, in their order.
var actLabels = []struct {
	act   club.Act
	label string
}{
	{club.ActApprove, "Approve it"}, {club.ActRefuse, "Do not approve it"}, {club.ActShow, "Show it again"}, {club.ActHide, "Hide it"},
	{club.ActOpen, "Let visitors see it"}, {club.ActShut, "Members only again"}, {club.ActRemove, "Take it away"},
}

func (s noteForms) noteActs(n club.Note) []ActForm {
	return s.acts(FormNoteAct, "notes", "the note of "+n.At.Format("2 January 2006"), n.Posted, func(a club.Act) error { return n.May(s.v.Member, a) })
}

func (s noteForms) photoActs(p club.Picture) []ActForm {
	return s.acts(FormPhotoAct, "photographs", "the photograph “"+p.Caption+"”", p.Posted, func(a club.Act) error { return p.May(s.v.Member, a) })
}

func (s noteForms) acts(form, what, about string, p club.Posted, may func(club.Act) error) []ActForm {
	if s.v.Member.ID == 0 {
		return nil
	}
	var out []ActForm
	id := strconv.FormatInt(p.ID, 10)
	for _, l := range actLabels {
		if may(l.act) != nil || l.act == club.ActHide && p.By(s.v.Member) {
			continue // one's own is changed or taken away
		}
		a := ActForm{ID: what[:1] + id + string(l.act), Href: s.href + "/" + what + "/" + id + "/" + string(l.act), Label: l.label, About: about, Code: s.code,
			Why: l.act.NeedsWhy(p.By(s.v.Member))}
		if s.f.Form == form && s.f.ID == p.ID && s.f.Act == l.act {
			a.Unfolded, a.Typed = true, s.f.Typed.Why
		}
		out = append(out, a)
	}
	return out
}

// WaitingPage is what waits to be approved, as a page.
type WaitingPage struct {
	Shell  Shell
	Places []WaitingPlace
}

// WaitingPlace is a place with what waits there.
type WaitingPlace struct{ Name, Href, What string }

// NewWaitingPage shapes what waits for the page.
func NewWaitingPage(a Assets, w club.Waiting) WaitingPage {
	p := WaitingPage{Shell: NewShell(a, w.Club, w.Member, "Waiting to be approved")}
	for _, at := range w.Places {
		l := WaitingPlace{Name: at.VenueName, Href: NotesHref(at.VenueSlug, at.PegLabel)}
		if at.PegLabel != "" {
			l.Name = "Peg " + at.PegLabel + ", " + at.VenueName
		}
		switch {
		case at.Pictures == 0:
			l.What = count(at.Notes, "note")
		case at.Notes == 0:
			l.What = count(at.Pictures, "photograph")
		default:
			l.What = count(at.Notes, "note") + ", " + count(at.Pictures, "photograph")
		}
		p.Places = append(p.Places, l)
	}
	return p
}
