package handlers_test

import (
	"context"
	"errors"
	"io/fs"
	"strings"
	"syscall"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/handlers"
)

// badBook fails every read in one way.
type badBook struct {
	handlers.Book
	fail func() error
}

func (b badBook) Home(context.Context, []byte, time.Time) (club.Home, error) {
	return club.Home{}, b.fail()
}
func (b badBook) Venue(context.Context, string, []byte, time.Time) (club.VenueView, error) {
	return club.VenueView{}, b.fail()
}
func (b badBook) Peg(context.Context, string, string, []byte, time.Time) (club.PegView, error) {
	return club.PegView{}, b.fail()
}
func (b badBook) Gauge(context.Context, string, club.LookBack, []byte, time.Time) (club.GaugeView, error) {
	return club.GaugeView{}, b.fail()
}
func (b badBook) PegByCode(context.Context, string, []byte, time.Time) (string, string, error) {
	return "", "", b.fail()
}
func (b badBook) FindPegs(context.Context, string, []string, []byte, time.Time) ([]club.Found, error) {
	return nil, b.fail()
}
func (b badBook) FindVenues(context.Context, []string, []byte, time.Time) ([]club.Found, error) {
	return nil, b.fail()
}
func (b badBook) Asker(context.Context, []byte, time.Time) (club.Club, club.Member, error) {
	return club.Club{}, club.Member{}, b.fail()
}
func (b badBook) VenuePegs(context.Context, string, []byte, time.Time, time.Time) (club.VenuePegs, []club.Reading, error) {
	return club.VenuePegs{}, nil, b.fail()
}
func (b badBook) Notes(context.Context, club.Place, []byte, time.Time) (club.NotesView, error) {
	return club.NotesView{}, b.fail()
}
func (b badBook) Image(context.Context, [32]byte, []byte, bool, time.Time) (club.Image, error) {
	return club.Image{}, b.fail()
}
func (b badBook) Ready(context.Context) error { return b.fail() }

var (
	pages = []string{"/", "/venues/a", "/venues/a/pegs/1", "/venues/a/tonight", "/venues/a/closures", "/gauges/a", "/p/ABCD", "/find?q=1", "/find?q=a", "/rig", "/kit",
		"/venues/a/notes", "/venues/a/pegs/1/notes", "/pictures/" + strings.Repeat("0a", 32)}
	twins = []string{"/venues.json", "/venues/a.json", "/venues/a/pegs/1.json", "/venues/a/tonight.json", "/gauges/a.json", "/rig.json", "/kit.json"}
)

func TestPanic(t *testing.T) {
	t.Parallel()
	s := serve(t, badBook{fail: func() error { panic("secret words") }})
	for _, path := range append(pages, twins...) {
		for _, encoding := range []string{"", "gzip"} {
			a := s.get(path, "Accept-Encoding", encoding)
			if a.status != 500 || strings.Contains(a.body, "secret") || encoding == "" && !strings.Contains(a.body, "Something went wrong") {
				t.Errorf("%s (%s): %d %.200s", path, encoding, a.status, a.body)
			}
		}
	}
	if log := s.log.String(); !strings.Contains(log, "secret words") || !strings.Contains(log, "faults_test.go") {
		t.Errorf("the log does not say what and where: %.300s", log)
	}
	s.want("/healthz", 200, "true")
}

func TestOurFault(t *testing.T) {
	t.Parallel()
	s := serve(t, badBook{fail: func() error { return errors.New("column secret does not exist") }})
	for _, path := range pages {
		s.want(path, 500, "Something went wrong on our side", `href="/"`)
	}
	for _, path := range twins {
		if a := s.want(path, 500, `{"error":"Something went wrong`); a.header.Get("Content-Type") != isJSON {
			t.Errorf("%s: %q", path, a.header.Get("Content-Type"))
		}
	}
	if strings.Count(s.log.String(), "column secret") != len(pages)+len(twins) {
		t.Errorf("logged: %.500s", s.log)
	}
}

func TestBookOutOfReach(t *testing.T) {
	t.Parallel()
	s := serve(t, badBook{fail: func() error {
		return club.Faultf(club.Unavailable, "The book is out of reach.").Because(errors.New("dial secret"))
	}})
	for _, path := range append(pages, twins...) {
		a := s.get(path)
		if a.status != 503 || a.header.Get("Retry-After") == "" || strings.Contains(a.body, "secret") || !strings.Contains(a.body, "out of reach") {
			t.Errorf("%s: %d, retry after %q, %.200s", path, a.status, a.header.Get("Retry-After"), a.body)
		}
		if !strings.HasSuffix(path, ".json") && (!strings.Contains(a.body, "<h1>The book is out of reach</h1>") || !strings.Contains(a.body, "Try again") || !strings.Contains(a.body, `href="/"`)) {
			t.Errorf("%s shows no way back", path)
		}
	}
	// Alive and not ready are two things.
	s.want("/healthz", 200, "true")
	if a := s.want("/readyz", 503, `"ready":false`, "out of reach"); strings.Contains(a.body, "secret") {
		t.Errorf("readyz says %s", a.body)
	}
}

// A disk that is full is said, whoever of ours met it.
func TestNoRoom(t *testing.T) {
	t.Parallel()
	s := serve(t, badBook{fail: func() error {
		return &fs.PathError{Op: "write", Path: "/secret", Err: syscall.ENOSPC}
	}})
	for _, path := range append(pages, twins...) {
		a := s.get(path)
		if a.status != 503 || a.header.Get("Retry-After") == "" || strings.Contains(a.body, "/secret") || !strings.Contains(a.body, "There is no room on the server") || !strings.Contains(a.body, "Tell the club") {
			t.Errorf("%s: %d, retry after %q, %.200s", path, a.status, a.header.Get("Retry-After"), a.body)
		}
		if !strings.HasSuffix(path, ".json") && (!strings.Contains(a.body, "<h1>The book has no room</h1>") || strings.Contains(a.body, "out of reach")) {
			t.Errorf("%s is not headed so", path)
		}
	}
}

