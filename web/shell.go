// Package web makes the pages: a view model shaped like each page, and a templ
// component that renders it and fetches nothing.
package web

import (
	"bytes"
	"context"
	"sync"

	"github.com/a-h/templ"

	"levelpeg/club"
)

// Shell is what stands around every page.
type Shell struct {
	Title string
	Club  string
	Demo  bool
	// Me leads to signing in, or to the page of the member who is signed in.
	Me SpanLink
	// Welfare is the club's welfare contact, where a junior reads the page.
	Welfare string
	// Venue is where the box for a peg looks first, and the link beside it.
	VenueName, VenueSlug string
	Find                 string // what was last typed into the box
	CSS, JS              string // addresses of the stylesheet and the script
	Touch                string // address of the icon a phone installs the page by; empty: it is not installed
}

// Assets are the addresses of static files under their content's hash.
type Assets struct {
	CSS, JS, Passkey, Record, Outbox, Guide, Touch, Map, Leaflet, LeafletCSS string
	Save                                                                     string // empty: nothing can be saved
}

// NewShell is the shell of a page of the club.
func NewShell(a Assets, c club.Club, m club.Member, title string) Shell {
	s := Shell{Title: title, Club: c.Name, Demo: c.Demo, Welfare: m.Welfare, CSS: a.CSS, JS: a.JS}
	s.Me = SpanLink{Label: "Sign in", Href: "/sign-in"}
	if m.ID != 0 {
		s.Me = SpanLink{Label: m.FirstName(), Href: "/me"}
	}
	return s
}

// Unasked is the shell of a page that asks the book for nobody: with a session, whoever's
// it is, it leads to the member's own page.
func (s Shell) Unasked(session bool) Shell {
	if session {
		s.Me = SpanLink{Label: "My page", Href: "/me"}
	}
	return s
}

// At says which venue the page belongs to.
func (s Shell) At(v club.Venue) Shell {
	s.VenueName, s.VenueSlug = v.Name, v.Slug
	return s
}

// name is what the pages call the club.
func (s Shell) name() string {
	if s.Club == "" {
		return "Levelpeg"
	}
	return s.Club
}

// footers are those made so far: one a club.
var footers sync.Map // of *piece by footKey

type footKey struct {
	club string
	demo bool
}

// foot is the page's footer, compressed beforehand.
func (s Shell) foot() templ.Component {
	key := footKey{s.Club, s.Demo}
	if p, ok := footers.Load(key); ok {
		return p.(*piece)
	}
	var html bytes.Buffer
	if err := footer(s).Render(context.Background(), &html); err != nil {
		return footer(s)
	}
	p, err := newPiece(html.Bytes())
	if err != nil {
		return footer(s)
	}
	p.plain = html.Bytes()
	footers.Store(key, p)
	return p
}
