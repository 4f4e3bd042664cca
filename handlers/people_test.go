package handlers_test

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

// records is a connection beside the book under test.
type records struct {
	*testing.T
	conn *pgx.Conn
}

func recordsAt(t *testing.T, address string) records {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return records{t, conn}
}

func (c records) do(query string, args ...any) {
	c.Helper()
	if _, err := c.conn.Exec(context.Background(), query, args...); err != nil {
		c.Fatalf("%s: %v", query, err)
	}
}

// text is the single value of a query, as text.
func (c records) text(query string, args ...any) string {
	c.Helper()
	var v *string
	if err := c.conn.QueryRow(context.Background(), `select (`+query+`)::text`, args...).Scan(&v); err != nil {
		c.Fatalf("%s: %v", query, err)
	}
	if v == nil {
		return ""
	}
	return *v
}

// session signs the first member with a role in, by a token.
func (c records) session(token string, role club.Role) {
	c.Helper()
	sum := sha256.Sum256([]byte(url.QueryEscape(token)))
	c.do(`insert into sessions (token_hash, member_id, created_at, expires_at) select $1, min(id), $2, $3 from members where role = $4 and left_at is null`,
		sum[:], dbtest.DemoNow.Add(-time.Hour), dbtest.DemoNow.Add(time.Hour), role)
}

func (c records) cookie(token string) string { return "levelpeg_session=" + url.QueryEscape(token) }

// siteAt serves a database.
func siteAt(t *testing.T, address string, with func(*handlers.Config)) site {
	t.Helper()
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 2, Remember: 64})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	return serveWith(t, book, with)
}

func peopleSite(t *testing.T) (site, records) {
	t.Helper()
	address := dbtest.NewDemo(t)
	return siteAt(t, address, nil), recordsAt(t, address)
}

// walk asks for something as somebody who has just signed in.
func (s site) walk(c records, token string, role club.Role, method, path string) answer {
	s.Helper()
	header := []string{"Sec-Fetch-Site", "same-origin"}
	if role != "" {
		c.session(token, role)
		header = append(header, "Cookie", c.cookie(token))
	}
	if method == "POST" {
		return s.post(path, nil, header...)
	}
	return s.ask(method, path, header...)
}

// person is somebody's browser: it keeps the cookies it is given.
type person struct {
	site
	cookies map[string]string
}

func (s site) person() *person { return &person{s, map[string]string{}} }

func (p *person) header() []string {
	var all []string
	for name, value := range p.cookies {
		all = append(all, name+"="+value)
	}
	return []string{"Sec-Fetch-Site", "same-origin", "Cookie", strings.Join(all, "; ")}
}

func (p *person) keep(a answer) answer {
	for _, line := range a.header.Values("Set-Cookie") {
		pair, rest, _ := strings.Cut(line, ";")
		name, value, _ := strings.Cut(pair, "=")
		if p.cookies[name] = value; strings.Contains(rest, "Max-Age=0") {
			delete(p.cookies, name)
		}
	}
	return a
}

func (p *person) open(path string) answer {
	p.Helper()
	return p.keep(p.ask("GET", path, p.header()...))
}

func (p *person) send(path string, pairs ...string) answer {
	p.Helper()
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Add(pairs[i], pairs[i+1])
	}
	return p.keep(p.post(path, q, p.header()...))
}

// goes wants a form to lead on, and gives the page it leads to.
func (p *person) goes(a answer, to string) answer {
	p.Helper()
	if a.status != 303 || a.header.Get("Location") != to {
		p.Fatalf("%d to %q, want %q: %.500s", a.status, a.header.Get("Location"), to, a.body)
	}
	return p.open(to)
}

// says wants a page with a status that says the words.
func (s site) says(a answer, status int, words ...string) answer {
	s.Helper()
	if a.status != status {
		s.Errorf("%d, want %d: %.300s", a.status, status, a.body)
	}
	for _, w := range words {
		if !strings.Contains(a.body, w) {
			s.Errorf("it does not say “%s”: %.1500s", w, a.body)
		}
	}
	return a
}

