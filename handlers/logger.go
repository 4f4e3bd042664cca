//go:build !js

package handlers

import (
	"crypto/sha256"
	"mime"
	"net/http"
	"strings"

	"levelpeg/club"
	"levelpeg/feeds"
)

// longestPost is more than the most levels that may be posted at once take, in bytes.
const longestPost = 4 << 20

// postLevels takes levels from a club's own logger, by its token. The same again changes
// nothing.
func (s *server) postLevels(w http.ResponseWriter, r *http.Request) error {
	token, found := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !found || token == "" {
		return unknownToken(w)
	}
	hash := sha256.Sum256([]byte(token))
	if err := s.book.Logger(r.Context(), hash[:]); club.KindOf(err) == club.Forbidden {
		return unknownToken(w)
	} else if err != nil {
		return err
	}
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/json" && kind != "text/csv" {
		return club.Faultf(club.Invalid, "Say what is posted by Content-Type: application/json or text/csv.")
	}
	levels, refused, err := feeds.ParsePost(kind, http.MaxBytesReader(w, r.Body, longestPost), longestPost, s.now())
	if err != nil {
		return err
	}
	done, err := s.book.LoggerLevels(r.Context(), hash[:], levels, s.now())
	if club.KindOf(err) == club.Forbidden {
		return unknownToken(w)
	}
	if err != nil {
		return err
	}
	if refused == nil {
		refused = []feeds.Refusal{}
	}
	return writeJSON(w, http.StatusOK, posted{done.New, done.Corrected, done.Same, done.Kept, refused})
}

// posted is what became of the levels of a post.
type posted struct {
	New       int             `json:"new"`
	Corrected int             `json:"corrected"`
	Same      int             `json:"same"`
	Kept      int             `json:"left_as_read_at_the_board"`
	Refused   []feeds.Refusal `json:"refused"`
}

func unknownToken(w http.ResponseWriter) error {
	w.Header().Set("WWW-Authenticate", "Bearer")
	return writeJSON(w, http.StatusUnauthorized, map[string]string{"error": "The token is not known, or was withdrawn. A secretary or a bailiff makes one on the gauge's page."})
}
