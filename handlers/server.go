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
	// Feeds is for a secretary alone.
	Feeds(ctx context.Context, gauge string, session []byte, now time.Time) (club.FeedsView, error)
	AddFeed(ctx context.Context, who club.Writer, gauge string, d club.FeedDraft, now time.Time) (int64, error)
	PauseFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	ResumeFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	RemoveFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	HurryFeed(ctx context.Context, who club.Writer, gauge string, id int64, now time.Time) error
	MakeLogger(ctx context.Context, who club.Writer, gauge, name string, hash []byte, now time.Time) error
	RevokeLogger(ctx context.Context, who club.Writer, gauge string, hash []byte, now time.Time) error
	// ImportLevels keeps what rows puts, or nothing where rows fails.
	ImportLevels(ctx context.Context, who club.Writer, gauge string, source club.Source, now time.Time,
		rows func(put func(at time.Time, levelM float64) error) error) (club.Merged, error)
	// LoggerLevels keeps what an instrument posts, by the hash of its token.
	LoggerLevels(ctx context.Context, token []byte, levels []club.Level, now time.Time) (club.Merged, error)
	DropRule(ctx context.Context, who club.Writer, venue string, id int64, now time.Time) (club.LevelRule, error)
}

// Config is what a server is made of. Book, Rigs and Log must be there.
type Config struct {
	Book Book
	Rigs club.Rigs
	Log  *slog.Logger
	// Remember is how many answers' rig cards to remember; 0 remembers none.
	Remember int
	Feeds    Feeds            // nil: nobody to ask, and what is due is fetched in its time
	Now      func() time.Time // nil is the clock
}

type server struct {
	book   Book
	rigs   club.Rigs
	log    *slog.Logger
	now    func() time.Time
	assets web.Assets
	cards  *web.CardMemory
	past   *club.Histories
	fits   *club.FitMemory
	covers *club.CoverMemory

	fetches Feeds
	uploads uploads
}

// New gives the handler of every route.
func New(c Config) http.Handler {
	s := &server{book: c.Book, rigs: c.Rigs, log: c.Log, now: c.Now, fetches: c.Feeds, past: club.NewHistories(), fits: club.NewFitMemory(c.Remember), covers: club.NewCoverMemory(), cards: web.NewCardMemory(c.Remember),
		assets: web.Assets{CSS: static.Path("app.css"), JS: static.Path("app.js")}}
	if s.now == nil {
		s.now = time.Now
	}
	return s.routes()
}
