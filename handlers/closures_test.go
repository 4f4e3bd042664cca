package handlers_test

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
)

const closuresOfSallow = "/venues/sallow-reach/closures"

// officeSite is the demo with a session for one member of each role, whose token is the
// role's name.
func officeSite(t *testing.T) site {
	t.Helper()
	address := dbtest.NewDemo(t)
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 2, Remember: 64})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	giveSessions(t, address)
	return serve(t, book)
}

// giveSessions gives one member of each role a session, whose token is the role's name.
func giveSessions(t *testing.T, address string) {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for _, role := range []club.Role{club.Secretary, club.Bailiff, club.Coach, club.Angler, club.Junior} {
		sum := sha256.Sum256([]byte(role))
		if _, err := conn.Exec(context.Background(), `insert into sessions (token_hash, member_id, created_at, expires_at)
			select $1, min(id), $2, $3 from members where role = $4`, sum[:], dbtest.DemoNow.Add(-time.Hour), dbtest.DemoNow.Add(time.Hour), role); err != nil {
			t.Fatal(err)
		}
	}
}

func cookieOf(role club.Role) string { return "levelpeg_session=" + string(role) }

// postAs sends a form as somebody's browser does.
func (s site) postAs(path string, role club.Role, form url.Values, header ...string) answer {
	s.Helper()
	own := []string{"Sec-Fetch-Site", "same-origin"}
	if role != "" {
		own = append(own, "Cookie", cookieOf(role))
	}
	return s.post(path, form, append(own, header...)...)
}

// done follows the redirect of a form that did something, and wants the page to say so,
// once.
func (s site) done(a answer, role club.Role, words string) answer {
	s.Helper()
	if a.status != 303 || a.header.Get("Location") == "" {
		s.Fatalf("status %d to %q: %.400s", a.status, a.header.Get("Location"), a.body)
	}
	said, _, _ := strings.Cut(a.header.Get("Set-Cookie"), ";")
	page := s.get(a.header.Get("Location"), "Cookie", cookieOf(role)+"; "+said)
	if page.status != 200 || !strings.Contains(page.body, words) {
		s.Errorf("%d, the page does not say “%s”", page.status, words)
	}
	if forget := page.header.Get("Set-Cookie"); !strings.Contains(forget, "Max-Age=0") || !strings.Contains(forget, "Path="+a.header.Get("Location")) {
		s.Errorf("what was said is kept: %q", forget)
	}
	return page
}

// act finds the address of the first button after some words.
func (s site) act(page answer, after string) string {
	s.Helper()
	_, rest, found := strings.Cut(page.body, after)
	_, rest, more := strings.Cut(rest, `action="`)
	where, _, _ := strings.Cut(rest, `"`)
	if !found || !more {
		s.Fatalf("nothing to press after “%s”", after)
	}
	return where
}

// stopped says, by page and JSON, whether a peg's sheet has a stop that says the words,
// and wants no rig where it has.
func (s site) stopped(peg, words string) bool {
	s.Helper()
	page := s.get("/venues/sallow-reach/pegs/" + peg)
	var j struct {
		Stops []string `json:"do_not_fish"`
		Rigs  []any
		Hang  any `json:"first_rig_hangs"`
	}
	if err := json.Unmarshal([]byte(s.get("/venues/sallow-reach/pegs/"+peg+".json").body), &j); err != nil {
		s.Fatal(err)
	}
	byPage, byJSON := strings.Contains(page.body, `class="stop"`) && strings.Contains(page.body, words), strings.Contains(strings.Join(j.Stops, " "), words)
	if byPage != byJSON {
		s.Errorf("peg %s: “%s” by the page %v, by JSON %v", peg, words, byPage, byJSON)
	}
	rigs := strings.Contains(page.body, `class="rigc"`)
	if rigs == byPage || (len(j.Rigs) > 0) == byPage || byPage && (j.Hang != nil || strings.Contains(page.body, `class="answer"`)) {
		s.Errorf("peg %s, stopped %v: a rig on the page %v, %d in the JSON", peg, byPage, rigs, len(j.Rigs))
	}
	if byPage {
		s.first(page, words, `class="care"`, `class="draw"`, `class="runs"`)
	}
	return byPage
}