var linkShape = regexp.MustCompile(`href="http://[^/"]+(/join/[A-Za-z0-9_-]{43})"`)

// links are the links that a page shows.
func (s site) links(a answer) []string {
	var out []string
	for _, m := range linkShape.FindAllStringSubmatch(a.body, -1) {
		out = append(out, m[1])
	}
	return out
}

const goodWord = "three grey swans"

// TestFromTheFirstSecretaryOn: a club from its first link to a member who has left.
func TestFromTheFirstSecretaryOn(t *testing.T) {
	t.Parallel()
	address := dbtest.New(t)
	s, c := siteAt(t, address, nil), recordsAt(t, address)
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 1})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	if err := book.FirstLink(context.Background(), sum("first"), dbtest.DemoNow); err != nil {
		t.Fatal(err)
	}
	ann := s.person()
	s.says(ann.open("/join/first"), 200, "Make the first secretary", "The club's name")
	s.says(ann.open("/join/other"), 404, "has been used, or has run out")
	s.says(ann.send("/join/first", "name", "Ann B.", "sign_in", "ann", "password", goodWord, "time_zone", "Europe/London", "place", "England"), 400, "Write the club&#39;s name")
	page := ann.goes(ann.send("/join/first", "name", "Ann B.", "sign_in", "Ann", "password", goodWord, "club", "Test club", "time_zone", "Europe/London", "place", "England", "own", "1"), "/settings")
	s.says(page, 200, "Test club", `href="/me">Ann<`)
	s.says(s.person().open("/join/first"), 404)
	if err := book.FirstLink(context.Background(), sum("second"), dbtest.DemoNow); club.KindOf(err) != club.Conflict {
		t.Errorf("another first link: %v", err)
	}
	// She invites three; one of them as a bailiff.
	page = s.says(ann.send("/members/invite", "names", "Bob C., bailiff\n\nCid D.\nEve F.", "role", "member"), 200, "<svg class=\"qr\"", "Bob C.", "To join as a bailiff")
	links := s.links(page)
	if len(links) != 3 {
		t.Fatalf("links %v", links)
	}
	bob := s.person()
	s.says(bob.open(links[0]), 200, "Join Test club", "You join as a bailiff.", `value="bob-c"`)
	s.says(bob.open(links[0]), 200) // opening it again uses nothing up
	s.says(bob.send(links[0], "name", "Bob C.", "sign_in", "ann", "password", goodWord), 409, "Somebody signs in as “ann” already", `value="Bob C."`)
	s.says(bob.send(links[0], "name", "Bob C.", "sign_in", "bob", "password", "short"), 400, "too short")
	s.says(bob.goes(bob.send(links[0], "name", "Bob C.", "sign_in", "bob", "password", goodWord), "/me"), 200, "Bob C.", "A bailiff")
	s.says(s.person().send(links[0], "name", "Bob C.", "sign_in", "bob2", "password", goodWord), 404, "has been used")
	if role := c.text(`select role from members where sign_in = 'bob'`); role != "bailiff" {
		t.Errorf("Bob is %s", role)
	}
	if n := c.text(`select count(*) from invitations where name = 'Bob C.'`); n != "0" {
		t.Errorf("%s links that were used keep a name", n)
	}
	// A withdrawn link leads nowhere; a new one for a name takes the place of the old.
	open := c.text(`select encode(token_hash, 'hex') from invitations where name = 'Cid D.'`)
	s.says(ann.goes(ann.send("/members/links/"+open+"/withdraw"), "/members"), 200, "The link is withdrawn.")
	s.says(s.person().open(links[1]), 404)
	again := s.links(ann.send("/members/invite", "names", "Eve F.", "role", "coach"))
	s.says(s.person().open(links[2]), 404)
	s.says(s.person().open(again[0]), 200, "You join as a coach.")
	// Bob signs out and in again, is renamed, leaves, and comes back.
	s.says(bob.goes(bob.send("/sign-out"), "/sign-in"), 200, "You are signed out.")
	s.says(bob.open("/me"), 403, "Sign in first")
	s.says(bob.send("/sign-in", "name", "bob", "password", "three grey swan"), 403, "do not go together", `value="bob"`)
	s.says(bob.goes(bob.send("/sign-in", "name", " BOB ", "password", goodWord, "to", "/kit?x=1"), "/kit?x=1"), 200, `>Bob</a>`)
	id := c.text(`select id from members where sign_in = 'bob'`)
	s.says(ann.goes(ann.send("/members/"+id, "name", "Robert C.", "role", "coach"), "/members/"+id), 200, "Robert C. is a coach.")
	s.says(bob.open("/members"), 200, "Juniors", "Nobody yet.")
	s.says(ann.goes(ann.send("/members/leavers", "left", id), "/members"), 200, "One member is marked", "Have left")
	s.says(bob.open("/me"), 403)
	s.says(bob.send("/sign-in", "name", "bob", "password", goodWord), 403, "do not go together")
	back := s.links(s.says(ann.send("/members/"+id+"/back"), 200, "To join again"))
	s.says(bob.goes(bob.send(back[0], "sign_in", "bob", "password", goodWord), "/me"), 200, "Robert C.")
	// The log has it, newest first, and names people only as they are named now.
	s.says(ann.open("/log"), 200, "brought back: Robert C.", "marked as left: Robert C.", "invited", "joined", "From a bailiff to a coach.")
	s.says(ann.open("/log?what=joined&member="+id), 200, "Joined as a coach.")
	if a := ann.open("/log?what=joined&member=" + id); strings.Contains(a.body, "brought back: ") {
		t.Error("the log shows what was not asked for")
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.600s", log)
	}
}

