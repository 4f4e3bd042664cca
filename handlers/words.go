package handlers

import (
	"net/http"

	"levelpeg/club"
	"levelpeg/web"
)

// words shows what the words of a sheet mean. It says nothing of the club, so it
// asks nothing of the book.
func (s *server) words(w http.ResponseWriter, r *http.Request) error {
	return render(r.Context(), w, http.StatusOK, web.Words(web.NewShell(s.assets, club.Club{}, club.Member{}, "What the words mean").Unasked(session(r) != nil)))
}
