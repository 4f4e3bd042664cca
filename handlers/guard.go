package handlers

import (
	"fmt"
	"net/http"
	"runtime/debug"
)

// contentPolicy lets a page use nothing but this server's own files: no inline
// script or style, no frame, nothing from elsewhere.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
	"connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// noDevices lets no page ask for the phone's position, its camera or its microphone;
// nearDevices is of the page of recording, which asks for the nearest gauge when told to.
const (
	noDevices   = "geolocation=(), camera=(), microphone=()"
	nearDevices = "geolocation=(self), camera=(), microphone=()"
)

// setPolicies sets the security headers of every answer.
func setPolicies(h http.Header) {
	h.Set("Content-Security-Policy", contentPolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Permissions-Policy", noDevices)
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
}

// recovered turns a panic into a logged error page, and the server lives.
func (s *server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			v := recover()
			if v == nil {
				return
			}
			if v == http.ErrAbortHandler {
				panic(v) // net/http's own way to hang up
			}
			s.log.ErrorContext(r.Context(), "panic", "path", pathOf(r), "value", fmt.Sprint(v), "stack", string(debug.Stack()))
			s.showFault(w, r, fmt.Errorf("panic: %v", v))
		}()
		next.ServeHTTP(w, r)
	})
}

// joinPath is what the address of every link begins with; the rest is its token.
const joinPath = "/join/"
