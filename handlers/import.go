//go:build !js

package handlers

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path"
	"time"

	"levelpeg/club"
	"levelpeg/feeds"
	"levelpeg/handlers/parse"
	"levelpeg/web"
)

// importWithin is how long a large file may take over a slow line, and to be kept.
const importWithin = 15 * time.Minute

// importForm asks for a table of a gauge's levels.
func (s *server) importForm(w http.ResponseWriter, r *http.Request) error {
	v, err := s.book.Feeds(r.Context(), param(r, "gauge"), session(r), s.now())
	if err != nil {
		return err
	}
	return render(r.Context(), w, http.StatusOK, web.Setup(web.NewTableForm(s.assets, v, "")))
}

// importFile has the table wait in the book, where any server finds it, and leads to its
// preview. Who sends it is seen before it is read.
func (s *server) importFile(w http.ResponseWriter, r *http.Request) error {
	patient(w)
	v, err := s.book.Feeds(r.Context(), param(r, "gauge"), session(r), s.now())
	if err != nil {
		return err
	}
	up, err := s.takeTable(w, r, v.Gauge.Slug)
	if err == nil {
		if _, err = feeds.GuessCSV(s.book.ReadTable(r.Context(), up)); err != nil {
			s.dropTable(r, up)
		}
	}
	if err != nil && shownToThem(err) {
		return render(r.Context(), w, s.refused(w, r, err), web.Setup(web.NewTableForm(s.assets, v, sentence(err))))
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/gauges/"+v.Gauge.Slug+"/import/"+up.ID, http.StatusSeeOther)
	return nil
}

// patient gives a request more time than a page.
func patient(w http.ResponseWriter) {
	c, until := http.NewResponseController(w), time.Now().Add(importWithin)
	_ = c.SetReadDeadline(until) // where it cannot be set the usual time holds
	_ = c.SetWriteDeadline(until)
}

func (s *server) takeTable(w http.ResponseWriter, r *http.Request, gauge string) (club.WaitingTable, error) {
	var none club.WaitingTable
	r.Body = http.MaxBytesReader(w, r.Body, club.TableMost)
	parts, err := r.MultipartReader()
	if err != nil {
		return none, club.Faultf(club.Invalid, "Choose a file of levels.")
	}
	for {
		part, err := parts.NextPart()
		if err != nil {
			return none, club.Faultf(club.Invalid, "Choose a file of levels.")
		}
		if part.FormName() != "file" || part.FileName() == "" {
			continue
		}
		up, err := s.book.TakeTable(r.Context(), session(r), gauge, text(path.Base(part.FileName())), part, s.now())
		var long *http.MaxBytesError
		if errors.As(err, &long) {
			return none, club.Faultf(club.Invalid, "The file is larger than %d MB. Split it.", club.TableMost>>20)
		}
		if errors.Is(err, io.ErrUnexpectedEOF) {
			return none, club.Faultf(club.Invalid, "Not all of the file came. Send it again.")
		}
		if err == nil && up.Bytes == 0 {
			s.dropTable(r, up)
			return none, club.Faultf(club.Invalid, "The file is empty.")
		}
		return up, err
	}
}

// tables is a table under way.
type levelTable struct {
	view club.FeedsView
	up   club.WaitingTable
	plan club.CSVPlan
	unit club.Unit
	cols feeds.Guess
	form url.Values
}

// tableOf finds the request's file, and how it is read: as asked, else as guessed.
func (s *server) tableOf(r *http.Request, q url.Values) (levelTable, error) {
	t := levelTable{form: q}
	var err error
	if t.view, err = s.book.Feeds(r.Context(), param(r, "gauge"), session(r), s.now()); err != nil {
		return t, err
	}
	if t.up, err = s.book.WaitingTable(r.Context(), param(r, "file"), t.view.Gauge.Slug, session(r), s.now()); err != nil {
		return t, err
	}
	if t.cols, err = feeds.GuessCSV(s.book.ReadTable(r.Context(), t.up)); err != nil {
		return t, err
	}
	t.plan, t.unit = t.cols.Plan, t.cols.Unit
	t.plan.Zone = t.view.Club.TimeZone
	if q.Has("time") {
		t.plan, t.unit = parse.Plan(q, t.view.Club.TimeZone), club.Unit(q.Get("unit"))
	}
	return t, nil
}

// importPreview shows how the table is read, and each row that cannot be.
func (s *server) importPreview(w http.ResponseWriter, r *http.Request) error {
	patient(w)
	t, err := s.tableOf(r, cleaned(r.URL.Query()))
	if err != nil {
		return err
	}
	return s.showImport(w, r, http.StatusOK, t, "")
}

func (s *server) showImport(w http.ResponseWriter, r *http.Request, code int, t levelTable, problem string) error {
	look, err := s.lookThrough(r, t)
	if err != nil {
		if club.KindOf(err) != club.Invalid {
			return err
		}
		problem = sentence(err)
		code = status(err)
	}
	page := web.NewTablePage(s.assets, t.view, web.TableFile{ID: t.up.ID, Name: t.up.Name, Plan: t.plan, Unit: t.unit,
		Columns: t.cols.Columns, BothWays: t.cols.BothWays, Problem: problem, Look: look, Form: t.form}, zone(t.view.Club))
	return render(r.Context(), w, code, web.Table(page))
}

// The rows that a preview shows.
const (
	shownRows = 5
	shownBad  = 100
)

// lookThrough reads the whole table and keeps what the preview shows.
func (s *server) lookThrough(r *http.Request, t levelTable) (web.TableLook, error) {
	var look web.TableLook
	if t.unit.Metre() == 0 {
		return look, club.Faultf(club.Invalid, "Choose what its levels are counted in: m, cm, mm or ft.")
	}
	err := feeds.ScanLevels(s.book.ReadTable(r.Context(), t.up), t.plan, t.unit, club.TableMost, s.now(), func(row feeds.LevelRow) error {
		switch {
		case row.Why != "":
			if look.Bad++; len(look.BadRows) < shownBad {
				look.BadRows = append(look.BadRows, web.TableBad{N: row.N, Why: row.Why, Line: excerpt(row.Line)})
			}
		case row.None:
			look.None++
		default:
			look.Take(row.N, row.At, row.LevelM, shownRows)
		}
		return nil
	})
	return look, err
}

const excerptMost = 80

// excerpt is the beginning of a row of the reader's own file.
func excerpt(line []byte) string {
	cut := text(string(line[:min(len(line), excerptMost)]))
	if len(line) > excerptMost {
		cut += "…"
	}
	return cut
}

// importBad lists every bad row as plain text.
func (s *server) importBad(w http.ResponseWriter, r *http.Request) error {
	patient(w)
	t, err := s.tableOf(r, cleaned(r.URL.Query()))
	if err != nil {
		return err
	}
	if t.unit.Metre() == 0 {
		return club.Faultf(club.Invalid, "Choose what its levels are counted in: m, cm, mm or ft.")
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "private, no-cache")
	out := bufio.NewWriter(w)
	err = feeds.ScanLevels(s.book.ReadTable(r.Context(), t.up), t.plan, t.unit, club.TableMost, s.now(), func(row feeds.LevelRow) error {
		if row.Why == "" {
			return nil
		}
		_, err := fmt.Fprintf(out, "row %d: %s\n", row.N, row.Why)
		return err
	})
	if err != nil {
		fmt.Fprintln(out, sentence(err))
	}
	_ = out.Flush() // it fails only for someone who has hung up
	return nil
}

// importKeep keeps the table's levels: those of the good rows, or nothing where one is
// bad, as chosen.
func (s *server) importKeep(w http.ResponseWriter, r *http.Request) error {
	patient(w)
	q, err := form(w, r)
	if err != nil {
		return err
	}
	t, err := s.tableOf(r, q)
	if err != nil {
		return err
	}
	done, err := s.keep(r, t)
	if err = known(err); err != nil {
		if !shownToThem(err) {
			return err
		}
		return s.showImport(w, r, s.refused(w, r, err), t, sentence(err))
	}
	s.dropTable(r, t.up)
	say(w, r, feedsPath(t.view.Gauge.Slug), done)
	return nil
}

// dropTable lets go of a waiting table; one that stays goes by itself.
func (s *server) dropTable(r *http.Request, t club.WaitingTable) {
	if err := s.book.DropTable(r.Context(), t.ID); err != nil {
		s.note(r, err)
	}
}

// tableOnDisk fetches a waiting table before its levels are written: who writes holds one
// connection to the database, and whoever held that and waited for another would keep
// others waiting for the first.
func (s *server) tableOnDisk(r *http.Request, t club.WaitingTable) (*os.File, error) {
	file, err := nameless()
	if err != nil {
		return nil, err
	}
	if _, err = io.Copy(file, s.book.ReadTable(r.Context(), t)); err == nil {
		_, err = file.Seek(0, io.SeekStart)
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}

func (s *server) keep(r *http.Request, t levelTable) (string, error) {
	source, rest := club.Source(t.form.Get("source")), t.form.Get("bad")
	switch {
	case source != club.Board && source != club.Station:
		return "", club.Faultf(club.Invalid, "Say who read these levels: people at the board, or an instrument.")
	case rest != "leave" && rest != "nothing" && rest != "":
		return "", club.Faultf(club.Invalid, "Choose what becomes of the rest where a row is bad.")
	case t.unit.Metre() == 0:
		return "", club.Faultf(club.Invalid, "Choose what its levels are counted in: m, cm, mm or ft.")
	}
	file, err := s.tableOnDisk(r, t.up)
	if err != nil {
		return "", err
	}
	defer file.Close()
	bad, now := 0, s.now()
	done, err := s.book.ImportLevels(r.Context(), writer(r), t.view.Gauge.Slug, source, now,
		func(put func(time.Time, float64) error) error {
			return feeds.ScanLevels(file, t.plan, t.unit, club.TableMost, now, func(row feeds.LevelRow) error {
				switch {
				case row.Why != "" && rest == "":
					return club.Faultf(club.Invalid, "Choose what becomes of the rest where a row is bad.")
				case row.Why != "" && rest == "nothing":
					return club.Faultf(club.Conflict, "Nothing was kept: row %d is bad, %s.", row.N, row.Why)
				case row.Why != "":
					bad++
					return nil
				case row.None:
					return nil
				}
				return put(row.At, row.LevelM)
			})
		})
	words := done.Says()
	if bad == 1 {
		words += " 1 bad row was left out."
	} else if bad > 1 {
		words += fmt.Sprintf(" %d bad rows were left out.", bad)
	}
	return words, err
}
