// Package handlers answers HTTP. routes.go is the whole list of routes; one file
// is one action. Handlers ask for the small interface Book, so that they serve
// from PostgreSQL or from anything else that holds a club's book.
package handlers

import (
	"context"
	"log/slog"
	"net/http"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/photo"
	"levelpeg/static"
	"levelpeg/web"
)

// Book is what the pages read and write. Errors that a person can do something about are
// faults of club; every other is ours.
type Book interface {
	Home(ctx context.Context, session []byte, now time.Time) (club.Home, error)
	Venue(ctx context.Context, slug string, session []byte, now time.Time) (club.VenueView, error)
	Peg(ctx context.Context, venue, label string, session []byte, now time.Time) (club.PegView, error)
	// PegAt is Peg with the gauge's readings about a moment, on its datum: those around
	// it, or the last few days' where it is to come. The moment is near enough by half a day.
	PegAt(ctx context.Context, venue, label string, session []byte, now, at time.Time) (club.PegView, []club.Reading, error)
	// VenuePegs is every peg of a venue as Peg gives it; at may be zero, for no readings.
	VenuePegs(ctx context.Context, venue string, session []byte, now, at time.Time) (club.VenuePegs, []club.Reading, error)
	// Hours gives a gauge's hourly means from one moment to another, on its datum.
	Hours(ctx context.Context, gauge string, from, to time.Time) ([]club.HourMean, error)
	Gauge(ctx context.Context, slug string, look club.LookBack, session []byte, now time.Time) (club.GaugeView, error)
	PegByCode(ctx context.Context, code string) (venue, label string, err error)
	FindPegs(ctx context.Context, label string, words []string) ([]club.Found, error)
	FindVenues(ctx context.Context, words []string) ([]club.Found, error)
	// Asker gives the club and who is asking; the zero member for a visitor.
	Asker(ctx context.Context, session []byte, now time.Time) (club.Club, club.Member, error)
	// SaveKit keeps the kit of the session's member; an empty code forgets it.
	SaveKit(ctx context.Context, session []byte, code string, now time.Time) error
	Ready(ctx context.Context) error

	// What follows writes. Each sees in its own transaction whether the writer may, and
	// fails with club.Forbidden where not.
	SetClosure(ctx context.Context, who club.Writer, venue string, d club.ClosureDraft, now time.Time) (club.Closure, error)
	LiftClosure(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (club.Closure, error)
	SetRule(ctx context.Context, who club.Writer, venue string, d club.RuleDraft, now time.Time) (club.LevelRule, error)
	DropRule(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (club.LevelRule, error)
	notesBook
}

// notesBook is the part of the book that members write notes and photographs in.
type notesBook interface {
	// Notes gives those of a place that the session's member may see.
	Notes(ctx context.Context, at club.Place, session []byte, now time.Time) (club.NotesView, error)
	Waiting(ctx context.Context, session []byte, now time.Time) (club.Waiting, error)
	// Image gives a photograph's bytes, unless have says that the asker has them.
	Image(ctx context.Context, hash [32]byte, session []byte, have bool, now time.Time) (club.Image, error)
	WriteNote(ctx context.Context, who club.Writer, at club.Place, d club.NoteDraft, now time.Time) (club.Note, error)
	EditNote(ctx context.Context, who club.Writer, at club.Place, id int64, d club.NoteDraft, now time.Time) (club.Note, error)
	ActOnNote(ctx context.Context, who club.Writer, at club.Place, id int64, act club.Act, why string, now time.Time) error
	AddPicture(ctx context.Context, who club.Writer, at club.Place, d club.PictureDraft, now time.Time) (club.Picture, error)
	ActOnPicture(ctx context.Context, who club.Writer, at club.Place, id int64, act club.Act, why string, now time.Time) error
}

// Config is what a server is made of. Book, Rigs and Log must be there.
type Config struct {
	Book Book
	Rigs club.Rigs
	Log  *slog.Logger
	// Remember is how many answers' rig cards to remember; 0 remembers none.
	Remember int
	Now      func() time.Time // nil is the clock
}

type server struct {
	book     Book
	rigs     club.Rigs
	log      *slog.Logger
	now      func() time.Time
	assets   web.Assets
	cards    *web.CardMemory
	past     *club.Histories
	fits     *club.FitMemory
	covers   *club.CoverMemory
	darkroom *photo.Darkroom
}

// New gives the handler of every route.
func New(c Config) http.Handler {
	s := &server{book: c.Book, rigs: c.Rigs, log: c.Log, now: c.Now, past: club.NewHistories(), fits: club.NewFitMemory(c.Remember), covers: club.NewCoverMemory(), cards: web.NewCardMemory(c.Remember), darkroom: photo.NewDarkroom(),
		assets: web.Assets{CSS: static.Path("app.css"), JS: static.Path("app.js")}}
	if s.now == nil {
		s.now = time.Now
	}
	return s.routes()
}
