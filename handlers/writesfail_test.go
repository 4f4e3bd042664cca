package handlers_test

import (
	"context"
	"html"
	"maps"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/handlers"
)

// failWrites has every write to the book fail with a code of PostgreSQL's own errors.
// Reads go on, as they do where a disk is full.
func (c records) failWrites(code string) {
	c.Helper()
	c.do(`create function refuse() returns trigger language plpgsql as $$ begin raise exception 'refused' using errcode = '` + code + `'; end $$`)
	c.do(`do $$ declare t regclass; begin
		for t in select oid from pg_class where relnamespace = 'public'::regnamespace and relkind in ('r', 'p') and not relispartition loop
			execute format('create trigger a_refusal before insert or update or delete on %s for each statement execute function refuse()', t);
		end loop; end $$`)
}

// typedForm is a form with what a person types into it and chooses, and the route that it
// is sent to.
type typedForm struct {
	route string
	setupForm
}

// unfilled are the routes of forms whose writes need no filling in again: nothing is
// typed there, or only a password.
var unfilled = []string{
	"/venues/{venue}/closures/{id}/lift", "/venues/{venue}/rules/{id}/drop", "/incidents/{id}/close", "/sign-out",
	"/me/password", "/me/phones/end", "/me/passkeys/drop", "/me/remove",
	"/members/links/{id}/withdraw", "/members/{id}/link", "/members/{id}/leave", "/members/{id}/back", "/members/{id}/remove",
	"/setup/venues/{venue}/move", "/setup/venues/{venue}/pegs/{code}/drop", "/setup/venues/{venue}/pegs/{code}/runs/{id}/drop",
	"/setup/venues/{venue}/hazards/{id}/drop", "/setup/venues/{venue}/fixtures/{id}/drop",
	"/gauges/{gauge}/feeds/{id}/pause", "/gauges/{gauge}/feeds/{id}/resume", "/gauges/{gauge}/feeds/{id}/remove", "/gauges/{gauge}/feeds/{id}/fetch",
	"/gauges/{gauge}/loggers/{logger}/end", "/venues/{venue}/notes/{id}/remove", "/venues/{venue}/pegs/{peg}/notes/{id}/remove",
}

// onlyFiles are the routes of forms that take a file and nothing else, which no page can
// fill in: it is chosen again.
var onlyFiles = []string{"/gauges/{gauge}/import", "/setup/venues/{venue}/positions/geojson", "/setup/venues/{venue}/fixtures/calendar"}

// byHand are the routes of forms with a file beside what is typed, which
// TestFilesWhenWritesFail sends.
var byHand = []string{"/venues/{venue}/photographs", "/venues/{venue}/pegs/{peg}/photographs", "/setup/import"}

