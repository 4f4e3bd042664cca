package handlers

import (
	"net/http"
	"net/url"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// rig shows the rig for a water that the address itself gives. With a peg's code it
// leads to that peg's sheet, with all else that was asked.
func (s *server) rig(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	code, badCode := parse.Code(q)
	if code != "" {
		return s.toPeg(w, r, code, q)
	}
	sheet, problem, err := s.ownSheet(r)
	if err != nil {
		return err
	}
	if problem == nil {
		problem = badCode
	}
	state, page := http.StatusOK, web.NewOwnPage(s.assets, s.cards, sheet)
	if problem != nil {
		state, page.Problem = status(problem), sentence(problem)
	}
	return renderSqueezed(r, w, state, web.Own(page))
}

func (s *server) rigJSON(w http.ResponseWriter, r *http.Request) error {
	sheet, problem, err := s.ownSheet(r)
	if err == nil {
		err = problem
	}
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewOwnSheet(sheet))
}

// ownSheet answers the request. A problem with what was asked comes beside the sheet
// without it.
func (s *server) ownSheet(r *http.Request) (sheet *club.OwnSheet, problem, err error) {
	c, m, err := s.read.Asker(r.Context(), session(r), s.now())
	if err != nil {
		return nil, nil, err
	}
	ask, _, problem := s.ask(r, r.URL.Query())
	sheet, err = club.NewOwnSheet(c, m, ask, s.rigs)
	if club.KindOf(err) != club.Invalid {
		return sheet, problem, err
	}
	if problem == nil {
		problem = err
	}
	sheet, err = club.NewOwnSheet(c, m, club.Ask{Fits: s.fits, Now: ask.Now}, s.rigs)
	return sheet, problem, err
}

// toPeg leads to the sheet of the peg with a code.
func (s *server) toPeg(w http.ResponseWriter, r *http.Request, code string, q url.Values) error {
	venue, label, err := s.read.PegByCode(r.Context(), code, session(r), s.now())
	if err != nil {
		return err
	}
	q.Del("code")
	to := "/venues/" + url.PathEscape(venue) + "/pegs/" + url.PathEscape(label)
	if len(q) > 0 {
		to += "?" + q.Encode()
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}
