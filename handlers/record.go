//go:build !js

package handlers

import (
	"crypto/rand"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"levelpeg/club"
	"levelpeg/handlers/parse"
	"levelpeg/static"
	"levelpeg/web"
)

// gaugeCookie remembers the gauge last used on this phone. The page's script reads and
// writes it, too.
const gaugeCookie = "levelpeg_gauge"

// ownPage marks the page of recording as ours, so that what answers in our place, as a
// network that wants paying does, is not taken for it.
const ownPage = "Levelpeg-Page"

func formatID(id int64) string { return strconv.FormatInt(id, 10) }

// newID is a number for an entry, as phones make them (RFC 9562, version 4).
func newID() string {
	var b [16]byte
	_, _ = rand.Read(b[:]) // never fails
	b[6], b[8] = b[6]&0x0f|0x40, b[8]&0x3f|0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:])
}

// record is the page for writing things down on the bank.
func (s *server) record(w http.ResponseWriter, r *http.Request) error {
	f := web.RecordFill{Said: said(w, r), Values: url.Values{}}
	q := r.URL.Query()
	f.Open = club.EntryKind(text(q.Get("kind")))
	if code, err := parse.Code(url.Values{"code": {text(q.Get("peg"))}}); err == nil && code != "" {
		f.Values.Set("peg", code)
		f.Values.Set("where", code)
	}
	if id, err := parse.EntryID(q.Get("corrects")); err == nil {
		if err := s.fillCorrected(r, id, f.Values); err != nil {
			return err
		}
	}
	if f.Open == club.SoundingEntry {
		for _, name := range []string{"run", "depth", "over", "secs", "boil"} { // as plumbed at the peg's sheet
			if v := text(q.Get(name)); v != "" && f.Values.Get(name) == "" {
				f.Values.Set(name, v)
			}
		}
	}
	if g := text(q.Get("gauge")); g != "" {
		f.Values.Set("gauge", g)
	}
	return s.showRecord(w, r, http.StatusOK, f)
}

// fillCorrected fills a form with what is to be put right.
func (s *server) fillCorrected(r *http.Request, id string, q url.Values) error {
	was, err := s.book.Corrected(r.Context(), id)
	if err != nil {
		return err
	}
	b, err := s.book.Board(r.Context(), was.Gauge, was.At, s.now())
	if err != nil {
		return err
	}
	level := strconv.FormatFloat(was.DatumM-b.Zero.OffsetM, 'f', 2, 64)
	q.Set("corrects", id)
	q.Set("gauge", was.Gauge)
	q.Set("level", level)
	if was.Kind == club.SoundingEntry {
		q.Set("run", was.Run)
		q.Set("depth", strconv.FormatFloat(was.DepthM, 'f', 2, 64))
		q.Set("peg", was.Code)
	}
	return nil
}

func (s *server) showRecord(w http.ResponseWriter, r *http.Request, code int, f web.RecordFill) error {
	v, err := s.book.Record(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	if f.Values.Get("gauge") == "" {
		if c, err := r.Cookie(gaugeCookie); err == nil {
			f.Values.Set("gauge", text(c.Value))
		}
	}
	f.NewID = newID
	mark := static.WorkerVersion()
	if f.Said != "" || f.Problem != "" {
		mark += " once" // not to be kept
	}
	w.Header().Set(ownPage, mark)
	w.Header().Set("Permissions-Policy", nearDevices)
	page := web.NewRecordPage(s.assets, v, f, s.now(), zone(v.Club))
	return render(r.Context(), w, code, web.Record(page))
}

// keepEntry takes a form of the page, as one without a script sends it. An entry that is
// odd or needs mending stands in its form as it was filled.
func (s *server) keepEntry(w http.ResponseWriter, r *http.Request) error {
	q, err := form(w, r)
	if err != nil {
		return err
	}
	id, err := parse.EntryID(q.Get("id"))
	if err != nil {
		id = newID()
		q.Set("id", id)
	}
	c, _, err := s.read.Asker(r.Context(), session(r), s.now())
	if err != nil {
		return err
	}
	body := []byte(q.Encode())
	_, answers, err := s.take(r, []club.RawEntry{{ID: id, Form: club.EntryForm, Body: body, Claimed: parse.Claimed(q, zone(c))}})
	f := web.RecordFill{Values: q, Open: club.EntryKind(q.Get("kind")), Keep: id}
	if club.KindOf(err) == club.Unavailable { // sent again by the same number, it is taken once
		f.Problem = sentence(err)
		return s.showRecord(w, r, s.refused(w, r, err), f)
	}
	if err != nil {
		return err
	}
	s.keepGauge(w, r, q.Get("gauge"))
	a := answers[id]
	if a.State == club.InTheBook {
		say(w, r, "/record", "In the book. "+a.Says)
		return nil
	}
	f.Problem, f.Ask = a.Why, a.Ask
	status := http.StatusBadRequest
	if a.Ask {
		status = http.StatusConflict
	}
	if a.State == club.NotTaken {
		f.Keep = ""
	}
	return s.showRecord(w, r, status, f)
}

// gaugeFor is how long the gauge last used is remembered.
const gaugeFor = 400 * 24 * time.Hour

func (s *server) keepGauge(w http.ResponseWriter, r *http.Request, slug string) {
	if slug == "" || url.QueryEscape(slug) != slug {
		return
	}
	http.SetCookie(w, &http.Cookie{Name: gaugeCookie, Value: slug, Path: "/record", MaxAge: int(gaugeFor.Seconds()), SameSite: http.SameSiteLaxMode, Secure: s.secure(r)})
}

// worker is the script that opens the page of recording with no signal. Its address is
// always the same, so it is asked for anew each time, and its content changes with every
// file that it keeps.
func (s *server) worker(w http.ResponseWriter, r *http.Request) error {
	h := w.Header()
	h.Set("Content-Type", "text/javascript; charset=utf-8")
	h.Set("Cache-Control", "no-cache")
	h.Set("Service-Worker-Allowed", "/")
	_, _ = w.Write(static.Worker("/record", "/app.webmanifest"))
	return nil
}

// manifest is what a phone installs the app by.
func (s *server) manifest(w http.ResponseWriter, r *http.Request) error {
	h := w.Header()
	h.Set("Content-Type", "application/manifest+json")
	h.Set("Cache-Control", "no-cache")
	_, _ = w.Write(static.Manifest())
	return nil
}
