package handlers_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/textproto"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"levelpeg/club"
)

const (
	notesOf14    = "/venues/sallow-reach/pegs/14/notes"
	notesOfReach = "/venues/sallow-reach/notes"
	photosOf14   = "/venues/sallow-reach/pegs/14/photographs"
)

func (s site) as(role club.Role, path string) answer {
	s.Helper()
	return s.get(path, "Cookie", cookieOf(role))
}

// TestWriteANote: it stands on its page and on the sheet, with its levels as the board
// shows them, as HTML where it has markup.
func TestWriteANote(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	sheet := s.as(club.Angler, sheetOfPeg14)
	for _, link := range []string{`href="` + notesOf14 + `#write"`, `href="` + notesOf14 + `#photograph"`} {
		if !strings.Contains(sheet.body, link) || strings.Contains(s.get(sheetOfPeg14).body, link) {
			t.Errorf("the sheet does not lead a member to %s, or does a visitor", link)
		}
	}
	note := url.Values{"text": {"Cast to the *far* rushes.\r\n\r\n- roach\r\n- dace"}, "from_level": {"0,40"}, "to_level": {"0.9 m"}, "sees": {"club"}}
	page := s.done(s.postAs(notesOf14, club.Angler, note), club.Angler, "Your note is in the book.")
	for _, a := range []answer{page, s.get(sheetOfPeg14), s.get(notesOf14)} {
		for _, want := range []string{`<p>Cast to the <em>far</em> rushes.</p><ul><li>roach</li><li>dace</li></ul>`, "from 0.40 m to 0.90 m"} {
			if !strings.Contains(a.body, want) {
				t.Errorf("a page lacks %s", want)
			}
		}
	}
	// Its writer changes it, with the form as it stands, and takes it away.
	edit := s.act(page, `aria-label="Change the note"`)
	if !strings.Contains(page.body, `value="0.40"`) || !strings.Contains(page.body, "Cast to the *far* rushes.\n\n- roach") {
		t.Error("the form to change it does not hold it")
	}
	page = s.done(s.postAs(edit, club.Angler, url.Values{"text": {"Cast near."}, "sees": {"me"}}), club.Angler, "Your note is changed. Only you see it.")
	if !strings.Contains(page.body, "<blockquote>Cast near.</blockquote>") || strings.Contains(s.get(sheetOfPeg14).body, "Cast near.") || !strings.Contains(s.as(club.Angler, sheetOfPeg14).body, "only you see this") {
		t.Error("what only its writer sees is seen by others, or not by its writer")
	}
	s.done(s.postAs(edit+"/remove", club.Angler, nil), club.Angler, "The note is taken away.")
	// Of a venue, it stands on the venue's page.
	s.done(s.postAs(notesOfReach, club.Bailiff, url.Values{"text": {"Cattle in the top field."}}), club.Bailiff, "Your note is in the book.")
	s.want("/venues/sallow-reach", 200, "Cattle in the top field.", `href="`+notesOfReach+`"`)
	if strings.Contains(s.get(notesOf14).body, "Cattle") {
		t.Error("a venue's note stands on a peg's page")
	}
	s.clean()
}

// clean wants nothing of ours to have gone wrong.
func (s site) clean() {
	s.Helper()
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		s.Errorf("logged: %s", log)
	}
}

