package handlers_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

// pair is two servers on one database, each with a memory of its own.
type pair struct {
	a, b  *bank
	fresh func() *bank // that remembers nothing yet
}

func atClub(c *handlers.Config) { c.Address, c.Remember = "https://club.example", 64 }

func newPair(t *testing.T) pair {
	t.Helper()
	address := dbtest.NewDemo(t)
	rec := recordsAt(t, address)
	for _, role := range club.Roles() {
		rec.session(string(role), role)
	}
	one := func() *bank { return &bank{site: siteAt(t, address, atClub), rec: rec} }
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 1})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	p := pair{one(), one(), func() *bank { return &bank{site: serveWith(t, book, atClub), rec: rec} }}
	t.Cleanup(p.a.clean)
	t.Cleanup(p.b.clean)
	return p
}

// as is a member's browser, at one of the servers.
func (b *bank) as(role club.Role) *person {
	p := b.person()
	p.cookies["levelpeg_session"] = string(role)
	return p
}

// The page of a peg, now and at a moment to come.
const (
	peg14     = "/venues/sallow-reach/pegs/14"
	peg14Then = peg14 + "?at=2025-10-19T10:00" // tomorrow, by how the river went on before
)

// changes are written on one server and read on the other: who reads which page, and the
// write. What the page says may not be what it said, and both servers say what one says that
// has only just started.
var changes = []struct {
	name  string
	role  club.Role
	page  string
	write func(t *testing.T, a *bank)
}{
	{"a sounding", club.Angler, peg14, func(t *testing.T, a *bank) {
		run := a.rec.text(`select r.name from runs r join pegs p on p.id = r.peg_id join venues v on v.id = p.venue_id where p.label = '14' and v.slug = 'sallow-reach' order by r.distance_mm limit 1`)
		code := a.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where p.label = '14' and v.slug = 'sallow-reach'`)
		if state, why, _ := a.one(club.Bailiff, entry(a.id(), "kind", "sounding", "peg", code, "run", run, "depth", 2.9, "level", "0.90", "sure", true)); state != inTheBook {
			t.Errorf("%s: %s", state, why)
		}
	}},
	{"a kit", club.Angler, peg14, func(t *testing.T, a *bank) {
		if got := a.postAs("/kit", club.Angler, url.Values{"preset": {"junior"}}); got.status != 303 {
			t.Errorf("%d %.300s", got.status, got.body)
		}
	}},
	{"a gauge's zero", "", peg14, func(t *testing.T, a *bank) {
		const gauge = "/setup/gauges/teasel-bridge"
		s := secretary{a.as(club.Secretary), a.rec}
		if got := s.fill(gauge, gauge+"/zeros", "from", "2025-10-18T11:00", "old", "0.70", "new", "1.00", "reason", "Board replaced"); got.status != 303 {
			t.Errorf("%d %.300s", got.status, got.body)
		}
	}},
	{"levels of weeks ago", "", peg14Then, func(t *testing.T, a *bank) {
		var table strings.Builder
		table.WriteString("time,level\n")
		for at := dbtest.DemoNow.AddDate(-1, 0, 0); at.Before(dbtest.DemoNow.AddDate(0, 0, -10)); at = at.Add(3 * time.Hour) {
			fmt.Fprintf(&table, "%s,%.2f\n", at.Format("2006-01-02 15:04:05"), 0.5+0.2*float64(at.Hour()%9))
		}
		a.keepTable(t, table.String())
	}},
	{"the level of an hour when the peg was fished", "", peg14 + "?level=1.20", func(t *testing.T, a *bank) {
		var table strings.Builder
		table.WriteString("time,level\n")
		for i := range 60 {
			fmt.Fprintf(&table, "2025-10-12 10:%02d:30,0.90\n", i)
		}
		a.keepTable(t, table.String())
	}},
	{"a note that is approved", "", peg14, func(t *testing.T, a *bank) {
		a.done(a.postAs(notesOf14, club.Junior, url.Values{"text": {"My best chub"}}), club.Junior, "waits until")
		a.done(a.postAs(a.act(answer{body: a.as(club.Secretary).open(notesOf14).body}, "waits to be approved"), club.Secretary, nil), club.Secretary, "approved")
	}},
	{"a feed", club.Bailiff, feedsAt, func(t *testing.T, a *bank) {
		if got := a.postAs(feedsAt, club.Bailiff, goodFeed()); got.status != 303 {
			t.Errorf("%d %.300s", got.status, got.body)
		}
	}},
	{"the settings", "", "/", func(t *testing.T, a *bank) {
		if got := a.postAs("/settings", club.Secretary, url.Values{"name": {"Another Angling Club"}, "time_zone": {"Europe/London"}, "place": {"England"}, "open": {"sallow-reach"}}); got.status != 303 {
			t.Errorf("%d %.300s", got.status, got.body)
		}
	}},
	{"a closure", "", peg14, func(t *testing.T, a *bank) {
		a.done(a.postAs(closuresOfSallow, club.Bailiff, url.Values{"from_peg": {"14"}, "reason": {"Tree down"}}), club.Bailiff, "closed from now")
	}},
	{"a member who is removed", club.Coach, "/me", func(t *testing.T, a *bank) {
		id := a.rec.text(`select min(id) from members where role = 'coach'`)
		if got := a.postAs("/members/"+id+"/remove", club.Secretary, url.Values{"sure": {"1"}}); got.status != 303 {
			t.Errorf("%d %.300s", got.status, got.body)
		}
	}},
	{"a session that ends", club.Junior, "/me", func(t *testing.T, a *bank) {
		if got := a.postAs("/sign-out", club.Junior, nil); got.status != 303 {
			t.Errorf("%d %.300s", got.status, got.body)
		}
	}},
}

// keepTable takes a table in whole.
func (b *bank) keepTable(t *testing.T, table string) {
	t.Helper()
	p := b.as(club.Bailiff)
	at := p.sendFile("old.csv", table).header.Get("Location")
	p.says(p.goes(p.sends(at, keepForm(p.open(at).body, "source", "board", "bad", "leave")), feedsAt), 200, " new")
}

// TestWrittenHereReadThere: of everything that a server remembers, what is written on one
// is read at once on the other, which had read it before and remembered it.
func TestWrittenHereReadThere(t *testing.T) {
	t.Parallel()
	p := newPair(t)
	p.a.rec.do(`insert into outings (peg_id, at, colour) select p.id, '2025-10-12 09:20Z', 'a tinge' from pegs p join venues v on v.id = p.venue_id where p.label = '14' and v.slug = 'sallow-reach'`)
	for _, c := range changes {
		read := func(b *bank) answer {
			if c.role == "" {
				return b.get(c.page)
			}
			return b.as(c.role).open(c.page)
		}
		was := read(p.b)
		if again := read(p.a); again.status != was.status || again.body != was.body {
			t.Errorf("%s: the two differ before it is written: %s", c.name, firstOff(again.body, was.body))
		}
		c.write(t, p.a)
		is := read(p.b)
		if is.status == was.status && is.body == was.body {
			t.Errorf("%s: written on one, the other does not say it", c.name)
		}
		for name, b := range map[string]*bank{"where it was written": p.a, "a new one": p.fresh()} {
			if other := read(b); is.status != other.status || is.body != other.body {
				t.Errorf("%s: the other and %s differ: %s", c.name, name, firstOff(is.body, other.body))
			}
		}
	}
}

// firstOff is where two texts part.
func firstOff(a, b string) string {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	from := max(0, n-60)
	return fmt.Sprintf("…%.160q and …%.160q", a[from:], b[from:])
}

// TestATableFromHereToThere: sent to one server, looked at and kept on the other, and then
// gone from both.
func TestATableFromHereToThere(t *testing.T) {
	t.Parallel()
	p := newPair(t)
	here, there := p.a.as(club.Bailiff), p.b.as(club.Bailiff)
	at := here.sendFile("old.csv", notebook).header.Get("Location")
	page := there.says(there.open(at), 200, "2 rows can be kept", "old.csv")
	here.says(here.open(at), 200, "2 rows can be kept", "old.csv")
	there.says(p.b.as(club.Secretary).open(at), 404, "not here any more")
	there.says(there.goes(there.sends(at, keepForm(page.body, "source", "board", "bad", "leave")), feedsAt), 200, "2 new")
	for _, b := range []*person{here, there} {
		b.says(b.open(at), 404, "not here any more")
	}
	if n := p.a.rec.text(`select (select count(*) from waiting_tables) + (select count(*) from waiting_parts)`); n != "0" {
		t.Errorf("%s rows still wait", n)
	}
	// What waits goes with its sender's session.
	here.sendFile("old.csv", notebook)
	there.sends("/sign-out", nil)
	if n := p.a.rec.text(`select (select count(*) from waiting_tables) + (select count(*) from waiting_parts)`); n != "0" {
		t.Errorf("%s rows outlive the session", n)
	}
}

// TestAPasskeyFromHereToThere: begun on one server it ends on the other, as far as it goes
// without an authenticator: its challenge is known there, and once.
func TestAPasskeyFromHereToThere(t *testing.T) {
	t.Parallel()
	p := newPair(t)
	here, there := p.a.as(club.Angler), p.b.as(club.Angler)
	begun := here.says(here.send("/me/passkeys/begin"), 200, "challenge")
	if !json.Valid([]byte(begun.body)) {
		t.Fatal(begun.body)
	}
	there.cookies["levelpeg_ceremony"] = here.cookies["levelpeg_ceremony"]
	there.says(there.send("/me/passkeys/finish", "id", "x"), 400, "The passkey was not taken")
	there.cookies["levelpeg_ceremony"] = here.cookies["levelpeg_ceremony"]
	there.says(there.send("/me/passkeys/finish", "id", "x"), 400, "That took too long")
}

// TestTriesAreCountedTogether: what failed on either server.
func TestTriesAreCountedTogether(t *testing.T) {
	t.Parallel()
	p := newPair(t)
	for i := range 8 {
		b := []*bank{p.a, p.b}[i%2].person()
		b.says(b.send("/sign-in", "name", "nobody", "password", "wrong"), 403)
	}
	for _, b := range []*bank{p.a, p.b} {
		v := b.person()
		v.says(v.send("/sign-in", "name", "nobody", "password", "wrong"), 429)
	}
}

// TestALinkFromHereToThere: what was made on one server works on the other, once: a link to
// join, and an instrument's token.
func TestALinkFromHereToThere(t *testing.T) {
	t.Parallel()
	p := newPair(t)
	made := p.a.as(club.Bailiff)
	token := regexp.MustCompile(`<pre class="code" tabindex="0">([A-Za-z0-9_-]{43})</pre>`).FindStringSubmatch(made.sends("/gauges/teasel-bridge/loggers", url.Values{"name": {"Under the bridge"}}).body)
	if token == nil {
		t.Fatal("no token was shown")
	}
	row := dbtest.DemoNow.Add(-time.Minute).UTC().Format(time.RFC3339) + ",0.654\n"
	for i, b := range []*bank{p.b, p.a} {
		got := b.send("/api/1/levels", "text/csv", row, "Authorization", "Bearer "+token[1])
		b.person().says(got, 200, []string{`"new":1`, `"same":1`}[i])
	}
	p.a.rec.do(`insert into invitations (token_hash, kind, name, role, made_at, expires_at) values ($1, 'join', 'Zed Z.', 'member', $2, $3)`, sum("zed"), dbtest.DemoNow.Add(-time.Hour), dbtest.DemoNow.Add(time.Hour))
	zed := p.b.person()
	zed.says(p.a.person().open("/join/zed"), 200, "Zed Z.")
	if got := zed.keep(zed.send("/join/zed", "name", "Zed Z.", "sign_in", "zed", "password", goodWord)); got.status != 303 {
		t.Fatalf("%d %.400s", got.status, got.body)
	}
	here := p.a.person()
	here.cookies = zed.cookies
	here.says(here.open("/me"), 200, "Zed Z.")
	here.says(p.a.person().open("/join/zed"), 404)
}
