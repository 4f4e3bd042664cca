//go:build !js

package handlers

import (
	"slices"

	"levelpeg/club"
	"levelpeg/static"
)

// table is the whole list of routes, with those of saved. HEAD goes where GET does.
func (s *server) table() []route {
	return slices.Concat(s.saved(), []route{
		// The machine's own questions, and files that say nothing of the club.
		{get, "/healthz", anyone, s.json, plainly(s.live)},
		{get, "/readyz", anyone, s.json, plainly(s.ready)},
		{get, "/static/*", anyone, s.page, plainly(static.Handler().ServeHTTP)},
		{get, "/guide/{code}.pdf", anyone, s.page, s.guidePaper},
		{get, "/sw.js", anyone, s.page, s.worker},
		{get, "/phone.js", anyone, s.page, s.phoneWorker},
		{get, "/app.webmanifest", anyone, s.page, s.manifest},
	}, s.waters(), s.recording(), s.people(), s.setup(), s.posts(), s.feedRoutes())
}

// waters are the routes of venues, gauges, pegs and rigs that a saved venue does not
// answer. The book shows a visitor only the venues that the club has opened.
func (s *server) waters() []route {
	return []route{
		{get, "/venues/{venue}/saved.json", anyone, s.json, s.savedVenue},
		{get, "/venues/{venue}.pdf", anyone, s.page, s.venuePaper},
		{get, "/venues/{venue}/labels.pdf", members, s.page, s.labels},
		{get, "/venues/{venue}/pegs/{peg}.pdf", anyone, s.page, s.pegPaper},
		{get, "/venues/{venue}/tonight.pdf", anyone, s.page, s.tonightPaper},
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
		{get, "/incidents", bailiffs, s.page, s.incidents},
		{post, "/incidents/{id}/close", bailiffs, s.page, s.closeIncident},
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
