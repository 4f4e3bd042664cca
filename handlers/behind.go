//go:build !js

package handlers

import (
	"net/http"

	"levelpeg/club"
)

// wroteCookie is on the phone of whoever wrote just now, so that they read from the book
// itself, at whichever server, and find what they wrote.
const wroteCookie = "levelpeg_wrote"

// behind lets pages that anyone may read be read from a copy of the book, where there is
// one. Who may write, and what those look at who look after the club, is read from the book
// itself: neither is much.
func (s *server) behind(r route) action {
	switch {
	case !s.copy:
		return r.do
	case r.method == post:
		return s.marking(r.do)
	case !r.who.visitors:
		return r.do
	}
	return func(w http.ResponseWriter, req *http.Request) error {
		if _, err := req.Cookie(wroteCookie); err == nil {
			return r.do(w, req)
		}
		err := r.do(w, req.WithContext(club.MayBeBehind(req.Context())))
		if club.KindOf(err) == club.Unavailable { // the copy has gone, or is busy: nothing was written yet
			return r.do(w, req)
		}
		return err
	}
}

// marking marks whoever sends something. What is refused marks them too, and costs a few
// pages read from the book itself.
func (s *server) marking(do action) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		http.SetCookie(w, &http.Cookie{Name: wroteCookie, Value: "1", Path: "/", MaxAge: int(club.WroteRecently.Seconds()), HttpOnly: true,
			SameSite: http.SameSiteLaxMode, Secure: s.secure(r)})
		return do(w, r)
	}
}
