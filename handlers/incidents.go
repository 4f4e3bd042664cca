//go:build !js

package handlers

import (
	"net/http"
	"strconv"

	"levelpeg/club"
	"levelpeg/web"
)

const incidentsPath = "/incidents"

// incidents shows what members have told of.
func (s *server) incidents(w http.ResponseWriter, r *http.Request) error {
	return s.showIncidents(w, r, http.StatusOK, said(w, r), "")
}

func (s *server) showIncidents(w http.ResponseWriter, r *http.Request, code int, said, problem string) error {
	v, err := s.book.Incidents(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, code, web.Incidents(web.NewIncidentsPage(s.assets, v, said, problem, zone(v.Club))))
}

// closeIncident says that one is dealt with.
func (s *server) closeIncident(w http.ResponseWriter, r *http.Request) error {
	id, err := strconv.ParseInt(param(r, "id"), 10, 64)
	if err != nil {
		return club.Faultf(club.NotFound, "There is no such incident.")
	}
	err = s.book.CloseIncident(r.Context(), writer(r), id, s.now())
	if err == nil {
		say(w, r, incidentsPath, "The incident is closed.")
		return nil
	}
	if !shownToThem(err) {
		return err
	}
	return s.showIncidents(w, r, s.refused(w, r, err), "", sentence(err))
}
