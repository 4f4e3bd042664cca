package handlers

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"log/slog"
	"net/http"
	"regexp"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
)

// requestHeader carries a request's number, in and out.
const requestHeader = "X-Request-Id"

// numbered are the numbers that are taken over from a proxy: hexadecimal, with or without
// dashes. Anything else might say something of somebody, and ends up in the log.
var numbered = regexp.MustCompile(`^[0-9a-fA-F-]{16,64}$`)

type requestKey struct{}

// requestLog writes the number of the request that a line is about into the line.
type requestLog struct{ slog.Handler }

func (h requestLog) Handle(ctx context.Context, r slog.Record) error {
	if number, ok := ctx.Value(requestKey{}).(string); ok {
		r.AddAttrs(slog.String("request", number))
	}
	return h.Handler.Handle(ctx, r)
}

func (h requestLog) WithAttrs(attrs []slog.Attr) slog.Handler {
	return requestLog{h.Handler.WithAttrs(attrs)}
}

func (h requestLog) WithGroup(name string) slog.Handler { return requestLog{h.Handler.WithGroup(name)} }

func requestNumber(r *http.Request) string {
	if sent := r.Header.Get(requestHeader); numbered.MatchString(sent) {
		return sent
	}
	var b [16]byte
	_, _ = rand.Read(b[:]) // it never fails
	return hex.EncodeToString(b[:])
}

// slow is how long a request may take before it is logged.
const slow = time.Second

// watched gives a request its number, counts it, and writes down one that was slow, and
// where the settings say so every one.
func (s *server) watched(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		number, start := requestNumber(r), time.Now()
		w.Header().Set(requestHeader, number)
		r = r.WithContext(context.WithValue(r.Context(), requestKey{}, number))
		kept := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		s.measures.Begin()
		defer func() {
			took := time.Since(start)
			s.measures.End(pattern(r), r.Method, kept.Status(), took)
			if took > slow {
				s.log.WarnContext(r.Context(), "slow request", "method", r.Method, "path", pathOf(r), "status", kept.Status(), "took", took)
			} else if s.logAll {
				s.log.InfoContext(r.Context(), "request", "method", r.Method, "path", pathOf(r), "status", kept.Status(), "took", took, "bytes", kept.BytesWritten())
			}
		}()
		next.ServeHTTP(kept, r)
	})
}

// pattern is the pattern of the route that a request took; empty for none.
func pattern(r *http.Request) string {
	if rc := chi.RouteContext(r.Context()); rc != nil {
		return rc.RoutePattern()
	}
	return ""
}

// places are the parts of an address that say where on the water it is of, and nothing
// of anybody.
var places = []string{"venue", "peg", "gauge"}

// pathOf is a request's path for the log: its route's pattern, with the place it is of.
// Members' numbers, links' tokens and what was typed at no address of ours stay out.
func pathOf(r *http.Request) string {
	path := pattern(r)
	if path == "" {
		return "none"
	}
	for _, name := range places {
		if at := chi.URLParam(r, name); placeName.MatchString(at) {
			path = strings.Replace(path, "{"+name+"}", at, 1)
		}
	}
	return path
}

// placeName is what venues and gauges are called in addresses, and pegs on their posts.
var placeName = regexp.MustCompile(`^[0-9A-Za-z][0-9A-Za-z-]{0,39}$`)
