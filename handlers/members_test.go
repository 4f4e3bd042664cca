package handlers_test

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

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
