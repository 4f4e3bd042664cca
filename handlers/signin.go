//go:build !js

package handlers

import (
	"net/http"
	"net/url"
	"strings"

	"levelpeg/club"
	"levelpeg/handlers/secret"
	"levelpeg/web"
)

// local is an address of this server to go on to; the list of waters for any other.
func local(to string) string {
	u, err := url.Parse(to)
	if err != nil || u.IsAbs() || u.Host != "" || u.User != nil || !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") {
		return "/"
	}
	return u.RequestURI()
}

func (s *server) signInPage(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	return s.showSignIn(w, r, http.StatusOK, web.SignInFill{Name: text(q.Get("name")), To: text(q.Get("to")), Said: said(w, r)})
}

func (s *server) showSignIn(w http.ResponseWriter, r *http.Request, code int, f web.SignInFill) error {
	c, m, err := s.book.Asker(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	f.To, f.NoPasskeys = local(f.To), s.noPasskeys(r)
	return render(r.Context(), w, code, web.SignIn(web.NewSignInPage(s.assets, c, m, f)))
}

// errWrong is said of a name and a password that do not belong together, whichever is
// wrong.
func errWrong() error {
	return club.Faultf(club.Forbidden, "That name and that password do not go together. If you have forgotten them, ask the club's secretary for a link.")
}

// signIn takes a name and a password. Where it cannot it says so on the page, with the
// name as it was written.
func (s *server) signIn(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	n, token := newSession(r, q.Get("own") != "")
	err = s.signInBy(r, strings.ToLower(strings.TrimSpace(q.Get("name"))), q.Get("password"), n)
	if err == nil {
		return s.welcome(w, r, n, token, local(q.Get("to")))
	}
	if !shown(err) {
		return err
	}
	f := web.SignInFill{Name: q.Get("name"), To: q.Get("to"), Own: n.Own, Problem: sentence(err)}
	return s.showSignIn(w, r, s.refused(w, r, err), f)
}

// signInBy begins a session for whoever has a name and a password. It costs the same
// whether there is such a name or not.
func (s *server) signInBy(r *http.Request, name, password string, n club.NewSession) error {
	ctx, now := r.Context(), s.now()
	tries, err := s.book.BeginTry(ctx, name, address(r), now)
	if err != nil {
		return err
	}
	var a club.Account
	if _, bad := club.CheckSignIn(name); bad == nil {
		if a, err = s.book.Account(ctx, name); err != nil {
			return err
		}
	}
	ok, err := secret.Check(ctx, a.Password, password)
	if err != nil {
		return err
	}
	if !ok {
		return errWrong()
	}
	if err := s.book.EndTry(ctx, tries); err != nil {
		return err
	}
	return s.book.SignIn(ctx, a, n, now)
}

// welcome leads somebody on who has just signed in. A session they had on this phone
// ends.
func (s *server) welcome(w http.ResponseWriter, r *http.Request, n club.NewSession, token, to string) error {
	if err := s.replaceSession(w, r, n, token); err != nil {
		return err
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

func (s *server) replaceSession(w http.ResponseWriter, r *http.Request, n club.NewSession, token string) error {
	if old := session(r); old != nil {
		if err := s.book.SignOut(r.Context(), old); err != nil {
			return err
		}
	}
	s.giveSession(w, r, n, token)
	return nil
}

// signOut ends the session.
func (s *server) signOut(w http.ResponseWriter, r *http.Request) error {
	if hash := session(r); hash != nil {
		if err := s.book.SignOut(r.Context(), hash); err != nil {
			return err
		}
	}
	s.dropSession(w, r)
	say(w, r, "/sign-in", "You are signed out.")
	return nil
}
