// Command phone answers the pages of saved venues in a browser's service worker: the same
// handlers and pages as the server, over what was saved.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"sync/atomic"
	"time"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/club/saved"
	"levelpeg/handlers"
	"levelpeg/web"
	"levelpeg/web/markdown"
)

// settings are what the worker tells the program.
type settings struct {
	Address string     `json:"address"` // where the server is, such as https://waters.example
	Assets  web.Assets `json:"assets"`
}

// phone answers from the venues that were loaded last.
type phone struct {
	now    func() time.Time // nil is the clock
	loaded atomic.Pointer[loaded]
}

type loaded struct {
	handler http.Handler
	address string
	cookies string
}

// remembered is how many answers' rigs and pegs are remembered: one reader's.
const remembered = 128

// load takes saved venues' files in place of those before.
func (p *phone) load(said []byte, files [][]byte) error {
	var s settings
	if err := json.Unmarshal(said, &s); err != nil {
		return err
	}
	var all []club.SavedVenue
	l := &loaded{address: s.Address}
	for _, f := range files {
		v, err := exchange.ReadSaved(f)
		if err != nil {
			return err
		}
		markdown.Learn(v.Marked)
		all, l.cookies = append(all, v), cookiesOf(v)
	}
	l.handler = handlers.New(handlers.Config{Saved: saved.New(all...), Assets: s.Assets, Address: s.Address, Now: p.now,
		Rigs: club.NewRigMemory(remembered), Remember: remembered, Log: slog.New(toConsole{})})
	p.loaded.Store(l)
	return nil
}

// cookiesOf stand for those that a worker is not shown: that somebody is signed in, and
// the kit that the phone keeps.
func cookiesOf(v club.SavedVenue) string {
	var r http.Request
	r.Header = http.Header{}
	if v.Member.ID != 0 {
		r.AddCookie(&http.Cookie{Name: "levelpeg_session", Value: "phone"})
	}
	if v.PhoneKit != "" {
		r.AddCookie(&http.Cookie{Name: "levelpeg_kit", Value: v.PhoneKit})
	}
	return r.Header.Get("Cookie")
}

// answered is an answer, kept until it is whole.
type answered struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (a *answered) Header() http.Header { return a.header }

func (a *answered) WriteHeader(status int) {
	if a.status == 0 {
		a.status = status
	}
}

func (a *answered) Write(b []byte) (int, error) {
	a.WriteHeader(http.StatusOK)
	return a.body.Write(b)
}

// answer asks for an address, which names this server or nothing.
func (p *phone) answer(method, address string) *answered {
	a := &answered{header: http.Header{}}
	l := p.loaded.Load()
	u, err := url.Parse(address)
	if err != nil || l == nil {
		http.Error(a, "This phone cannot answer that.", http.StatusServiceUnavailable)
		return a
	}
	r := &http.Request{Method: method, URL: u, Host: u.Host, RequestURI: u.RequestURI(), Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{}, Body: io.NopCloser(bytes.NewReader(nil))}
	if l.cookies != "" {
		r.Header.Set("Cookie", l.cookies)
	}
	l.handler.ServeHTTP(a, r)
	a.WriteHeader(http.StatusOK)
	return a
}

// toConsole logs what failed to where a browser shows it.
type toConsole struct{}

func (toConsole) Enabled(_ context.Context, l slog.Level) bool { return l >= slog.LevelWarn }

func (toConsole) Handle(_ context.Context, r slog.Record) error {
	line := r.Message
	r.Attrs(func(a slog.Attr) bool {
		line += " " + a.Key + "=" + a.Value.String()
		return true
	})
	println(line)
	return nil
}

func (t toConsole) WithAttrs([]slog.Attr) slog.Handler { return t }
func (t toConsole) WithGroup(string) slog.Handler      { return t }
