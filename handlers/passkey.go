//go:build !js

package handlers

import (
	"bytes"
	"crypto/rand"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"time"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"levelpeg/club"
	"levelpeg/handlers/secret"
)

const (
	// ceremonyCookie holds the token of a passkey's making or use between its two requests.
	ceremonyCookie = "levelpeg_ceremony"
	ceremonyFor    = 5 * time.Minute
	// longestAnswer is more than any authenticator answers, in bytes.
	longestAnswer = 64 << 10
	handleBytes   = 32
)

// noPasskeys says why the page cannot offer passkeys; empty where it can. Browsers have
// them only where nobody between can meddle, and only for a name, never for a number.
func (s *server) noPasskeys(r *http.Request) string {
	host := hostOf(s.origin(r))
	switch _, err := netip.ParseAddr(strings.Trim(host, "[]")); {
	case err == nil:
		return "Passkeys need an address with a name: this one is a number."
	case !s.secure(r) && host != "localhost" && !strings.HasSuffix(host, ".localhost"):
		return "Passkeys need https: this page came without it."
	}
	return ""
}

// hostOf is the host of an origin, without its port.
func hostOf(origin string) string {
	_, host, _ := strings.Cut(origin, "://")
	if h, _, err := net.SplitHostPort(host); err == nil {
		return h
	}
	return host
}

// party is this server as passkeys know it.
func (s *server) party(r *http.Request) (*webauthn.WebAuthn, error) {
	if why := s.noPasskeys(r); why != "" {
		return nil, club.Faultf(club.Invalid, "%s", why)
	}
	origin := s.origin(r)
	party, err := webauthn.New(&webauthn.Config{RPID: hostOf(origin), RPDisplayName: "Levelpeg", RPOrigins: []string{origin}})
	if err != nil {
		return nil, club.Faultf(club.Invalid, "Passkeys cannot be used at this address.").Because(err)
	}
	return party, nil
}

// holder is a member as passkeys know them: by a handle that says nothing of who they are.
type holder struct {
	handle []byte
	name   string
	keys   []webauthn.Credential
}

func (h holder) WebAuthnID() []byte                         { return h.handle }
func (h holder) WebAuthnName() string                       { return h.name }
func (h holder) WebAuthnDisplayName() string                { return h.name }
func (h holder) WebAuthnCredentials() []webauthn.Credential { return h.keys }

// storedKey is what is kept of a passkey.
type storedKey struct {
	Handle     []byte              `json:"handle"`
	Credential webauthn.Credential `json:"credential"`
}

// ceremony is what the second request of a passkey's making or use needs of the first.
type ceremony struct {
	For  string               `json:"for"` // the path it began at: what begins for one thing ends for no other
	Data webauthn.SessionData `json:"data"`
	Form url.Values           `json:"form,omitempty"`
	// Tries are those that a sign-in counts as until it succeeds.
	Tries []int64 `json:"tries,omitempty"`
}

// begin keeps a ceremony and answers with what the browser needs.
func (s *server) begin(w http.ResponseWriter, r *http.Request, c ceremony, options any) error {
	c.For = strings.TrimSuffix(r.URL.Path, "/begin")
	data, err := json.Marshal(c)
	if err != nil {
		return err
	}
	token, id := secret.NewToken()
	now := s.now()
	if err := s.book.KeepCeremony(r.Context(), id, data, now.Add(ceremonyFor), now); err != nil {
		return err
	}
	http.SetCookie(w, &http.Cookie{Name: ceremonyCookie, Value: token, Path: "/", MaxAge: int(ceremonyFor.Seconds()), HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: s.secure(r)})
	return writeJSON(w, http.StatusOK, options)
}

// resume takes the ceremony that the request ends, and its body.
func (s *server) resume(w http.ResponseWriter, r *http.Request) (c ceremony, body []byte, err error) {
	cookie, err := r.Cookie(ceremonyCookie)
	if err != nil {
		return c, nil, club.Faultf(club.Invalid, "That took too long. Begin again.")
	}
	http.SetCookie(w, &http.Cookie{Name: ceremonyCookie, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: s.secure(r)})
	data, err := s.book.TakeCeremony(r.Context(), secret.HashToken(cookie.Value), s.now())
	if err != nil {
		return c, nil, err
	}
	if err := json.Unmarshal(data, &c); err != nil {
		return c, nil, err
	}
	if c.For != strings.TrimSuffix(r.URL.Path, "/finish") {
		return c, nil, club.Faultf(club.Invalid, "That began somewhere else. Begin again.")
	}
	body, err = io.ReadAll(http.MaxBytesReader(w, r.Body, longestAnswer))
	if err != nil {
		return c, nil, badKey(err)
	}
	return c, body, nil
}

// badKey is said of whatever an authenticator answers that does not hold.
func badKey(err error) error {
	return club.Faultf(club.Invalid, "The passkey was not taken. Begin again, or use your password.").Because(err)
}

// offerPasskey begins the making of a passkey for somebody.
func (s *server) offerPasskey(w http.ResponseWriter, r *http.Request, name string, q url.Values, have []club.Passkey) error {
	party, err := s.party(r)
	if err != nil {
		return err
	}
	handle := make([]byte, handleBytes)
	_, _ = rand.Read(handle) // it never fails
	var known []protocol.CredentialDescriptor
	for _, k := range have {
		known = append(known, protocol.CredentialDescriptor{Type: protocol.PublicKeyCredentialType, CredentialID: k.ID})
	}
	options, data, err := party.BeginRegistration(holder{handle: handle, name: name}, webauthn.WithExclusions(known),
		webauthn.WithResidentKeyRequirement(protocol.ResidentKeyRequirementRequired), webauthn.WithConveyancePreference(protocol.PreferNoAttestation))
	if err != nil {
		return err
	}
	return s.begin(w, r, ceremony{Data: *data, Form: q}, options)
}

// madePasskey is the passkey that a ceremony ends with.
func (s *server) madePasskey(r *http.Request, c ceremony, body []byte) (club.Passkey, error) {
	party, err := s.party(r)
	if err != nil {
		return club.Passkey{}, err
	}
	answer, err := protocol.ParseCredentialCreationResponseBody(bytes.NewReader(body))
	if err != nil {
		return club.Passkey{}, badKey(err)
	}
	made, err := party.CreateCredential(holder{handle: c.Data.UserID}, c.Data, answer)
	if err != nil {
		return club.Passkey{}, badKey(err)
	}
	kept, err := json.Marshal(storedKey{c.Data.UserID, *made})
	return club.Passkey{ID: made.ID, Credential: kept, Name: device(r.UserAgent())}, err
}
