package e2e

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httputil"
	"net/url"
	"strings"
	"sync"
	"testing"
)

// fault is what the gate does with what a phone sends.
type fault string

const (
	noFault     fault = ""
	cutBefore   fault = "cut before the request"
	cutDuring   fault = "cut during the request"
	cutAfter    fault = "cut after the request, before the answer"
	halfAnswer  fault = "half an answer"
	portal      fault = "captive portal"
	portalJSON  fault = "captive portal that says JSON"
	saysNothing fault = "no answer at all"
	redirecting fault = "captive portal that redirects"
)

// gate stands before the program on an address that stays, so that the listener a phone
// knows can be stopped and started, and what it sends cut at a chosen moment.
type gate struct {
	*testing.T
	mu      sync.Mutex
	address string
	server  *http.Server
	behind  string
	fault   fault
	met     map[fault]int // entries' requests that met it
}

func newGate(t *testing.T, behind string) *gate {
	g := &gate{T: t, address: "127.0.0.1:0", behind: behind, met: map[fault]int{}}
	g.open()
	t.Cleanup(g.shut)
	return g
}

func (g *gate) url() string { return "http://" + g.address }

// open starts the listener, on the address it had.
func (g *gate) open() {
	g.Helper()
	l, err := net.Listen("tcp", g.address)
	if err != nil {
		g.Fatal(err)
	}
	g.address = l.Addr().String()
	g.server = &http.Server{Handler: http.HandlerFunc(g.serve)}
	go g.server.Serve(l)
}

// shut stops the listener and everything under way.
func (g *gate) shut() { _ = g.server.Close() }

func (g *gate) set(f fault, behind string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.fault, g.behind = f, behind
}

// meets is how many requests with entries have met a fault.
func (g *gate) meets(f fault) int {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.met[f]
}

func (g *gate) serve(w http.ResponseWriter, r *http.Request) {
	g.mu.Lock()
	f, behind := g.fault, g.behind
	sends := r.URL.Path == "/api/1/entries"
	if sends {
		g.met[f]++
	}
	g.mu.Unlock()
	switch {
	case f == portal:
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, "<!DOCTYPE html><title>Welcome</title><h1>Pay for the network</h1>")
	case f == portalJSON:
		w.Header().Set("Content-Type", "application/json")
		fmt.Fprint(w, `{"ok":true,"state":"in the book","entries":[{"state":"in the book"}]}`)
	case f == redirecting:
		http.Redirect(w, r, "/welcome", http.StatusFound)
	case f == saysNothing:
		<-r.Context().Done()
	case !sends || f == noFault:
		pass(behind, w, r)
	case f == cutBefore:
		hangUp(w)
	case f == cutDuring:
		half(behind, r)
		hangUp(w)
	case f == cutAfter:
		pass(behind, nowhere{http.Header{}}, r)
		hangUp(w)
	case f == halfAnswer:
		pass(behind, &halved{ResponseWriter: w}, r)
		hangUp(w)
	}
}

func pass(behind string, w http.ResponseWriter, r *http.Request) {
	to := &url.URL{Scheme: "http", Host: strings.TrimPrefix(behind, "http://")}
	p := &httputil.ReverseProxy{Rewrite: func(p *httputil.ProxyRequest) { p.SetURL(to); p.Out.Host = p.In.Host }, ErrorLog: quietLog}
	p.ServeHTTP(w, r)
}

// half sends the first half of a request and hangs up on the program.
func half(behind string, r *http.Request) {
	body, _ := io.ReadAll(r.Body)
	c, err := net.Dial("tcp", strings.TrimPrefix(behind, "http://"))
	if err != nil {
		return
	}
	defer c.Close()
	fmt.Fprintf(c, "POST %s HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nCookie: %s\r\nContent-Length: %d\r\n\r\n%s",
		r.URL.Path, r.Host, r.Header.Get("Cookie"), len(body), body[:len(body)/2])
}

func hangUp(w http.ResponseWriter) {
	if c, _, err := http.NewResponseController(w).Hijack(); err == nil {
		c.Close()
	}
}

// nowhere is where an answer goes that nobody gets.
type nowhere struct{ h http.Header }

func (n nowhere) Header() http.Header         { return n.h }
func (n nowhere) Write(b []byte) (int, error) { return len(b), nil }
func (n nowhere) WriteHeader(int)             {}

// halved lets through half of an answer.
type halved struct{ http.ResponseWriter }

func (h *halved) Unwrap() http.ResponseWriter { return h.ResponseWriter }

func (h *halved) Write(b []byte) (int, error) {
	_, err := h.ResponseWriter.Write(b[:len(b)/2])
	_ = http.NewResponseController(h.ResponseWriter).Flush()
	if err == nil {
		err = io.ErrShortWrite
	}
	return len(b) / 2, err
}
