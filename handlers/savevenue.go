//go:build !js

package handlers

import (
	"net/http"
	"strings"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/static"
	"levelpeg/web"
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
	v.Marked = web.MarkedUp(v)
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

// phoneWorker is the script that answers from what is saved on a phone. Its own policy
// lets it run the program.
func (s *server) phoneWorker(w http.ResponseWriter, r *http.Request) error {
	script := static.PhoneWorker(s.assets)
	if script == nil {
		return club.Faultf(club.NotFound, "Nothing can be saved from this server: it was built without the phone's program.")
	}
	h := w.Header()
	h.Set("Content-Type", "text/javascript; charset=utf-8")
	h.Set("Cache-Control", "no-cache")
	h.Set("Content-Security-Policy", strings.Replace(contentPolicy, "script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'", 1))
	_, _ = w.Write(script)
	return nil
}
