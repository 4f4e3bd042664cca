//go:build !js

package handlers

import (
	"net/http"
	"net/url"
	"strconv"

	"levelpeg/club"
	"levelpeg/handlers/secret"
	"levelpeg/web"
)

const membersPath = "/members"

func (s *server) members(w http.ResponseWriter, r *http.Request) error {
	return s.showMembers(w, r, http.StatusOK, web.MembersFill{Said: said(w, r)})
}

func (s *server) showMembers(w http.ResponseWriter, r *http.Request, code int, f web.MembersFill) error {
	v, err := s.book.Members(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, code, web.Members(web.NewMembersPage(s.assets, v, f, zone(v.Club))))
}

// invite makes links for the names of a form. They are shown in its answer and never
// again, since only their hashes are kept.
func (s *server) invite(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	drafts, links, err := s.invites(r, q)
	if err == nil {
		err = s.book.Invite(r.Context(), writer(r), drafts, s.now())
	}
	if err != nil {
		return s.refuseMembers(w, r, q, err)
	}
	return s.showLinks(w, r, links)
}

func (s *server) invites(r *http.Request, q url.Values) ([]club.InviteDraft, []web.NewLink, error) {
	role, err := club.ParseRole(q.Get("role"))
	if err != nil {
		return nil, nil, err
	}
	drafts, err := club.ParseInvites(q.Get("names"), role)
	if err != nil {
		return nil, nil, err
	}
	links := make([]web.NewLink, len(drafts))
	for i := range drafts {
		token, hash := secret.NewToken()
		drafts[i].Hash = hash
		links[i] = web.NewLink{Name: drafts[i].Name, What: "to join as " + drafts[i].Role.With(), Href: s.linkTo(r, token), For: club.InviteJoin.For()}
	}
	return drafts, links, nil
}

func (s *server) refuseMembers(w http.ResponseWriter, r *http.Request, q url.Values, err error) error {
	if !shown(err) {
		return err
	}
	return s.showMembers(w, r, s.refused(w, r, err), web.MembersFill{Problem: sentence(err), Names: q.Get("names"), Role: q.Get("role"), Junior: q.Get("name"), Consent: q.Get("consent")})
}

// showLinks shows links that were just made. The answer is kept nowhere.
func (s *server) showLinks(w http.ResponseWriter, r *http.Request, links []web.NewLink) error {
	c, m, err := s.book.Asker(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	page, err := web.NewLinksPage(s.assets, c, m, links)
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.Links(page))
}

func (s *server) makeJunior(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	token, hash := secret.NewToken()
	d := club.JuniorDraft{Hash: hash}
	if d.Name, err = club.CheckJuniorName(q.Get("name")); err == nil {
		d.Consent, err = club.CheckConsent(q.Get("consent"))
	}
	var m club.MemberLine
	if err == nil {
		m, err = s.book.MakeJunior(r.Context(), writer(r), d, s.now())
	}
	if err != nil {
		return s.refuseMembers(w, r, q, err)
	}
	return s.showLinks(w, r, []web.NewLink{{Name: m.Name, What: "to join as a junior", Href: s.linkTo(r, token), For: club.InviteJoin.For(), Card: s.card(r, m)}})
}

// card is the address that a junior signs in at, with their name filled in. It opens
// nothing without their own word.
func (s *server) card(r *http.Request, m club.MemberLine) string {
	return s.origin(r) + "/sign-in?" + url.Values{"name": {m.SignIn}}.Encode()
}

func (s *server) withdraw(w http.ResponseWriter, r *http.Request) error {
	if err := s.book.Withdraw(r.Context(), writer(r), param(r, "id"), s.now()); err != nil {
		return s.refuseMembers(w, r, url.Values{}, err)
	}
	say(w, r, membersPath, "The link is withdrawn.")
	return nil
}

// leavers is the yearly round: everyone, those longest away first, to tick who has left.
func (s *server) leavers(w http.ResponseWriter, r *http.Request) error {
	return s.showLeavers(w, r, http.StatusOK, nil, "")
}

func (s *server) showLeavers(w http.ResponseWriter, r *http.Request, code int, ticked []string, problem string) error {
	v, err := s.book.Members(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, code, web.Leavers(web.NewLeaversPage(s.assets, v, ticked, problem, zone(v.Club))))
}

func (s *server) markLeavers(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	ids, err := numbers(q["left"])
	n := 0
	if err == nil {
		n, err = s.book.Leave(r.Context(), writer(r), ids, s.now())
	}
	switch {
	case err == nil && n == 1:
		say(w, r, membersPath, "One member is marked as having left, and can sign in no more.")
		return nil
	case err == nil:
		say(w, r, membersPath, strconv.Itoa(n)+" members are marked as having left, and can sign in no more.")
		return nil
	case !shown(err):
		return err
	}
	return s.showLeavers(w, r, s.refused(w, r, err), q["left"], sentence(err))
}

// numbers are the members a form ticks.
func numbers(texts []string) ([]int64, error) {
	if len(texts) == 0 {
		return nil, club.Faultf(club.Invalid, "Tick who has left. Nobody was marked.")
	}
	out := make([]int64, len(texts))
	for i, t := range texts {
		id, err := strconv.ParseInt(t, 10, 64)
		if err != nil || id <= 0 {
			return nil, noSuchMember()
		}
		out[i] = id
	}
	return out, nil
}

func noSuchMember() error { return club.Faultf(club.NotFound, "There is no such member.") }
