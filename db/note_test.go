package db_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
)

// hall is the small book with a member of each role signed in, by a letter: s for the
// secretary, b for a bailiff, c for a coach, m and n for members, j and k for juniors.
type hall struct {
	*testing.T
	book  *db.DB
	plain *db.DB // remembers nothing
	s     sql
	who   map[string]club.Writer
}

func newHall(t *testing.T) hall {
	t.Helper()
	plain, s := smallDB(t, nil)
	remembers, err := db.Open(background(t), s.conn.Config().ConnString(), db.Options{MaxConns: 4, Remember: 8})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(remembers.Close)
	h := hall{t, remembers, plain, s, map[string]club.Writer{"": {}}}
	for letter, role := range map[string]club.Role{"s": club.Secretary, "b": club.Bailiff, "c": club.Coach, "m": club.Angler, "n": club.Angler, "j": club.Junior, "k": club.Junior} {
		id := one[int64](s, `insert into members (name, role) values ($1, $2) returning id`, "Member "+letter, role)
		s.do(`insert into sessions (token_hash, member_id, created_at, expires_at) values ($1, $2, $3, $4)`, token(letter[0]), id, now.Add(-time.Hour), now.Add(time.Hour))
		h.who[letter] = club.Writer{Session: token(letter[0])}
	}
	return h
}

var everyone = []string{"", "s", "b", "c", "m", "n", "j", "k"}

var (
	pegOne = club.Place{Venue: "near", Peg: club.PegRef{Label: "1"}}
	nearBy = club.Place{Venue: "near"}
)

// see is who sees a note with the text, or a photograph with the caption, at a place: on
// its page, on the sheet or the venue's page, remembered or not.
func (h hall) see(at club.Place, words string) string {
	h.Helper()
	var out []string
	for _, who := range everyone {
		v, err := h.book.Notes(background(h.T), at, h.who[who].Session, now)
		if err != nil {
			h.Fatal(err)
		}
		again, err := h.plain.Notes(background(h.T), at, h.who[who].Session, now)
		if err != nil || !reflect.DeepEqual(v.Notes, again.Notes) || !reflect.DeepEqual(v.Pictures, again.Pictures) {
			h.Errorf("remembered %+v, in the book %+v, %v", v.Notes, again.Notes, err)
		}
		if slices.ContainsFunc(v.Notes, func(n club.Note) bool { return n.Text == words }) || slices.ContainsFunc(v.Pictures, func(p club.Picture) bool { return p.Caption == words }) {
			out = append(out, who)
		}
	}
	return strings.Join(out, ",")
}

func (h hall) write(who string, at club.Place, d club.NoteDraft) club.Note {
	h.Helper()
	n, err := h.book.WriteNote(background(h.T), h.who[who], at, d, now)
	if err != nil {
		h.Fatalf("%s writes %q: %v", who, d.Text, err)
	}
	return n
}

// act wants an act to end with a fault of the kind; Internal is none at all.
func (h hall) act(who string, at club.Place, id int64, act club.Act, why string, want club.Kind) {
	h.Helper()
	err := h.book.ActOnNote(background(h.T), h.who[who], at, id, act, why, now)
	if club.KindOf(err) != want || want == club.Internal && err != nil {
		h.Errorf("%q does %s: %v, want kind %d", who, act, err, want)
	}
}

const fine = club.Internal

