package handlers

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"levelpeg/club"
	"levelpeg/web"
)

// action answers a request, or says why it cannot.
type action func(w http.ResponseWriter, r *http.Request) error

// page makes a handler of an action whose errors are shown as pages.
func (s *server) page(do action) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := do(w, r); err != nil {
			s.showFault(w, r, err)
		}
	}
}

// json makes a handler of an action whose errors are shown as JSON.
func (s *server) json(do action) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := do(w, r)
		if err == nil {
			return
		}
		err = known(err)
		s.note(r, err)
		setRetry(w, err)
		if err := writeJSON(w, status(err), map[string]string{"error": sentence(err)}); err != nil {
			s.note(r, err)
		}
	}
}

// buffers hold pages while they are rendered, so that one which fails half way is
// never sent by half.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// largestKept keeps one huge page from holding its memory for good.
const largestKept = 256 << 10

func render(ctx context.Context, w http.ResponseWriter, code int, c templ.Component) error {
	buf := buffers.Get().(*bytes.Buffer)
	buf.Reset()
	defer giveBack(buf)
	if err := c.Render(ctx, buf); err != nil {
		return err
	}
	write(w, code, buf)
	return nil
}

func giveBack(buf *bytes.Buffer) {
	if buf.Cap() <= largestKept {
		buffers.Put(buf)
	}
}

// keepPrivate keeps an answer to its reader, who asks anew each time; one that is to be
// kept nowhere stays so.
func keepPrivate(h http.Header) {
	if h.Get("Cache-Control") == "" {
		h.Set("Cache-Control", "private, no-cache")
	}
}

// write sends a page that is ready.
func write(w http.ResponseWriter, code int, page *bytes.Buffer) {
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	keepPrivate(h)
	h.Set("Content-Length", strconv.Itoa(page.Len()))
	w.WriteHeader(code)
	_, _ = w.Write(page.Bytes()) // it fails only for someone who has hung up
}

func writeJSON(w http.ResponseWriter, code int, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "application/json; charset=utf-8")
	keepPrivate(h)
	w.WriteHeader(code)
	_, _ = w.Write(append(body, '\n')) // it fails only for someone who has hung up
	return nil
}

// known makes a fault of a full disk, whatever of ours met it.
func known(err error) error {
	if club.KindOf(err) == club.Internal && (errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)) {
		return club.NoRoom().Because(err)
	}
	return err
}

// showFault shows what went wrong, in a page that is still of use.
func (s *server) showFault(w http.ResponseWriter, r *http.Request, err error) {
	err = known(err)
	s.note(r, err)
	p := web.PlainPage{Shell: web.NewShell(s.assets, club.Club{}, club.Member{}, heading(err)), Heading: heading(err), Say: sentence(err)}
	if club.KindOf(err) == club.Unavailable {
		retry(w, r, &p)
	}
	if club.KindOf(err) == club.NoSignal {
		p.Links = append(p.Links, web.SpanLink{Label: "Write down a level or a sounding", Href: "/record"}, web.SpanLink{Label: "What is saved on this phone", Href: "/saved"})
	}
	p.Shell = p.Shell.Unasked(session(r) != nil)
	if club.KindOf(err) == club.Forbidden {
		p.Links = append(p.Links, web.SpanLink{Label: "Sign in", Href: signInHref(r)})
	}
	var lost *club.LostPeg
	if errors.As(err, &lost) {
		p.Shell = p.Shell.At(club.Venue{Name: lost.VenueName, Slug: lost.VenueSlug})
		for _, label := range lost.Nearest {
			p.Links = append(p.Links, web.SpanLink{Label: "Peg " + label, Href: "/venues/" + lost.VenueSlug + "/pegs/" + label})
		}
	}
	setRetry(w, err)
	if err := render(r.Context(), w, status(err), web.Plain(p)); err != nil {
		s.note(r, err)
		http.Error(w, "Something went wrong on our side.", http.StatusInternalServerError)
	}
}