// first wants the words before any of the rest of a page.
func (s site) first(page answer, words string, rest ...string) {
	s.Helper()
	at := strings.Index(page.body, words)
	for _, r := range rest {
		if i := strings.Index(page.body, r); i >= 0 && (at < 0 || i < at) {
			s.Errorf("“%s” is at %d, behind %s at %d", words, at, r, i)
		}
	}
}

// TestCloseAPeg in two taps from its sheet, and open it again with one: every page of
// the water says it first, while it stands.
func TestCloseAPeg(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	const words = "Tree down"
	everywhere := func(stands bool) {
		t.Helper()
		if s.stopped("14", words) != stands || s.stopped("14A", words) || s.stopped("13", words) {
			t.Error("the sheets say it of other pegs, or not")
		}
		for path, rest := range map[string][]string{
			"/": {`class="about"`}, "/venues/sallow-reach": {`class="care"`, `class="about"`}, closuresOfSallow: {"<h2"},
			"/gauges/teasel-bridge": {`class="care"`, `class="draw"`}, "/find?q=14": nil,
		} {
			page := s.want(path, 200)
			if strings.Contains(page.body, words) != stands {
				t.Errorf("%s says it: %v", path, !stands)
			}
			if i := strings.Index(page.body, "Sallow Reach"); stands && i >= 0 {
				s.first(answer{body: page.body[i:]}, words, rest...)
			}
		}
		for _, path := range []string{"/venues.json", "/venues/sallow-reach.json", "/gauges/teasel-bridge.json"} {
			if strings.Contains(s.get(path).body, words) != stands {
				t.Errorf("%s says it: %v", path, !stands)
			}
		}
	}
	everywhere(false)
	sheet := s.get("/venues/sallow-reach/pegs/14", "Cookie", cookieOf(club.Bailiff))
	const tap = closuresOfSallow + "?peg=14#close"
	if !strings.Contains(sheet.body, `href="`+tap+`"`) || strings.Contains(s.get("/venues/sallow-reach/pegs/14").body, "Close this peg") {
		t.Error("the sheet does not lead a bailiff to closing it, or does a visitor")
	}
	form := s.get(closuresOfSallow+"?peg=14", "Cookie", cookieOf(club.Bailiff))
	peg := codeOf(t, s, "sallow-reach", "14")
	for _, want := range []string{"Peg 14, from now, until it is lifted.", `value="14.` + peg + `" selected`, `name="reason" value="Tree down"`, `method="post" action="` + closuresOfSallow + `"`} {
		if !strings.Contains(form.body, want) {
			t.Errorf("the form lacks %s", want)
		}
	}
	// What the form holds when its button is pressed.
	held := url.Values{"from_peg": {"14." + peg}, "to_peg": {""}, "from": {""}, "to": {""}, "own": {""}, "reason": {words}}
	page := s.done(s.postAs(closuresOfSallow, club.Bailiff, held), club.Bailiff, "Peg 14 is closed from now: Tree down.")
	everywhere(true)
	if again := s.get("/venues/sallow-reach/pegs/14", "Cookie", cookieOf(club.Secretary)); !strings.Contains(again.body, `href="`+closuresOfSallow+`">Open it again`) {
		t.Error("the sheet does not lead to opening the peg again")
	}
	lift := s.act(page, "Peg 14.")
	s.done(s.postAs(lift, club.Secretary, nil), club.Secretary, "Lifted: the closure of peg 14 for “Tree down”.")
	everywhere(false)
	if a := s.postAs(lift, club.Secretary, nil); a.status != 409 || !strings.Contains(a.body, "lifted or is over already") {
		t.Errorf("lifted twice: %d %.300s", a.status, a.body)
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %s", log)
	}
}

