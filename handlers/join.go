//go:build !js

package handlers

import (
	"net/http"
	"net/url"

	"levelpeg/club"
	"levelpeg/handlers/secret"
	"levelpeg/web"
)

// linkTo is the whole address of a link with a token.
func (s *server) linkTo(r *http.Request, token string) string { return s.origin(r) + joinPath + token }

func (s *server) invitation(r *http.Request) (club.Invitation, []byte, error) {
	hash := secret.HashToken(param(r, "token"))
	i, err := s.book.Invitation(r.Context(), hash, s.now())
	return i, hash, err
}

// joinPage shows what a link is for. Opening it uses nothing up, since whatever carries
// messages opens links, too.
func (s *server) joinPage(w http.ResponseWriter, r *http.Request) error {
	i, _, err := s.invitation(r)
	if err != nil {
		return err
	}
	f := web.JoinFill{Name: i.Name, SignIn: i.SignIn, TimeZone: "Europe/London", Place: "England"}
	if f.SignIn == "" && i.Name != "" {
		f.SignIn = club.SuggestSignIn(i.Name)
	}
	return s.showJoin(w, r, http.StatusOK, i, f)
}

func (s *server) showJoin(w http.ResponseWriter, r *http.Request, code int, i club.Invitation, f web.JoinFill) error {
	f.NoPasskeys = s.noPasskeys(r)
	w.Header().Set("Referrer-Policy", "no-referrer")
	w.Header().Set("Cache-Control", "no-store")
	return render(r.Context(), w, code, web.Join(web.NewJoinPage(s.assets, i, joinPath+param(r, "token"), f)))
}

// joiningOf is what a form says of whoever uses a link, without their password.
func joiningOf(i club.Invitation, q url.Values) (j club.Joining, err error) {
	if i.Tries() {
		return j, nil
	}
	j.Name = i.Name
	if i.MemberID == 0 {
		if j.Name, err = club.CheckName(q.Get("name")); err != nil {
			return j, err
		}
	}
	if j.SignIn = i.SignIn; i.Role != club.Junior || i.SignIn == "" {
		if j.SignIn, err = club.CheckSignIn(q.Get("sign_in")); err != nil {
			return j, err
		}
	}
	if i.Club.Name == "" {
		j.Club, err = club.ClubDraft{Name: q.Get("club"), TimeZone: q.Get("time_zone"), Place: q.Get("place")}.Checked()
	}
	return j, err
}

// join uses a link with a password.
func (s *server) join(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	i, hash, err := s.invitation(r)
	if err != nil {
		return err
	}
	n, token := newSession(r, q.Get("own") != "")
	if err = s.joinBy(r, i, hash, q, n); err == nil {
		return s.welcome(w, r, n, token, afterJoin(i))
	}
	if !shown(err) {
		return err
	}
	return s.showJoin(w, r, s.refused(w, r, err), i, joinFill(i, q, sentence(err)))
}

// joinFill is the form as it was sent. The password is not sent back.
func joinFill(i club.Invitation, q url.Values, problem string) web.JoinFill {
	return web.JoinFill{Name: q.Get("name"), SignIn: q.Get("sign_in"), Club: q.Get("club"), TimeZone: q.Get("time_zone"), Place: q.Get("place"), Own: q.Get("own") != "", Problem: problem}
}

func (s *server) joinBy(r *http.Request, i club.Invitation, hash []byte, q url.Values, n club.NewSession) error {
	j, err := joiningOf(i, q)
	if err != nil {
		return err
	}
	if !i.Tries() {
		if err := club.CheckPassword(q.Get("password"), j.SignIn); err != nil {
			return err
		}
		if j.Password, err = secret.Hash(r.Context(), q.Get("password")); err != nil {
			return err
		}
	}
	j.Session = n
	return s.book.Join(r.Context(), hash, j, s.now())
}

// afterJoin is where somebody goes first.
func afterJoin(i club.Invitation) string {
	if i.Kind == club.InviteFirst {
		return "/settings"
	}
	if i.Tries() {
		return "/"
	}
	return "/me"
}