// signInHref leads to signing in, and back to where the request was going.
func signInHref(r *http.Request) string {
	if r.Method != http.MethodGet || r.URL.Path == "/" || strings.HasPrefix(r.URL.Path, joinPath) {
		return "/sign-in"
	}
	return "/sign-in?" + url.Values{"to": {r.URL.RequestURI()}}.Encode()
}

func status(err error) int {
	switch club.KindOf(err) {
	case club.NotFound:
		return http.StatusNotFound
	case club.Invalid:
		return http.StatusBadRequest
	case club.Unavailable, club.NoSignal:
		return http.StatusServiceUnavailable
	case club.Conflict:
		return http.StatusConflict
	case club.NotAllowed:
		return http.StatusMethodNotAllowed
	case club.Forbidden:
		return http.StatusForbidden
	case club.TooMany:
		return http.StatusTooManyRequests
	}
	return http.StatusInternalServerError
}

func heading(err error) string {
	switch club.KindOf(err) {
	case club.NotFound:
		return "Not in the book"
	case club.Invalid:
		return "That was not understood"
	case club.Unavailable:
		if club.IsNoRoom(err) {
			return "The book has no room"
		}
		return "The book is out of reach"
	case club.Conflict, club.NotAllowed:
		return "That cannot be done"
	case club.Forbidden:
		return "That is not yours to do"
	case club.TooMany:
		return "Wait a little"
	case club.NoSignal:
		return "This needs signal"
	}
	return "Something went wrong"
}

// sentence is what a person is told: the faults' own words, and of anything else
// nothing but whose fault it is.
func sentence(err error) string {
	if says := sentences(err, nil); len(says) > 0 {
		return strings.Join(says, " ")
	}
	return "Something went wrong on our side. It has been written down; try again, or go back to the waters."
}

// sentences are those of every fault that err joins, each once.
func sentences(err error, into []string) []string {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			into = sentences(e, into)
		}
		return into
	}
	var f *club.Fault
	if errors.As(err, &f) && f.Kind != club.Internal && !slices.Contains(into, f.Say) {
		into = append(into, f.Say)
	}
	return into
}

const retrySeconds = "5"

// setRetry says when to come back, where coming back can help.
func setRetry(w http.ResponseWriter, err error) {
	var f *club.Fault
	switch {
	case !errors.As(err, &f):
	case f.Kind == club.Unavailable:
		w.Header().Set("Retry-After", retrySeconds)
	case f.Kind == club.TooMany:
		w.Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(f.Wait.Seconds()))))
	}
}

// note logs what is ours to mend, and what put the book out of reach.
func (s *server) note(r *http.Request, err error) {
	if errors.Is(err, context.Canceled) {
		return
	}
	switch club.KindOf(err) {
	case club.Internal:
		s.log.ErrorContext(r.Context(), "request failed", "path", pathOf(r), "err", err)
	case club.Unavailable:
		s.log.WarnContext(r.Context(), "book out of reach", "path", pathOf(r), "err", err)
	}
}

func noSuchPage(http.ResponseWriter, *http.Request) error {
	return club.Faultf(club.NotFound, "There is no page at this address.")
}

func noSuchMethod(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Allow", strings.Join(allowed(r), ", "))
	return club.Faultf(club.NotAllowed, "This address does not take %s.", r.Method)
}

// allowed are the methods that the request's address takes.
func allowed(r *http.Request) []string {
	var out []string
	here := chi.RouteContext(r.Context())
	path := r.URL.RawPath
	if path == "" {
		path = r.URL.Path
	}
	for _, method := range []string{http.MethodGet, http.MethodHead, http.MethodPost} {
		asked := method
		if method == http.MethodHead {
			asked = http.MethodGet // which answers both
		}
		if here != nil && here.Routes.Match(chi.NewRouteContext(), asked, path) {
			out = append(out, method)
		}
	}
	return out
}