// TestCloseASpanAndAWater for a time to come.
func TestCloseASpanAndAWater(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	s.done(s.postAs(closuresOfSallow, club.Secretary, url.Values{"from_peg": {"21"}, "to_peg": {"23"}, "own": {"  Cattle on\nthe bank "}}), club.Secretary,
		"Pegs 21 to 23 are closed from now: Cattle on the bank.")
	for peg, closed := range map[string]bool{"20": false, "21": true, "22": true, "23": true, "24": false} {
		if s.stopped(peg, "Cattle on the bank") != closed {
			t.Errorf("peg %s is not closed: %v", peg, closed)
		}
	}
	s.want("/venues/sallow-reach", 200, "Do not fish pegs 21 to 23 now.")
	// The water of one is all of it; from a day on, by the club's clock (summer time).
	s.done(s.postAs(closuresOfSallow, club.Secretary, url.Values{"from_peg": {""}, "reason": {"Pollution"}, "from": {"2025-10-20T10:00"}, "to": {"2025-10-22T18:00"}}), club.Secretary,
		"The whole water is closed from Mon 20 October 10:00 until Wed 22 October 18:00: Pollution.")
	if s.stopped("14", "Pollution") {
		t.Error("closed before its time")
	}
	s.want("/venues/sallow-reach/pegs/14", 200, "Closing soon", "Pollution")
	s.want("/venues/sallow-reach/pegs/14?at=2025-10-21T10:00", 200, "Do not fish here at that hour.", "Pollution")
	s.want("/venues/sallow-reach?at=2025-10-21T10:00", 200, "Do not fish here at that hour.", "Pollution")
	if a := s.want("/venues/sallow-reach?at=2025-10-23T10:00", 200); strings.Contains(a.body, "Do not fish here") {
		t.Error("closed after its time")
	}
	s.want("/venues/sallow-reach?at=2026-04-01T10:00", 200, "Do not fish here at that hour.", "Close season")
	s.want(closuresOfSallow, 200, "Closures to come", "The whole water.", "Closed from Mon 20 October 10:00 to Wed 22 October 18:00: Pollution.")
}

// TestClosuresTonight: what is closed is not tied for, and comes back when it is lifted;
// with the whole water closed there is no rig at all.
func TestClosuresTonight(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	shut := func() string {
		var labels []string
		for _, p := range s.tied(tonight + ".json").Shut {
			labels = append(labels, p.Peg)
		}
		return strings.Join(labels, " ")
	}
	if got := shut(); got != "18" {
		t.Fatalf("before: %s", got)
	}
	page := s.done(s.postAs(closuresOfSallow, club.Bailiff, url.Values{"from_peg": {"13"}, "to_peg": {"14A"}, "reason": {"Tree down"}}), club.Bailiff, "Pegs 13 to 14A are closed from now: Tree down.")
	if got := shut(); got != "13 14 14A 18" {
		t.Errorf("closed: %s", got)
	}
	s.want(tonight, 200, "Do not fish pegs 13 to 14A then.", "Tree down")
	s.want(tonight+".txt", 200, "Do not fish pegs 13 to 14A then.")
	lift := s.act(page, "<b>Pegs 13 to 14A.</b>")
	s.done(s.postAs(lift, club.Bailiff, nil), club.Bailiff, "Lifted")
	if got := shut(); got != "18" {
		t.Errorf("lifted: %s", got)
	}
	s.done(s.postAs(closuresOfSallow, club.Bailiff, url.Values{"from_peg": {""}, "reason": {"Pollution"}}), club.Bailiff, "The whole water is closed from now: Pollution.")
	if got := s.tied(tonight + ".json"); len(got.Rigs) != 0 || len(got.Stops) == 0 || !strings.Contains(got.Stops[0], "Pollution") {
		t.Errorf("the whole water closed: %d rigs, %v", len(got.Rigs), got.Stops)
	}
	if a := s.want(tonight, 200, "Pollution"); strings.Contains(a.body, `class="rigc"`) || strings.Contains(a.body, "that may be fished") {
		t.Error("the whole water closed, and a rig is shown")
	}
}

