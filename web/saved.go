package web

import (
	"context"
	"time"

	"levelpeg/club"
)

// SavedLine says on a page that a phone answered by itself, from what was saved when.
type SavedLine struct {
	When  string // "at 14:05", "on Tue 24 November at 14:05"; empty where nothing was saved of what is asked
	Ago   string
	Level string // the level that was saved; empty for none
}

// NewSavedLine says what was saved of what a page is made of.
func NewSavedLine(n club.SavedNote, now time.Time) SavedLine {
	if n.At.IsZero() {
		return SavedLine{}
	}
	at, today := n.At.In(n.Loc), now.In(n.Loc)
	l := SavedLine{When: "at " + at.Format("15:04"), Ago: ago(max(0, now.Sub(n.At)))}
	if at.Format(time.DateOnly) != today.Format(time.DateOnly) {
		l.When = "on " + at.Format("Mon 2 January") + " at " + at.Format("15:04")
	}
	if n.Level != nil {
		l.Level = metres(n.Level.LevelM)
	}
	return l
}

type savedKey struct{}

// WithSaved puts the line on the pages that are rendered with a context.
func WithSaved(ctx context.Context, l SavedLine) context.Context {
	return context.WithValue(ctx, savedKey{}, l)
}

func savedLine(ctx context.Context) (SavedLine, bool) {
	l, ok := ctx.Value(savedKey{}).(SavedLine)
	return l, ok
}
