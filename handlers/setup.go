//go:build !js

package handlers

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

const setupPath = "/setup"

// sent is a form that sets something up, and what is needed to do what it asks.
type sent struct {
	ctx   context.Context
	who   club.Writer
	q     url.Values
	param func(name string) string
	id    int64 // at the end of the address; 0 where there is none
	now   time.Time
	loc   *time.Location
	base  string // of the venue's own pages
}

// done is where a form that did something leads, and the sentence said there.
type done struct{ to, says string }

// setupPage shapes a page for a request, filled in.
type setupPage func(r *http.Request, f web.Fill) (web.SetupPage, error)

// shows answers with a page as it is kept.
func (s *server) shows(p setupPage) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		return s.showSetup(w, r, http.StatusOK, p, web.Fill{Said: said(w, r)})
	}
}

func (s *server) showSetup(w http.ResponseWriter, r *http.Request, code int, p setupPage, f web.Fill) error {
	page, err := p(r, f)
	if err != nil {
		return err
	}
	if page.Next != nil && page.Next.Href == r.URL.Path {
		page.Next = nil // it is here
	}
	return render(r.Context(), w, code, web.Setup(page))
}

// takes does what a form of a page asks and leads on, where it is said what was done.
// What makes no sense is said on the page, with the form as it was filled.
func (s *server) takes(name string, p setupPage, do func(sent) (done, error)) action {
	return s.takesNamed(func(*http.Request) string { return name }, p, do)
}

func (s *server) takesNamed(name func(*http.Request) string, p setupPage, do func(sent) (done, error)) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		q, err := largeForm(w, r)
		if err != nil {
			return err
		}
		in, err := s.sentForm(r, q)
		if err != nil {
			return err
		}
		out, err := do(in)
		if err == nil {
			say(w, r, out.to, out.says)
			return nil
		}
		if !shownToThem(err) {
			return err
		}
		return s.showSetup(w, r, s.refused(w, r, err), p, web.Fill{Form: name(r), Values: q, Problem: sentence(err)})
	}
}

func (s *server) sentForm(r *http.Request, q url.Values) (sent, error) {
	in := sent{ctx: r.Context(), who: writer(r), q: q, now: s.now(), param: func(name string) string { return param(r, name) }}
	in.base = setupPath + "/venues/" + in.param("venue")
	if text := in.param("id"); text != "" {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil || id <= 0 {
			return in, club.Faultf(club.NotFound, "There is nothing of that number here.")
		}
		in.id = id
	}
	c, _, err := s.book.Asker(r.Context(), nil, in.now)
	in.loc = zone(c)
	return in, err
}

// Largest forms and files, in bytes.
const (
	largestSetup = 256 << 10 // the places of two hundred pegs take 20 kB
	largestFile  = 4 << 20
)

// largeForm is form for pages with many fields, which may bring a file as well: the file
// is then the field "file".
func largeForm(w http.ResponseWriter, r *http.Request) (url.Values, error) {
	unread := club.Faultf(club.Invalid, "The form could not be read. Go back and send it again; a file is at most 4 MB.")
	mostBytes := int64(largestSetup)
	if isUpload(r) {
		mostBytes = 2*largestFile + largestSetup
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostBytes)
	if !isUpload(r) {
		if err := r.ParseForm(); err != nil {
			return nil, unread.Because(err)
		}
		return cleaned(r.PostForm), nil
	}
	if err := r.ParseMultipartForm(mostBytes); err != nil {
		return nil, unread.Because(err)
	}
	q := cleaned(r.PostForm)
	body, err := uploaded(r)
	if err != nil {
		return nil, unread.Because(err)
	}
	q.Set("file", string(body))
	return q, nil
}

func (s *server) setupHome(r *http.Request, f web.Fill) (web.SetupPage, error) {
	o, err := s.book.Office(r.Context(), session(r), s.now())
	return web.NewSetupPage(s.assets, o, f), err
}