// TestAJuniorsNoteWaits, is found by a coach, and is hidden and shown by a bailiff.
func TestAJuniorsNoteWaits(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	if page := s.as(club.Junior, notesOf14); !strings.Contains(page.body, "waits until a coach") {
		t.Error("a junior is not told that it waits")
	}
	s.done(s.postAs(notesOf14, club.Junior, url.Values{"text": {"My best chub"}}), club.Junior, "Your note waits until a coach")
	if strings.Contains(s.as(club.Angler, notesOf14).body, "My best chub") || strings.Contains(s.as(club.Angler, sheetOfPeg14).body, "My best chub") {
		t.Error("another member sees what waits")
	}
	list := s.as(club.Coach, "/waiting")
	if list.status != 200 || !strings.Contains(list.body, `href="`+notesOf14+`">Peg 14, Sallow Reach: 1 note`) {
		t.Errorf("%d %.200s", list.status, list.body)
	}
	for _, role := range []club.Role{"", club.Angler, club.Junior} {
		if a := s.as(role, "/waiting"); a.status != 403 {
			t.Errorf("%q reads what waits: %d", role, a.status)
		}
	}
	page := s.as(club.Coach, notesOf14)
	approve := s.act(page, "waits to be approved")
	if !strings.HasSuffix(approve, "/approve") {
		t.Fatalf("the first button is %s", approve)
	}
	s.done(s.postAs(approve, club.Coach, nil), club.Coach, "The note is approved")
	if visitor := s.get(notesOf14); !strings.Contains(visitor.body, "My best chub") || !strings.Contains(visitor.body, "a junior, ") || strings.Contains(visitor.body, "Ellie") {
		t.Error("a visitor does not see it, or reads whose it is")
	}
	hide := strings.TrimSuffix(approve, "approve") + "hide"
	if a := s.postAs(hide, club.Bailiff, url.Values{"why": {" "}}); a.status != 400 || !strings.Contains(a.body, "Write why") {
		t.Errorf("hidden without a reason: %d", a.status)
	}
	if a := s.postAs(hide, club.Bailiff, url.Values{"why": {strings.Repeat("w", 301)}}); a.status != 400 || !strings.Contains(a.body, `value="www`) || !strings.Contains(a.body, "<details open>") {
		t.Errorf("a reason that is too long is lost: %d", a.status)
	}
	s.done(s.postAs(hide, club.Bailiff, url.Values{"why": {"Says where <b>she</b> was"}}), club.Bailiff, "The note is hidden.")
	if strings.Contains(s.get(notesOf14).body, "My best chub") || !strings.Contains(s.as(club.Junior, notesOf14).body, "hidden: Says where &lt;b&gt;she&lt;/b&gt; was") {
		t.Error("it is seen, or its writer is not told why not")
	}
	s.done(s.postAs(strings.TrimSuffix(approve, "approve")+"show", club.Secretary, nil), club.Secretary, "The note is shown again.")
	s.want(notesOf14, 200, "My best chub")
	s.clean()
}

// form is a form with a photograph, as a browser sends it; with no file where data is nil.
func photoForm(t testing.TB, caption, name string, data []byte) (kind, body string) {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	err := w.WriteField("caption", caption)
	if err == nil && data != nil {
		h := textproto.MIMEHeader{"Content-Disposition": {fmt.Sprintf(`form-data; name="photograph"; filename=%q`, name)}, "Content-Type": {"image/jpeg"}}
		part, failed := w.CreatePart(h)
		if failed != nil {
			t.Fatal(failed)
		}
		_, err = part.Write(data)
	}
	if err != nil || w.Close() != nil {
		t.Fatal(err)
	}
	return w.FormDataContentType(), b.String()
}

func (s site) addAs(path string, role club.Role, caption, name string, data []byte, header ...string) answer {
	s.Helper()
	kind, body := photoForm(s.T, caption, name, data)
	return s.send(path, kind, body, append([]string{"Sec-Fetch-Site", "same-origin", "Cookie", cookieOf(role)}, header...)...)
}

