//go:build !js

package handlers

import (
	"slices"

	"levelpeg/static"
)

// table is the whole list of routes, with those of saved. HEAD goes where GET does.
func (s *server) table() []route {
	return slices.Concat(s.saved(), []route{
		// The machine's own questions, and files that say nothing of the club.
		{get, "/healthz", anyone, s.json, plainly(s.live)},
		{get, "/readyz", anyone, s.json, plainly(s.ready)},
		{get, "/static/*", anyone, s.page, plainly(static.Handler().ServeHTTP)},
		{get, "/sw.js", anyone, s.page, s.worker},
		{get, "/phone.js", anyone, s.page, s.phoneWorker},
		{get, "/app.webmanifest", anyone, s.page, s.manifest},
	}, s.waters(), s.recording(), s.people())
}

// waters are the routes of venues, gauges, pegs and rigs that a saved venue does not
// answer.
func (s *server) waters() []route {
	return []route{
		{get, "/venues/{venue}/saved.json", anyone, s.json, s.savedVenue},
		// What they carry themselves, kept with their name or on their phone.
		{post, "/kit", anyone, s.page, s.keepKit},

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
	}
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
