//go:build !js

package handlers

import (
	"bytes"
	"io"
	"net/http"
	"strconv"
	"time"

	"levelpeg/club"
	"levelpeg/club/guide"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// pegPaper prints a peg's card for what the page beside it is asked.
func (s *server) pegPaper(w http.ResponseWriter, r *http.Request) error {
	ask, wall, err := s.ask(r, r.URL.Query())
	if err != nil {
		return err
	}
	v, err := s.pegBook(r, &ask, wall)
	if err != nil {
		return err
	}
	card, err := club.NewCard(v, ask, s.rigs)
	if err != nil {
		return err
	}
	return s.print(w, "peg-"+v.Peg.Label, func(p Paper, out io.Writer) error {
		return p.Card(out, web.NewPegCard(card, s.origin(r)))
	})
}

func (s *server) venuePaper(w http.ResponseWriter, r *http.Request) error {
	ask, wall, err := s.ask(r, given(r.URL.Query()))
	if err != nil {
		return err
	}
	ask.Own, ask.Hold, ask.Run = club.Own{}, nil, "" // of a peg, and not of a whole water
	v, err := s.venuePegs(r, &ask, wall)
	if err != nil {
		return err
	}
	sheet, err := club.NewVenueSheet(v, ask)
	if err != nil {
		return err
	}
	return s.print(w, v.Venue.Slug, func(p Paper, out io.Writer) error {
		return p.VenueSheet(out, web.NewVenueSheet(sheet, s.origin(r)))
	})
}

func (s *server) tonightPaper(w http.ResponseWriter, r *http.Request) error {
	t, problem, err := s.tieUp(r)
	if err == nil {
		err = problem
	}
	if err != nil {
		return err
	}
	return s.print(w, "what-to-tie-"+t.Venue.Slug, func(p Paper, out io.Writer) error {
		return p.Tonight(out, web.NewTonightPrint(t))
	})
}

func (s *server) labels(w http.ResponseWriter, r *http.Request) error {
	per, badPer := parse.Labels(r.URL.Query())
	if badPer != nil {
		return badPer
	}
	now := s.now()
	v, _, err := s.book.VenuePegs(r.Context(), param(r, "venue"), session(r), now, time.Time{})
	if err != nil {
		return err
	}
	l, err := web.NewLabels(&v, s.origin(r), per, now, zone(v.Club))
	if err != nil {
		return err
	}
	return s.print(w, "labels-"+v.Venue.Slug, func(p Paper, out io.Writer) error { return p.Labels(out, l) })
}

// guidePaper prints a guide as a booklet. It shows nothing of the book but the club's name,
// and does without where the book is out of reach.
func (s *server) guidePaper(w http.ResponseWriter, r *http.Request) error {
	g, err := guide.Read(param(r, "code"))
	if err != nil {
		return err
	}
	c, m, err := s.book.Asker(r.Context(), session(r), s.now())
	if err != nil && club.KindOf(err) != club.Unavailable {
		return err
	}
	return s.print(w, "set-up-"+g.Name, func(p Paper, out io.Writer) error {
		return p.Booklet(out, web.NewBooklet(c, m, g, s.origin(r), s.now(), zone(c)))
	})
}

// print sends what is printed, whole.
func (s *server) print(w http.ResponseWriter, name string, on func(Paper, io.Writer) error) error {
	if s.paper == nil {
		return club.Faultf(club.Unavailable, "This cannot be printed here. With a signal, the club's server prints it.")
	}
	var pdf bytes.Buffer
	if err := on(s.paper, &pdf); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "application/pdf")
	h.Set("Content-Disposition", `inline; filename="`+club.Slug(name)+`.pdf"`)
	h.Set("Content-Length", strconv.Itoa(pdf.Len()))
	keepPrivate(h)
	_, _ = w.Write(pdf.Bytes()) // it fails only for someone who has hung up
	return nil
}
