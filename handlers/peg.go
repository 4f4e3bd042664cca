package handlers

import (
	"errors"
	"net/http"
	"net/url"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// peg shows a sheet. What was asked and makes no sense is said on the sheet at the
// latest level, so that the page is still of use.
func (s *server) peg(w http.ResponseWriter, r *http.Request) error {
	sheet, problem, err := s.sheet(r)
	if err != nil {
		return err
	}
	code, page := http.StatusOK, web.NewPegPage(s.assets, s.cards, sheet)
	if problem != nil {
		code, page.Problem = status(problem), sentence(problem)+" Below is the sheet without it."
	}
	return renderSqueezed(r, w, code, web.Peg(page))
}

func (s *server) pegJSON(w http.ResponseWriter, r *http.Request) error {
	sheet, problem, err := s.sheet(r)
	if err == nil {
		err = problem
	}
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewSheet(sheet))
}

// sheet answers the request. A problem with what was asked comes beside the sheet
// as it is without the asking.
func (s *server) sheet(r *http.Request) (sheet *club.Sheet, problem, err error) {
	ask, problem := s.ask(r.URL.Query())
	v, err := s.book.Peg(r.Context(), param(r, "venue"), param(r, "peg"), session(r), ask.Now)
	if err != nil {
		return nil, nil, err
	}
	sheet, err = club.NewSheet(v, ask, s.rigs)
	if club.KindOf(err) == club.Invalid {
		problem = errors.Join(problem, err)
		ask.Run = ""
		sheet, err = club.NewSheet(v, ask, s.rigs)
	}
	return sheet, problem, err
}

// ask is what a query asks of a sheet, and what in it makes no sense.
func (s *server) ask(q url.Values) (club.Ask, error) {
	level, badLevel := parse.Level(q)
	tackle, badTackle := parse.Tackle(q)
	hold, badHold := parse.Hold(q)
	return club.Ask{LevelM: level, Run: q.Get("run"), Tackle: tackle, Hold: hold, Now: s.now()}, errors.Join(badLevel, badTackle, badHold)
}