// TestTooManyTries: of one account and of one address, with the wait; passwords that are
// right are refused, too, until it is over.
func TestTooManyTries(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	ann := s.person()
	for i := range 8 {
		if a := ann.send("/sign-in", "name", "nobody", "password", "wrong"); a.status != 403 {
			t.Fatalf("try %d: %d", i+1, a.status)
		}
	}
	s.says(ann.send("/sign-in", "name", "nobody", "password", "wrong"), 429, "That was tried too often. Try again in 15 minutes.")
	c.do(`update tries set at = at - interval '11 minutes'`)
	late := ann.send("/sign-in", "name", "nobody", "password", "wrong")
	if s.says(late, 429, "Try again in 4 minutes."); late.header.Get("Retry-After") != "240" {
		t.Errorf("to be tried again after %q s", late.header.Get("Retry-After"))
	}
	c.do(`update tries set at = at - interval '4 minutes'`)
	s.says(ann.send("/sign-in", "name", "nobody", "password", "wrong"), 403)
	c.do(`delete from tries`)
	for i := range 40 {
		c.do(`insert into tries (key, at) values (sha256('address 127.0.0.1'), $1)`, dbtest.DemoNow.Add(-time.Duration(i)*time.Second))
	}
	s.says(ann.send("/sign-in", "name", "somebody", "password", "wrong"), 429, "Try again in 15 minutes.")
	// What a request says of itself makes no difference while no proxy is trusted.
	s.says(s.post("/sign-in", url.Values{"name": {"x"}, "password": {"y"}}, "X-Forwarded-For", "203.0.113.9", "X-Real-IP", "203.0.113.9"), 429)
	if n := c.text(`select count(*) from tries where key = sha256('account somebody')`); n != "0" {
		t.Errorf("%s tries of an account that was not judged", n)
	}
}

