package handlers_test

import (
	"context"
	"net/url"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

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
