//go:build !js

package handlers

import (
	"net/http"
	"strconv"

	"levelpeg/club"
	"levelpeg/handlers/secret"
	"levelpeg/web"
)

const mePath = "/me"

func (s *server) me(w http.ResponseWriter, r *http.Request) error {
	return s.showMe(w, r, http.StatusOK, said(w, r), "")
}

func (s *server) showMe(w http.ResponseWriter, r *http.Request, code int, said, problem string) error {
	v, err := s.book.Me(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	if v.Member.ID == 0 {
		return club.ErrSignInFirst()
	}
	p := web.NewMePage(s.assets, v, zone(v.Club))
	p.Said, p.Problem, p.NoPasskeys = said, problem, s.noPasskeys(r)
	return render(r.Context(), w, code, web.Me(p))
}

// mine does what a form on the member's own page asks, which then says so.
func (s *server) mine(w http.ResponseWriter, r *http.Request, do func(get func(string) string) (string, error)) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	done, err := do(q.Get)
	if err == nil {
		say(w, r, mePath, done)
		return nil
	}
	if !shown(err) && club.KindOf(err) != club.NotFound {
		return err
	}
	return s.showMe(w, r, s.refused(w, r, err), "", sentence(err))
}

// changePassword wants the old password where there is one: a phone left lying about is
// not enough.
func (s *server) changePassword(w http.ResponseWriter, r *http.Request) error {
	return s.mine(w, r, func(get func(string) string) (string, error) {
		ctx, now := r.Context(), s.now()
		a, err := s.book.MyAccount(ctx, session(r), now)
		if err != nil {
			return "", err
		}
		if err := club.CheckPassword(get("new"), ""); err != nil {
			return "", err
		}
		if a.Password != "" {
			if err := s.checkOwn(r, a, get("old")); err != nil {
				return "", err
			}
		}
		hash, err := secret.Hash(ctx, get("new"))
		if err != nil {
			return "", err
		}
		return "Your password is changed, and every other phone is signed out.", s.book.SetPassword(ctx, writer(r), a.Password, hash, now)
	})
}

// checkOwn checks the password of somebody who is signed in, as often as one may try.
func (s *server) checkOwn(r *http.Request, a club.Account, password string) error {
	tries, err := s.book.BeginTry(r.Context(), "number "+strconv.FormatInt(a.ID, 10), address(r), s.now())
	if err != nil {
		return err
	}
	ok, err := secret.Check(r.Context(), a.Password, password)
	if err != nil {
		return err
	}
	if !ok {
		return club.Faultf(club.Invalid, "That is not your password of now.")
	}
	return s.book.EndTry(r.Context(), tries)
}

func (s *server) endSession(w http.ResponseWriter, r *http.Request) error {
	return s.mine(w, r, func(get func(string) string) (string, error) {
		id := get("phone")
		if id == "" && get("others") == "" {
			return "", club.Faultf(club.Invalid, "Choose a phone to sign out.")
		}
		n, err := s.book.EndSession(r.Context(), writer(r), id, s.now())
		if n == 1 {
			return "One phone is signed out.", err
		}
		return strconv.Itoa(n) + " phones are signed out.", err
	})
}

func (s *server) dropPasskey(w http.ResponseWriter, r *http.Request) error {
	return s.mine(w, r, func(get func(string) string) (string, error) {
		return "The passkey is taken away. Delete it on the phone, too.", s.book.DropPasskey(r.Context(), writer(r), get("passkey"), s.now())
	})
}

// myData gives all that is kept on a member, as a file.
func (s *server) myData(w http.ResponseWriter, r *http.Request) error {
	data, err := s.book.MyData(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	w.Header().Set("Content-Disposition", `attachment; filename="what-is-kept-on-me.json"`)
	return writeJSON(w, http.StatusOK, data)
}

func (s *server) removeMyself(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	err = club.Faultf(club.Invalid, "Nothing was removed: tick that you mean it.")
	if q.Get("sure") != "" {
		err = s.book.RemoveMyself(r.Context(), writer(r), s.now())
	}
	if err == nil {
		s.dropSession(w, r)
		say(w, r, "/sign-in", "You are removed from the club's book. What you read on the bank stays in it, unnamed.")
		return nil
	}
	if !shown(err) {
		return err
	}
	return s.showMe(w, r, s.refused(w, r, err), "", sentence(err))
}
