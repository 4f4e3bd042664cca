//go:build !js

package handlers

import (
	"net/http"
	"net/netip"

	"github.com/go-chi/chi/v5/middleware"
)

// fromAddress finds out where a request comes from: the connection's other end, or where
// proxies stand before us, what those say.
func (s *server) fromAddress() func(http.Handler) http.Handler {
	if len(s.proxies) == 0 {
		return middleware.ClientIPFromRemoteAddr
	}
	return middleware.ClientIPFromXFF(s.proxies...)
}

// wholeNet is how much of an IPv6 address is one household's: the rest is theirs to vary.
const wholeNet = 64

// address is where a request comes from, as tries are counted by it.
func address(r *http.Request) string {
	a := middleware.GetClientIPAddr(r.Context())
	if a.Is6() {
		if p, err := a.WithZone("").Prefix(wholeNet); err == nil {
			return p.String()
		}
	}
	if !a.IsValid() {
		a, _ = netip.ParseAddr("0.0.0.0") // what proxies say makes no sense: all such are one
	}
	return a.String()
}
