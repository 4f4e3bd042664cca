//go:build !js

package handlers

import (
	"context"
	"net/http"
	"time"

	"levelpeg/club"
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

// ready says whether requests should be sent here: the database answers and holds the
// schema this program was written for, and nobody has told the server to stop. One that
// was told says so before it takes no more, so that whoever stands before it looks elsewhere.
func (s *server) ready(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), readyWithin)
	defer cancel()
	code, body := http.StatusOK, map[string]any{"ready": true}
	if err := s.readiness(ctx); err != nil {
		code, body = http.StatusServiceUnavailable, map[string]any{"ready": false, "why": sentence(err)}
	}
	if err := writeJSON(w, code, body); err != nil {
		s.note(r, err)
	}
}

func (s *server) readiness(ctx context.Context) error {
	select {
	case <-s.stopping: // nil, and for ever silent, where nobody tells
		return club.Faultf(club.Unavailable, "The server is stopping.")
	default:
		return s.book.Ready(ctx)
	}
}
