//go:build !js

package markdown

import lru "github.com/hashicorp/golang-lru/v2"

// remembered is how many texts' HTML to keep: a few hundred kilobytes.
const remembered = 512

var seen = func() *lru.Cache[string, string] {
	c, err := lru.New[string, string](remembered)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return c
}()

// Remembered is HTML, made once for a text that is asked for again and again.
func Remembered(source string) string {
	if html, ok := seen.Get(source); ok {
		return html
	}
	html := HTML(source)
	seen.Add(source, html)
	return html
}

// Learn remembers HTML that was made of texts elsewhere, by their text.
func Learn(made map[string]string) {
	for source, html := range made {
		seen.Add(source, html)
	}
}
