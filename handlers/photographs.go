//go:build !js

package handlers

import (
	"encoding/hex"
	"net/http"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/web"
)

// addPhotograph makes a photograph small and puts it in the book.
func (s *server) addPhotograph(w http.ResponseWriter, r *http.Request) error {
	at, now := place(r), s.now()
	v, err := s.book.Notes(r.Context(), at, session(r), now)
	if err != nil {
		return err
	}
	if !v.Member.Role.MayWrite() {
		drain(r.Body)
		return s.sayOnNotes(w, r, v, club.ErrMayNotPost(), web.NotesFilled{})
	}
	sent, err := receive(w, r)
	defer sent.close()
	var pic club.Picture
	if err == nil {
		at.Peg.Code = sent.code
		pic, err = s.keepPhotograph(r, at, sent, now)
	}
	if err != nil {
		return s.sayOnNotes(w, r, v, err, web.NotesFilled{Form: web.FormPhoto, Typed: web.NoteTyped{Caption: sent.caption}})
	}
	done := "Your photograph is in the book."
	if pic.Waits {
		done = "Your photograph" + itWaits
	}
	say(w, r, notesPath(v), done)
	return nil
}

// keepPhotograph looks at the words before the picture, which takes longer.
func (s *server) keepPhotograph(r *http.Request, at club.Place, sent upload, now time.Time) (club.Picture, error) {
	if _, err := club.CheckCaption(sent.caption); err != nil {
		return club.Picture{}, err
	}
	if sent.file == nil {
		return club.Picture{}, club.Faultf(club.Invalid, "Choose a photograph first.")
	}
	small, err := s.darkroom.Develop(r.Context(), sent.file)
	if err != nil {
		return club.Picture{}, err
	}
	return s.book.AddPicture(r.Context(), club.Writer{Session: session(r)}, at, club.PictureDraft{Photo: small, Caption: sent.caption}, now)
}

// picture sends a photograph, to whoever may see it.
func (s *server) picture(w http.ResponseWriter, r *http.Request) error {
	hash, err := hashOf(param(r, "hash"))
	if err != nil {
		return err
	}
	tag := `"` + hex.EncodeToString(hash[:]) + `"`
	have := strings.Contains(r.Header.Get("If-None-Match"), tag)
	i, err := s.book.Image(r.Context(), hash, session(r), have, s.now())
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("ETag", tag)
	h.Set("Cache-Control", "private, no-cache") // it may be hidden, or somebody sign out
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	if have {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	h.Set("Content-Type", i.Kind)
	h.Set("Content-Length", strconv.Itoa(len(i.Data)))
	_, _ = w.Write(i.Data) // it fails only for someone who has hung up
	return nil
}

// hashOf reads a hash as our addresses write it.
func hashOf(text string) (hash [32]byte, err error) {
	if len(text) != hex.EncodedLen(len(hash)) || strings.ToLower(text) != text {
		return hash, noSuchPicture()
	}
	if _, err := hex.Decode(hash[:], []byte(text)); err != nil {
		return hash, noSuchPicture()
	}
	return hash, nil
}

func noSuchPicture() error {
	return club.Faultf(club.NotFound, "There is no photograph at this address.")
}
