package handlers_test

import (
	"context"
	"net/url"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/handlers/secret"
)

func hashed(t *testing.T, password string) string {
	t.Helper()
	h, err := secret.Hash(context.Background(), password)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func sum(token string) []byte { return secret.HashToken(token) }

// TestEveryFormWithNonsense sends every form with every field missing, too long, of the
// wrong kind, with others' numbers and with script in it: no fault of ours, and no script
// in the page.
func TestEveryFormWithNonsense(t *testing.T) {
	t.Parallel()
	s, c := peopleSite(t)
	c.do(`update club set demo = false`)
	c.do(`update members set sign_in = 'priya', password = $1 where name = 'Priya S.'`, hashed(t, goodWord))
	c.do(`insert into invitations (token_hash, kind, role, expires_at) values ($1, 'join', 'member', now() + interval '1 day')`, sum("join"))
	priya := c.text(`select id from members where name = 'Priya S.'`)
	forms := []struct {
		path   string
		fields map[string]string
	}{
		{"/sign-in", map[string]string{"name": "priya", "password": "x", "own": "1", "to": "/me"}},
		{"/sign-in/passkey/begin", map[string]string{"own": "1", "to": "/me"}},
		{"/sign-in/passkey/finish", map[string]string{"id": "x"}},
		{"/join/join", map[string]string{"name": "Zed", "sign_in": "zed", "password": "short", "own": "1", "club": "x", "time_zone": "UTC", "place": "x"}},
		{"/join/join/passkey/begin", map[string]string{"name": "Zed", "sign_in": "zed"}},
		{"/join/join/passkey/finish", map[string]string{"id": "x"}},
		{"/me/password", map[string]string{"old": "x", "new": "y"}},
		{"/me/phones/end", map[string]string{"phone": "00ff", "others": ""}},
		{"/me/passkeys/begin", map[string]string{"x": "1"}},
		{"/me/passkeys/finish", map[string]string{"id": "x"}},
		{"/me/passkeys/drop", map[string]string{"passkey": "00ff"}},
		{"/me/remove", map[string]string{"sure": ""}},
		{"/members/invite", map[string]string{"names": "Zed", "role": "member"}},
		{"/members/juniors", map[string]string{"name": "Zed", "consent": "His father"}},
		{"/members/links/00ff/withdraw", map[string]string{"x": "1"}},
		{"/members/links/%00zz/withdraw", map[string]string{"x": "1"}},
		{"/members/leavers", map[string]string{"left": priya}},
		{"/members/" + priya, map[string]string{"name": "Priya S.", "role": "member"}},
		{"/members/99999999999999999999", map[string]string{"name": "Priya S.", "role": "member"}},
		{"/members/-1/link", map[string]string{"x": "1"}},
		{"/members/x/leave", map[string]string{"x": "1"}},
		{"/members/" + priya + "/back", map[string]string{"x": "1"}},
		{"/members/" + priya + "/remove", map[string]string{"sure": ""}},
		{"/settings", map[string]string{"name": "Club", "time_zone": "UTC", "place": "England", "welfare": "w", "incident": "i", "open": "sallow-reach"}},
	}
	const hostile = `"><script>alert(1)</script>`
	wrong := []string{"", " ", hostile, strings.Repeat("é", 300), strings.Repeat("a", 20000), "-1", "0", "9223372036854775808", "1", "\x00", "\xff\xfe", "\u202eabc", "secretary", "junior", "Local", "../etc", "NaN", "a\nb,c\nd"}
	sent := 0
	for _, f := range forms {
		for field := range f.fields {
			for n := -1; n < len(wrong); n++ {
				q := url.Values{}
				for name, value := range f.fields {
					q.Set(name, value)
				}
				if q.Del(field); n >= 0 {
					q.Set(field, wrong[n])
				}
				c.do(`delete from tries`)
				c.do(`delete from sessions`)
				c.session("ruth", club.Secretary)
				a := s.post(f.path, q, "Sec-Fetch-Site", "same-origin", "Cookie", c.cookie("ruth"))
				sent++
				if a.status >= 500 || strings.Contains(a.body, "<script>alert") {
					t.Errorf("%s with %s = %.40q: %d %.200s", f.path, field, q[field], a.status, a.body)
				}
			}
		}
		if a := s.post(f.path, url.Values{"x": {strings.Repeat("a", 200<<10)}}, "Cookie", c.cookie("ruth")); a.status >= 500 {
			t.Errorf("%s with too much: %d", f.path, a.status)
		}
	}
	for _, path := range []string{"/log?before=x&member=-1&what=%00", "/log?before=99999999999999999999&member=1%27", "/log?what=" + url.QueryEscape(hostile), "/sign-in?to=//x&name=" + url.QueryEscape(hostile), "/members/x", "/members/0", "/join/" + url.PathEscape(hostile), "/join/%00", "/join/%ff", "/me?x=" + url.QueryEscape(hostile)} {
		if a := s.get(path, "Cookie", c.cookie("ruth")); a.status >= 500 || strings.Contains(a.body, "<script>alert") {
			t.Errorf("%s: %d", path, a.status)
		}
	}
	t.Logf("%d forms sent", sent)
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.900s", log)
	}
}

// TestPasskeysWhereTheyCannotBe: without https, and at an address that is a number, the
// page says why it offers none, and nothing begins one.
func TestPasskeysWhereTheyCannotBe(t *testing.T) {
	t.Parallel()
	s, _ := peopleSite(t)
	s.want("/sign-in", 200, "Passkeys need an address with a name")
	if a := s.post("/sign-in/passkey/begin", nil); a.status != 400 || !strings.Contains(a.body, "a number") {
		t.Errorf("%d %s", a.status, a.body)
	}
}
