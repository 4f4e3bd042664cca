// Package handlers answers HTTP. routes.go is the whole list of routes; one file
// is one action. Handlers ask for the small interfaces Reader and Book, so that they
// serve from PostgreSQL, and those that only read from what was saved of it in a phone.
package handlers

import (
	"log/slog"
	"net/http"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/web"
)

// Config is what a server is made of. Book or Saved, Rigs and Log must be there.
type Config struct {
	Book Book
	// Saved is what was saved of the book, in a phone that has no Book: then only what
	// Saved can answer is answered.
	Saved Saved
	// Assets are the addresses of static files where they are not our own.
	Assets web.Assets
	Rigs   club.Rigs
	Log    *slog.Logger
	// Remember is how many answers' rig cards to remember; 0 remembers none.
	Remember int
	Feeds    Feeds            // nil: nobody to ask, and what is due is fetched in its time
	Now      func() time.Time // nil is the clock
	// Address is where people reach the server, such as https://waters.example; empty:
	// wherever a request says it came to.
	Address string
	// Paper prints; nil: nothing is printed here.
	Paper Paper
	// Proxies are the networks of proxies whose word for where a request comes from is
	// taken, such as 127.0.0.1/32; none: the connection's other end.
	Proxies []string
	// Measures counts what is done; nil counts nothing.
	Measures Measures
	// LogAll writes a line for every request, not for those alone that went wrong or slowly.
	LogAll bool
	// Copy says that the book may be read from a copy that follows it, where a page that only
	// reads can do with one. See club.MayBeBehind.
	Copy bool
	// Stopping is closed when the server was told to stop: it is not ready any more, and
	// answers what comes all the same.
	Stopping <-chan struct{}
}

// Measures counts what a server does.
type Measures interface {
	// Begin says that a request is being answered.
	Begin()
	// End says how a request ended. An empty route is none of ours; a status of 0 is one
	// that was given up.
	End(route, method string, status int, took time.Duration)
	// Entry says what became of an entry, in one of package measure's words.
	Entry(outcome string)
}

type server struct {
	book   Book   // nil in the phone
	read   Reader // the book, or what was saved of it
	kept   Saved  // nil on the server
	rigs   club.Rigs
	log    *slog.Logger
	now    func() time.Time
	assets web.Assets
	cards  *web.CardMemory
	past   *club.Histories
	fits   *club.FitMemory
	covers *club.CoverMemory

	address string
	proxies []string

	workshop
}

// New gives the handler of every route.
func New(c Config) http.Handler {
	s := &server{book: c.Book, read: c.Book, kept: c.Saved, rigs: c.Rigs, log: slog.New(requestLog{c.Log.Handler()}), now: c.Now, past: club.NewHistories(), fits: club.NewFitMemory(c.Remember), covers: club.NewCoverMemory(), cards: web.NewCardMemory(c.Remember),
		assets: c.Assets, address: strings.TrimSuffix(c.Address, "/"), proxies: c.Proxies, workshop: newWorkshop(c)}
	if c.Saved != nil {
		s.read = c.Saved
	}
	if s.assets == (web.Assets{}) {
		s.assets = ownAssets()
	}
	if s.now == nil {
		s.now = time.Now
	}
	return s.routes()
}
