package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"io"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// write is one request that puts something in the book. Sent again it puts in nothing more.
type write struct {
	kind, path string
	head       http.Header
	body       []byte
	marks      []string // what tells each thing in it from everything else in the book
	taken      func(answer) error
}

// send gives the answer, or why none came.
func (w write) send(home string) (answer, error) {
	ask, err := http.NewRequest(http.MethodPost, home+w.path, bytes.NewReader(w.body))
	if err != nil {
		return answer{}, err
	}
	ask.Header = w.head
	r, err := client.Do(ask)
	if err != nil {
		return answer{}, err
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	return answer{r.StatusCode, r.Header, string(body)}, err
}

// reach is a run of a peg that is written of.
type reach struct{ venue, label, code, run string }

// writer makes writes of every kind, a bailiff's and a gauge's own instrument's.
type writer struct {
	number int // of the writers, so that no two instruments' levels are of one second
	random *rand.Rand
	spots  []reach
	began  time.Time
	made   int
	right  string // the entry of a level that is in the book, to be put right
}

// loggerToken is that of the instrument.
const loggerToken = "an-instrument-of-the-tests"

// writers are some, at work on a book that a server has open; their instrument is made
// known to it.
func writers(t *testing.T, dir string, seed uint64, n int) []*writer {
	t.Helper()
	conn, ctx := inside(t, dir), testContext(t, tabLimit)
	_, err := conn.Exec(ctx, `insert into loggers (token_hash, gauge_id, name) select sha256(convert_to($1, 'UTF8')), id, 'of the tests' from gauges where slug = 'cinder-lane'`, loggerToken)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := conn.Query(ctx, `select v.slug, p.label, p.code, r.name from runs r join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id order by r.id`)
	if err != nil {
		t.Fatal(err)
	}
	spots, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (s reach, err error) {
		return s, row.Scan(&s.venue, &s.label, &s.code, &s.run)
	})
	if err != nil {
		t.Fatal(err)
	}
	var all []*writer
	for i := range n {
		all = append(all, &writer{number: i, random: rand.New(rand.NewPCG(seed, uint64(i))), spots: spots, began: time.Now().Truncate(time.Minute)})
	}
	return all
}

func (w *writer) mark() string {
	a, b := w.random.Uint64(), w.random.Uint64()
	return fmt.Sprintf("%08x-%04x-%04x-%04x-%012x", a>>32, a>>16&0xffff, a&0xffff, b>>48, b&0xffffffffffff)
}

// next makes another.
func (w *writer) next() write {
	w.made++
	at := w.spots[w.random.IntN(len(w.spots))]
	switch (w.made + 3*w.number) % 10 {
	case 0:
		return w.entries("a sounding", w.sounding(at))
	case 1:
		return w.instrument()
	case 2:
		return w.note(at)
	case 3:
		return w.entries("a level put right", w.level(w.right))
	case 4:
		return w.entries("a sounding, an incident and a level", w.sounding(at), w.incident(at), w.level(""))
	case 5:
		return w.closed(at)
	case 6:
		return w.entries("a closure", w.closure(at))
	case 7:
		return w.photograph(at)
	}
	return w.entries("a level", w.level(""))
}

type fields map[string]any

// about is within the last two days, at a second that no instrument's level is of.
func (w *writer) about() string {
	return w.began.Add(-time.Duration(1+w.random.IntN(2*24*60))*time.Minute + time.Duration(30+w.random.IntN(30))*time.Second).UTC().Format(time.RFC3339)
}

// level is a level; of a number, that one put right.
func (w *writer) level(corrects string) fields {
	f := fields{"kind": "level", "level": 0.1 + w.random.Float64()/2}
	if corrects != "" {
		f["corrects"] = corrects
		return f
	}
	f["gauge"], f["at"], f["colour"] = []string{"teasel-bridge", "cinder-lane"}[w.random.IntN(2)], w.about(), "clear"
	return f
}

func (w *writer) sounding(at reach) fields {
	return fields{"kind": "sounding", "peg": at.code, "run": at.run, "depth": 1 + w.random.Float64(), "level": 0.4, "at": w.about()}
}

func (w *writer) incident(at reach) fields {
	return fields{"kind": "incident", "where": at.code, "incident": "other", "text": "seen"}
}

func (w *writer) closure(at reach) fields {
	return fields{"kind": "closure", "where": at.code, "until": w.began.Add(time.Hour).UTC().Format(time.RFC3339)}
}

