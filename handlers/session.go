package handlers

import (
	"net/http"
	"strings"

	"levelpeg/club"
	"levelpeg/handlers/secret"
)

// sessionCookie is the cookie that holds a member's session token.
const sessionCookie = "levelpeg_session"

// session is the hash by which the book knows the request's session; nil for a
// visitor.
func session(r *http.Request) []byte {
	c, err := r.Cookie(sessionCookie)
	if err != nil || c.Value == "" {
		return nil
	}
	return secret.HashToken(c.Value)
}

// newSession is a session to begin on the request's phone, and the token of its cookie.
func newSession(r *http.Request, own bool) (club.NewSession, string) {
	token, hash := secret.NewToken()
	return club.NewSession{Hash: hash, Own: own, Device: device(r.UserAgent())}, token
}

// giveSession puts a session that has begun into its cookie. On a phone that is not the
// member's own it ends with the browser, or sooner.
func (s *server) giveSession(w http.ResponseWriter, r *http.Request, n club.NewSession, token string) {
	c := s.sessionCookie(r, token)
	if n.Own {
		c.MaxAge = int(n.For().Seconds())
	}
	http.SetCookie(w, c)
}

func (s *server) dropSession(w http.ResponseWriter, r *http.Request) {
	c := s.sessionCookie(r, "")
	c.MaxAge = -1
	http.SetCookie(w, c)
}

func (s *server) sessionCookie(r *http.Request, token string) *http.Cookie {
	return &http.Cookie{Name: sessionCookie, Value: token, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: s.secure(r)}
}

// origin is where people reach this server: as the settings say, or as the request came.
func (s *server) origin(r *http.Request) string {
	if s.address != "" {
		return s.address
	}
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

// secure says whether people reach this server by https.
func (s *server) secure(r *http.Request) bool { return strings.HasPrefix(s.origin(r), "https://") }

// devices are words that browsers say of themselves, and what the page calls them.
var devices = []struct{ word, name string }{
	{"iPhone", "an iPhone"}, {"iPad", "an iPad"}, {"Android", "an Android phone or tablet"}, {"CrOS", "a Chromebook"},
	{"Windows", "a Windows computer"}, {"Macintosh", "a Mac"}, {"Linux", "a Linux computer"},
}

// device is a plain word for what a browser runs on. Nothing finer is kept.
func device(agent string) string {
	for _, d := range devices {
		if strings.Contains(agent, d.word) {
			return d.name
		}
	}
	return "a phone or computer"
}