// TestTriesBehindAProxy: what a trusted proxy says is believed, and its last word only.
func TestTriesBehindAProxy(t *testing.T) {
	t.Parallel()
	address := dbtest.NewDemo(t)
	s, c := siteAt(t, address, func(o *handlers.Config) {
		o.Proxies, o.Address = []string{"127.0.0.0/8"}, "https://waters.example"
	}), recordsAt(t, address)
	for _, from := range []string{"203.0.113.9", "198.51.100.1, 203.0.113.9", "2001:db8:1:2:3:4:5:6", "rubbish"} {
		s.post("/sign-in", url.Values{"name": {"x"}, "password": {"y"}}, "X-Forwarded-For", from)
	}
	for key, n := range map[string]string{"203.0.113.9": "2", "2001:db8:1:2::/64": "1", "127.0.0.1": "0", "198.51.100.1": "0"} {
		if got := c.text(`select count(*) from tries where key = sha256(convert_to('address ' || $1, 'UTF8'))`, key); got != n {
			t.Errorf("%s tries of %s, want %s", got, key, n)
		}
	}
	// Behind https the cookies say so.
	c.do(`update members set sign_in = 'alan', password = $1 where name = 'Alan K.'`, hashed(t, goodWord))
	for own, age := range map[string]string{"": "", "1": "Max-Age=7776000"} {
		a := s.post("/sign-in", url.Values{"name": {"alan"}, "password": {goodWord}, "own": {own}})
		cookie := a.header.Get("Set-Cookie")
		if a.status != 303 || !strings.Contains(cookie, "levelpeg_session=") || !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "Secure") || !strings.Contains(cookie, "SameSite=Lax") || !strings.Contains(cookie, "Path=/") || !strings.Contains(cookie, age) || age == "" && strings.Contains(cookie, "Max-Age") {
			t.Errorf("own %q: %d, cookie %q", own, a.status, cookie)
		}
	}
	if got := c.text(`select string_agg(extract(epoch from expires_at - created_at)::integer::text, ' ' order by expires_at) from sessions`); got != "43200 7776000" {
		t.Errorf("the sessions last %s seconds, want 12 hours and 90 days", got)
	}
}

// TestJuniors: made with consent, by a coach; they sign in with a word of their own, see
// the welfare contact, and no visitor reads their name.
func TestJuniors(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	coach := s.person()
	coach.cookies["levelpeg_session"] = "coach"
	c.session("coach", club.Coach)
	for _, bad := range []struct{ name, consent, says string }{
		{"", "Her mother", "Write a name"}, {"Zara", "", "who gave consent"}, {"zara@post.example", "Her mother", "no e-mail"},
		{"Zara 2013", "Her mother", "Leave dates"}, {"Zara of the long name here", "Her mother", "short"}, {"Zara", strings.Repeat("x", 201), "201 signs"},
	} {
		s.says(coach.send("/members/juniors", "name", bad.name, "consent", bad.consent), 400, bad.says)
	}
	page := s.says(coach.send("/members/juniors", "name", "Zara", "consent", "Her mother, on paper"), 200, "Afterwards Zara signs in here", "/sign-in?name=zara")
	zara := s.person()
	link := s.links(page)[0]
	s.says(zara.open(link), 200, "You sign in as “zara”", "secret of your own")
	s.says(zara.goes(zara.send(link, "password", goodWord, "own", "1", "sign_in", "else", "name", "Else"), "/me"), 200, "Zara", "Hana V., welfare@lathern-vale.example")
	for _, path := range []string{"/venues/sallow-reach/pegs/14", "/venues/sallow-reach", "/", "/venues/sallow-reach/tonight", "/kit", "/rig", "/gauges/teasel-bridge"} {
		s.says(zara.open(path), 200, "Hana V., welfare@lathern-vale.example")
		if strings.Contains(s.get(path).body, "Hana V.") {
			t.Errorf("a visitor reads the welfare contact at %s", path)
		}
	}
	s.says(s.person().open("/sign-in?name=zara"), 200, `value="zara"`)
	again := s.person()
	s.says(again.goes(again.send("/sign-in", "name", "zara", "password", goodWord), "/"), 200, ">Zara</a>")
	id := c.text(`select id from members where name = 'Zara'`)
	if got := c.text(`select consent || ', ' || (select name from members b where b.id = m.consent_by) || ', ' || to_char(consent_at at time zone 'UTC', 'YYYY-MM-DD') from members m where id = $1::text::bigint`, id); got != "Her mother, on paper, Graham W., 2025-10-18" {
		t.Errorf("the consent reads %q", got)
	}
	// A coach looks after juniors and nobody else.
	s.says(coach.open("/members"), 200, "Zara", "Ellie")
	other := c.text(`select id from members where name = 'Joe H.'`)
	if strings.Contains(coach.open("/members").body, "Joe H.") {
		t.Error("a coach sees other members")
	}
	for _, path := range []string{"/members/" + other} {
		s.says(coach.open(path), 404, "no such member")
	}
	s.says(coach.send("/members/"+other+"/link"), 404)
	s.says(coach.send("/members/"+other+"/remove", "sure", "1"), 403)
	if links := s.links(coach.send("/members/" + id + "/link")); len(links) != 1 {
		t.Errorf("links %v", links)
	}
	// The next of the name signs in by another.
	s.says(coach.send("/members/juniors", "name", "Zara", "consent", "His father"), 200, "/sign-in?name=zara-2")
	// A note of hers is hers to members, and nobody's to visitors.
	c.do(`insert into notes (peg_id, author_id, at, text) select p.id, $1::text::bigint, $2, 'By the willow' from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`, id, dbtest.DemoNow)
	for _, path := range []string{"/venues/sallow-reach/pegs/14", "/venues/sallow-reach/pegs/14.json"} {
		if a := s.get(path); !strings.Contains(a.body, "14") || strings.Contains(a.body, "Zara") {
			t.Errorf("a visitor reads a junior's name at %s", path)
		}
	}
	s.says(s.get("/venues/sallow-reach/pegs/14"), 200, "By the willow")
	s.says(coach.open("/venues/sallow-reach/pegs/14"), 200, "By the willow", "Zara, ")
}

