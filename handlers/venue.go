package handlers

import (
	"net/http"

	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

func (s *server) venue(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	v, err := s.read.Venue(r.Context(), param(r, "venue"), session(r), now)
	if err != nil {
		return err
	}
	wall, problem := parse.Moment(r.URL.Query())
	code, page := http.StatusOK, web.NewVenuePage(s.assets, v, wall.In(zone(v.Club)), now, zone(v.Club))
	if problem != nil {
		code, page.Problem = status(problem), sentence(problem)
	}
	return render(r.Context(), w, code, web.VenueIn(page))
}

func (s *server) venueJSON(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	v, err := s.read.Venue(r.Context(), param(r, "venue"), session(r), now)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewVenue(v, now, zone(v.Club)))
}
