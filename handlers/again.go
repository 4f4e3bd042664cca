package handlers

import (
	"maps"
	"mime"
	"net/http"
	"slices"
	"strings"

	"levelpeg/web"
)

// longestAgain has room for the longest form that is typed, a note that is too long.
const longestAgain = 256 << 10

// retry offers to try once more what the book is out of reach for: the same address, or
// the same form, which then holds what was typed although its own page cannot be shown. A
// password is not sent back, and neither is a file.
func retry(w http.ResponseWriter, r *http.Request, p *web.PlainPage) {
	if r.Method != http.MethodPost {
		p.RetryIn = true
		return
	}
	if asksPassword(r.URL.Path) || !isPlainForm(r) {
		return
	}
	if r.PostForm == nil { // whoever sent it was not even known yet
		r.Body = http.MaxBytesReader(w, r.Body, longestAgain)
	}
	if r.ParseForm() != nil {
		return
	}
	p.Again = true
	form := cleaned(r.PostForm)
	for _, name := range slices.Sorted(maps.Keys(form)) {
		for _, value := range form[name] {
			p.Typed = append(p.Typed, web.TypedField{Name: name, Value: value})
		}
	}
}

func asksPassword(path string) bool {
	return path == "/sign-in" || path == "/me/password" || strings.HasPrefix(path, joinPath)
}

func isPlainForm(r *http.Request) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return err == nil && kind == "application/x-www-form-urlencoded"
}
