package handlers

import (
	"net/http"
)

// code leads from a peg's permanent code to its sheet, wherever that now is.
func (s *server) code(w http.ResponseWriter, r *http.Request) error {
	venue, label, err := s.read.PegByCode(r.Context(), param(r, "code"), session(r), s.now())
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/venues/"+venue+"/pegs/"+label, http.StatusFound)
	return nil
}
