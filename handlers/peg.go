package handlers

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"time"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/hydro"
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
	ask, wall, problem := s.ask(r, r.URL.Query())
	v, err := s.pegBook(r, &ask, wall)
	if err != nil && club.KindOf(err) != club.Invalid {
		return nil, nil, err
	}
	problem = errors.Join(problem, err)
	sheet, err = club.NewSheet(v, ask, s.rigs)
	if club.KindOf(err) == club.Invalid {
		problem = errors.Join(problem, err)
		ask.Run = ""
		sheet, err = club.NewSheet(v, ask, s.rigs)
	}
	return sheet, problem, err
}

// pegBook reads a peg's book, and where the sheet is asked for a moment, what is known
// of the river about it. A moment that makes no sense is a fault beside the book.
func (s *server) pegBook(r *http.Request, ask *club.Ask, wall club.Wall) (club.PegView, error) {
	ctx, venue, label := r.Context(), param(r, "venue"), param(r, "peg")
	if wall.IsZero() {
		return s.read.Peg(ctx, venue, label, session(r), ask.Now)
	}
	v, readings, err := s.read.PegAt(ctx, venue, label, session(r), ask.Now, wall.Clock)
	if err != nil {
		return v, err
	}
	return v, s.moment(ctx, ask, wall, v.Club, v.Standing, readings)
}

// moment puts what is known of the river about a moment into what is asked.
func (s *server) moment(ctx context.Context, ask *club.Ask, wall club.Wall, c club.Club, st club.Standing, readings []club.Reading) error {
	loc, err := c.Zone()
	if err != nil {
		return err
	}
	at := wall.In(loc)
	if err := club.CheckMoment(at, ask.Now); err != nil {
		return err
	}
	ask.At, ask.River.Readings = at, readings
	if last := len(readings) - 1; last >= 0 && at.After(readings[last].At) {
		ask.River.History, err = s.goneOn(ctx, st.Gauge.Slug, st.Past, ask.Now)
	}
	return err
}

// goneOn is how a gauge has gone on before; past is as it stands now.
func (s *server) goneOn(ctx context.Context, gauge string, past int64, now time.Time) (*hydro.History, error) {
	return s.past.Of(ctx, gauge, past, now, func(ctx context.Context, from, to time.Time) (club.HourMeans, error) {
		return s.read.Hours(ctx, gauge, from, to)
	})
}

// ask is what a query asks of a sheet, and what in it makes no sense.
func (s *server) ask(r *http.Request, q url.Values) (club.Ask, club.Wall, error) {
	level, badLevel := parse.Level(q)
	wall, badMoment := parse.Moment(q)
	tackle, badTackle := parse.Tackle(q)
	tackle, badKit := kitIn(r, q, tackle)
	hold, badHold := parse.Hold(q)
	own, badOwn := parse.Own(q)
	wind, badWind := parse.Breeze(q)
	aim, badAim := parse.Aim(q)
	ask := club.Ask{LevelM: level, Run: q.Get("run"), Tackle: tackle, Hold: hold, Own: own, Wind: wind, Aim: aim, Fits: s.fits, Now: s.now()}
	return ask, wall, errors.Join(badLevel, badMoment, badTackle, badKit, badHold, badOwn, badWind, badAim)
}
