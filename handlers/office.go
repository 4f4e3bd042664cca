//go:build !js

package handlers

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"levelpeg/club"
	"levelpeg/web"
)

// keepLink keeps a link that was made for a member.
type keepLink func(ctx context.Context, who club.Writer, id int64, hash []byte, now time.Time) (club.MemberLine, error)

// showLog shows who did what, newest first. What of the address makes no sense asks for
// nothing.
func (s *server) showLog(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	number := func(name string) int64 {
		n, err := strconv.ParseInt(q.Get(name), 10, 64)
		if err != nil || n < 0 {
			return 0
		}
		return n
	}
	ask := club.LogAsk{Before: number("before"), Member: number("member"), What: text(q.Get("what"))}
	v, err := s.book.Log(r.Context(), ask, session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.Log(web.NewLogPage(s.assets, v, ask, zone(v.Club))))
}

const settingsPath = "/settings"

func (s *server) settings(w http.ResponseWriter, r *http.Request) error {
	return s.showSettings(w, r, http.StatusOK, web.SettingsFill{Said: said(w, r)})
}

func (s *server) showSettings(w http.ResponseWriter, r *http.Request, code int, f web.SettingsFill) error {
	v, err := s.book.Settings(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, code, web.Settings(web.NewSettingsPage(s.assets, v, f, s.now(), zone(v.Club))))
}

func (s *server) changeSettings(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	d := club.ClubDraft{Name: q.Get("name"), TimeZone: q.Get("time_zone"), Place: q.Get("place"), Welfare: q.Get("welfare"), Incident: q.Get("incident"), Open: q["open"],
		Tiles: club.Tiles{Address: q.Get("tiles"), Credit: q.Get("tiles_credit")}, Was: q.Get("was")}
	if err = s.book.ChangeSettings(r.Context(), writer(r), d, s.now()); err == nil {
		say(w, r, settingsPath, "Kept.")
		return nil
	}
	if !shown(err) {
		return err
	}
	return s.showSettings(w, r, s.refused(w, r, err), web.SettingsFill{Problem: sentence(err), Draft: &d})
}
