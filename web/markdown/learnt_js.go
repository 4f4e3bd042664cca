package markdown

import (
	"html"
	"maps"
	"sync"
)

// In the phone no Markdown is read, which would be a tenth of its program: what it has
// comes with its HTML.

var learnt struct {
	sync.Mutex
	html map[string]string
}

// Remembered is the HTML that was learnt for a text; of one that was not, its words.
func Remembered(source string) string {
	learnt.Lock()
	defer learnt.Unlock()
	if made, ok := learnt.html[source]; ok {
		return made
	}
	return "<p>" + html.EscapeString(source) + "</p>"
}

// Learn remembers HTML that was made of texts elsewhere, by their text.
func Learn(made map[string]string) {
	learnt.Lock()
	defer learnt.Unlock()
	if learnt.html == nil {
		learnt.html = map[string]string{}
	}
	maps.Copy(learnt.html, made)
}
