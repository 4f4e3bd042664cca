package handlers

import (
	"net/http"
	"slices"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"levelpeg/club"
	"levelpeg/static"
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

// table is the whole list of routes. HEAD goes where GET does.
func (s *server) table() []route {
	return slices.Concat([]route{
		// The machine's own questions, and files that say nothing of the club.
		{get, "/healthz", anyone, s.json, plainly(s.live)},
		{get, "/readyz", anyone, s.json, plainly(s.ready)},
		{get, "/static/*", anyone, s.page, plainly(static.Handler().ServeHTTP)},
		{get, "/words", anyone, s.page, s.words},
		{get, "/sw.js", anyone, s.page, s.worker},
		{get, "/app.webmanifest", anyone, s.page, s.manifest},
	}, s.waters(), s.recording(), s.people(), s.setup(), s.posts())
}

// waters are the routes of venues, gauges, pegs and rigs. The book shows a visitor only
// the venues that the club has opened.
func (s *server) waters() []route {
	return []route{
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
		// What they carry themselves, kept with their name or on their phone.
		{get, "/kit", anyone, s.page, s.kit},
		{post, "/kit", anyone, s.page, s.keepKit},
		{get, "/kit/help", anyone, s.page, s.kitHelp},
		{get, "/kit.json", anyone, s.json, s.kitJSON},

		{post, "/venues/{venue}/closures", bailiffs, s.page, s.setClosure},
		{post, "/venues/{venue}/closures/{id}/lift", bailiffs, s.page, s.liftClosure},
		{post, "/venues/{venue}/rules", bailiffs, s.page, s.setRule},
		{post, "/venues/{venue}/rules/{id}/drop", bailiffs, s.page, s.dropRule},
	}
}

// recording are the routes of writing things down. What each kind of entry may be written
// by is the book's to see.
func (s *server) recording() []route {
	return []route{
		{get, "/record", members, s.page, s.record},
		{post, "/record", members, s.page, s.keepEntry},
		{post, "/api/1/entries", members, s.api, s.takeEntries},
		{post, "/api/1/entries/{id}/photograph", members, s.api, s.takeBoardPicture},
	}
}

// posts are the routes of notes and photographs. A visitor sees those that are not for
// members, or for some of them, alone; what is another's takes who may approve or hide,
// which the book sees to.
func (s *server) posts() []route {
	all := []route{
		{get, "/pictures/{hash}", anyone, s.page, s.picture},
		{get, "/waiting", approvers, s.page, s.waiting},
	}
	for _, at := range []string{"/venues/{venue}", "/venues/{venue}/pegs/{peg}"} {
		all = append(all,
			route{get, at + "/notes", anyone, s.page, s.notes},
			route{post, at + "/notes", members, s.page, s.writeNote},
			route{post, at + "/notes/{id}", members, s.page, s.editNote},
			route{post, at + "/photographs", members, s.page, s.addPhotograph})
		for _, act := range []club.Act{club.ActRemove, club.ActHide, club.ActShow, club.ActApprove, club.ActRefuse} {
			all = append(all, route{post, at + "/notes/{id}/" + string(act), mayDo(act), s.page, s.actOnNote(act)})
		}
		for _, act := range []club.Act{club.ActRemove, club.ActHide, club.ActShow, club.ActApprove, club.ActRefuse, club.ActOpen, club.ActShut} {
			all = append(all, route{post, at + "/photographs/{id}/" + string(act), mayDo(act), s.page, s.actOnPhotograph(act)})
		}
	}
	return all
}

// mayDo is who may do an act to a note or a photograph. Anyone removes their own.
func mayDo(a club.Act) who {
	switch a {
	case club.ActRemove:
		return members
	case club.ActApprove, club.ActRefuse:
		return approvers
	}
	return bailiffs
}

// people are the routes of signing in and of members. A link's token is the right to use
// it.
func (s *server) people() []route {
	return []route{
		{get, "/sign-in", anyone, s.page, s.signInPage},
		{post, "/sign-in", anyone, s.page, s.signIn},
		{post, "/sign-in/passkey/begin", anyone, s.json, s.beginPasskeySignIn},
		{post, "/sign-in/passkey/finish", anyone, s.json, s.finishPasskeySignIn},
		{post, "/sign-out", anyone, s.page, s.signOut},
		{get, "/join/{token}", anyone, s.page, s.joinPage},
		{post, "/join/{token}", anyone, s.page, s.join},
		{post, "/join/{token}/passkey/begin", anyone, s.json, s.beginPasskeyJoin},
		{post, "/join/{token}/passkey/finish", anyone, s.json, s.finishPasskeyJoin},

		{get, "/me", members, s.page, s.me},
		{get, "/me/data.json", members, s.json, s.myData},
		{post, "/me/password", members, s.page, s.changePassword},
		{post, "/me/phones/end", members, s.page, s.endSession},
		{post, "/me/passkeys/begin", members, s.json, s.beginPasskey},
		{post, "/me/passkeys/finish", members, s.json, s.finishPasskey},
		{post, "/me/passkeys/drop", members, s.page, s.dropPasskey},
		{post, "/me/remove", members, s.page, s.removeMyself},

		{get, "/members", teachers, s.page, s.members},
		{post, "/members/invite", office, s.page, s.invite},
		{post, "/members/juniors", teachers, s.page, s.makeJunior},
		{post, "/members/links/{id}/withdraw", teachers, s.page, s.withdraw},
		{get, "/members/leavers", office, s.page, s.leavers},
		{post, "/members/leavers", office, s.page, s.markLeavers},
		{get, "/members/{id}", teachers, s.page, s.member},
		{post, "/members/{id}", office, s.page, s.changeMember},
		{post, "/members/{id}/link", teachers, s.page, s.memberLink},
		{post, "/members/{id}/leave", office, s.page, s.leaveMember},
		{post, "/members/{id}/back", office, s.page, s.memberBack},
		{post, "/members/{id}/remove", office, s.page, s.removeMember},

		{get, "/log", office, s.page, s.showLog},
		{get, "/settings", office, s.page, s.settings},
		{post, "/settings", office, s.page, s.changeSettings},
	}
}

// routes serves the table.
func (s *server) routes() http.Handler {
	r := chi.NewRouter()
	r.Use(s.watched, s.recovered, s.fromAddress(), secured, compressed, middleware.GetHead)
	r.NotFound(s.page(noSuchPage))
	r.MethodNotAllowed(s.page(noSuchMethod))
	for _, route := range s.table() {
		r.Method(route.method, route.pattern, limited(route.pattern, route.as(s.only(route.who, route.do))))
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
			if _, m, err = s.book.Asker(r.Context(), hash, s.now()); err != nil {
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
