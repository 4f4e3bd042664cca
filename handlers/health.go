//go:build !js

package handlers

import (
	"context"
	"net/http"
	"time"
)

// live says that the process answers. It asks nothing of the database: a database
// that is away is no reason to kill the server.
func (s *server) live(w http.ResponseWriter, r *http.Request) {
	if err := writeJSON(w, http.StatusOK, map[string]bool{"live": true}); err != nil {
		s.note(r, err)
	}
}

// readyWithin is how long the database may take to say that it is there.
const readyWithin = 2 * time.Second

// ready says whether requests can be served: the database answers and holds the
// schema this program was written for.
func (s *server) ready(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), readyWithin)
	defer cancel()
	code, body := http.StatusOK, map[string]any{"ready": true}
	if err := s.book.Ready(ctx); err != nil {
		code, body = http.StatusServiceUnavailable, map[string]any{"ready": false, "why": sentence(err)}
	}
	if err := writeJSON(w, code, body); err != nil {
		s.note(r, err)
	}
}