// TestVisitorsReadNoNames: nothing that a visitor sees names a member.
func TestVisitorsReadNoNames(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	names := strings.Split(c.text(`select string_agg(name, '|') from members`), "|")
	paths := []string{"/", "/venues", "/venues.json", "/kit", "/kit.json", "/rig", "/rig.json", "/words", "/sign-in", "/find?q=14"}
	for _, slug := range []string{"sallow-reach", "tansy-meadow", "cinder-bend"} {
		paths = append(paths, "/venues/"+slug, "/venues/"+slug+".json", "/venues/"+slug+"/closures", "/venues/"+slug+"/tonight", "/venues/"+slug+"/tonight.json", "/venues/"+slug+"/tonight.txt")
		for _, label := range strings.Split(c.text(`select string_agg(label, '|') from pegs p join venues v on v.id = p.venue_id where v.slug = $1`, slug), "|") {
			paths = append(paths, "/venues/"+slug+"/pegs/"+label, "/venues/"+slug+"/pegs/"+label+".json")
		}
	}
	for _, slug := range strings.Split(c.text(`select string_agg(slug, '|') from gauges`), "|") {
		paths = append(paths, "/gauges/"+slug, "/gauges/"+slug+".json")
	}
	for _, path := range paths {
		a := s.want(path, 200)
		for _, name := range names {
			if strings.Contains(a.body, name) {
				t.Errorf("%s names %s", path, name)
			}
		}
	}
	t.Logf("%d pages and JSON, %d names", len(paths), len(names))
}