func TestWhoSeesANote(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	for _, at := range []club.Place{pegOne, nearBy} {
		h.write("m", at, club.NoteDraft{Text: "plain"})
		h.write("m", at, club.NoteDraft{Text: "private", Private: true})
		h.write("j", at, club.NoteDraft{Text: "junior's own", Private: true})
		waits := h.write("j", at, club.NoteDraft{Text: "waits"})
		for words, want := range map[string]string{"plain": ",s,b,c,m,n,j,k", "private": "m", "junior's own": "j", "waits": "s,b,c,j"} {
			if got := h.see(at, words); got != want {
				t.Errorf("“%s” is seen by %q, want %q", words, got, want)
			}
		}
		for _, who := range []string{"", "m", "j", "k"} {
			h.act(who, at, waits.ID, club.ActApprove, "", map[bool]club.Kind{true: club.Conflict, false: club.Forbidden}[who == "m" || who == "k"])
		}
		h.act("c", at, waits.ID, club.ActApprove, "", fine)
		h.act("b", at, waits.ID, club.ActApprove, "", club.Conflict)
		if got := h.see(at, "waits"); got != ",s,b,c,m,n,j,k" {
			t.Errorf("approved it is seen by %q", got)
		}
		// A visitor sees no junior's name.
		v, err := h.book.Notes(background(t), at, nil, now)
		if err != nil || !slices.ContainsFunc(v.Notes, func(n club.Note) bool { return n.Text == "waits" && n.SignedFor(v.Member) == "a junior" }) {
			t.Errorf("a visitor reads %+v, %v", v.Notes, err)
		}
		// Changed, it waits again; refused, its writer and those who hide see why.
		if _, err := h.book.EditNote(background(t), h.who["j"], at, waits.ID, club.NoteDraft{Text: "changed"}, now); err != nil {
			t.Fatal(err)
		}
		if got := h.see(at, "changed"); got != "s,b,c,j" {
			t.Errorf("changed it is seen by %q", got)
		}
		h.act("c", at, waits.ID, club.ActRefuse, " ", club.Invalid)
		h.act("c", at, waits.ID, club.ActRefuse, "A name is in it", fine)
		if got := h.see(at, "changed"); got != "s,b,j" {
			t.Errorf("refused it is seen by %q", got)
		}
	}
	if n := one[int](h.s, `select count(*) from log where about like '%private%' or about like '%junior''s own%'`); n != 0 {
		t.Error("the log says what is private")
	}
	if n := one[int](h.s, `select count(*) from log where what = 'note: refuse' and about like '%: A name is in it' and member_id is not null`); n != 2 {
		t.Errorf("the log holds %d refusals", n)
	}
}

func TestHideShowAndTakeAway(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	n := h.write("m", pegOne, club.NoteDraft{Text: "rude"})
	for _, who := range []string{"c", "n", "j"} {
		h.act(who, pegOne, n.ID, club.ActHide, "Rude", club.Forbidden)
	}
	h.act("", pegOne, n.ID, club.ActHide, "Rude", club.Forbidden)
	h.act("b", pegOne, n.ID, club.ActHide, "", club.Invalid)
	h.act("b", pegOne, n.ID, club.ActHide, strings.Repeat("x", 301), club.Invalid)
	h.act("b", nearBy, n.ID, club.ActHide, "Rude", club.Conflict) // it is not there
	h.act("b", club.Place{Venue: "near", Peg: club.PegRef{Label: "2"}}, n.ID, club.ActHide, "Rude", club.Conflict)
	h.act("b", club.Place{Venue: "far"}, n.ID, club.ActHide, "Rude", club.Conflict)
	h.act("b", club.Place{Venue: "nowhere"}, n.ID, club.ActHide, "Rude", club.NotFound)
	h.act("b", pegOne, n.ID, club.ActHide, "Rude", fine)
	h.act("s", pegOne, n.ID, club.ActHide, "Rude", club.Conflict)
	if got := h.see(pegOne, "rude"); got != "s,b,m" {
		t.Errorf("hidden it is seen by %q", got)
	}
	if _, err := h.book.EditNote(background(t), h.who["m"], pegOne, n.ID, club.NoteDraft{Text: "rude again"}, now); club.KindOf(err) != club.Conflict {
		t.Errorf("what is hidden is changed: %v", err)
	}
	h.act("s", pegOne, n.ID, club.ActShow, "", fine)
	if got := h.see(pegOne, "rude"); got != ",s,b,c,m,n,j,k" {
		t.Errorf("shown again it is seen by %q", got)
	}
	for _, who := range []string{"n", "j", "c", "b", "s"} {
		h.act(who, pegOne, n.ID, club.ActRemove, "Mine", club.Forbidden)
		if _, err := h.book.EditNote(background(t), h.who[who], pegOne, n.ID, club.NoteDraft{Text: "not mine"}, now); club.KindOf(err) != club.Forbidden {
			t.Errorf("%s changes another's note: %v", who, err)
		}
	}
	for _, act := range []club.Act{club.ActOpen, club.ActShut} {
		h.act("s", pegOne, n.ID, act, "", club.NotFound)
	}
	private := h.write("m", pegOne, club.NoteDraft{Text: "mine", Private: true})
	h.act("s", pegOne, private.ID, club.ActHide, "Nosy", club.Conflict) // as if it were not there
	h.act("m", pegOne, n.ID, club.ActRemove, "", fine)
	h.act("m", pegOne, n.ID, club.ActRemove, "", club.Conflict)
	if got := h.see(pegOne, "rude"); got != "" {
		t.Errorf("taken away it is seen by %q", got)
	}
	// Somebody who has left writes no more.
	h.s.do(`update members set left_at = now() where name = 'Member m'`)
	if _, err := h.book.WriteNote(background(t), h.who["m"], pegOne, club.NoteDraft{Text: "after"}, now); club.KindOf(err) != club.Forbidden {
		t.Errorf("somebody who has left writes: %v", err)
	}
}

