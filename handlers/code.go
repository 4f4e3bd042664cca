package handlers

import (
	"net/http"

	"github.com/go-chi/chi/v5"
)

// code leads from a peg's permanent code to its sheet, wherever that now is.
func (s *server) code(w http.ResponseWriter, r *http.Request) error {
	venue, label, err := s.book.PegByCode(r.Context(), chi.URLParam(r, "code"))
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/venues/"+venue+"/pegs/"+label, http.StatusFound)
	return nil
}
