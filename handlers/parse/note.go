package parse

import (
	"net/url"
	"strings"

	"levelpeg/club"
)

// Note reads a form that writes a note: "text", the levels it holds for, "from_level" and
// "to_level" on the board, each of which may be empty, and who "sees" it.
func Note(q url.Values) (club.NoteDraft, error) {
	d := club.NoteDraft{Text: q.Get("text")}
	sees, err := oneOf(q, "sees", "somebody to see a note", []string{"club", "me"}, "club")
	if err != nil {
		return d, err
	}
	d.Private = sees == "me"
	if d.LowM, err = levelOrNone(q.Get("from_level")); err != nil {
		return d, err
	}
	d.HighM, err = levelOrNone(q.Get("to_level"))
	return d, err
}

// levelOrNone is nil for nothing.
func levelOrNone(text string) (*float64, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	return Level(url.Values{"level": {text}})
}