// TestLevelsOfANote are on the board in force and are kept on the datum.
func TestLevelsOfANote(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	low, high := 0.50, 1.10
	n := h.write("m", pegOne, club.NoteDraft{Text: "in between", LowM: &low, HighM: &high})
	got := one[string](h.s, `select low_mm || ' ' || high_mm || ' ' || (venue_id is null) from notes where id = $1`, n.ID)
	if got != "620 1220 true" { // the board stands 12 cm above its first zero
		t.Errorf("kept as %s", got)
	}
	v, err := h.book.Notes(background(t), pegOne, nil, now)
	if err != nil || !near(*v.Notes[0].LowM, 0.62) || !v.Notes[0].HoldsAt(1.22) || v.Notes[0].HoldsAt(1.23) {
		t.Errorf("%+v, %v", v.Notes, err)
	}
	if _, err := h.book.EditNote(background(t), h.who["m"], pegOne, n.ID, club.NoteDraft{Text: "in between", HighM: &high}, now); err != nil {
		t.Fatal(err)
	}
	if got := one[string](h.s, `select coalesce(low_mm, -1) || ' ' || high_mm from notes where id = $1`, n.ID); got != "-1 1220" {
		t.Errorf("changed it is kept as %s", got)
	}
	for _, d := range []club.NoteDraft{{Text: " \n\t"}, {Text: "\u200b"}, {Text: strings.Repeat("é", 4001)}, {Text: "x", LowM: &high, HighM: &low}} {
		if _, err := h.book.WriteNote(background(t), h.who["m"], pegOne, d, now); club.KindOf(err) != club.Invalid {
			t.Errorf("%.20q: %v", d.Text, err)
		}
	}
	if n := h.write("m", pegOne, club.NoteDraft{Text: "\r\na\r\nb\x07\x1b \n"}); n.Text != "a\nb" {
		t.Errorf("kept as %q", n.Text)
	}
}