// scripted has markup in every name and text.
type scripted struct{ badBook }

const script = `<script>alert("x")</script>`

func (scripted) Peg(context.Context, string, string, []byte, time.Time) (club.PegView, error) {
	level := 1.5
	note := club.Note{Posted: club.Posted{Author: script, AuthorID: 1, Hidden: true, Why: script}, Text: script + "\n" + script, LowM: &level}
	return club.PegView{
		Club: club.Club{Name: script, TimeZone: "UTC"}, Member: club.Member{ID: 1, Name: script},
		Venue:    club.Venue{Slug: "a", Name: script, River: script, Access: script, About: script},
		Standing: club.Standing{Gauge: club.Gauge{Slug: "g", Name: script, LowM: 0, HighM: 1}, Latest: &club.Level{LevelM: 1}},
		Peg:      club.Peg{Label: "1", Access: script, Bank: club.LeftBank}, Upstream: "2", Down: "3",
		Runs:     []club.RunBook{{Run: club.Run{Name: script, DistanceM: 3, Bottom: script}}},
		Hazards:  []club.Hazard{{Kind: club.OtherRisk, Text: script}},
		Rules:    []club.LevelRule{{AboveM: new(float64), Effect: club.NoFishing, Text: script}},
		Closures: []club.Closure{{Reason: script}}, Notes: []club.Note{note, note},
	}, nil
}

func (scripted) Notes(context.Context, club.Place, []byte, time.Time) (club.NotesView, error) {
	by := club.Posted{ID: 1, Author: script, AuthorID: 1, Hidden: true, Why: script}
	return club.NotesView{Club: club.Club{Name: script, TimeZone: "UTC"}, Member: club.Member{ID: 1, Name: script, Role: club.Secretary},
		Venue: club.Venue{Name: script, Slug: "a"}, Peg: &club.Peg{Label: "1"},
		Notes:    []club.Note{{Posted: by, Text: script}, {Posted: club.Posted{ID: 2, AuthorID: 1}, Text: "[x](javascript:alert(1))\n\n" + script}},
		Pictures: []club.Picture{{Posted: by, Caption: script, Hash: "x", Small: "y"}}}, nil
}

func (scripted) Home(context.Context, []byte, time.Time) (club.Home, error) {
	return club.Home{Club: club.Club{Name: script, TimeZone: "UTC"}, Venues: []club.VenueCard{{
		Venue: club.Venue{Name: script, Slug: "a", River: script, About: script}, Pegs: []club.PegTag{{Label: script}},
		Closures: []club.Closure{{Reason: script}}, Next: &club.Fixture{Name: script}}}}, nil
}

func (scripted) Venue(context.Context, string, []byte, time.Time) (club.VenueView, error) {
	return club.VenueView{Club: club.Club{Name: script, TimeZone: "UTC"}, Venue: club.Venue{Name: script, Slug: "a", River: script, About: script, Access: script},
		Fixtures: []club.Fixture{{Name: script}},
		Pegs:     []club.PegLine{{Peg: club.Peg{Label: script}}}, Hazards: []club.Hazard{{Text: script}}, Closures: []club.Closure{{Reason: script}},
		Rules: []club.LevelRule{{AboveM: new(float64), Text: script}}}, nil
}

func (scripted) Gauge(context.Context, string, club.LookBack, []byte, time.Time) (club.GaugeView, error) {
	return club.GaugeView{Club: club.Club{Name: script, TimeZone: "UTC"}, Standing: club.Standing{Gauge: club.Gauge{Name: script, River: script}}, Span: club.UsualSpan(),
		Zeros: []club.Zero{{}, {Reason: script}}, Venues: []club.GaugeVenue{{Venue: club.Venue{Name: script, Slug: "a"}, Rules: []club.LevelRule{{AboveM: new(float64), Text: script}}}}}, nil
}

func (scripted) PegByCode(context.Context, string, []byte, time.Time) (string, string, error) {
	return "", "", club.Faultf(club.NotFound, "No peg has this code.")
}

func (scripted) FindVenues(context.Context, []string, []byte, time.Time) ([]club.Found, error) {
	return []club.Found{{VenueSlug: "a", VenueName: script}, {VenueSlug: "b", VenueName: script}}, nil
}

func TestMarkupIsEscaped(t *testing.T) {
	t.Parallel()
	s := serve(t, scripted{})
	for _, path := range []string{"/", "/venues/a", "/venues/a/pegs/1", "/venues/a/closures", "/venues/a/notes", "/venues/a/pegs/1/notes", "/gauges/a", "/find?q=x", "/venues/a/pegs/1.json", "/venues/a.json", "/venues.json", "/gauges/a.json"} {
		a := s.get(path)
		if a.status != 200 || strings.Contains(a.body, "<script>alert") || !strings.Contains(a.body, "script") {
			i := strings.Index(a.body, "<script>alert")
			t.Errorf("%s: %d, markup at %d: …%.120s", path, a.status, i, a.body[max(0, i-60):])
		}
	}
}

// TestNoClubYet: a database without a club still gives a front page.
func TestNoClubYet(t *testing.T) {
	t.Parallel()
	s := serve(t, badBook{fail: func() error { return nil }})
	s.want("/", 200, "No club yet")
}