// typedForms are all other forms, and it sets up what they need.
func typedForms(s secretary) []typedForm {
	s.Helper()
	s.rec.do(`insert into invitations (token_hash, kind, role, expires_at) values ($1, 'join', 'member', now() + interval '1 day')`, sum("join"))
	s.sends(feedsAt, goodFeed())
	out := append(settingUp(s), notePages(s)...)
	code := s.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`)
	priya := s.rec.text(`select id from members where name = 'Priya S.'`)
	feed := feedsAt + "/" + s.rec.text(`select max(id) from feeds`)
	table := s.sendFile("notebook.csv", notebook).header.Get("Location")
	feedFields := []string{"format", "ea", "address", "https://levels.example/another?latest", "unit", "ft", "offset", "0.25", "every", "30", "acknowledge", "Thanks to them"}
	add := func(route, page, action string, fields ...string) {
		out = append(out, typedForm{route, setupForm{page, action, fields}})
	}
	add("/venues/{venue}/closures", closuresOfSallow, closuresOfSallow, "own", "A swan's nest", "from_peg", "14."+code, "to_peg", "14."+code, "from", "2025-10-19T10:00", "to", "2025-12-01T10:00")
	add("/venues/{venue}/rules", closuresOfSallow, "/venues/sallow-reach/rules", "side", "below", "level", "0.21", "effect", string(club.NoFishing), "text", "Too low", "from_peg", "14."+code, "to", "2025-12-01T10:00")
	add("/record", "/record", "/record", "kind", "level", "level", "0.71", "temperature", "11.5")
	add("/record", "/record", "/record", "kind", "sounding", "peg", code, "run", "middle", "depth", "1.93", "level", "0.7", "over", "10", "secs", "21", "note", "By the willow")
	add("/record", "/record", "/record", "kind", "closure", "where", code, "own", "A tree in the water")
	add("/record", "/record", "/record", "kind", "incident", "incident", "pollution", "where", code, "text", "White foam")
	add("/sign-in", "/sign-in", "/sign-in", "name", "priya", "own", "1")
	add("/join/{token}", "/join/join", "/join/join", "name", "Zed Q.", "sign_in", "zed.q", "password", goodWord, "own", "1")
	add("/members/invite", "/members", "/members/invite", "names", "Zed Q.\nYan P., bailiff", "role", "coach")
	add("/members/juniors", "/members", "/members/juniors", "name", "Wil", "consent", "His father, by letter")
	add("/members/leavers", "/members/leavers", "/members/leavers", "left", priya)
	add("/members/{id}", "/members/"+priya, "/members/"+priya, "name", "Priya Sand", "role", "bailiff")
	add("/settings", "/settings", "/settings", "name", "Another club", "place", "Wales", "time_zone", "Europe/Paris", "welfare", "Ann, 555", "incident", "The river board, 556", "tiles", "https://tiles.example/{z}/{x}/{y}.png", "tiles_credit", "Mapmakers")
	add("/gauges/{gauge}/feeds", feedsAt, feedsAt, feedFields...)
	add("/gauges/{gauge}/feeds/{id}", feed, feed, feedFields...)
	add("/gauges/{gauge}/loggers", feedsAt, "/gauges/teasel-bridge/loggers", "name", "Under the bridge")
	add("/gauges/{gauge}/import/{file}", table, table, "source", "station", "bad", "leave")
	return out
}

// settingUp are the forms of setting up, each with the route that takes it.
func settingUp(s secretary) []typedForm {
	var out []typedForm
	for _, f := range setupForms(s) {
		out = append(out, typedForm{routeOf(f.action), f})
	}
	return out
}

// routeOf is the pattern of an address of setting up.
func routeOf(path string) string {
	parts := strings.Split(path, "/")
	for i := 3; i < len(parts); i++ {
		switch of := parts[i-1]; {
		case parts[i] == "between" || parts[i] == "renumber":
		case of == "gauges" || of == "venues":
			parts[i] = "{" + strings.TrimSuffix(of, "s") + "}"
		case of == "pegs":
			parts[i] = "{code}"
		case of == "runs" || of == "hazards" || of == "zeros":
			parts[i] = "{id}"
		}
	}
	return strings.Join(parts, "/")
}

// notePages are the forms of notes and photographs, of a peg and of a water.
func notePages(s secretary) []typedForm {
	s.Helper()
	var out []typedForm
	typed := []string{"text", "Three rods out", "from_level", "0.31", "to_level", "0.82", "sees", "me"}
	for base, at := range map[string]string{"/venues/{venue}/pegs/{peg}": "/venues/sallow-reach/pegs/14", "/venues/{venue}": "/venues/sallow-reach"} {
		page := at + "/notes"
		s.sends(page, url.Values{"text": {"Of somebody else"}, "sees": {"club"}})
		note := s.rec.text(`select max(id) from notes`)
		s.sends(page, url.Values{"text": {"To be changed"}, "sees": {"club"}})
		own := s.rec.text(`select max(id) from notes`)
		kind, body := photoForm(s.T, "To be hidden", "a.jpg", taken(s.T))
		s.goes(s.keep(s.site.send(at+"/photographs", kind, body, s.header()...)), page)
		photo := s.rec.text(`select max(id) from pictures`)
		s.rec.do(`update notes set waits = true, author_id = (select min(id) from members where role = 'junior') where id = ` + note)
		s.rec.do(`update pictures set waits = true, by_member = (select min(id) from members where role = 'junior') where id = ` + photo)
		out = append(out, typedForm{base + "/notes", setupForm{page, page, typed}}, typedForm{base + "/notes/{id}", setupForm{page, page + "/" + own, typed}})
		for _, act := range []string{"remove", "hide", "refuse"} {
			out = append(out, typedForm{base + "/photographs/{id}/" + act, setupForm{page, at + "/photographs/" + photo + "/" + act, []string{"why", "A face in it"}}})
			if act != "remove" { // which is for whoever wrote it, and asks no reason
				out = append(out, typedForm{base + "/notes/{id}/" + act, setupForm{page, page + "/" + note + "/" + act, []string{"why", "A name in it"}}})
			}
		}
	}
	return out
}

// held says whether a page has a field that holds a value, in any of its forms.
func held(page answer, name, value string) bool {
	for _, m := range formTags.FindAllStringSubmatch(page.body, -1) {
		switch {
		case m[1] != "":
			ticks := attr(m[1], "type") == "checkbox"
			if attr(m[1], "name") == name && attr(m[1], "value") == value && (!ticks || strings.Contains(m[1], " checked")) {
				return true
			}
		case m[2] != "":
			if attr(m[2], "name") == name && html.UnescapeString(m[3]) == value {
				return true
			}
		case attr(m[4], "name") == name && strings.Contains(m[5], `value="`+html.EscapeString(value)+`" selected`):
			return true
		}
	}
	return false
}

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
			s.rec.failWrites(code)
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
	s.rec.failWrites("53100")
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

// TestEveryFormIsFilledInAgain: no route takes a form that the tests here do not know.
func TestEveryFormIsFilledInAgain(t *testing.T) {
	t.Parallel()
	known := map[string]bool{"/kit": true}
	for _, f := range typedForms(demoSecretary(t)) {
		known[f.route] = true
	}
	for _, route := range slices.Concat(unfilled, onlyFiles, byHand) {
		known[route] = true
	}
	for _, r := range handlers.Routes() {
		machine := strings.HasPrefix(r.Pattern, "/api/") || strings.HasSuffix(r.Pattern, "/begin") || strings.HasSuffix(r.Pattern, "/finish")
		button := slices.ContainsFunc([]string{"/show", "/approve", "/open", "/shut"}, func(end string) bool { return strings.HasSuffix(r.Pattern, end) })
		if r.Method == "POST" && !machine && !button && !known[r.Pattern] {
			t.Errorf("%s takes a form that is not among the tests'", r.Pattern)
		}
		if r.Method == "POST" {
			delete(known, r.Pattern)
		}
	}
	if len(known) > 0 {
		t.Errorf("there are no such routes: %v", slices.Sorted(maps.Keys(known)))
	}
}
