package handlers

import (
	"net/http"

	"levelpeg/handlers/parse"
	"levelpeg/web"
)

func (s *server) gauge(w http.ResponseWriter, r *http.Request) error {
	offered := make([]int, len(web.GaugeSpans))
	for i, span := range web.GaugeSpans {
		offered[i] = span.Days
	}
	days, problem := parse.Days(r.URL.Query(), offered)
	now := s.now()
	v, err := s.book.Gauge(r.Context(), param(r, "gauge"), days, session(r), now)
	if err != nil {
		return err
	}
	code, page := http.StatusOK, web.NewGaugePage(s.assets, v, now, zone(v.Club))
	if problem != nil {
		code, page.Problem = status(problem), sentence(problem)
	}
	return render(r.Context(), w, code, web.GaugeIn(page))
}
