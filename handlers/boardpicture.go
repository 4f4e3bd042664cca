//go:build !js

package handlers

import (
	"net/http"

	"levelpeg/club"
	"levelpeg/handlers/parse"
)

// takeBoardPicture takes a photograph of the board that belongs to a level which is in the
// book already, and answers in the words of entries: a phone keeps it until it hears them.
func (s *server) takeBoardPicture(w http.ResponseWriter, r *http.Request) error {
	id, err := parse.EntryID(param(r, "id"))
	if err != nil {
		return err
	}
	key, err := s.book.ClubKey(r.Context())
	if err != nil {
		return err
	}
	out := entryAnswer{ID: id, State: club.InTheBook, Epoch: key.Epoch}
	switch err := s.keepBoardPicture(w, r, id); club.KindOf(err) {
	case club.Invalid, club.NotFound, club.Conflict:
		out.State, out.Why = club.NeedsMending, sentence(err)
	default:
		if err != nil {
			return err
		}
	}
	return writeJSON(w, http.StatusOK, out)
}

func (s *server) keepBoardPicture(w http.ResponseWriter, r *http.Request, id string) error {
	sent, err := receive(w, r)
	defer sent.close()
	if err != nil {
		return err
	}
	if sent.file == nil {
		return club.Faultf(club.Invalid, "No photograph came.")
	}
	small, err := s.darkroom.Develop(r.Context(), sent.file)
	if err != nil {
		return err
	}
	_, err = s.book.AddBoardPicture(r.Context(), club.Writer{Session: session(r)}, id, small, s.now())
	return err
}
