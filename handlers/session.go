package handlers

import (
	"crypto/sha256"
	"net/http"
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
	sum := sha256.Sum256([]byte(c.Value))
	return sum[:]
}
