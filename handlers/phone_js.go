package handlers

import (
	"net/http"

	"github.com/a-h/templ"

	"levelpeg/web"
)

// In the phone nothing is left out of an answer for want of room, no file is served, and
// the routes are those of saved alone. Nobody else asks of it, so nothing is counted, and
// no route is held to limits.

func ownAssets() web.Assets { return web.Assets{} }

// workshop has nothing in it: nothing is printed, fetched or taken in.
type workshop struct{}

func newWorkshop(Config) workshop { return workshop{} }

func (s *server) outside() []func(http.Handler) http.Handler {
	return []func(http.Handler) http.Handler{func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			setPolicies(w.Header())
			next.ServeHTTP(w, r)
		})
	}}
}

func (s *server) watched(next http.Handler) http.Handler { return next }

func limited(_ string, next http.HandlerFunc) http.HandlerFunc { return next }

func (s *server) behind(r route) action { return r.do }

func (s *server) table() []route { return s.saved() }

func renderSqueezed(r *http.Request, w http.ResponseWriter, code int, c templ.Component) error {
	return render(r.Context(), w, code, c)
}