func (s *server) newGauge(r *http.Request, f web.Fill) (web.SetupPage, error) {
	o, err := s.book.Office(r.Context(), session(r), s.now())
	return web.NewGaugeForm(s.assets, o, f), err
}

func (s *server) addGauge(in sent) (done, error) {
	d, err := parse.Gauge(in.q, in.loc)
	if err != nil {
		return done{}, err
	}
	g, err := s.book.AddGauge(in.ctx, in.who, d, in.now)
	return done{setupPath, "Made: the gauge “" + g.Name + "”."}, err
}

func (s *server) gaugeSetup(r *http.Request, f web.Fill) (web.SetupPage, error) {
	o, err := s.book.Office(r.Context(), session(r), s.now())
	if err != nil {
		return web.SetupPage{}, err
	}
	for _, g := range o.Gauges {
		if g.Slug == param(r, "gauge") {
			return web.NewGaugeSetup(s.assets, o, g, f, zone(o.Club)), nil
		}
	}
	return web.SetupPage{}, club.Faultf(club.NotFound, "The club has no gauge at this address.")
}

func (in sent) gaugePath() string { return setupPath + "/gauges/" + in.param("gauge") }

func (s *server) changeGauge(in sent) (done, error) {
	d, err := parse.Gauge(in.q, in.loc)
	if err != nil {
		return done{}, err
	}
	return done{in.gaugePath(), "Kept."}, s.book.ChangeGauge(in.ctx, in.who, in.param("gauge"), d, in.now)
}

func (s *server) moveZero(in sent) (done, error) {
	d, err := parse.Zero(in.q, in.loc)
	if err != nil {
		return done{}, err
	}
	says, err := s.book.MoveZero(in.ctx, in.who, in.param("gauge"), d, in.now)
	return done{in.gaugePath(), says}, err
}

// fixForm is the name of the form that puts the zero right which the address names.
func fixForm(r *http.Request) string { return web.FormFix + param(r, "id") }

func (s *server) fixZero(in sent) (done, error) {
	d, err := parse.ZeroFix(in.q)
	if err != nil {
		return done{}, err
	}
	return done{in.gaugePath(), "The zero is put right, and with it all that is read by it."}, s.book.FixZero(in.ctx, in.who, in.param("gauge"), in.id, d, in.now)
}

func (s *server) newVenue(r *http.Request, f web.Fill) (web.SetupPage, error) {
	o, err := s.book.Office(r.Context(), session(r), s.now())
	return web.NewVenueForm(s.assets, o, f), err
}

func (s *server) addVenue(in sent) (done, error) {
	v, err := s.book.AddVenue(in.ctx, in.who, parse.Venue(in.q), in.now)
	return done{setupPath + "/venues/" + v.Slug + "/pegs", "Made: “" + v.Name + "”. Now its pegs."}, err
}

// ofWater makes a page of one that is shaped of a venue as a secretary sees it.
func (s *server) ofWater(shape func(r *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error)) setupPage {
	return func(r *http.Request, f web.Fill) (web.SetupPage, error) {
		w, err := s.book.OfficeWater(r.Context(), param(r, "venue"), session(r), s.now())
		if err != nil {
			return web.SetupPage{}, err
		}
		return shape(r, w, f)
	}
}

func (s *server) venueSetup(_ *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	return web.NewVenueSetup(s.assets, w, f), nil
}

func (s *server) changeVenue(in sent) (done, error) {
	return done{in.base, "Kept."}, s.book.ChangeVenue(in.ctx, in.who, in.param("venue"), parse.Venue(in.q), in.now)
}

func (s *server) moveVenue(in sent) (done, error) {
	name, err := s.book.MoveVenue(in.ctx, in.who, in.param("venue"), in.q.Get("way") != "down", in.now)
	return done{setupPath, "Moved on the list: " + name + "."}, err
}