// TestWhatIsNotOpen: a visitor sees nothing of a water that the club has not opened, by
// any address; a member does.
func TestWhatIsNotOpen(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	secretary := s.person()
	secretary.cookies["levelpeg_session"] = "secretary"
	c.session("secretary", club.Secretary)
	c.session("member", club.Angler)
	code := codeOf(t, s, "sallow-reach", "14")
	s.want("/venues/sallow-reach/pegs/14", 200) // so that the server remembers it
	s.want("/venues/sallow-reach/tonight", 200)
	s.says(secretary.goes(secretary.send("/settings", "name", "Lathern Vale Angling Club", "time_zone", "Europe/London", "place", "England", "open", "cinder-bend"), "/settings"), 200, "Kept.")
	member := []string{"Cookie", c.cookie("member")}
	gauge := c.text(`select slug from gauges where id = (select gauge_id from venues where slug = 'sallow-reach')`)
	for _, path := range []string{"/venues/sallow-reach", "/venues/sallow-reach.json", "/venues/sallow-reach/closures", "/venues/sallow-reach/pegs/14", "/venues/sallow-reach/pegs/14?at=2025-10-20T10:00", "/venues/sallow-reach/pegs/14.json",
		"/venues/sallow-reach/pegs/99", "/venues/sallow-reach/tonight", "/venues/sallow-reach/tonight.json", "/venues/sallow-reach/tonight.txt", "/gauges/" + gauge, "/gauges/" + gauge + ".json", "/p/" + code, "/rig?code=" + code, "/find?q=" + code} {
		a := s.get(path)
		if a.status != 403 || !strings.Contains(a.body, "only members who are signed in may see it") || strings.Contains(a.body, "Sallow Reach") || strings.Contains(a.body, "Teasel") {
			t.Errorf("a visitor at %s: %d %.300s", path, a.status, a.body)
		}
		if strings.Contains(a.header.Get("Content-Type"), "html") && !strings.Contains(a.body, `href="/sign-in?to=`) {
			t.Errorf("%s does not lead to signing in", path)
		}
		if a := s.get(path, member...); a.status >= 400 && !strings.HasSuffix(path, "99") || a.status == 403 {
			t.Errorf("a member at %s: %d", path, a.status)
		}
	}
	for _, path := range []string{"/", "/venues.json", "/venues/nowhere", "/find?q=14", "/find?q=sallow", "/find?q=sallow+14", "/find?q=14&x=1"} {
		if a := s.get(path); strings.Contains(a.body, "Sallow Reach") || strings.Contains(a.header.Get("Location"), "sallow") || a.status == 403 {
			t.Errorf("a visitor reads of it at %s: %d to %q", path, a.status, a.header.Get("Location"))
		}
		if a := s.get(path, member...); !strings.Contains(a.body+a.header.Get("Location"), "allow") {
			t.Errorf("a member does not, at %s: %d %.200s", path, a.status, a.body)
		}
	}
	s.want("/venues/cinder-bend", 200)
	s.want("/venues/cinder-bend/pegs/14", 200)
	if a := s.want("/gauges/cinder-lane", 200); strings.Contains(a.body, "Sallow Reach") {
		t.Error("an open water's gauge names one that is not")
	}
	// Signing in leads back to where one was going.
	c.do(`update members set sign_in = 'priya', password = $1 where name = 'Priya S.'`, hashed(t, goodWord))
	priya := s.person()
	a := priya.open("/venues/sallow-reach/pegs/14?run=inside")
	_, rest, _ := strings.Cut(a.body, `href="/sign-in?to=`)
	to, _, _ := strings.Cut(rest, `"`)
	if to, _ = url.QueryUnescape(to); to != "/venues/sallow-reach/pegs/14?run=inside" {
		t.Errorf("it leads to %q", to)
	}
	s.says(priya.goes(priya.send("/sign-in", "name", "priya", "password", goodWord, "to", to), to), 200, "Peg 14")
}

func TestOnlyOurOwnAddressesToGoOnTo(t *testing.T) {
	t.Parallel()
	for to, want := range map[string]string{"/me": "/me", "/a?b=c": "/a?b=c", "": "/", "//evil.example": "/", "/\\evil.example": "/", "https://evil.example/": "/", "javascript:alert(1)": "/",
		"/a\r\nX: y": "/", "evil": "/", "/\t/evil.example": "/", "http:/x": "/", "/%zz": "/", "/a#b": "/a"} {
		if got := handlers.Local(to); got != want {
			t.Errorf("%q leads to %q, want %q", to, got, want)
		}
	}
}

