//go:build !js

package handlers

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"os"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/club/exchange"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

func isUpload(r *http.Request) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return err == nil && kind == "multipart/form-data"
}

// uploaded is the file that a form brought; empty for none.
func uploaded(r *http.Request) ([]byte, error) {
	f, head, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if head.Size > largestFile {
		return nil, fmt.Errorf("a file of %d bytes", head.Size)
	}
	return io.ReadAll(f)
}

// fileOf is the file of a form, or a fault where there is none.
func (in sent) fileOf() ([]byte, error) {
	if body := in.q.Get("file"); body != "" {
		return []byte(body), nil
	}
	return nil, club.Faultf(club.Invalid, "Choose a file first.")
}

func (s *server) placesSetup(_ *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	return web.NewPlacesSetup(s.assets, w, f), nil
}

func placed(n int) string {
	if n == 0 {
		return "No peg has moved."
	}
	return club.Plural(n, "peg") + " placed."
}

func (s *server) setPlaces(in sent) (done, error) {
	places, err := parse.Places(in.q)
	if err != nil {
		return done{}, err
	}
	n, err := s.book.SetPlaces(in.ctx, in.who, in.param("venue"), places, in.q.Get("was"), in.now)
	return done{in.base + "/positions", placed(n)}, err
}

func (s *server) bringPlaces(in sent) (done, error) {
	file, err := in.fileOf()
	if err != nil {
		return done{}, err
	}
	places, err := exchange.ReadGeoJSON(file)
	if err != nil {
		return done{}, err
	}
	n, err := s.book.SetPlaces(in.ctx, in.who, in.param("venue"), places, "", in.now)
	return done{in.base + "/positions", placed(n)}, err
}

func (s *server) fixturesSetup(_ *http.Request, w club.OfficeWater, f web.Fill) (web.SetupPage, error) {
	return web.NewFixturesSetup(s.assets, w, f, zone(w.Club)), nil
}

func (s *server) addFixture(in sent) (done, error) {
	d, err := parse.Fixture(in.q, in.loc)
	if err != nil {
		return done{}, err
	}
	return done{in.base + "/fixtures", "On the calendar: " + strings.TrimSpace(d.Name) + "."}, s.book.AddFixture(in.ctx, in.who, in.param("venue"), d, in.now)
}

func (s *server) dropFixture(in sent) (done, error) {
	name, err := s.book.DropFixture(in.ctx, in.who, in.param("venue"), in.id, in.now)
	return done{in.base + "/fixtures", "Taken away: " + name + "."}, err
}

// shownSkipped is how many events that were left out a page names.
const shownSkipped = 5

func (s *server) bringFixtures(in sent) (done, error) {
	file, err := in.fileOf()
	if err != nil {
		return done{}, err
	}
	cal, err := exchange.ReadCalendar(file, in.loc)
	if err != nil {
		return done{}, err
	}
	skipped := strings.Join(cal.Skipped[:min(len(cal.Skipped), shownSkipped)], " ")
	if more := len(cal.Skipped) - shownSkipped; more > 0 {
		skipped += fmt.Sprintf(" And %d more.", more)
	}
	if len(cal.Fixtures) == 0 {
		return done{}, club.Faultf(club.Invalid, "The calendar has no match to bring in. %s", skipped)
	}
	made, changed, err := s.book.BringFixtures(in.ctx, in.who, in.param("venue"), cal.Fixtures, in.now)
	says := fmt.Sprintf("%d made, %d changed, %d as they were. %s", made, changed, len(cal.Fixtures)-made-changed, skipped)
	return done{in.base + "/fixtures", strings.TrimSpace(says)}, err
}

// importPage shows what a file would make, where one was looked at.
func (s *server) importPage(r *http.Request, f web.Fill) (web.SetupPage, error) {
	return s.importLooked(r, f, nil, "")
}

func (s *server) importLooked(r *http.Request, f web.Fill, made []string, carried string) (web.SetupPage, error) {
	o, err := s.book.Office(r.Context(), session(r), s.now())
	return web.NewImportPage(s.assets, o, f, made, carried), err
}

// bringVenue looks at a file and says what it would make; sent once more, and sure, it
// makes it.
func (s *server) bringVenue(w http.ResponseWriter, r *http.Request) error {
	q, err := largeForm(w, r)
	if err != nil {
		return err
	}
	sure, file := q.Get("sure") != "", q.Get("file")
	if file == "" {
		file = q.Get("carried")
	}
	made, err := s.broughtVenue(r, file, !sure)
	switch {
	case err == nil && sure:
		says := "Brought in: " + strings.Join(made.Says(), " ")
		say(w, r, setupPath+"/venues/"+made.Venue.Slug, says)
		return nil
	case err == nil:
		return s.showSetup(w, r, http.StatusOK, func(r *http.Request, f web.Fill) (web.SetupPage, error) {
			return s.importLooked(r, f, made.Says(), file)
		}, web.Fill{})
	case sure && club.KindOf(err) == club.Unavailable: // the file stands, and may be made yet
		return s.showSetup(w, r, s.refused(w, r, err), func(r *http.Request, f web.Fill) (web.SetupPage, error) {
			return s.importLooked(r, f, []string{"The file is still here, and would make what you saw before."}, file)
		}, web.Fill{Problem: sentence(err)})
	case shownToThem(err):
		return s.showSetup(w, r, s.refused(w, r, err), s.importPage, web.Fill{Form: web.FormImport, Problem: sentence(err)})
	}
	return err
}

func (s *server) broughtVenue(r *http.Request, file string, look bool) (club.Imported, error) {
	if file == "" {
		return club.Imported{}, club.Faultf(club.Invalid, "Choose a file first.")
	}
	c, err := exchange.ReadVenue([]byte(file), s.now())
	if err != nil {
		return club.Imported{}, err
	}
	return s.book.Import(r.Context(), writer(r), c, look, s.now())
}

