package handlers

import (
	"net/http"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/web"
)

// Saved is what was saved of a club's book on a phone.
type Saved interface {
	Reader
	// About is what was saved for an address of ours: of its venue, or the newest.
	About(path string) club.SavedNote
}

// errNeedsSignal is said of whatever only the server can answer.
func errNeedsSignal(r *http.Request) error {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		return club.Faultf(club.NoSignal, "This needs signal, so nothing was changed. Levels, soundings, closures and incidents can be written down without it on the page for the bank: they are sent when there is signal again.")
	}
	return club.Faultf(club.NoSignal, "This page needs signal. What is saved on this phone opens without it.")
}

func (s *server) needsSignal(_ http.ResponseWriter, r *http.Request) error { return errNeedsSignal(r) }

// told puts what was saved, and when, on every page.
func (s *server) told(next http.Handler) http.Handler {
	if s.kept == nil {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		note := s.kept.About(r.URL.Path)
		if !note.At.IsZero() {
			w.Header().Set("Levelpeg-Saved", note.At.UTC().Format(time.RFC3339))
		}
		line := web.NewSavedLine(note, s.now())
		line.Brief = ofNoWater(r.URL.Path)
		next.ServeHTTP(w, r.WithContext(web.WithSaved(r.Context(), line)))
	})
}

// ofNoWater says whether a page's words are the same whatever the water does meanwhile.
func ofNoWater(path string) bool {
	return strings.HasPrefix(path, "/guide/") || path == "/knots" || path == "/words"
}

// savedList is the page of what is saved on a phone. The phone alone knows: the server
// asks the book for nothing.
func (s *server) savedList(w http.ResponseWriter, r *http.Request) error {
	return render(r.Context(), w, http.StatusOK, web.SavedList(web.NewSavedPage(s.assets, session(r) != nil)))
}
