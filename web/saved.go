package web

import (
	"context"
	"time"

	"levelpeg/club"
	"levelpeg/web/markdown"
)

// SavedLine says on a page that a phone answered by itself, from what was saved when.
type SavedLine struct {
	When  string // "at 14:05", "on Tue 24 November at 14:05"; empty where nothing was saved of what is asked
	Ago   string
	Level string // the level that was saved; empty for none
	// Brief leaves out what is of a water: on a page that is of none.
	Brief bool
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

// rest is the line after when it was saved.
func (l SavedLine) rest() string {
	level := ""
	if l.Level != "" {
		level = ", level " + l.Level
	}
	return "(" + l.Ago + ")" + level + ". It knows of no closure since then: read the notices on the bank."
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

// Saving is the part of a page that saves for when there is no signal, or lists what is
// saved. It works with its script alone.
type Saving struct {
	Script string // empty: this server has no program to save
	Venue  string // slug
	Record string // address of the page for the bank, kept as well; empty for a visitor
}

// SavedPage is the page of what is saved on a phone.
type SavedPage struct {
	Shell  Shell
	Saving Saving
}

// NewSavedPage shapes it.
func NewSavedPage(a Assets, session bool) SavedPage {
	return SavedPage{NewShell(a, club.Club{}, club.Member{}, "Saved on this phone").Unasked(session), Saving{Script: a.Save}}
}

func venueSaving(a Assets, v club.VenueView) Saving {
	s := Saving{Script: a.Save, Venue: v.Venue.Slug}
	if v.Member.ID != 0 {
		s.Record = "/record"
	}
	return s
}

// MarkedUp is the HTML of a saved venue's notes with markup in them, by their text.
func MarkedUp(v club.SavedVenue) map[string]string {
	out := map[string]string{}
	add := func(notes []club.Note) {
		for _, n := range notes {
			if !markdown.Plain(n.Text) {
				out[n.Text] = markdown.Remembered(n.Text)
			}
		}
	}
	add(v.Notes)
	for _, p := range v.Pegs {
		add(p.Notes)
	}
	return out
}
