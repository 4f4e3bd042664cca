//go:build !js

package handlers

import (
	"net/http"
	"net/url"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// notes shows the notes and photographs of a peg, or of a venue, and to members the forms.
func (s *server) notes(w http.ResponseWriter, r *http.Request) error {
	v, err := s.book.Notes(r.Context(), place(r), session(r), s.now())
	if err != nil {
		return err
	}
	return s.showNotes(w, r, http.StatusOK, v, web.NotesFilled{Said: said(w, r)})
}

func (s *server) showNotes(w http.ResponseWriter, r *http.Request, code int, v club.NotesView, f web.NotesFilled) error {
	return render(r.Context(), w, code, web.Notes(web.NewNotesPage(s.assets, v, f, s.now(), zone(v.Club))))
}

// waiting shows those who approve where something of a junior's waits.
func (s *server) waiting(w http.ResponseWriter, r *http.Request) error {
	list, err := s.book.Waiting(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.Waiting(web.NewWaitingPage(s.assets, list)))
}

// place is the peg or the venue that the request's address names.
func place(r *http.Request) club.Place {
	return club.Place{Venue: param(r, "venue"), Peg: club.PegRef{Label: param(r, "peg")}}
}

func (s *server) writeNote(w http.ResponseWriter, r *http.Request) error {
	return s.post(w, r, web.FormNote, "", func(p posting) (string, error) {
		d, err := parse.Note(p.form)
		if err != nil {
			return "", err
		}
		n, err := s.book.WriteNote(r.Context(), p.who, p.at, d, p.now)
		return kept(n, "Your note is in the book."), err
	})
}

func (s *server) editNote(w http.ResponseWriter, r *http.Request) error {
	return s.post(w, r, web.FormEdit, "", func(p posting) (string, error) {
		d, err := parse.Note(p.form)
		if err != nil {
			return "", err
		}
		n, err := s.book.EditNote(r.Context(), p.who, p.at, p.id, d, p.now)
		return kept(n, "Your note is changed."), err
	})
}

const itWaits = " waits until a coach, a bailiff or the secretary has approved it. Until then only you and they see it."

// kept says what keeping a note did.
func kept(n club.Note, done string) string {
	switch {
	case n.Waits:
		return "Your note" + itWaits
	case n.Private:
		return done + " Only you see it."
	}
	return done
}

// actOnNote does to a note what one of the page's buttons asks.
func (s *server) actOnNote(act club.Act) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		return s.post(w, r, web.FormNoteAct, act, func(p posting) (string, error) {
			return act.Done("note"), s.book.ActOnNote(r.Context(), p.who, p.at, p.id, act, p.form.Get("why"), p.now)
		})
	}
}

// actOnPhotograph does the same to a photograph.
func (s *server) actOnPhotograph(act club.Act) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		return s.post(w, r, web.FormPhotoAct, act, func(p posting) (string, error) {
			return act.Done("photograph"), s.book.ActOnPicture(r.Context(), p.who, p.at, p.id, act, p.form.Get("why"), p.now)
		})
	}
}

// posting is a form that was sent to a page of notes, and what is needed to do what it asks.
type posting struct {
	who  club.Writer
	at   club.Place
	id   int64
	form url.Values
	now  time.Time
}

// longestNoteForm has room for a note that is too long, so that it can be given back.
const longestNoteForm = 256 << 10

// post does what a form asks and leads back to the page, which says what was done. What
// makes no sense or may not be is said on the page, with the form as it was filled.
func (s *server) post(w http.ResponseWriter, r *http.Request, form string, act club.Act, do func(posting) (string, error)) error {
	r.Body = http.MaxBytesReader(w, r.Body, longestNoteForm)
	if err := r.ParseForm(); err != nil {
		return club.Faultf(club.Invalid, "The form could not be read. Go back and send it again.").Because(err)
	}
	p := posting{who: club.Writer{Session: session(r)}, at: place(r), form: cleaned(r.PostForm), now: s.now()}
	if form != web.FormNote {
		var err error
		if p.id, err = idOf(r); err != nil {
			return club.Faultf(club.NotFound, "There is no such note or photograph.")
		}
	}
	v, err := s.book.Notes(r.Context(), p.at, p.who.Session, p.now)
	if err != nil {
		return err
	}
	p.at.Peg.Code = p.form.Get("code")
	done, err := do(p)
	if err == nil {
		say(w, r, notesPath(v), done)
		return nil
	}
	return s.sayOnNotes(w, r, v, err, web.NotesFilled{Form: form, ID: p.id, Act: act, Private: p.form.Get("sees") == "me",
		Typed: web.NoteTyped{Text: p.form.Get("text"), From: p.form.Get("from_level"), To: p.form.Get("to_level"), Why: p.form.Get("why")}})
}

func notesPath(v club.NotesView) string {
	if v.Peg == nil {
		return web.NotesHref(v.Venue.Slug, "")
	}
	return web.NotesHref(v.Venue.Slug, v.Peg.Label)
}

// sayOnNotes shows the page with a form as it was filled, and why it was not done; other
// errors are not for the page.
func (s *server) sayOnNotes(w http.ResponseWriter, r *http.Request, v club.NotesView, err error, f web.NotesFilled) error {
	if !shown(err) {
		return err
	}
	f.Problem = sentence(err)
	return s.showNotes(w, r, s.refused(w, r, err), v, f)
}