// TestSetALevelRule: it is read on the board of today, speaks for its pegs and in its
// time, and stops fishing at its level.
func TestSetALevelRule(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	const words = "The ditch runs"
	form := url.Values{"from_peg": {"12"}, "to_peg": {"14"}, "side": {"above"}, "level": {"0,5 m"}, "effect": {"no fishing"}, "text": {words}, "from": {""}, "to": {"2025-11-01T12:00"}}
	page := s.done(s.postAs("/venues/sallow-reach/rules", club.Bailiff, form), club.Bailiff,
		"Set for pegs 12 to 14: Above 0.50 m no fishing: The ditch runs. Until Sat 1 November 12:00.")
	for peg, stops := range map[string]bool{"11": false, "12": true, "13": true, "14": true, "14A": false} {
		if s.stopped(peg, words) != stops {
			t.Errorf("peg %s is stopped: %v", peg, !stops)
		}
	}
	for _, path := range []string{"/", "/venues/sallow-reach"} {
		s.want(path, 200, "Do not fish pegs 12 to 14 now.", words)
	}
	s.want("/venues/sallow-reach.json", 200, `"do_not_fish_at":[{"from_peg":"`, `"no_fishing_at_level":true`)
	s.want("/gauges/teasel-bridge", 200, "Sallow Reach: do not fish pegs 12 to 14 now.")
	s.want("/find?q=14", 200, "Do not fish here now.", words)
	// At another level, and after its time, it says nothing.
	for _, query := range []string{"?level=0.49", "?at=2025-11-01T12:30"} {
		if a := s.want("/venues/sallow-reach/pegs/14"+query, 200); strings.Contains(a.body, words) {
			t.Errorf("with %s the rule speaks", query)
		}
	}
	s.done(s.postAs(s.act(page, "<b>Pegs 12 to 14.</b>"), club.Secretary, nil), club.Secretary, "Taken away for pegs 12 to 14: Above 0.50 m no fishing: The ditch runs")
	if s.stopped("14", words) {
		t.Error("the rule stops fishing after it was taken away")
	}
	// On a board that was replaced 12 cm up the rule is kept on the datum.
	s.done(s.postAs("/venues/cinder-bend/rules", club.Secretary, url.Values{"from_peg": {""}, "side": {"below"}, "level": {"0.10"}, "effect": {"caution"}, "text": {"Stones"}}), club.Secretary, "Below 0.10 m: Stones")
	s.want("/venues/cinder-bend.json", 200, `"above_m":null,"below_m":0.1,"no_fishing":false,"text":"Stones"`)
}

// TestNobodyElseCloses: visitors and other members are told so, nothing is written, and
// another site's page cannot close anything with a bailiff's cookie.
func TestNobodyElseCloses(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	held := url.Values{"from_peg": {"14"}, "own": {"Mine alone"}, "side": {"above"}, "level": {"0.1"}, "effect": {"no fishing"}, "text": {"Mine alone"}}
	for _, role := range []club.Role{"", club.Coach, club.Angler, club.Junior, "nobody"} {
		for _, path := range []string{closuresOfSallow, closuresOfSallow + "/1/lift", "/venues/sallow-reach/rules", "/venues/sallow-reach/rules/1/drop"} {
			if a := s.postAs(path, role, held); a.status != 403 || !strings.Contains(a.body, "Only a secretary or a bailiff") || strings.Contains(a.body, "<form class=\"form wide\"") {
				t.Errorf("%s as %q: %d %.300s", path, role, a.status, a.body)
			}
		}
		if a := s.get(closuresOfSallow, "Cookie", cookieOf(role)); a.status != 200 || strings.Contains(a.body, `method="post"`) || !strings.Contains(a.body, "Peg 18.") || strings.Contains(a.body, "Set by") {
			t.Errorf("%q sees forms, or not what stands: %d", role, a.status)
		}
	}
	for _, header := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}, {"Sec-Fetch-Site", "", "Origin", "https://elsewhere.example"}} {
		for _, path := range []string{closuresOfSallow, closuresOfSallow + "/1/lift", "/venues/sallow-reach/rules", "/venues/sallow-reach/rules/1/drop"} {
			if a := s.postAs(path, club.Bailiff, held, header...); a.status != 403 {
				t.Errorf("%s with %v: %d", path, header, a.status)
			}
		}
	}
	if a := s.want(closuresOfSallow, 200, "Peg 18.", "Above 1.85 m no fishing"); strings.Contains(a.body, "Mine alone") {
		t.Error("somebody else closed a peg")
	}
	// A word in an address or in a cookie that is none of ours is not taken for ours.
	if a := s.get(closuresOfSallow+"?said=Peg+3+is+closed", "Cookie", "levelpeg_said=UGVn%%"); a.status != 200 || strings.Contains(a.body, "Peg 3 is closed") || strings.Contains(a.body, `role="status"`) {
		t.Error("the page says what an address says")
	}
	for path, allow := range map[string]string{closuresOfSallow: "GET, HEAD, POST", closuresOfSallow + "/1/lift": "POST", "/venues/sallow-reach/rules": "POST", "/": "GET, HEAD"} {
		if a := s.ask("PUT", path); a.status != 405 || a.header.Get("Allow") != allow {
			t.Errorf("PUT %s: %d, allow %q, want %q", path, a.status, a.header.Get("Allow"), allow)
		}
	}
}

