package handlers_test

import (
	"html"
	"maps"
	"net/url"
	"slices"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/handlers"
)

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
