package handlers

import (
	"net/http"
	"time"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/web"
)

func (s *server) home(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	h, err := s.read.Home(r.Context(), session(r), now)
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.HomeView(web.NewHomePage(s.assets, h, now, zone(h.Club))))
}

func (s *server) homeJSON(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	h, err := s.read.Home(r.Context(), session(r), now)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, exchange.NewVenues(h, now, zone(h.Club)))
}

// zone is the club's time zone; UTC for a club whose zone this machine does not know.
func zone(c club.Club) *time.Location {
	loc, err := c.Zone()
	if err != nil {
		return time.UTC
	}
	return loc
}