// taken is a photograph as a phone takes it: on its side, and with where it was taken.
func taken(t testing.TB) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 2000, 1500))
	for i := range img.Pix {
		img.Pix[i] = uint8(i / 4 % 251)
	}
	for y := range 750 {
		for x := range 2000 {
			img.SetRGBA(x, y, color.RGBA{200, 30, 30, 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	tiff := []byte("Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x02" + "\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00" + "\x88\x25\x00\x04\x00\x00\x00\x01\x00\x00\x00\x26" +
		"\x00\x00\x00\x00" + "\x00\x01\x00\x01\x00\x02\x00\x00\x00\x02N\x00\x00\x00" + whereTaken)
	segment := append([]byte{0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(tiff)+2))...)
	return bytes.Join([][]byte{b.Bytes()[:2], segment, tiff, b.Bytes()[2:]}, nil)
}

const whereTaken = "52 deg 30 min 00 sec"

var pictureLink = regexp.MustCompile(`<a href="(/pictures/[0-9a-f]{64})"><img src="(/pictures/[0-9a-f]{64})" width="(\d+)" height="(\d+)" alt="([^"]*)" loading="lazy"`)

// TestAddAPhotograph: it comes out small, upright, without where it was taken, and for
// those alone who may see it.
func TestAddAPhotograph(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	if !bytes.Contains(taken(t), []byte(whereTaken)) {
		t.Fatal("the photograph holds no position")
	}
	page := s.done(s.addAs(photosOf14, club.Angler, "The gap, from the post", "../../x.exe", taken(t)), club.Angler, "Your photograph is in the book.")
	m := pictureLink.FindStringSubmatch(page.body)
	if m == nil || m[3] != "360" || m[4] != "480" || m[5] != "The gap, from the post" {
		t.Fatalf("the page shows %v", m)
	}
	if sheet := s.as(club.Junior, sheetOfPeg14); !strings.Contains(sheet.body, m[0]) || strings.Contains(s.get(sheetOfPeg14).body, m[1]) {
		t.Error("the sheet does not show it to a member, or does to a visitor")
	}
	large := s.as(club.Junior, m[1])
	img, err := jpeg.Decode(strings.NewReader(large.body))
	if err != nil || img.Bounds().Dx() != 1200 || img.Bounds().Dy() != 1600 {
		t.Fatalf("%v, %v", img.Bounds(), err)
	}
	// Its first row is the right side of the scene (Exif 2.3, tag 0x0112, 6).
	if r, g, _, _ := img.At(1100, 800).RGBA(); r < 150<<8 || g > 80<<8 {
		t.Error("it does not stand upright")
	}
	for _, word := range []string{whereTaken, "Exif", "GPS"} {
		if strings.Contains(large.body, word) {
			t.Errorf("it says %q", word)
		}
	}
	for name, want := range map[string]string{"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff", "Cache-Control": "private, no-cache", "Cross-Origin-Resource-Policy": "same-origin", "Content-Encoding": ""} {
		if got := large.header.Get(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	tag := large.header.Get("ETag")
	if tag != `"`+strings.TrimPrefix(m[1], "/pictures/")+`"` {
		t.Errorf("ETag %s", tag)
	}
	if again := s.get(m[1], "Cookie", cookieOf(club.Angler), "If-None-Match", tag, "Accept-Encoding", "gzip"); again.status != 304 || again.body != "" {
		t.Errorf("asked again: %d", again.status)
	}
	for _, path := range []string{m[1], m[2], "/pictures/" + strings.Repeat("0a", 32), "/pictures/" + strings.ToUpper(strings.TrimPrefix(m[1], "/pictures/")), "/pictures/x", "/pictures/" + strings.Repeat("zz", 32)} {
		if a := s.get(path, "If-None-Match", tag); a.status != 404 || a.header.Get("ETag") != "" {
			t.Errorf("a visitor is given %s: %d", path, a.status)
		}
	}
	// A bailiff opens it, and hides it; the secretary takes it away.
	at := regexp.MustCompile(photosOf14 + `/\d+/`).FindString(s.as(club.Bailiff, notesOf14).body)
	s.done(s.postAs(at+"open", club.Bailiff, nil), club.Bailiff, "The photograph is open")
	if a := s.want(m[1], 200); a.body != large.body || !strings.Contains(s.get(sheetOfPeg14).body, m[0]) {
		t.Error("a visitor does not see what is open")
	}
	s.done(s.postAs(at+"hide", club.Bailiff, url.Values{"why": {"A face"}}), club.Bailiff, "The photograph is hidden.")
	for role, status := range map[club.Role]int{"": 404, club.Junior: 404, club.Coach: 404, club.Angler: 200, club.Secretary: 200} {
		if a := s.get(m[1], "Cookie", cookieOf(role), "If-None-Match", map[bool]string{true: tag}[status == 404]); a.status != status {
			t.Errorf("hidden, %q is given it: %d", role, a.status)
		}
	}
	s.done(s.postAs(at+"remove", club.Secretary, url.Values{"why": {"A face"}}), club.Secretary, "The photograph is taken away.")
	if a := s.as(club.Secretary, m[1]); a.status != 404 {
		t.Errorf("taken away: %d", a.status)
	}
	s.clean()
}

// TestPhotographsThatAreNotTaken are answered with a sentence on the page, and what was
// written beside them is kept.
func TestPhotographsThatAreNotTaken(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	good := taken(t)
	huge := []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR\x00\x00\x75\x30\x00\x00\x75\x30\x08\x06\x00\x00\x00\x66\x27\xf8\xba") // 30,000 by 30,000
	for name, c := range map[string]struct {
		caption string
		data    []byte
		words   string
	}{
		"none":            {"Kept words", nil, "Choose a photograph first"},
		"an empty one":    {"Kept words", []byte{}, "Choose a photograph first"},
		"no caption":      {" ", good, "what the photograph shows"},
		"a long caption":  {strings.Repeat("k", 201), good, "201 signs long"},
		"words":           {"Kept words", []byte("<script>alert(1)</script>"), "not a photograph we can open"},
		"HEIC":            {"Kept words", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "save JPEG"},
		"a huge one":      {"Kept words", huge, "at most 60 million"},
		"a broken one":    {"Kept words", good[:len(good)/2], "broken, or not all of it came"},
		"15 MB and more":  {"Kept words", append(bytes.Clone(good), make([]byte, 15<<20)...), "over 15 MB"},
		"40 MB":           {"Kept words", append(bytes.Clone(good), make([]byte, 40<<20)...), "over 15 MB"},
		"script as words": {`"><script>alert(1)</script>`, []byte("x"), "not a photograph we can open"},
	} {
		a := s.addAs(photosOf14, club.Angler, c.caption, "a.jpg", c.data)
		if a.status != 400 || !strings.Contains(a.body, c.words) || strings.Contains(a.body, "<script>alert") {
			t.Errorf("%s: %d, the page does not say “%s”", name, a.status, c.words)
		}
		if c.caption == "Kept words" && !strings.Contains(a.body, `value="Kept words"`) {
			t.Errorf("%s: the words beside it are lost", name)
		}
	}
	kind, body := photoForm(t, "Kept words", "a.jpg", good)
	for name, c := range map[string]struct{ kind, body string }{
		"cut short": {kind, body[:len(body)-2000]}, "cut in the caption": {kind, body[:150]}, "no form": {"text/plain", "x"}, "no boundary": {"multipart/form-data", body},
		"a plain form": {"application/x-www-form-urlencoded", "caption=x&photograph=y"}, "nothing": {kind, ""},
	} {
		a := s.send(photosOf14, c.kind, c.body, "Sec-Fetch-Site", "same-origin", "Cookie", cookieOf(club.Angler))
		if a.status != 400 || !strings.Contains(a.body, "could not be read") {
			t.Errorf("%s: %d %.200s", name, a.status, a.body)
		}
	}
	if strings.Contains(s.as(club.Secretary, notesOf14).body, "<img") {
		t.Error("one was kept all the same")
	}
	s.clean()
}

// noteForms is every form of the pages of notes, for a note and a photograph.
func noteForms(place string, note, photo int64) []string {
	out := []string{place + "/notes", fmt.Sprint(place, "/notes/", note), place + "/photographs"}
	for _, act := range []string{"remove", "hide", "show", "approve", "refuse"} {
		out = append(out, fmt.Sprint(place, "/notes/", note, "/", act), fmt.Sprint(place, "/photographs/", photo, "/", act))
	}
	return append(out, fmt.Sprint(place, "/photographs/", photo, "/open"), fmt.Sprint(place, "/photographs/", photo, "/shut"))
}

var fields = []string{"text", "from_level", "to_level", "sees", "why", "code"}

// TestEveryFormOfNotes with every field missing, too long, of a wrong kind, and with
// script in it; and with other people's numbers, in everybody's hands: a sentence each
// time, nothing of ours goes wrong, and no script is in the page.
func TestEveryFormOfNotes(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	good := url.Values{"text": {"Fine"}, "from_level": {"0.2"}, "to_level": {"0.8"}, "sees": {"club"}, "why": {"Because"}}
	s.postAs(notesOf14, club.Secretary, url.Values{"text": {"The secretary's own"}, "sees": {"me"}})
	values := []string{"", " ", "\x00\xff", "<script>alert(1)</script>", strings.Repeat("x", 5000), strings.Repeat("9", 40), "NaN", "-1e9", "../../..", "'; drop table notes; --", "１.２", "\u202e\u200b"}
	bad := 0
	for _, path := range noteForms("/venues/sallow-reach/pegs/14", 1, 1) {
		for _, field := range append(fields, "nothing at all") {
			for _, v := range values {
				form := url.Values{}
				for name, value := range good {
					form[name] = value
				}
				form.Set(field, v)
				if field == "nothing at all" {
					form = url.Values{}
				}
				a := s.postAs(path, club.Junior, form)
				if a.status >= 500 || a.status == 200 || strings.Contains(a.body, "<script>alert") {
					t.Errorf("%s with %s %.20q: %d", path, field, v, a.status)
				}
				if a.status >= 400 {
					bad++
					if !strings.Contains(a.body, `class="problem"`) && !strings.Contains(a.body, "<h1>") {
						t.Errorf("%s with %s %.20q: no sentence", path, field, v)
					}
				}
			}
		}
	}
	if bad < 500 {
		t.Errorf("only %d were refused", bad)
	}
	for _, place := range []string{"/venues/sallow-reach/pegs/14", "/venues/sallow-reach", "/venues/sallow-reach/pegs/99", "/venues/nowhere", "/venues/nowhere/pegs/1", "/venues/%00/pegs/%ff"} {
		for _, id := range []int64{-1, 0, 1, 2, 77777, 1<<63 - 1} {
			for _, path := range noteForms(place, id, id) {
				for _, role := range []club.Role{"", club.Junior, club.Coach} {
					if a := s.postAs(path, role, url.Values{"why": {"Nosy"}}); a.status < 300 || a.status >= 500 {
						t.Errorf("%s as %q: %d", path, role, a.status)
					}
				}
			}
		}
	}
	for _, id := range []string{"x", "1e3", "99999999999999999999", "%00", "1;2"} {
		if a := s.postAs(notesOf14+"/"+id+"/hide", club.Bailiff, good); a.status != 404 {
			t.Errorf("%s: %d", id, a.status)
		}
	}
	s.clean()
}

// TestNotesOfNobody: visitors write nothing, and another site's page writes nothing with
// a member's cookie.
func TestNotesOfNobody(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	form := url.Values{"text": {"Not by me"}, "why": {"x"}}
	for _, role := range []club.Role{"", "nobody"} {
		if a := s.as(role, notesOf14); a.status != 200 || strings.Contains(a.body, `method="post"`) || !strings.Contains(a.body, "Members who are signed in") {
			t.Errorf("%q sees forms: %d", role, a.status)
		}
		for _, path := range noteForms("/venues/sallow-reach/pegs/14", 1, 1) {
			if a := s.postAs(path, role, form); a.status != 403 {
				t.Errorf("%s as %q: %d", path, role, a.status)
			}
		}
		if a := s.addAs(photosOf14, role, "Not by me", "a.jpg", taken(t)); a.status != 403 || !strings.Contains(a.body, "Sign in first") {
			t.Errorf("a photograph as %q: %d", role, a.status)
		}
	}
	for _, header := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}, {"Sec-Fetch-Site", "", "Origin", "https://elsewhere.example"}} {
		for _, path := range noteForms("/venues/sallow-reach/pegs/14", 1, 1) {
			if a := s.postAs(path, club.Secretary, form, header...); a.status != 403 {
				t.Errorf("%s with %v: %d", path, header, a.status)
			}
		}
		if a := s.addAs(photosOf14, club.Secretary, "Not by me", "a.jpg", taken(t), header...); a.status != 403 {
			t.Errorf("a photograph with %v: %d", header, a.status)
		}
	}
	if a := s.as(club.Secretary, notesOf14); strings.Contains(a.body, "Not by me") {
		t.Error("somebody else wrote")
	}
	for path, allow := range map[string]string{notesOf14: "GET, HEAD, POST", notesOfReach: "GET, HEAD, POST", photosOf14: "POST", notesOf14 + "/1/hide": "POST", "/waiting": "GET, HEAD"} {
		if a := s.ask(http.MethodPut, path); a.status != 405 || a.header.Get("Allow") != allow {
			t.Errorf("PUT %s: %d, %q", path, a.status, a.header.Get("Allow"))
		}
	}
}

// TestNothingTypedIsLost: what is refused stands in its form, as it was typed.
func TestNothingTypedIsLost(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	a := s.postAs(notesOf14, club.Angler, url.Values{"text": {" Two\n <b>lines</b> "}, "from_level": {"low"}, "to_level": {"1,5"}, "sees": {"me"}})
	for _, want := range []string{"“low” is not a level", "> Two\n &lt;b&gt;lines&lt;/b&gt; </textarea>", `value="low"`, `value="1,5"`, `<option value="me" selected>`} {
		if a.status != 400 || !strings.Contains(a.body, want) {
			t.Errorf("%d, the page lacks %s", a.status, want)
		}
	}
	long := strings.Repeat("long ", 1000)
	if a := s.postAs(notesOf14, club.Angler, url.Values{"text": {long}}); a.status != 400 || !strings.Contains(a.body, long) || !strings.Contains(a.body, "there is room for 4000") {
		t.Errorf("a note that is too long: %d", a.status)
	}
	if a := s.postAs(notesOf14, club.Angler, url.Values{"text": {"Turned round"}, "from_level": {"2"}, "to_level": {"1"}}); a.status != 400 || !strings.Contains(a.body, "Turn the two round") {
		t.Errorf("levels turned round: %d", a.status)
	}
	if a := s.postAs(notesOf14, club.Angler, url.Values{"text": {strings.Repeat("x", 300<<10)}}); a.status != 400 || !strings.Contains(a.body, "could not be read") {
		t.Errorf("a huge form: %d", a.status)
	}
	stale := codeOf(t, s, "sallow-reach", "15")
	if a := s.postAs(notesOf14, club.Angler, url.Values{"text": {"For 15"}, "code": {stale}}); a.status != 409 || !strings.Contains(a.body, "it is peg 15 now") || !strings.Contains(a.body, ">For 15</textarea>") {
		t.Errorf("a peg that was renumbered: %d", a.status)
	}
}

// TestNotesOutOfReach: with the book away what was typed is not lost without a word.
func TestNotesOutOfReach(t *testing.T) {
	t.Parallel()
	s := serve(t, badBook{fail: func() error { return club.Faultf(club.Unavailable, "The book is out of reach.") }})
	for _, path := range []string{notesOf14, photosOf14} {
		if a := s.postAs(path, club.Bailiff, url.Values{"text": {"x"}}); a.status != 503 || a.header.Get("Retry-After") == "" {
			t.Errorf("%s: %d, %v", path, a.status, a.header)
		}
	}
}
