package handlers

import (
	"net/http"

	"levelpeg/club/exchange"
	"levelpeg/web"
)

func (s *server) venue(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	v, err := s.book.Venue(r.Context(), param(r, "venue"), session(r), now)
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.VenueIn(web.NewVenuePage(s.assets, v, now, zone(v.Club))))
}

func (s *server) venueJSON(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	v, err := s.book.Venue(r.Context(), param(r, "venue"), session(r), now)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewVenue(v, now, zone(v.Club)))
}