// TestMyOwn: phones, password, what is kept, and being removed.
func TestMyOwn(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	c.do(`update members set sign_in = 'priya', password = $1 where name = 'Priya S.'`, hashed(t, goodWord))
	here, there, third := s.person(), s.person(), s.person()
	for _, p := range []*person{here, there, third} {
		p.goes(p.send("/sign-in", "name", "priya", "password", goodWord), "/")
	}
	page := s.says(here.open("/me"), 200, "Priya S.", "This one", "Sign out all but this one")
	if n := strings.Count(page.body, `name="phone"`); n != 2 {
		t.Errorf("%d other phones", n)
	}
	// Another's phone is not hers to sign out.
	c.session("joe", club.Secretary)
	joes := c.text(`select encode(token_hash, 'hex') from sessions s join members m on m.id = s.member_id where m.role = 'secretary'`)
	s.says(here.send("/me/phones/end", "phone", joes), 404, "signed out already")
	theirs := c.text(`select encode(token_hash, 'hex') from sessions where token_hash = $1`, sum(there.cookies["levelpeg_session"]))
	s.says(here.goes(here.send("/me/phones/end", "phone", theirs), "/me"), 200, "One phone is signed out.")
	s.says(there.open("/me"), 403)
	s.says(here.send("/me/password", "old", "not it", "new", "four blue herons"), 400, "not your password of now")
	s.says(here.send("/me/password", "old", goodWord, "new", "password"), 400, "people try first")
	s.says(here.goes(here.send("/me/password", "old", goodWord, "new", "four blue herons"), "/me"), 200, "Your password is changed")
	s.says(third.open("/me"), 403)
	s.says(here.open("/me"), 200)
	s.says(there.send("/sign-in", "name", "priya", "password", goodWord), 403)
	there.goes(there.send("/sign-in", "name", "priya", "password", "four blue herons"), "/")
	// What is kept on her, and nothing that signs in.
	a := here.open("/me/data.json")
	var kept map[string]any
	if err := json.Unmarshal([]byte(a.body), &kept); err != nil || kept["name"] != "Priya S." || kept["sign_in"] != "priya" || len(kept["soundings"].([]any)) == 0 {
		t.Errorf("kept: %v %.300s", err, a.body)
	}
	if strings.Contains(a.body, "argon2") || strings.Contains(a.body, "Joe H.") || !strings.Contains(a.header.Get("Content-Disposition"), "attachment") {
		t.Errorf("the file holds too much, or is none: %.300s", a.body)
	}
	// Removed: her soundings stay, unnamed.
	for id, state := range map[string]string{"00000000-0000-4000-8000-000000000001": "in the book", "00000000-0000-4000-8000-000000000002": "needs mending"} {
		c.do(`insert into intake (id, member_id, form, body, state) select $1, id, 1, 'by Priya', $2 from members where name = 'Priya S.'`, id, state)
	}
	all, hers := c.text(`select count(*) from soundings`), c.text(`select count(*) from soundings s join members m on m.id = s.by_member where m.name = 'Priya S.'`)
	s.says(here.send("/me/remove"), 400, "tick that you mean it")
	s.says(here.goes(here.send("/me/remove", "sure", "1"), "/sign-in"), 200, "You are removed")
	if hers == "0" || c.text(`select count(*) from soundings`) != all || c.text(`select count(*) from members where name = 'Priya S.'`) != "0" {
		t.Errorf("of %s soundings %s were hers", all, hers)
	}
	if got := c.text(`select string_agg(right(id::text, 1) || body::text, ',') from intake`); got != `1\x` {
		t.Errorf("of what she sent there is left %s", got)
	}
	s.says(there.open("/me"), 403)
	if got := c.text(`select what || about || coalesce(member_id::text, '') from log order by id desc limit 1`); got != "removed a memberWhat they wrote down stays, unnamed." {
		t.Errorf("the log says %q", got)
	}
	if n := c.text(`select count(*) from log where about like '%Priya%'`); n != "0" {
		t.Error("the log still names her")
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.600s", log)
	}
}

