package handlers

import (
	"net/http"
	"slices"

	"github.com/go-chi/chi/v5"

	"levelpeg/club"
)

// who may use a route. The zero value is nobody, so that a route which says nothing is
// refused.
type who struct {
	visitors bool // everyone, signed in or not
	roles    []club.Role
}

// Who there is. What depends on the data, such as whose session it is that somebody ends
// or whether a water is open to visitors, is the handlers' and the book's to see.
var (
	anyone    = who{visitors: true}
	members   = who{roles: club.Roles()}
	bailiffs  = who{roles: []club.Role{club.Secretary, club.Bailiff}}
	teachers  = who{roles: []club.Role{club.Secretary, club.Coach}}
	approvers = who{roles: []club.Role{club.Secretary, club.Bailiff, club.Coach}}
	office    = who{roles: []club.Role{club.Secretary}}
)

func (w who) may(r club.Role) bool { return w.visitors || slices.Contains(w.roles, r) }

// route is an address, who may use it, and what it does.
type route struct {
	method, pattern string
	who             who
	as              func(action) http.HandlerFunc // how its errors are shown
	do              action
}

const (
	get  = http.MethodGet
	post = http.MethodPost
)

// saved are the routes that a saved venue answers in the phone, too: they only read, and
// only what Reader gives. A route goes here and not into routes.go where it does.
func (s *server) saved() []route {
	return []route{
		{get, "/words", anyone, s.page, s.words},
		{get, "/knots", anyone, s.page, s.knots},
		// A guide's code is the rig itself, and names no water and nobody.
		{get, "/guide/{code}", anyone, s.page, s.guide},
		{get, "/guide/{code}/{step}", anyone, s.page, s.guideStep},
		{get, "/saved", anyone, s.page, s.savedList},
		{get, "/", anyone, s.page, s.home},
		{get, "/venues", anyone, s.page, s.home},
		{get, "/venues.json", anyone, s.json, s.homeJSON},
		{get, "/venues/{venue}", anyone, s.page, s.venue},
		{get, "/venues/{venue}.json", anyone, s.json, s.venueJSON},
		{get, "/venues/{venue}/closures", anyone, s.page, s.closures},
		{get, "/venues/{venue}/pegs/{peg}", anyone, s.page, s.peg},
		{get, "/venues/{venue}/pegs/{peg}.json", anyone, s.json, s.pegJSON},
		{get, "/venues/{venue}/tonight", anyone, s.page, s.tonight},
		{get, "/venues/{venue}/tonight.json", anyone, s.json, s.tonightJSON},
		{get, "/venues/{venue}/tonight.txt", anyone, s.page, s.tonightText},
		{get, "/gauges/{gauge}", anyone, s.page, s.gauge},
		{get, "/gauges/{gauge}.json", anyone, s.json, s.gaugeJSON},
		{get, "/rig", anyone, s.page, s.rig},
		{get, "/rig.json", anyone, s.json, s.rigJSON},
		{get, "/p/{code}", anyone, s.page, s.code},
		{get, "/find", anyone, s.page, s.find},
		{get, "/kit", anyone, s.page, s.kit},
		{get, "/kit/help", anyone, s.page, s.kitHelp},
		{get, "/kit.json", anyone, s.json, s.kitJSON},
	}
}

// unsaved are the routes whose addresses would be taken for others of saved where the
// server alone answers them.
func (s *server) unsaved() []route {
	return []route{
		{get, "/venues/{venue}.pdf", anyone, s.page, s.needsSignal},
		{get, "/venues/{venue}/pegs/{peg}.pdf", anyone, s.page, s.needsSignal},
		{get, "/guide/{code}.pdf", anyone, s.page, s.needsSignal},
	}
}

// routes serves the table.
func (s *server) routes() http.Handler {
	r := chi.NewRouter()
	r.Use(s.watched, s.recovered)
	r.Use(s.outside()...)
	r.Use(s.told)
	table := slices.Concat(s.saved(), s.unsaved())
	if s.kept == nil {
		table = s.table()
		r.NotFound(s.page(noSuchPage))
		r.MethodNotAllowed(s.page(noSuchMethod))
	} else {
		r.NotFound(s.page(s.needsSignal))
		r.MethodNotAllowed(s.page(s.needsSignal))
	}
	for _, route := range table {
		r.Method(route.method, route.pattern, limited(route.pattern, route.as(s.only(route.who, s.behind(route)))))
	}
	return r
}

// only lets those do an action who may, and sends everyone else away. For a route that
// anyone may use it asks nothing of the book.
func (s *server) only(w who, do action) action {
	if w.visitors {
		return do
	}
	return func(out http.ResponseWriter, r *http.Request) error {
		var m club.Member
		if hash := session(r); hash != nil {
			var err error
			if _, m, err = s.read.Asker(r.Context(), hash, s.now()); err != nil {
				return err
			}
		}
		if m.ID != 0 && w.may(m.Role) {
			// The next one at this phone does not read it by going back.
			out.Header().Set("Cache-Control", "no-store")
			return do(out, r)
		}
		if len(w.roles) == len(club.Roles()) {
			return club.ErrSignInFirst()
		}
		return club.ErrOnly(w.roles...)
	}
}

// plainly makes an action of a handler that sees to its own errors.
func plainly(do http.HandlerFunc) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		do(w, r)
		return nil
	}
}
