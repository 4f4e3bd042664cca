// Command phone is the pages of a saved venue, in a browser's service worker.
package main

import (
	"log/slog"
	"net/http"
	"bytes"
	"os"

	"levelpeg/club"
	"levelpeg/handlers"
)

type rec struct{ h http.Header; bytes.Buffer; code int}
func (r *rec) Header() http.Header {return r.h}
func (r *rec) WriteHeader(c int) {r.code=c}
type store struct{ handlers.Saved }

func main() {
	h := handlers.New(handlers.Config{Saved: store{}, Rigs: club.NewRigMemory(64), Remember: 64, Log: slog.New(slog.DiscardHandler)})
	r, _ := http.NewRequest("GET", os.Args[1], nil)
	h.ServeHTTP(&rec{h: http.Header{}}, r)
}
