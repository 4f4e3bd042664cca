package handlers

import (
	"context"
	"log/slog"
	"net/http"
	"regexp"
	"strings"

	"github.com/go-chi/chi/v5"
)

// requestKey is under what a request's context has its number.
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
