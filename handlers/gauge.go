package handlers

import (
	"net/http"
	"time"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// gauge shows where a gauge stands and its history. What was asked of that and makes
// no sense is said on the page without it.
func (s *server) gauge(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	v, problem, err := s.history(r, now)
	if err != nil {
		return err
	}
	code, page := http.StatusOK, web.NewGaugePage(s.assets, v, now, zone(v.Club))
	if problem != nil {
		code, page.Problem = status(problem), sentence(problem)
	}
	return render(r.Context(), w, code, web.GaugeIn(page))
}

func (s *server) gaugeJSON(w http.ResponseWriter, r *http.Request) error {
	v, problem, err := s.history(r, s.now())
	if err == nil {
		err = problem
	}
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewHistory(v, s.now(), zone(v.Club)))
}

func (s *server) history(r *http.Request, now time.Time) (v club.GaugeView, problem, err error) {
	look, problem := parse.LookBack(r.URL.Query(), now)
	v, err = s.read.Gauge(r.Context(), param(r, "gauge"), look, session(r), now)
	if err != nil || v.To.Before(now) {
		return v, problem, err
	}
	goneOn, err := s.goneOn(r.Context(), v.Standing.Gauge.Slug, v.Standing.Past, now)
	if err == nil {
		err = v.Foresee(goneOn, now)
	}
	return v, problem, err
}
