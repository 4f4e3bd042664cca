package handlers

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// closures shows what of a venue is closed and its level rules. ?peg= fills the form in.
func (s *server) closures(w http.ResponseWriter, r *http.Request) error {
	v, err := s.read.Venue(r.Context(), param(r, "venue"), session(r), s.now())
	if err != nil {
		return err
	}
	filled := web.Filled{Said: said(w, r)}
	code := http.StatusOK
	if label := text(r.URL.Query().Get("peg")); label != "" {
		peg, ok := pegOf(v, label)
		if !ok {
			problem := club.Faultf(club.Invalid, "%s has no peg with that number. Choose it below.", v.Venue.Name)
			code, filled.Problem = status(problem), problem.Say
		}
		filled.From, filled.Asked = peg, ok
	}
	return s.showClosures(w, r, code, v, filled)
}

func (s *server) showClosures(w http.ResponseWriter, r *http.Request, code int, v club.VenueView, f web.Filled) error {
	return render(r.Context(), w, code, web.Closures(web.NewClosuresPage(s.assets, v, f, s.now(), zone(v.Club))))
}

// pegOf is the value of a peg in the page's forms.
func pegOf(v club.VenueView, label string) (string, bool) {
	for _, l := range v.Pegs {
		if strings.EqualFold(l.Peg.Label, label) {
			return web.PegValue(l.Peg.Label, l.Peg.Code), true
		}
	}
	return "", false
}

func (s *server) setClosure(w http.ResponseWriter, r *http.Request) error {
	return s.change(w, r, web.FormClose, func(c change) (string, error) {
		d, err := parse.Closure(c.form, c.loc)
		if err != nil {
			return "", err
		}
		set, err := s.book.SetClosure(r.Context(), c.who, c.venue, d, c.now)
		return set.Done(c.now, c.loc), err
	})
}

func (s *server) liftClosure(w http.ResponseWriter, r *http.Request) error {
	return s.change(w, r, "", func(c change) (string, error) {
		id, err := idOf(r)
		if err != nil {
			return "", err
		}
		was, err := s.book.LiftClosure(r.Context(), c.who, c.venue, id, c.now)
		return was.Lifted(), err
	})
}

func (s *server) setRule(w http.ResponseWriter, r *http.Request) error {
	return s.change(w, r, web.FormRule, func(c change) (string, error) {
		d, err := parse.Rule(c.form, c.loc)
		if err != nil {
			return "", err
		}
		set, err := s.book.SetRule(r.Context(), c.who, c.venue, d, c.now)
		return set.Done(c.offsetM, c.loc), err
	})
}

func (s *server) dropRule(w http.ResponseWriter, r *http.Request) error {
	return s.change(w, r, "", func(c change) (string, error) {
		id, err := idOf(r)
		if err != nil {
			return "", err
		}
		was, err := s.book.DropRule(r.Context(), c.who, c.venue, id, c.now)
		return was.Dropped(c.offsetM), err
	})
}

// idOf reads the number at the end of an address of ours.
func idOf(r *http.Request) (int64, error) {
	id, err := strconv.ParseInt(param(r, "id"), 10, 64)
	if err != nil || id <= 0 {
		return 0, club.Faultf(club.NotFound, "There is no such closure or rule.")
	}
	return id, nil
}

// change is a form that was sent, and what is needed to do what it asks.
type change struct {
	who     club.Writer
	venue   string
	form    url.Values
	now     time.Time
	loc     *time.Location
	offsetM float64
}

// longestForm is more than any form of ours makes, in bytes.
const longestForm = 32 << 10

// change does what a form asks and leads back to the page, which says what was done.
// What makes no sense or may not be is said on the page, with the form as it was filled.
func (s *server) change(w http.ResponseWriter, r *http.Request, form string, do func(change) (string, error)) error {
	r.Body = http.MaxBytesReader(w, r.Body, longestForm)
	if err := r.ParseForm(); err != nil {
		return club.Faultf(club.Invalid, "The form could not be read. Go back and send it again.")
	}
	c := change{who: club.Writer{Session: session(r)}, venue: param(r, "venue"), form: cleaned(r.PostForm), now: s.now()}
	v, err := s.read.Venue(r.Context(), c.venue, c.who.Session, c.now)
	if err != nil {
		return err
	}
	c.loc, c.offsetM = zone(v.Club), v.Standing.Zero.OffsetM
	done, err := do(c)
	if err == nil {
		say(w, r, "/venues/"+v.Venue.Slug+"/closures", done)
		return nil
	}
	if !shown(err) {
		return err
	}
	return s.showClosures(w, r, s.refused(w, r, err), v, refilled(form, c.form, sentence(err)))
}

// refilled is a form as it was sent.
func refilled(form string, q url.Values, problem string) web.Filled {
	f := web.Filled{Form: form, Problem: problem, From: q.Get("from_peg"), To: q.Get("to_peg"), Below: q.Get("side") == "below",
		Effect: club.Effect(q.Get("effect")), Typed: web.Typed{Level: q.Get("level"), Text: q.Get("text"), Starts: q.Get("from"), Ends: q.Get("to")}}
	if form == web.FormClose {
		f.Typed.Text = q.Get("own")
	}
	return f
}

// cleaned is a form whose values are text.
func cleaned(q url.Values) url.Values {
	out := url.Values{}
	for name, values := range q {
		for _, v := range values {
			out.Add(name, text(v))
		}
	}
	return out
}
