package handlers

import (
	"bytes"
	"errors"
	"maps"
	"net/http"
	"net/url"
	"strings"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// tonight shows the few rigs that cover a venue. What was asked and makes no sense is
// said above the answer without it.
func (s *server) tonight(w http.ResponseWriter, r *http.Request) error {
	t, problem, err := s.tieUp(r)
	if err != nil {
		return err
	}
	code, page := http.StatusOK, web.NewTonightPage(s.assets, t)
	if problem != nil {
		code, page.Problem = status(problem), sentence(problem)+" Below is the answer without it."
	}
	return render(r.Context(), w, code, web.Tonight(page))
}

// tonightText is the same as plain text, to keep on a phone.
func (s *server) tonightText(w http.ResponseWriter, r *http.Request) error {
	t, problem, err := s.tieUp(r)
	if err == nil {
		err = problem
	}
	if err != nil {
		return err
	}
	var text bytes.Buffer
	web.TonightText(&text, t)
	h := w.Header()
	h.Set("Content-Type", "text/plain; charset=utf-8")
	h.Set("Content-Disposition", `inline; filename="what-to-tie-`+t.Venue.Slug+`.txt"`)
	h.Set("Cache-Control", "private, no-cache")
	_, _ = w.Write(text.Bytes()) // it fails only for someone who has hung up
	return nil
}

func (s *server) tonightJSON(w http.ResponseWriter, r *http.Request) error {
	t, problem, err := s.tieUp(r)
	if err == nil {
		err = problem
	}
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewTonight(t))
}

// tieUp answers the request. A problem with what was asked comes beside the answer
// without it.
func (s *server) tieUp(r *http.Request) (t *club.Tonight, problem, err error) {
	q := given(r.URL.Query())
	base, wall, badAsk := s.ask(r, q)
	base.Own, base.Hold = club.Own{}, nil // of a peg, and not of a whole water
	most, badMost := parse.Tie(q)
	from, to, badSection := parse.Section(q)
	ask := club.TonightAsk{Ask: base, FromLabel: from, ToLabel: to, Most: most}
	problem = errors.Join(badAsk, badMost, badSection)
	v, err := s.venuePegs(r, &ask.Ask, wall)
	if err != nil && club.KindOf(err) != club.Invalid {
		return nil, nil, err
	}
	problem = errors.Join(problem, err)
	t, err = club.NewTonight(v, ask, s.covers)
	if club.KindOf(err) == club.Invalid {
		problem = errors.Join(problem, err)
		plain := club.TonightAsk{Ask: club.Ask{LevelM: ask.LevelM, At: ask.At, River: ask.River, Tackle: ask.Tackle, Fits: s.fits, Now: ask.Now}}
		t, err = club.NewTonight(v, plain, s.covers)
	}
	return t, problem, err
}

// venuePegs reads a venue's pegs, and what is known of the river about the moment that
// is asked for. A moment that makes no sense is a fault beside the pegs.
func (s *server) venuePegs(r *http.Request, ask *club.Ask, wall club.Wall) (club.VenuePegs, error) {
	ctx := r.Context()
	v, readings, err := s.read.VenuePegs(ctx, param(r, "venue"), session(r), ask.Now, wall.Clock)
	if err != nil || wall.IsZero() {
		return v, err
	}
	return v, s.moment(ctx, ask, wall, v.Club, v.Standing, readings)
}

// given is a query without what a form sent empty.
func given(q url.Values) url.Values {
	maps.DeleteFunc(q, func(_ string, v []string) bool { return strings.TrimSpace(strings.Join(v, "")) == "" })
	return q
}
