package handlers

import (
	"encoding/base64"
	"net/http"
	"strings"
	"time"
)

// saidCookie carries the sentence that says what was done over the redirect to the page
// that shows it. An address could carry it, too, but then anybody's link could put words
// in the page's mouth.
const saidCookie = "levelpeg_said"

// saidFor is long enough for the redirect.
const saidFor = time.Minute

// say redirects to a page of this server that says the sentence once.
func say(w http.ResponseWriter, r *http.Request, path, sentence string) {
	http.SetCookie(w, &http.Cookie{Name: saidCookie, Value: base64.RawURLEncoding.EncodeToString([]byte(sentence)), Path: path,
		MaxAge: int(saidFor.Seconds()), HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, path, http.StatusSeeOther)
}

// said is the sentence, which is forgotten with this answer; empty for none.
func said(w http.ResponseWriter, r *http.Request) string {
	c, err := r.Cookie(saidCookie)
	if err != nil {
		return ""
	}
	http.SetCookie(w, &http.Cookie{Name: saidCookie, Path: strings.TrimSuffix(r.URL.Path, "/"), MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	sentence, err := base64.RawURLEncoding.DecodeString(c.Value)
	if err != nil {
		return ""
	}
	return text(string(sentence))
}