// bailiff is the head of what a bailiff sends.
func bailiff(contentType string) http.Header {
	return http.Header{"Content-Type": {contentType}, "Cookie": {sessionCookie + "=" + url.QueryEscape(tokenOf("bailiff"))}}
}

// entries is what a phone sends of entries that it has kept.
func (w *writer) entries(kind string, all ...fields) write {
	out := write{kind: kind, path: "/api/1/entries", head: bailiff("application/json")}
	for _, f := range all {
		id := w.mark()
		f["id"], f["form"], f["sure"], out.marks = id, 1, true, append(out.marks, id)
		if f["kind"] == "closure" {
			f["own"] = id
		}
	}
	out.body, _ = json.Marshal(fields{"entries": all}) // text and numbers
	out.taken = func(a answer) error {
		if err := entriesTaken(a, out.marks); err != nil || kind != "a level" {
			return err
		}
		w.right = out.marks[0]
		return nil
	}
	return out
}

// entriesTaken wants every one of the entries to be said to be in the book.
func entriesTaken(a answer, ids []string) error {
	var said struct {
		Entries []struct{ ID, State, Why string }
	}
	if err := json.Unmarshal([]byte(a.body), &said); err != nil || a.status != http.StatusOK || len(said.Entries) < len(ids) {
		return fmt.Errorf("not an answer to %d entries: %v", len(ids), err)
	}
	for i, id := range ids {
		if e := said.Entries[i]; e.ID != id || e.State != "in the book" {
			return fmt.Errorf("%s: %q, %s", e.ID, e.State, e.Why)
		}
	}
	return nil
}

// instrument is three levels of the gauge's own, each of a second of its own.
func (w *writer) instrument() write {
	out := write{kind: "an instrument's levels", path: "/api/1/levels",
		head: http.Header{"Content-Type": {"text/csv"}, "Authorization": {"Bearer " + loggerToken}}}
	for i := range 3 {
		at := w.began.Add(-time.Duration(3*w.made+i) * time.Minute).Add(time.Duration(1+w.number) * time.Second)
		out.body = fmt.Appendf(out.body, "%s,%.3f\n", at.UTC().Format(time.RFC3339), 0.1+w.random.Float64()/2)
		out.marks = append(out.marks, fmt.Sprint("second ", at.Unix()))
	}
	out.taken = func(a answer) error {
		var said struct{ New, Same int }
		if err := json.Unmarshal([]byte(a.body), &said); err != nil || a.status != http.StatusOK || said.New+said.Same != 3 {
			return fmt.Errorf("%+v, %v", said, err)
		}
		return nil
	}
	return out
}

// form is a page's form, which leads back to the page.
func (w *writer) form(kind, path string, q url.Values, mark string) write {
	return write{kind: kind, path: path, head: bailiff("application/x-www-form-urlencoded"), body: []byte(q.Encode()), marks: []string{mark}, taken: ledBack(path)}
}

func ledBack(path string) func(answer) error {
	return func(a answer) error {
		if to := a.header.Get("Location"); a.status != http.StatusSeeOther || !strings.EqualFold(to, path) {
			return fmt.Errorf("it leads to %q", to)
		}
		return nil
	}
}

func (w *writer) note(at reach) write {
	mark, path := w.mark(), "/venues/"+at.venue+"/pegs/"+at.label+"/notes"
	return w.form("a note", path, url.Values{"text": {mark}, "sees": {"club"}, "code": {at.code}}, mark)
}

func (w *writer) closed(at reach) write {
	mark, path := w.mark(), "/venues/"+at.venue+"/closures"
	return w.form("a closure by its form", path, url.Values{"from_peg": {at.label + "." + at.code}, "own": {mark}, "to": {w.began.Add(time.Hour).UTC().Format(time.RFC3339)}}, mark)
}

// photograph is a small one that is like no other.
func (w *writer) photograph(at reach) write {
	pixels := image.NewGray(image.Rect(0, 0, 64, 48))
	for i := range pixels.Pix {
		pixels.Pix[i] = byte(w.random.Uint32())
	}
	mark, back := w.mark(), "/venues/"+at.venue+"/pegs/"+at.label
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	_ = form.WriteField("caption", mark) // to memory
	_ = form.WriteField("code", at.code)
	if file, err := form.CreateFormFile("photograph", "p.png"); err == nil {
		_ = png.Encode(file, pixels)
	}
	_ = form.Close()
	return write{kind: "a photograph", path: back + "/photographs", head: bailiff(form.FormDataContentType()), body: b.Bytes(), marks: []string{mark}, taken: ledBack(back + "/notes")}
}