// TestFormsThatMakeNoSense are shown again as they were filled, with a sentence; nothing
// is lost and nothing is written.
func TestFormsThatMakeNoSense(t *testing.T) {
	t.Parallel()
	s := officeSite(t)
	stale := "14." + codeOf(t, s, "sallow-reach", "15")
	for _, c := range []struct {
		path   string
		form   url.Values
		status int
		words  []string
	}{
		{closuresOfSallow, url.Values{}, 400, []string{"Choose the pegs"}},
		{closuresOfSallow, url.Values{"from_peg": {"?"}, "reason": {"Works"}}, 400, []string{"Choose the pegs"}},
		{closuresOfSallow, url.Values{"from_peg": {"99"}, "own": {"Kept words"}}, 400, []string{"Sallow Reach has no peg 99. It has", `value="Kept words"`, `value="?" selected`}},
		{closuresOfSallow, url.Values{"from_peg": {stale}, "own": {"Kept words"}}, 409, []string{"Peg 14 was renumbered since this page was opened: it is peg 15 now.", `value="Kept words"`, `value="?" selected`}},
		{closuresOfSallow, url.Values{"from_peg": {"14"}, "own": {" "}}, 400, []string{"Write why it is closed", `selected>Peg 14<`}},
		{closuresOfSallow, url.Values{"from_peg": {"14"}, "own": {strings.Repeat("é", 501)}}, 400, []string{"501 signs long", "ééé"}},
		{closuresOfSallow, url.Values{"from_peg": {"14"}, "own": {"x"}, "from": {"2025-10-20T10:00"}, "to": {"2025-10-19T10:00"}}, 400, []string{"ends before it begins", `value="2025-10-20T10:00"`, `value="2025-10-19T10:00"`}},
		{closuresOfSallow, url.Values{"from_peg": {"14"}, "own": {"x"}, "from": {"soon"}}, 400, []string{"“soon” is not a day and an hour", `value="soon"`}},
		{closuresOfSallow, url.Values{"from_peg": {"14\x00"}, "own": {"\xff<script>alert(1)</script>\x00"}, "to": {"\x00"}}, 400, []string{"is not a day and an hour", "&lt;script&gt;"}},
		{closuresOfSallow + "/77777/lift", nil, 409, []string{"lifted or is over already"}},
		{closuresOfSallow + "/x/lift", nil, 404, []string{"no such closure"}},
		{closuresOfSallow + "/99999999999999999999/lift", nil, 404, []string{"no such closure"}},
		{"/venues/tansy-meadow/closures/1/lift", nil, 409, []string{"lifted or is over already"}}, // another water's
		{"/venues/sallow-reach/rules/77777/drop", nil, 409, []string{"taken away already"}},
		{"/venues/sallow-reach/rules", url.Values{"from_peg": {""}, "level": {"high"}, "text": {"Kept words"}, "effect": {"caution"}, "side": {"below"}}, 400,
			[]string{"“high” is not a level", `value="high"`, `value="Kept words"`, `value="caution" selected`, `value="below" selected`}},
		{"/venues/sallow-reach/rules", url.Values{"from_peg": {""}, "level": {"51"}, "text": {"x"}, "effect": {"caution"}}, 400, []string{"not a level a board shows"}},
		{"/venues/sallow-reach/rules", url.Values{"from_peg": {""}, "level": {"1"}, "text": {"x"}, "effect": {"shut"}}, 400, []string{"stops fishing or asks for care"}},
		{"/venues/sallow-reach/rules", url.Values{"from_peg": {""}, "level": {"1"}, "text": {"x"}, "effect": {"caution"}, "side": {"left"}}, 400, []string{"not a side of a level"}},
		{"/venues/nowhere/closures", url.Values{"from_peg": {"14"}, "own": {"x"}}, 404, []string{"no venue at this address"}},
	} {
		a := s.postAs(c.path, club.Bailiff, c.form)
		for _, w := range c.words {
			if a.status != c.status || !strings.Contains(a.body, w) {
				t.Errorf("%s %.80v: %d, want %d and “%s”", c.path, c.form, a.status, c.status, w)
			}
		}
		if strings.Contains(a.body, "<script>alert") {
			t.Errorf("%v came back as markup", c.form)
		}
	}
	if a := s.postAs(closuresOfSallow, club.Bailiff, url.Values{"from_peg": {"14"}, "own": {strings.Repeat("x", 64<<10)}}); a.status != 400 || !strings.Contains(a.body, "could not be read") {
		t.Errorf("a huge form: %d", a.status)
	}
	s.want(closuresOfSallow+"?peg=99", 400, "has no peg with that number", "Peg 18.")
	if a := s.get(closuresOfSallow+"?peg=99", "Cookie", cookieOf(club.Bailiff)); a.status != 400 || !strings.Contains(a.body, `value="?" selected`) {
		t.Errorf("a form for a peg that is not there: %d", a.status)
	}
	if s.stopped("14", "Closed") {
		t.Error("a form that makes no sense closed a peg")
	}
	if log := s.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %s", log)
	}
}

