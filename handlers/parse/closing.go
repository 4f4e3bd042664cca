package parse

import (
	"net/url"
	"strings"
	"time"

	"levelpeg/club"
)

// Closure reads a form that closes pegs: "from_peg" and "to_peg", "from" and "to" by the
// clock of loc, and why, in the writer's "own" words or else one of the "reason"s offered.
func Closure(q url.Values, loc *time.Location) (club.ClosureDraft, error) {
	d := club.ClosureDraft{Reason: strings.TrimSpace(q.Get("own"))}
	if d.Reason == "" {
		d.Reason = q.Get("reason")
	}
	var err error
	if d.From, d.To, err = pegs(q); err != nil {
		return d, err
	}
	d.Starts, d.Ends, err = fromTo(q, loc)
	return d, err
}

// Rule reads a form that sets a level rule: pegs and times as Closure, "side" (above or
// below) of the "level" on the board, "effect", "text".
func Rule(q url.Values, loc *time.Location) (club.RuleDraft, error) {
	d := club.RuleDraft{Text: q.Get("text"), Effect: club.Effect(q.Get("effect"))}
	var err error
	if d.From, d.To, err = pegs(q); err != nil {
		return d, err
	}
	side, err := oneOf(q, "side", "a side of a level", []string{"above", "below"}, "above")
	if err != nil {
		return d, err
	}
	d.Below = side == "below"
	level, err := Level(url.Values{"level": {q.Get("level")}})
	if err != nil {
		return d, err
	}
	d.LevelM = *level
	d.Starts, d.Ends, err = fromTo(q, loc)
	return d, err
}

// notChosen is what the page's forms send for pegs that nobody chose yet.
const notChosen = "?"

// pegs reads which pegs are meant; a form without them means none.
func pegs(q url.Values) (from, to club.PegRef, err error) {
	if !q.Has("from_peg") || q.Get("from_peg") == notChosen || q.Get("to_peg") == notChosen {
		return from, to, club.Faultf(club.Invalid, "Choose the pegs: one, a span, or the whole water.")
	}
	return pegRef(q.Get("from_peg")), pegRef(q.Get("to_peg")), nil
}

// pegRef reads "14" or, as the page's own forms name a peg, "14.ABCD" with its code.
func pegRef(value string) club.PegRef {
	label, code, _ := strings.Cut(strings.TrimSpace(value), ".")
	return club.PegRef{Label: short(label), Code: short(code)}
}

func fromTo(q url.Values, loc *time.Location) (from, to time.Time, err error) {
	if from, err = optional(q.Get("from"), loc); err == nil {
		to, err = optional(q.Get("to"), loc)
	}
	return from, to, err
}

// optional is the zero time for nothing.
func optional(text string, loc *time.Location) (time.Time, error) {
	if text = strings.TrimSpace(text); text == "" {
		return time.Time{}, nil
	}
	w, err := When(text)
	return w.In(loc), err
}
