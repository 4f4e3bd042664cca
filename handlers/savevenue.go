//go:build !js

package handlers

import (
	"net/http"

	"levelpeg/club/exchange"
	"levelpeg/static"
)

// savedVenue gives a venue as the file that a phone saves, with the release of the program
// that is to read it.
func (s *server) savedVenue(w http.ResponseWriter, r *http.Request) error {
	v, err := s.book.SavedVenue(r.Context(), param(r, "venue"), session(r), s.now())
	if err != nil {
		return err
	}
	if c, err := r.Cookie(kitCookie); err == nil {
		v.PhoneKit = text(c.Value)
	}
	file, err := exchange.WriteSaved(v)
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "application/json; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	h.Set("Levelpeg-Release", static.PhoneRelease())
	_, _ = w.Write(file) // it fails only for someone who has hung up
	return nil
}
