//go:build !js

package handlers

import (
	"bytes"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"levelpeg/club"
)

// goOn tells the page's script where to go.
func goOn(w http.ResponseWriter, to string) error {
	return writeJSON(w, http.StatusOK, map[string]string{"to": to})
}

// beginPasskey begins making another passkey of one's own.
func (s *server) beginPasskey(w http.ResponseWriter, r *http.Request) error {
	v, err := s.book.Me(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	return s.offerPasskey(w, r, v.Mine.SignIn, nil, v.Passkeys)
}

func (s *server) finishPasskey(w http.ResponseWriter, r *http.Request) error {
	c, body, err := s.resume(w, r)
	if err != nil {
		return err
	}
	k, err := s.madePasskey(r, c, body)
	if err != nil {
		return err
	}
	if err := s.book.AddPasskey(r.Context(), writer(r), k, s.now()); err != nil {
		return err
	}
	return goOn(w, mePath)
}

// beginPasskeyJoin begins using a link with a passkey in place of a password.
func (s *server) beginPasskeyJoin(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	i, _, err := s.invitation(r)
	if err != nil {
		return err
	}
	j, err := joiningOf(i, q)
	if err != nil {
		return err
	}
	q.Del("password")
	return s.offerPasskey(w, r, j.SignIn, q, nil)
}

func (s *server) finishPasskeyJoin(w http.ResponseWriter, r *http.Request) error {
	c, body, err := s.resume(w, r)
	if err != nil {
		return err
	}
	i, hash, err := s.invitation(r)
	if err != nil {
		return err
	}
	j, err := joiningOf(i, c.Form)
	if err != nil {
		return err
	}
	k, err := s.madePasskey(r, c, body)
	if err != nil {
		return err
	}
	n, token := newSession(r, c.Form.Get("own") != "")
	j.Passkey, j.Session = &k, n
	if err := s.book.Join(r.Context(), hash, j, s.now()); err != nil {
		return err
	}
	if err := s.replaceSession(w, r, n, token); err != nil {
		return err
	}
	return goOn(w, afterJoin(i))
}

func (s *server) beginPasskeySignIn(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	party, err := s.party(r)
	if err != nil {
		return err
	}
	tries, err := s.book.BeginTry(r.Context(), "", address(r), s.now())
	if err != nil {
		return err
	}
	options, data, err := party.BeginDiscoverableLogin()
	if err != nil {
		return err
	}
	return s.begin(w, r, ceremony{Data: *data, Form: url.Values{"own": {q.Get("own")}, "to": {local(q.Get("to"))}}, Tries: tries}, options)
}

func (s *server) finishPasskeySignIn(w http.ResponseWriter, r *http.Request) error {
	c, body, err := s.resume(w, r)
	if err != nil {
		return err
	}
	k, member, err := s.usedPasskey(r, c, body)
	if err != nil {
		return err
	}
	if err := s.book.EndTry(r.Context(), c.Tries); err != nil {
		return err
	}
	n, token := newSession(r, c.Form.Get("own") != "")
	if err := s.book.SignIn(r.Context(), club.Account{ID: member}, n, s.now()); err != nil {
		return err
	}
	if err := s.book.PasskeyUsed(r.Context(), k, s.now()); err != nil {
		return err
	}
	if err := s.replaceSession(w, r, n, token); err != nil {
		return err
	}
	return goOn(w, local(c.Form.Get("to")))
}

// usedPasskey is the passkey that somebody has just shown, and whose it is.
func (s *server) usedPasskey(r *http.Request, c ceremony, body []byte) (k club.Passkey, member int64, err error) {
	party, err := s.party(r)
	if err != nil {
		return k, 0, err
	}
	answer, err := protocol.ParseCredentialRequestResponseBody(bytes.NewReader(body))
	if err != nil {
		return k, 0, badKey(err)
	}
	var kept storedKey
	var lost error
	find := func(id, _ []byte) (webauthn.User, error) {
		if k, member, lost = s.book.Passkey(r.Context(), id); lost != nil {
			return nil, lost
		}
		if lost = json.Unmarshal(k.Credential, &kept); lost != nil {
			return nil, lost
		}
		return holder{handle: kept.Handle, keys: []webauthn.Credential{kept.Credential}}, nil
	}
	_, used, err := party.ValidatePasskeyLogin(find, c.Data, answer)
	if lost != nil {
		return k, 0, lost
	}
	if err != nil {
		return k, 0, badKey(err)
	}
	if used.Authenticator.CloneWarning {
		return k, 0, badKey(errors.New("the passkey's count went back: it may have been copied"))
	}
	kept.Credential = *used
	k.Credential, err = json.Marshal(kept)
	return k, member, err
}