// TestTheLastSecretary cannot go, by any way.
func TestTheLastSecretary(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	ruth := s.person()
	ruth.cookies["levelpeg_session"] = "ruth"
	c.session("ruth", club.Secretary)
	id := c.text(`select id from members where role = 'secretary'`)
	const only = "is the only secretary. Make another one first."
	s.says(ruth.send("/members/"+id, "name", "Ruth P.", "role", "member"), 409, only)
	s.says(ruth.send("/members/"+id+"/leave"), 409, only)
	s.says(ruth.send("/members/leavers", "left", id), 409, only)
	s.says(ruth.send("/members/"+id+"/remove", "sure", "1"), 409, only)
	s.says(ruth.send("/me/remove", "sure", "1"), 409, only)
	c.do(`update members set role = 'secretary', sign_in = 'alan', password = $1 where name = 'Alan K.'`, hashed(t, goodWord))
	ruth.goes(ruth.send("/me/remove", "sure", "1"), "/sign-in")
}

// TestResetLinks: a new password by a link ends every other way in.
func TestResetLinks(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	c.do(`update club set demo = false`)
	c.do(`update members set sign_in = 'joe', password = $1 where name = 'Joe H.'`, hashed(t, goodWord))
	joe, thief, ruth := s.person(), s.person(), s.person()
	thief.goes(thief.send("/sign-in", "name", "joe", "password", goodWord), "/")
	ruth.cookies["levelpeg_session"] = "ruth"
	c.session("ruth", club.Secretary)
	id := c.text(`select id from members where name = 'Joe H.'`)
	c.do(`insert into passkeys (credential_id, member_id, credential) values ('\x01', $1::text::bigint, '{}')`, id)
	link := s.links(s.says(ruth.send("/members/"+id+"/link"), 200, "It works once, within 2 days."))[0]
	s.says(joe.open(link), 200, "Choose a new password", "For Joe H.", `value="joe"`)
	s.says(joe.send(link, "sign_in", "joe", "password", ""), 400, "too short")
	s.says(joe.goes(joe.send(link, "sign_in", "joe", "password", "four blue herons"), "/me"), 200, "Joe H.")
	s.says(thief.open("/me"), 403)
	s.says(thief.send("/sign-in", "name", "joe", "password", goodWord), 403)
	if n := c.text(`select count(*) from passkeys`); n != "0" {
		t.Errorf("%s passkeys of before", n)
	}
	s.says(joe.open(link), 404)
	// One that has run out, and one of somebody who has left.
	link = s.links(ruth.send("/members/" + id + "/link"))[0]
	c.do(`update invitations set expires_at = $1`, dbtest.DemoNow)
	s.says(joe.open(link), 404, "run out")
	link = s.links(ruth.send("/members/" + id + "/link"))[0]
	ruth.goes(ruth.send("/members/"+id+"/leave"), "/members/"+id)
	s.says(joe.open(link), 404)
	s.says(ruth.send("/members/"+id+"/link"), 409, "has left. Bring them back first.")
}

// TestTryingTheDemo: its links sign in with one press, once; a real club has none.
func TestTryingTheDemo(t *testing.T) {
	t.Parallel()
	address := dbtest.NewDemo(t)
	s, c := siteAt(t, address, nil), recordsAt(t, address)
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 1})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	ctx := context.Background()
	name, err := book.TryLink(ctx, sum("try"), club.Bailiff, dbtest.DemoNow)
	if err != nil || name != "Alan K." {
		t.Fatal(name, err)
	}
	alan := s.person()
	s.says(alan.open("/join/try"), 200, "Try the made-up club", "Alan K., a bailiff of a club that is invented")
	s.says(alan.goes(alan.send("/join/try"), "/"), 200, ">Alan</a>")
	s.says(s.person().send("/join/try"), 404)
	if _, err := book.TryLink(ctx, sum("again"), club.Bailiff, dbtest.DemoNow); err != nil {
		t.Fatal(err)
	}
	c.do(`update club set demo = false`)
	if _, err := book.TryLink(ctx, sum("real"), club.Bailiff, dbtest.DemoNow); club.KindOf(err) != club.Conflict {
		t.Errorf("a real club's: %v", err)
	}
	s.says(s.person().send("/join/again"), 400, "sign-in name")
	if err := book.FirstLink(ctx, sum("first"), dbtest.DemoNow); err != nil {
		t.Errorf("a real club's secretary who cannot sign in: %v", err)
	}
}
