package handlers_test

import (
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

// secretary is the browser of a club's secretary, and a connection beside it.
type secretary struct {
	*person
	rec records
}

// newClub is a club that has a name, a secretary and nothing else.
func newClub(t *testing.T) secretary {
	t.Helper()
	address := dbtest.New(t)
	s, c := siteAt(t, address, nil), recordsAt(t, address)
	c.do(`insert into club (name, time_zone, place) values ('Test club', 'Europe/London', 'England')`)
	c.do(`insert into members (name, role) values ('Ann B.', 'secretary')`)
	return secretary{s.person(), c}.signedIn()
}

// demoSecretary is the browser of the secretary of the demo.
func demoSecretary(t *testing.T) secretary {
	t.Helper()
	s, c := peopleSite(t)
	return secretary{s.person(), c}.signedIn()
}

func (s secretary) signedIn() secretary {
	s.rec.session("ann", club.Secretary)
	s.cookies["levelpeg_session"] = "ann"
	return s
}

var (
	formTags = regexp.MustCompile(`(?s)<input ([^>]*)>|<textarea ([^>]*)>(.*?)</textarea>|<select ([^>]*)>(.*?)</select>`)
	options  = regexp.MustCompile(`<option value="([^"]*)"( selected)?`)
)

func attr(tag, name string) string {
	_, rest, _ := strings.Cut(" "+tag, " "+name+`="`)
	value, _, _ := strings.Cut(rest, `"`)
	return html.UnescapeString(value)
}

// form is what a form of a page holds as it stands there; empty where there is no such
// form.
func form(page answer, action string) url.Values {
	q := url.Values{}
	_, rest, _ := strings.Cut(page.body, `action="`+action+`"`)
	inside, _, _ := strings.Cut(rest, "</form>")
	for _, m := range formTags.FindAllStringSubmatch(inside, -1) {
		switch {
		case m[1] != "" && (attr(m[1], "type") == "file" || attr(m[1], "type") == "checkbox" && !strings.Contains(m[1], " checked")):
		case m[1] != "":
			q.Set(attr(m[1], "name"), attr(m[1], "value"))
		case m[2] != "":
			q.Set(attr(m[2], "name"), html.UnescapeString(m[3]))
		default:
			all := options.FindAllStringSubmatch(m[5], -1)
			for i, o := range all {
				if i == 0 || o[2] != "" {
					q.Set(attr(m[4], "name"), html.UnescapeString(o[1]))
				}
			}
		}
	}
	return q
}

// fill opens a page and sends one of its forms with some fields written in.
func (s secretary) fill(page, action string, pairs ...string) answer {
	s.Helper()
	a := s.open(page)
	q := form(a, action)
	if len(q) == 0 {
		s.Fatalf("%s has no form to %s: %d %.300s", page, action, a.status, a.body)
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		if _, is := q[pairs[i]]; !is && pairs[i+1] != "1" {
			s.Errorf("the form to %s has no field %s", action, pairs[i])
		}
		q.Set(pairs[i], pairs[i+1])
	}
	return s.keep(s.post(action, q, s.header()...))
}

// next wants the page of setting up to name what comes next, and nothing else as next.
func (s secretary) next(name string) {
	s.Helper()
	page := s.open("/setup")
	_, rest, _ := strings.Cut(page.body, `<ol class="steps">`)
	list, _, _ := strings.Cut(rest, "</ol>")
	var got []string
	for _, step := range strings.Split(list, "<li>") {
		if regexp.MustCompile(`<span>\s*Next\b`).MatchString(step) {
			_, is, _ := strings.Cut(step, "<b>")
			is, _, _ = strings.Cut(is, "</b>")
			got = append(got, is)
		}
	}
	if strings.Join(got, ", ") != name {
		s.Errorf("what comes next is %v, want %q", got, name)
	}
}

const millSetup = "/setup/venues/mill-reach"

// reach makes the gauge, the water, its forty pegs and their runs.
func (s secretary) reach() {
	s.Helper()
	s.next("A gauge")
	s.says(s.open("/setup/venues/new"), 200, "Make the gauge first")
	s.says(s.goes(s.fill("/setup/gauges/new", "/setup/gauges", "name", " Mill  bridge board", "river", "The Water", "low", "0,30", "high", "1.5 m", "since", "2020-03-01T09:00"), "/setup"), 200, "Made: the gauge “Mill bridge board”.", "not read yet")
	s.next("A water")
	s.says(s.goes(s.fill("/setup/venues/new", "/setup/venues", "name", "Mill Reach", "river", "The Water", "gauge", "mill-bridge-board"), millSetup+"/pegs"), 200, "Now its pegs")
	s.next("Its pegs")
	s.says(s.goes(s.fill(millSetup+"/pegs", millSetup+"/pegs", "first", "1", "last", "40", "bank", "left", "first_deg", "350", "last_deg", "29"), millSetup+"/runs"), 200, "40 pegs made: going downstream 1 to 40. Now their runs.")
	s.next("Their runs")
	s.says(s.goes(s.fill(millSetup+"/runs", millSetup+"/runs", "name5", "far", "out5", "18"), millSetup+"/runs"), 200, "Made: 200 runs at 40 pegs.", "Next: a first level")
	s.next("A first level")
}

// code is the lasting code of the reach's peg.
func (s secretary) code(label string) string {
	s.Helper()
	return s.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'mill-reach' and p.label = $1`, label)
}

// TestSettingAClubUpFromNothing, as a secretary does it with forms alone: from a club
// that has a name to a sheet that answers.
func TestSettingAClubUpFromNothing(t *testing.T) {
	t.Parallel()
	s := newClub(t)
	s.reach()
	const sheet = "/venues/mill-reach/pegs/7"
	for k, want := range map[string]string{"1": "1 350 1 40", "2": "2 351 2 40", "40": "40 29 40 40"} {
		if got := s.rec.text(`select label || ' ' || bearing_deg || ' ' || position || ' ' || (select count(*) from pegs) from pegs where label = $1`, k); got != want {
			t.Errorf("peg %s is %q, want %q", k, got, want)
		}
	}
	// A sheet without a level or a sounding says that it has none, and offers no rig.
	if bare := s.open(sheet); bare.status != 200 || strings.Contains(bare.body, `class="rigc"`) {
		t.Errorf("a sheet of nothing: %d", bare.status)
	}
	// Hazards, a level rule, a place, a match.
	const hazards = millSetup + "/hazards"
	s.says(s.goes(s.fill(hazards, hazards, "peg", "9."+s.code("9"), "distance", "12", "text", "11 kV line over the path"), hazards), 200, "It stands first on the sheets")
	const rules = "/venues/mill-reach/closures"
	s.says(s.goes(s.fill(rules, "/venues/mill-reach/rules", "level", "2", "text", "The path floods"), rules), 200, "Set for")
	const places = millSetup + "/positions"
	s.says(s.goes(s.fill(places, places, "lat."+s.code("7"), "52,1234", "lon."+s.code("7"), "−1.5678"), places), 200, "1 peg placed.", `value="52.1234"`)
	const fixtures = millSetup + "/fixtures"
	s.says(s.goes(s.fill(fixtures, fixtures, "name", "Winter; league, 2", "from", "2025-10-25T09:00", "to", "2025-10-25T14:00"), fixtures), 200, "On the calendar: Winter; league, 2.", "Sat 25 October 2025, 09:00 to 14:00")
	// Nobody but members sees it until it is opened.
	s.want("/venues/mill-reach", 403, "Sign in")
	s.want("/venues/mill-reach/pegs.geojson", 403)
	s.want("/venues/mill-reach/fixtures.ics", 403)
	s.says(s.goes(s.fill(millSetup, millSetup, "open", "1"), millSetup), 200, "Kept.")
	s.want("/venues/mill-reach", 200, "Mill Reach", "Winter; league, 2")
	// The first level and the first soundings, and the sheet answers.
	s.next("A first level")
	s.goes(s.send("/record", "kind", "level", "gauge", "mill-bridge-board", "level", "0.70"), "/record")
	s.next("A first sounding")
	for run, depth := range map[string]string{"inside": "1.10", "two rods": "1.80"} {
		s.goes(s.send("/record", "kind", "sounding", "peg", s.code("7"), "run", run, "depth", depth, "level", "0.70", "over", "6", "secs", "10"), "/record")
	}
	s.next("")
	s.says(s.open("/setup"), 200, "Every water here has all that its sheets need.")
	s.want(sheet, 200, "Two rods", "1.79 m", "1 sounding, last just now, at level 0.70; one timed", `class="rigc"`)
	s.want("/venues/mill-reach/pegs/7.json", 200, `"level_m":0.7`)
	s.want("/venues/mill-reach/pegs/8", 200, "Nobody has plumbed this yet: borrowed from 2 runs nearby.", "Plumb first.")
	if a := s.want("/venues/mill-reach/pegs/9", 200, "11 kV line over the path"); strings.Contains(a.body, `class="rigc"`) {
		t.Error("a rig is offered 12 m from a power line")
	}
	// The board is replaced: what was read since then was read on the new one.
	const gauge = "/setup/gauges/mill-bridge-board"
	s.says(s.goes(s.fill(gauge, gauge+"/zeros", "from", "2025-10-18T11:00", "old", "0.70", "new", "1.00", "reason", "Board replaced"), gauge), 200,
		"1 level and 2 soundings since then are taken as read on the new board. No bed moved.", "Board replaced")
	s.want(sheet, 200, "Level <b>0.70 m</b>", "1.79 m")
	if n := s.rec.text(`select count(*) from log`); n != "13" {
		t.Errorf("%s lines in the log: %s", n, s.rec.text(`select string_agg(what, '; ' order by id) from log`))
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.900s", log)
	}
}

// TestNamesThatMeanSomethingElse: a water and a gauge called New are not where new ones
// are made.
func TestNamesThatMeanSomethingElse(t *testing.T) {
	t.Parallel()
	s := newClub(t)
	s.goes(s.fill("/setup/gauges/new", "/setup/gauges", "name", "New", "river", "The Water", "low", "0", "high", "1"), "/setup")
	s.says(s.open("/setup/gauges/new-2"), 200, `value="New"`)
	s.goes(s.fill("/setup/venues/new", "/setup/venues", "name", "New!", "river", "The Water", "gauge", "new-2"), "/setup/venues/new-2/pegs")
	s.goes(s.fill("/setup/venues/new", "/setup/venues", "name", "漢", "river", "漢", "gauge", "new-2"), "/setup/venues/water/pegs")
}

// TestRenumberingKeepsCodes: what the post says changes, and the code leads to the same
// peg with all that was written of it.
func TestRenumberingKeepsCodes(t *testing.T) {
	t.Parallel()
	s := newClub(t)
	s.reach()
	const pegs = millSetup + "/pegs"
	seven := s.code("7")
	s.goes(s.send("/record", "kind", "level", "gauge", "mill-bridge-board", "level", "0.70"), "/record")
	s.goes(s.send("/record", "kind", "sounding", "peg", seven, "run", "two rods", "depth", "1.80", "level", "0.70", "over", "6", "secs", "10"), "/record")
	page := s.goes(s.fill(pegs, pegs+"/renumber", "from_peg", "1."+s.code("1"), "to_peg", "40."+s.code("40"), "first", "140", "count", "fall"), pegs)
	s.says(page, 200, "40 pegs renumbered: going downstream 140 to 101. Their codes are as they were.")
	if got := s.code("134"); got != seven {
		t.Errorf("peg 134 has the code %s, want %s", got, seven)
	}
	if a := s.open("/p/" + seven); a.header.Get("Location") != "/venues/mill-reach/pegs/134" {
		t.Errorf("the code leads to %q", a.header.Get("Location"))
	}
	s.says(s.open("/venues/mill-reach/pegs/134"), 200, "1.80 m", "1 sounding, last just now", `class="rigc"`)
	// One put in between has a number and a code of its own; the order is the river's.
	s.says(s.goes(s.fill(pegs, pegs+"/between", "after", "134."+seven, "label", "134A"), pegs), 200, "Made: peg 134A.")
	if got := s.rec.text(`select string_agg(label, ' ' order by position) from pegs where position between 6 and 9`); got != "135 134 134A 133" {
		t.Errorf("in order: %s", got)
	}
}

// TestAFormThatIsOld says so, changes nothing and keeps what was typed.
func TestAFormThatIsOld(t *testing.T) {
	t.Parallel()
	s := demoSecretary(t)
	const of = "/setup/venues/sallow-reach"
	peg := s.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`)
	other := s.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '3'`)
	run := s.rec.text(`select min(r.id) from runs r join pegs p on p.id = r.peg_id where p.code = $1`, peg)
	hazard := s.rec.text(`select min(h.id) from hazards h join venues v on v.id = h.venue_id where v.slug = 'sallow-reach'`)
	cases := []struct{ page, action, field, typed, change string }{
		{of, of, "about", "Typed by me", `update venues set about = 'By another' where slug = 'sallow-reach'`},
		{"/setup/gauges/teasel-bridge", "/setup/gauges/teasel-bridge", "name", "Typed by me", `update gauges set high_mm = high_mm + 10 where slug = 'teasel-bridge'`},
		{of + "/pegs/" + peg, of + "/pegs/" + peg, "access", "Typed by me", `update pegs set bearing_deg = 7 where code = '` + peg + `'`},
		{of + "/pegs/" + peg + "/runs/" + run, of + "/pegs/" + peg + "/runs/" + run, "bottom", "Typed by me", `update runs set boil = (boil + 1) % 4 where id = ` + run},
		{of + "/hazards/" + hazard, of + "/hazards/" + hazard, "text", "Typed by me", `update hazards set text = 'By another' where id = ` + hazard},
		{of + "/pegs", of + "/pegs", "last", "99", `update pegs set label = '14Z' where code = '` + peg + `'`},
		{of + "/pegs", of + "/pegs/between", "label", "98", `update pegs set label = '14Y' where code = '` + peg + `'`},
		{of + "/pegs", of + "/pegs/renumber", "first", "97", `update pegs set label = '14X' where code = '` + peg + `'`},
		{of + "/positions", of + "/positions", "lat." + other, "12.345", `update pegs set lat = 1, lon = 2 where code = '` + peg + `'`},
	}
	for _, c := range cases {
		page := s.open(c.page)
		q := form(page, c.action)
		if q.Get("was") == "" {
			t.Fatalf("%s: the form to %s has no stamp", c.page, c.action)
		}
		q.Set(c.field, c.typed)
		for name, value := range map[string]string{"first": "90", "first_deg": "1", "last_deg": "2", "from_peg": q.Get("from_peg"), "lon." + other: "1"} {
			if _, is := q[name]; is && q.Get(name) == "" {
				q.Set(name, value)
			}
		}
		if strings.HasSuffix(c.action, "renumber") {
			q.Set("from_peg", "3."+other)
		}
		s.rec.do(c.change)
		before := s.rec.text(`select string_agg(p::text, '') from (select * from pegs order by id) p`)
		a := s.keep(s.post(c.action, q, s.header()...))
		s.says(a, 409, "Somebody changed", "look at it again")
		if got := form(a, c.action).Get(c.field); got != c.typed {
			t.Errorf("%s: %s holds %q, want what was typed", c.action, c.field, got)
		}
		if after := s.rec.text(`select string_agg(p::text, '') from (select * from pegs order by id) p`); after != before {
			t.Errorf("%s changed a peg", c.action)
		}
	}
}

// TestWhatIsAnothers: a water's addresses reach nothing of another water.
func TestWhatIsAnothers(t *testing.T) {
	t.Parallel()
	s := demoSecretary(t)
	peg := s.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'cinder-bend' and p.label = '7'`)
	run := s.rec.text(`select min(r.id) from runs r join pegs p on p.id = r.peg_id where p.code = $1`, peg)
	mine := s.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '7'`)
	s.rec.do(`insert into hazards (venue_id, kind, text) select id, 'other', 'Theirs' from venues where slug = 'cinder-bend'`)
	s.rec.do(`insert into fixtures (venue_id, name, starts_at, ends_at) select id, 'Theirs', now(), now() + interval '1 hour' from venues where slug = 'cinder-bend'`)
	hazard, fixture := s.rec.text(`select max(id) from hazards`), s.rec.text(`select max(id) from fixtures`)
	zero := s.rec.text(`select min(z.id) from gauge_zeros z join gauges g on g.id = z.gauge_id where g.slug <> 'teasel-bridge'`)
	const all = `select md5(string_agg(t, '' order by t)) from (select p::text as t from pegs p union all select r::text from runs r union all select h::text from hazards h union all select f::text from fixtures f union all select z::text from gauge_zeros z) x`
	before := s.rec.text(all)
	const of = "/setup/venues/sallow-reach"
	runForm := []string{"name", "mine now", "distance", "3", "boil", "1"}
	for path, q := range map[string][]string{
		of + "/pegs/" + peg:                             {"label", "7", "bank", "left", "bearing", "1", "mark", "1"},
		of + "/pegs/" + peg + "/drop":                   {"sure", "1"},
		of + "/pegs/" + peg + "/runs":                   runForm,
		of + "/pegs/" + peg + "/runs/" + run:            runForm,
		of + "/pegs/" + mine + "/runs/" + run:           runForm,
		of + "/pegs/" + mine + "/runs/" + run + "/drop": {"sure", "1"},
		of + "/hazards/" + hazard:                       {"kind", "other", "text", "mine now"},
		of + "/hazards/" + hazard + "/drop":             {"sure", "1"},
		of + "/hazards":                                 {"kind", "other", "text", "mine now", "peg", "7." + peg},
		of + "/fixtures/" + fixture + "/drop":           {"sure", "1"},
		of + "/pegs/between":                            {"after", "7." + peg, "label", "7Q"},
		of + "/pegs/renumber":                           {"from_peg", "7." + peg, "first", "900"},
		of + "/positions":                               {"lat." + peg, "1", "lon." + peg, "1"},
		"/setup/gauges/teasel-bridge/zeros/" + zero:     {"offset", "0.5", "reason", "mine now"},
		of + "/pegs/" + mine + "/runs/99999999999":      runForm,
	} {
		a := s.send(path, q...)
		if a.status != 404 && a.status != 409 && a.status != 400 {
			t.Errorf("%s: %d %.300s", path, a.status, a.body)
		}
	}
	if after := s.rec.text(all); after != before {
		t.Error("something of another water was changed")
	}
	for _, path := range []string{of + "/pegs/" + peg, of + "/pegs/" + mine + "/runs/" + run, of + "/hazards/" + hazard} {
		if a := s.open(path); a.status != 404 {
			t.Errorf("%s is shown: %d", path, a.status)
		}
	}
}