// sendFile answers with a file to be kept.
func sendFile(w http.ResponseWriter, kind, name string, body []byte) error {
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	keepPrivate(h)
	_, _ = w.Write(body) // it fails only for someone who has hung up
	return nil
}

func (s *server) exportVenue(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	with := exchange.Carrying{Levels: q.Get("levels") == "1", Names: q.Get("names") == "1"}
	c, err := s.book.Carry(r.Context(), writer(r), param(r, "venue"), with.Levels, s.now())
	if err != nil {
		return err
	}
	body, err := exchange.WriteVenue(c, with, s.now())
	if err != nil {
		return err
	}
	return sendFile(w, "application/json; charset=utf-8", c.Venue.Slug+".json", body)
}

func (s *server) pegsGeoJSON(w http.ResponseWriter, r *http.Request) error {
	v, err := s.book.Venue(r.Context(), param(r, "venue"), session(r), s.now())
	if err != nil {
		return err
	}
	pegs := make([]club.Peg, len(v.Pegs))
	for i, l := range v.Pegs {
		pegs[i] = l.Peg
	}
	body, err := exchange.WriteGeoJSON(pegs)
	if err != nil {
		return err
	}
	return sendFile(w, "application/geo+json", v.Venue.Slug+".geojson", body)
}

func (s *server) soundingsCSV(w http.ResponseWriter, r *http.Request) error {
	pegs, err := s.book.VenueReadings(r.Context(), param(r, "venue"), session(r), s.now())
	if err != nil {
		return err
	}
	var b strings.Builder
	if err := exchange.WriteSoundings(&b, pegs); err != nil {
		return err
	}
	return sendFile(w, "text/csv; charset=utf-8; header=present", param(r, "venue")+"-soundings.csv", []byte(b.String()))
}

func (s *server) fixturesCalendar(w http.ResponseWriter, r *http.Request) error {
	name, all, err := s.book.VenueCalendar(r.Context(), param(r, "venue"), session(r), s.now())
	if err != nil {
		return err
	}
	return sendFile(w, "text/calendar; charset=utf-8", param(r, "venue")+".ics", exchange.WriteCalendar(name, all, s.now()))
}

// levelsCSV sends a gauge's levels, from the day "from" to the day "to" by
// the club's clock, however many there are.
func (s *server) levelsCSV(w http.ResponseWriter, r *http.Request) error {
	c, _, err := s.book.Asker(r.Context(), nil, s.now())
	if err != nil {
		return err
	}
	from, to := club.AlwaysHeld, s.now().AddDate(0, 0, 2)
	for name, into := range map[string]*time.Time{"from": &from, "to": &to} {
		text := r.URL.Query().Get(name)
		if text == "" {
			continue
		}
		day, err := time.ParseInLocation(time.DateOnly, text, zone(c))
		if err != nil {
			return club.Faultf(club.Invalid, "Ask for days such as ?from=2026-01-01&to=2026-12-31.")
		}
		if *into = day; name == "to" {
			*into = day.AddDate(0, 0, 1)
		}
	}
	file, err := s.levelsFile(r.Context(), param(r, "gauge"), from, to)
	if err != nil {
		return err
	}
	defer file.Close()
	if err := sendFile(w, "text/csv; charset=utf-8; header=present", param(r, "gauge")+"-levels.csv", nil); err != nil {
		return err
	}
	_, err = io.Copy(w, file)
	if err != nil && r.Context().Err() == nil {
		panic(http.ErrAbortHandler) // half a file must not pass for a whole one
	}
	return nil
}

// levelsFile writes a gauge's levels into a file that is gone when it is closed. Sent
// straight on, whoever listens slowly would keep a connection to the database from everybody.
func (s *server) levelsFile(ctx context.Context, gauge string, from, to time.Time) (_ *os.File, err error) {
	file, err := nameless()
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			_ = file.Close() // it has failed already
		}
	}()
	out := bufio.NewWriter(file)
	t, err := exchange.NewLevelTable(out)
	if err != nil {
		return nil, err
	}
	err = s.book.GaugeLevels(ctx, gauge, from, to, func(l club.Level, datumM float64) error { return t.Add(l, datumM) })
	if err != nil {
		return nil, err
	}
	if err := errors.Join(t.Close(), out.Flush()); err != nil {
		return nil, err
	}
	_, err = file.Seek(0, io.SeekStart)
	return file, err
}

// venueMap shows where a venue's pegs are. Its content policy lets it load the tiles the
// club has chosen, and nothing else from elsewhere.
func (s *server) venueMap(w http.ResponseWriter, r *http.Request) error {
	v, err := s.book.Venue(r.Context(), param(r, "venue"), session(r), s.now())
	if err != nil {
		return err
	}
	t, err := s.book.Tiles(r.Context())
	if err != nil {
		return err
	}
	allowTiles(w, t)
	return render(r.Context(), w, http.StatusOK, web.Map(web.NewMapPage(s.assets, v, t)))
}

func allowTiles(w http.ResponseWriter, t club.Tiles) {
	if origin := t.Origin(); origin != "" {
		w.Header().Set("Content-Security-Policy", strings.Replace(contentPolicy, "img-src 'self' data:", "img-src 'self' data: "+origin, 1))
	}
}

// withTiles lets an action's page load the club's tiles.
func (s *server) withTiles(do action) action {
	return func(w http.ResponseWriter, r *http.Request) error {
		t, err := s.book.Tiles(r.Context())
		if err != nil {
			return err
		}
		allowTiles(w, t)
		return do(w, r)
	}
}
