//go:build !js

package handlers

import (
	"bytes"
	"net/http"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5/middleware"
	"github.com/klauspost/compress/gzhttp"
	"github.com/klauspost/compress/gzip"

	"levelpeg/web"
)

// outside is what stands between the routes and a network: what is asked for from anywhere.
func (s *server) outside() []func(http.Handler) http.Handler {
	return []func(http.Handler) http.Handler{s.fromAddress(), secured, compressed, middleware.GetHead}
}

// compressed squeezes answers worth it. The fast level costs a third of the usual
// one and our pages come out a tenth larger.
func compressed(next http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(1024), gzhttp.CompressionLevel(gzip.BestSpeed))
	if err != nil {
		panic(err) // the options above are constants
	}
	return wrap(next)
}

// secured sets the security headers of every answer, and refuses a changing
// request that another site's page sent.
func secured(next http.Handler) http.Handler {
	guarded := http.NewCrossOriginProtection().Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		setPolicies(w.Header())
		guarded.ServeHTTP(w, r)
	})
}

// renderSqueezed is render for a page with parts that were compressed beforehand.
func renderSqueezed(r *http.Request, w http.ResponseWriter, code int, c templ.Component) error {
	if !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		return render(r.Context(), w, code, c)
	}
	html, out := buffers.Get().(*bytes.Buffer), buffers.Get().(*bytes.Buffer)
	html.Reset()
	out.Reset()
	defer giveBack(html)
	defer giveBack(out)
	if err := web.Squeeze(r.Context(), c, html, out); err != nil {
		return err
	}
	w.Header().Set("Content-Encoding", "gzip")
	write(w, code, out)
	return nil
}