// TestAButtonPressedTwice writes one note and adds one photograph, at once or in turn.
func TestAButtonPressedTwice(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	var all sync.WaitGroup
	for range 6 {
		all.Go(func() {
			if _, err := h.book.WriteNote(background(t), h.who["m"], pegOne, club.NoteDraft{Text: "once"}, now); err != nil {
				t.Error(err)
			}
			if _, err := h.book.AddPicture(background(t), h.who["m"], pegOne, draft("once", 1), now); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if n, p := one[int](h.s, `select count(*) from notes where text = 'once'`), one[int](h.s, `select count(*) from pictures`); n != 1 || p != 1 {
		t.Errorf("%d notes and %d photographs", n, p)
	}
}

func TestNoMoreThanAnybodyNeeds(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	for i := range club.NotesEach {
		h.write("m", pegOne, club.NoteDraft{Text: fmt.Sprint("note ", i)})
	}
	if _, err := h.book.WriteNote(background(t), h.who["m"], pegOne, club.NoteDraft{Text: "one more"}, now); club.KindOf(err) != club.Conflict {
		t.Errorf("one note more: %v", err)
	}
	h.write("m", nearBy, club.NoteDraft{Text: "elsewhere"})
	h.write("n", pegOne, club.NoteDraft{Text: "another's"})
	for i := range club.PicturesADay {
		h.add("m", pegOne, fmt.Sprint("photograph ", i), i)
	}
	if _, err := h.book.AddPicture(background(t), h.who["m"], nearBy, draft("one more", 99), now); club.KindOf(err) != club.Conflict {
		t.Errorf("one photograph more: %v", err)
	}
	if _, err := h.book.AddPicture(background(t), club.Writer{Session: token('m')}, nearBy, draft("later", 99), now.Add(25*time.Hour)); club.KindOf(err) != club.Forbidden {
		t.Errorf("a session that is over: %v", err) // the next day needs another
	}
}

// draft is a photograph that differs by n. The book does not look into it.
func draft(caption string, n int) club.PictureDraft {
	return club.PictureDraft{Caption: caption, Photo: club.Photo{
		Large: club.Image{Kind: "image/jpeg", Data: fmt.Appendf(nil, "large %d", n), Width: 1600, Height: 1200},
		Small: club.Image{Kind: "image/jpeg", Data: fmt.Appendf(nil, "small %d", n), Width: 480, Height: 360}}}
}

func (h hall) add(who string, at club.Place, caption string, n int) club.Picture {
	h.Helper()
	p, err := h.book.AddPicture(background(h.T), h.who[who], at, draft(caption, n), now)
	if err != nil {
		h.Fatalf("%s adds %q: %v", who, caption, err)
	}
	return p
}

func (h hall) actOn(who string, id int64, act club.Act, why string, want club.Kind) {
	h.Helper()
	err := h.book.ActOnPicture(background(h.T), h.who[who], pegOne, id, act, why, now)
	if club.KindOf(err) != want || want == club.Internal && err != nil {
		h.Errorf("%q does %s: %v, want kind %d", who, act, err, want)
	}
}

// shown is who is given the bytes, large and small.
func (h hall) shown(p club.Picture) string {
	h.Helper()
	var out []string
	for _, who := range everyone {
		given := 0
		for name, want := range map[string]string{p.Hash: "large", p.Small: "small"} {
			var hash [32]byte
			if _, err := hex.Decode(hash[:], []byte(name)); err != nil {
				h.Fatal(err)
			}
			i, err := h.book.Image(background(h.T), hash, h.who[who].Session, false, now)
			switch {
			case err == nil && strings.HasPrefix(string(i.Data), want) && i.Kind == "image/jpeg":
				given++
			case club.KindOf(err) != club.NotFound:
				h.Errorf("%q: %+v, %v", who, i, err)
			}
		}
		if given == 1 {
			h.Errorf("%q is given one of the two", who)
		}
		if given == 2 {
			out = append(out, who)
		}
	}
	return strings.Join(out, ",")
}

// TestWhoSeesAPhotograph: whoever sees it in a list is given its bytes, and nobody else.
func TestWhoSeesAPhotograph(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	both := func(p club.Picture, want string) {
		t.Helper()
		if got := h.see(pegOne, p.Caption); got != want {
			t.Errorf("“%s” is seen by %q, want %q", p.Caption, got, want)
		}
		if got := h.shown(p); got != want {
			t.Errorf("“%s” is given to %q, want %q", p.Caption, got, want)
		}
	}
	const members, all = "s,b,c,m,n,j,k", ",s,b,c,m,n,j,k"
	p, junior := h.add("m", pegOne, "the gap", 1), h.add("j", pegOne, "my peg", 2)
	both(p, members)
	both(junior, "s,b,c,j")
	for _, who := range []string{"", "c", "m", "n", "j"} {
		h.actOn(who, p.ID, club.ActOpen, "", club.Forbidden)
	}
	h.actOn("b", junior.ID, club.ActOpen, "", club.Conflict)
	h.actOn("b", p.ID, club.ActOpen, "", fine)
	h.actOn("b", p.ID, club.ActOpen, "", club.Conflict)
	both(p, all)
	h.s.do(`update venues set open = false`)
	if got := h.shown(p); got != members {
		t.Errorf("of a water that is shut it is given to %q", got)
	}
	h.s.do(`update venues set open = true`)
	h.actOn("s", p.ID, club.ActShut, "", fine)
	both(p, members)
	h.actOn("s", p.ID, club.ActOpen, "", fine)
	h.actOn("b", p.ID, club.ActHide, "A face", fine)
	both(p, "s,b,m")
	h.actOn("b", p.ID, club.ActShow, "", fine)
	both(p, members) // and not open again of itself
	h.actOn("c", junior.ID, club.ActApprove, "", fine)
	both(junior, members)
	for _, who := range []string{"n", "j", "c"} {
		h.actOn(who, p.ID, club.ActRemove, "Not mine", club.Forbidden)
	}
	h.actOn("s", p.ID, club.ActRemove, "", club.Invalid)
	h.actOn("s", p.ID, club.ActRemove, "A face", fine)
	h.actOn("j", junior.ID, club.ActRemove, "", fine)
	both(p, "")
	both(junior, "")
	if n := one[int](h.s, `select count(*) from picture_data`); n != 0 {
		t.Errorf("%d sets of bytes are left", n)
	}
	if n := one[int](h.s, `select count(*) from log where what = 'photograph: remove'`); n != 2 {
		t.Errorf("the log holds %d", n)
	}
}

// TestBytesAreKeptOnce: by their hash, for as long as something shows them, a removed
// water's among what goes.
func TestBytesAreKeptOnce(t *testing.T) {
	t.Parallel()
	h, far := newHall(t), club.Place{Venue: "far"} // which has no soundings, so that it can go
	a, b := h.add("m", pegOne, "the gap", 1), h.add("n", far, "the same", 1)
	sum := sha256.Sum256([]byte("large 1"))
	if a.Hash != b.Hash || a.Hash != hex.EncodeToString(sum[:]) || one[int](h.s, `select count(*) from picture_data`) != 2 {
		t.Errorf("%s and %s", a.Hash, b.Hash)
	}
	h.actOn("m", a.ID, club.ActRemove, "", fine)
	if got := h.shown(b); got != "s,b,c,m,n,j,k" {
		t.Errorf("the other's is given to %q", got)
	}
	h.s.do(`delete from members where name = 'Member n'`)
	if v, err := h.book.Notes(background(t), far, token('s'), now); err != nil || len(v.Pictures) != 1 || v.Pictures[0].Author != "" {
		t.Errorf("a removed member's photograph: %+v, %v", v.Pictures, err)
	}
	h.s.do(`delete from venues where slug = 'far'`)
	if n := one[int](h.s, `select count(*) from picture_data`); n != 0 {
		t.Errorf("%d sets of bytes outlive their water", n)
	}
}

// TestOneRoundOfWaiting lists where a junior's things wait, for those who approve.
func TestOneRoundOfWaiting(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	h.write("j", pegOne, club.NoteDraft{Text: "a"})
	h.write("k", pegOne, club.NoteDraft{Text: "b"})
	h.write("k", pegOne, club.NoteDraft{Text: "mine", Private: true})
	h.add("j", nearBy, "c", 1)
	want := []club.WaitingPlace{{VenueSlug: "near", VenueName: "Near Bank", Pictures: 1}, {VenueSlug: "near", VenueName: "Near Bank", PegLabel: "1", Notes: 2}}
	for _, who := range everyone {
		w, err := h.book.Waiting(background(t), h.who[who].Session, now)
		if may := strings.Contains("s b c", who) && who != ""; may != (err == nil) || may && !reflect.DeepEqual(w.Places, want) || !may && (club.KindOf(err) != club.Forbidden || len(w.Places) > 0) {
			t.Errorf("%q: %+v, %v", who, w.Places, err)
		}
	}
}

// TestARenumberedPeg: a form that names a peg by its lasting code writes nothing on the
// peg that has its number now.
func TestARenumberedPeg(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	stale := club.Place{Venue: "near", Peg: club.PegRef{Label: "1", Code: "3333"}}
	_, err := h.book.WriteNote(background(t), h.who["m"], stale, club.NoteDraft{Text: "x"}, now)
	if club.KindOf(err) != club.Conflict || !strings.Contains(err.Error(), "it is peg 2 now") {
		t.Error(err)
	}
	if _, err := h.book.AddPicture(background(t), h.who["m"], stale, draft("x", 1), now); club.KindOf(err) != club.Conflict || one[int](h.s, `select count(*) from picture_data`) != 0 {
		t.Error(err)
	}
}
