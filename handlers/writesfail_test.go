package handlers_test

import (
	"context"
	"net/url"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

// TestNothingTypedIsLostWhenWritesFail: where the disk has no room, or the book is out of
// reach for writes, each form comes back as it was filled, with why and what to do.
func TestNothingTypedIsLostWhenWritesFail(t *testing.T) {
	t.Parallel()
	for code, words := range map[string]string{"53100": "There is no room on the server&#39;s disk.", "57P03": "The book is out of reach for the moment."} {
		t.Run(code, func(t *testing.T) {
			t.Parallel()
			s := demoSecretary(t)
			s.rec.do(`update club set demo = false`)
			forms, filled := typedForms(s), []url.Values{}
			for _, f := range forms {
				q := form(s.open(f.page), f.action)
				for i := 0; i < len(f.fields); i += 2 {
					q.Set(f.fields[i], f.fields[i+1])
				}
				filled = append(filled, q)
			}
			kit := filledIn(t, s.open("/kit").body)
			s.rec.do(dbtest.RefuseWrites(code))
			for i, f := range forms {
				a := s.post(f.action, filled[i], s.header()...)
				s.refusedWith(f.action, a, words)
				for n := 0; n < len(f.fields); n += 2 {
					if name, value := f.fields[n], f.fields[n+1]; name != "password" && !held(a, name, value) {
						t.Errorf("%s lost %s: it does not hold %q", f.action, name, value)
					}
				}
			}
			kit.Set("weigh-8", "0.0611")
			a := s.post("/kit", kit, s.header()...)
			if s.refusedWith("/kit", a, words); !held(a, "weigh-8", "0.0611") {
				t.Error("the kit is lost")
			}
			if log := s.log.String(); strings.Contains(log, "level=ERROR") {
				t.Errorf("logged: %.900s", log)
			}
		})
	}
}

// refusedWith wants a page of its own kind, and not one of something that went wrong.
func (s secretary) refusedWith(path string, a answer, words string) {
	s.Helper()
	if a.status != 503 || a.header.Get("Retry-After") == "" || !strings.Contains(a.body, words) || !strings.Contains(a.body, `role="alert"`) || strings.Contains(a.body, "SQLSTATE") {
		s.Errorf("%s: %d, retry after %q: %.300s", path, a.status, a.header.Get("Retry-After"), a.body)
	}
}

// TestFilesWhenWritesFail: what is typed beside a file is kept, and a water that was looked
// at already can be brought in without its file being chosen again.
func TestFilesWhenWritesFail(t *testing.T) {
	t.Parallel()
	const noRoom = "There is no room on the server&#39;s disk."
	s := demoSecretary(t)
	s.rec.do(`update pegs set lat = 52.125 + id * 0.0001, lon = -1.5 where id % 3 = 0`)
	water := strings.ReplaceAll(s.open("/setup/venues/cinder-bend/export.json").body, "Cinder Bend", "Another Bend")
	look := s.upload("/setup/import", strings.ReplaceAll(water, "cinder-bend", "another-bend"))
	carried := form(look, "/setup/import").Get("carried")
	if carried == "" {
		t.Fatalf("the file is not looked at: %d %s", look.status, alert(look))
	}
	s.rec.do(dbtest.RefuseWrites("53100"))
	kind, body := photoForm(t, "The gap, from the post", "a.jpg", taken(t))
	for _, at := range []string{"/venues/sallow-reach", "/venues/sallow-reach/pegs/14"} {
		a := s.site.send(at+"/photographs", kind, body, s.header()...)
		if s.refusedWith(at+"/photographs", a, noRoom); !held(a, "caption", "The gap, from the post") {
			t.Errorf("%s: the words beside the photograph are lost", at)
		}
	}
	a := s.upload("/setup/import", "", "carried", carried, "sure", "1")
	if s.refusedWith("/setup/import", a, noRoom); form(a, "/setup/import").Get("carried") != carried {
		t.Error("the file of a water is lost")
	}
	for path, file := range map[string]string{
		"/gauges/teasel-bridge/import":                 notebook,
		"/setup/venues/sallow-reach/positions/geojson": s.open("/venues/sallow-reach/pegs.geojson").body,
	} {
		s.refusedWith(path, s.upload(path, file), noRoom)
	}
}

// awayBook has nothing for somebody who signs in, either.
type awayBook struct{ badBook }

func (b awayBook) Invitation(context.Context, []byte, time.Time) (club.Invitation, error) {
	return club.Invitation{}, b.fail()
}
func (b awayBook) BeginTry(context.Context, string, string, time.Time) ([]int64, error) {
	return nil, b.fail()
}

// TestAFormWithNoPageToStandIn: with the book out of reach for reads, too, what was typed
// is on the page that says so, to be sent again from there; passwords are not.
func TestAFormWithNoPageToStandIn(t *testing.T) {
	t.Parallel()
	s := serve(t, awayBook{badBook{fail: func() error { return club.NoRoom() }}})
	typed := url.Values{"own": {"A swan's \"nest\""}, "text": {"Two\nlines"}, "left": {"3", "4"}, "open": {hostile}}
	for _, path := range []string{closuresOfSallow, notesOf14, "/members/leavers", "/setup/venues/sallow-reach/pegs", "/settings", "/record"} {
		a := s.postAs(path, club.Secretary, typed)
		if a.status != 503 || a.header.Get("Retry-After") == "" || !strings.Contains(a.body, "Send it again") || strings.Contains(a.body, "<script>alert") {
			t.Errorf("%s: %d %.300s", path, a.status, a.body)
		}
		for name, values := range typed {
			for _, value := range values {
				if !held(a, name, value) {
					t.Errorf("%s lost %s: it does not hold %q", path, name, value)
				}
			}
		}
	}
	if a := s.postAs(closuresOfSallow+"/3/lift", club.Secretary, nil); !strings.Contains(a.body, "Send it again") || strings.Contains(a.body, "What you typed") {
		t.Errorf("a button: %.300s", a.body)
	}
	for _, path := range []string{"/me/password", "/sign-in", "/join/join"} {
		if a := s.postAs(path, club.Secretary, url.Values{"password": {goodWord}, "new": {goodWord}}); a.status != 503 || strings.Contains(a.body, goodWord) {
			t.Errorf("%s sends a password back", path)
		}
	}
	kind, body := photoForm(t, "The gap", "a.jpg", taken(t))
	for name, a := range map[string]answer{
		"a photograph": s.send(photosOf14, kind, body, "Sec-Fetch-Site", "same-origin", "Cookie", cookieOf(club.Angler)),
		"too long":     s.postAs("/settings", club.Secretary, url.Values{"name": {strings.Repeat("x", 300<<10)}}),
	} {
		if a.status != 503 || strings.Contains(a.body, "Send it again") || !strings.Contains(a.body, `href="/"`) {
			t.Errorf("%s: %d %.300s", name, a.status, a.body)
		}
	}
}
