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

// memberID reads the number in the address of a member.
func memberID(r *http.Request) (int64, error) {
	id, err := strconv.ParseInt(param(r, "id"), 10, 64)
	if err != nil || id <= 0 {
		return 0, noSuchMember()
	}
	return id, nil
}

func (s *server) member(w http.ResponseWriter, r *http.Request) error {
	id, err := memberID(r)
	if err != nil {
		return err
	}
	return s.showMember(w, r, id, http.StatusOK, web.MemberFill{Said: said(w, r)})
}

func (s *server) showMember(w http.ResponseWriter, r *http.Request, id int64, code int, f web.MemberFill) error {
	v, err := s.book.MemberNumber(r.Context(), id, session(r), s.now())
	if err != nil {
		return err
	}
	m := v.Members[0]
	if m.Role == club.Junior && m.Left.IsZero() {
		f.Card = s.card(r, m)
	}
	page, err := web.NewMemberPage(s.assets, v, f, zone(v.Club))
	if err != nil {
		return err
	}
	return render(r.Context(), w, code, web.MemberIn(page))
}

// about does what a form on a member's page asks, and leads to a page that says so.
func (s *server) about(w http.ResponseWriter, r *http.Request, do func(id int64, q url.Values) (to, done string, err error)) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	id, err := memberID(r)
	if err != nil {
		return err
	}
	to, done, err := do(id, q)
	if err == nil {
		say(w, r, to, done)
		return nil
	}
	if !shown(err) {
		return err
	}
	return s.showMember(w, r, id, s.refused(w, r, err), web.MemberFill{Problem: sentence(err), Name: q.Get("name"), Role: q.Get("role"), Filled: q.Has("name")})
}

func memberPath(id int64) string { return membersPath + "/" + strconv.FormatInt(id, 10) }

func (s *server) changeMember(w http.ResponseWriter, r *http.Request) error {
	return s.about(w, r, func(id int64, q url.Values) (string, string, error) {
		c := club.MemberChange{Role: club.Junior}
		var err error
		if q.Get("role") == string(club.Junior) {
			c.Name, err = club.CheckJuniorName(q.Get("name"))
		} else if c.Role, err = club.ParseRole(q.Get("role")); err == nil {
			c.Name, err = club.CheckName(q.Get("name"))
		}
		if err != nil {
			return "", "", err
		}
		m, err := s.book.ChangeMember(r.Context(), writer(r), id, c, s.now())
		return memberPath(id), m.Name + " is " + m.Role.With() + ".", err
	})
}

// memberLink makes a link by which a member chooses a new password, or joins.
func (s *server) memberLink(w http.ResponseWriter, r *http.Request) error {
	return s.giveLink(w, r, "to choose a new way to sign in, or to join", s.book.MemberLink)
}

func (s *server) memberBack(w http.ResponseWriter, r *http.Request) error {
	return s.giveLink(w, r, "to join again", s.book.ComeBack)
}

func (s *server) giveLink(w http.ResponseWriter, r *http.Request, what string, keep keepLink) error {
	id, err := memberID(r)
	if err != nil {
		return err
	}
	token, hash := secret.NewToken()
	m, err := keep(r.Context(), writer(r), id, hash, s.now())
	if err != nil && shown(err) {
		return s.showMember(w, r, id, s.refused(w, r, err), web.MemberFill{Problem: sentence(err)})
	}
	if err != nil {
		return err
	}
	link := web.NewLink{Name: m.Name, What: what, Href: s.linkTo(r, token), For: club.InviteReset.For()}
	if !m.Password && m.Passkeys == 0 {
		link.For = club.InviteJoin.For()
	}
	if m.Role == club.Junior {
		link.Card = s.card(r, m)
	}
	return s.showLinks(w, r, []web.NewLink{link})
}

func (s *server) leaveMember(w http.ResponseWriter, r *http.Request) error {
	return s.about(w, r, func(id int64, _ url.Values) (string, string, error) {
		_, err := s.book.Leave(r.Context(), writer(r), []int64{id}, s.now())
		return memberPath(id), "Marked as having left: they can sign in no more, and what they wrote stays.", err
	})
}

func (s *server) removeMember(w http.ResponseWriter, r *http.Request) error {
	return s.about(w, r, func(id int64, q url.Values) (string, string, error) {
		if q.Get("sure") == "" {
			return "", "", club.Faultf(club.Invalid, "Nobody was removed: tick that you mean it.")
		}
		m, err := s.book.RemoveMember(r.Context(), writer(r), id, s.now())
		return membersPath, m.Name + " is removed. What they read on the bank stays, unnamed.", err
	})
}