// TestHowOftenAPegWasFished stands on the sheet and in the JSON, without who fished.
func TestHowOftenAPegWasFished(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	a := s.want(sheetOfPeg14, 200, "The peg's book", "in the last 12 months, last ", "Near this level, within 15 cm, the water was ")
	s.first(a, "Near this level, within 15 cm", "in the last 12 months")
	var j struct {
		Fished struct {
			Times   int `json:"times_in_12_months"`
			Near    int `json:"times_near_level"`
			Colours map[string]int
			Last    string `json:"last_on"`
		}
	}
	if err := json.Unmarshal([]byte(s.get(sheetOfPeg14+".json").body), &j); err != nil || j.Fished.Times < 3 || j.Fished.Near > j.Fished.Times || len(j.Fished.Last) != len("2025-10-18") {
		t.Errorf("%+v, %v", j, err)
	}
	if far := s.want(sheetOfPeg14+"?level=5", 200, "never near this level"); strings.Contains(far.body, "Near this level, within") {
		t.Error("at a level that was never fished the water is told")
	}
}

// TestWritesOutOfReach: with the book away a form is not lost without a word.
func TestWritesOutOfReach(t *testing.T) {
	t.Parallel()
	s := serve(t, badBook{fail: func() error { return club.Faultf(club.Unavailable, "The book is out of reach.") }})
	if a := s.postAs(closuresOfSallow, club.Bailiff, url.Values{"from_peg": {"14"}, "own": {"x"}}); a.status != 503 || a.header.Get("Retry-After") == "" {
		t.Errorf("%d, %v", a.status, a.header)
	}
}
