package handlers

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/go-chi/chi/v5"
)

// param is a part of the request's address. The router keeps the escapes of an
// address that has more of them than it needs; it is the same address.
func param(r *http.Request, name string) string {
	v := chi.URLParam(r, name)
	if r.URL.RawPath != "" {
		if plain, err := url.PathUnescape(v); err == nil {
			v = plain
		}
	}
	return text(v)
}

// text puts a mark for each thing that is no text. No name in the book has one,
// and PostgreSQL refuses to look for it.
func text(s string) string {
	return strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\x00", "\uFFFD")
}
