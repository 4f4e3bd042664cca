package handlers_test

import (
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db/dbtest"
)

// bank is a site with a session for each role, and a connection beside it.
type bank struct {
	site
	rec records
	ids int
}

func bankSite(t *testing.T) *bank {
	t.Helper()
	s, rec := peopleSite(t)
	for _, role := range club.Roles() {
		rec.session(string(role), role)
	}
	return &bank{site: s, rec: rec}
}

func (b *bank) id() string {
	b.ids++
	return fmt.Sprintf("00000000-0000-4000-8000-%012d", b.ids)
}

// reply is what the address of entries answers.
type reply struct {
	Club, Epoch, Error string
	Member             int64
	Entries            []struct {
		ID, State, Why, Says, Epoch string
		Ask, Odd                    bool
	}
}

// sends posts a batch as a phone does.
func (b *bank) sends(role club.Role, body string) (int, reply) {
	b.Helper()
	req, err := http.NewRequest("POST", b.url+"/api/1/entries", strings.NewReader(body))
	if err != nil {
		b.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	if role != "" {
		req.Header.Set("Cookie", b.rec.cookie(string(role)))
	}
	resp, err := client.Do(req)
	if err != nil {
		b.Fatal(err)
	}
	defer resp.Body.Close()
	var out reply
	if err := json.NewDecoder(resp.Body).Decode(&out); err != nil {
		b.Fatalf("%d, no JSON: %v", resp.StatusCode, err)
	}
	return resp.StatusCode, out
}

// entry is one entry's JSON; fields come as name, value.
func entry(id string, fields ...any) string {
	m := map[string]any{"form": 1, "id": id}
	for i := 0; i+1 < len(fields); i += 2 {
		m[fields[i].(string)] = fields[i+1]
	}
	out, _ := json.Marshal(m)
	return string(out)
}

// one sends one entry and gives what is said of it.
func (b *bank) one(role club.Role, e string) (state, words string, ask bool) {
	b.Helper()
	code, r := b.sends(role, `{"entries":[`+e+`]}`)
	if code != 200 || len(r.Entries) != 1 {
		b.Fatalf("%d, %+v", code, r)
	}
	a := r.Entries[0]
	return a.State, a.Why + a.Says, a.Ask
}

// lastLevel is the newest level of a gauge in the demo, on its board.
func (b *bank) lastLevel(gauge string) float64 {
	b.Helper()
	var v struct {
		Level float64 `json:"level_m"`
	}
	body := b.get("/gauges/"+gauge+".json", "Cookie", b.rec.cookie("bailiff")).body
	var j struct {
		Gauge struct {
			Level *float64 `json:"level_m"`
		}
	}
	if err := json.Unmarshal([]byte(body), &j); err != nil || j.Gauge.Level == nil {
		b.Fatalf("%v in %.300s", err, body)
	}
	v.Level = *j.Gauge.Level
	return v.Level
}

const inTheBook, needsMending, notTaken = "in the book", "needs mending", "not taken"

// TestALevel goes into the book once however often it comes, and says what it changed; a
// second one of the same minute is kept as well and held beside it.
func TestALevel(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	last, id := b.lastLevel("teasel-bridge"), b.id()
	at := dbtest.DemoNow.Add(-time.Minute).Format(time.RFC3339)
	e := entry(id, "kind", "level", "gauge", "teasel-bridge", "level", fmt.Sprintf("%.2f", last+0.02), "at", at, "colour", "a tinge", "temperature", 8.5)
	state, words, _ := b.one(club.Bailiff, e)
	if state != inTheBook || !strings.Contains(words, fmt.Sprintf("Teasel Bridge board %.2f m now, was %.2f", last+0.02, last)) {
		t.Fatalf("%s: %s", state, words)
	}
	for range 3 {
		if again, said, _ := b.one(club.Bailiff, e); again != inTheBook || said != words {
			t.Errorf("again: %s: %s", again, said)
		}
	}
	other := entry(b.id(), "kind", "level", "gauge", "teasel-bridge", "level", last+0.10, "at", at)
	if state, words, _ := b.one(club.Secretary, other); state != inTheBook || !strings.Contains(words, "do not agree") {
		t.Errorf("%s: %s", state, words)
	}
	agrees := entry(b.id(), "kind", "level", "gauge", "teasel-bridge", "level", last+0.03, "at", at)
	if state, words, _ := b.one(club.Secretary, agrees); state != inTheBook || !strings.Contains(words, "Somebody else read") || !strings.Contains(words, "they agree") {
		t.Errorf("%s: %s", state, words)
	}
	if got := b.rec.text(`select count(*) || ' ' || count(distinct at) || ' ' || count(*) filter (where extract(second from at) = 0) from levels where intake_id is not null`); got != "3 3 0" {
		t.Errorf("levels, their times, and those on a minute: %s", got)
	}
	if got := b.rec.text(`select colour || ' ' || temperature_dc from looks`); got != "a tinge 85" {
		t.Errorf("looks: %s", got)
	}
	if got := b.rec.text(`select count(*) from log where what = 'wrote a level'`); got != "3" {
		t.Errorf("%s lines in the log", got)
	}
	if !strings.Contains(b.get("/gauges/teasel-bridge", "Cookie", b.rec.cookie("bailiff")).body, fmt.Sprintf("%.2f m", last+0.03)) {
		t.Error("the gauge's page does not have it")
	}
}

// TestOddIsAskedOnce and kept when its writer says it is right.
func TestOddIsAskedOnce(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	last, id := b.lastLevel("teasel-bridge"), b.id()
	fields := []any{"kind", "level", "gauge", "teasel-bridge", "level", last + 1.5}
	state, words, ask := b.one(club.Bailiff, entry(id, fields...))
	if state != needsMending || !ask || !strings.HasPrefix(words, "needs a second look: ") || !strings.Contains(words, "1.50 m higher than was expected") {
		t.Fatalf("%s, %v: %s", state, ask, words)
	}
	if got := b.rec.text(`select count(*) from levels where intake_id is not null`); got != "0" {
		t.Errorf("%s levels before it was sure", got)
	}
	if state, words, _ := b.one(club.Bailiff, entry(id, append(fields, "sure", true)...)); state != inTheBook {
		t.Errorf("sure: %s: %s", state, words)
	}
	if got := b.rec.text(`select (result ->> 'odd') || ' ' || jsonb_array_length(result -> 'before') from intake`); got != "true 1" {
		t.Errorf("marked odd, with what it said before: %s", got)
	}
}

// TestASounding says what it changed, is asked about where it is odd, and is put right by
// one that takes its place.
func TestASounding(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	code := b.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`)
	var sheet struct {
		Runs []struct {
			Name  string
			Depth struct {
				Mid float64 `json:"mid_m"`
			} `json:"depth"`
		}
	}
	body := b.get("/venues/sallow-reach/pegs/14.json").body
	if err := json.Unmarshal([]byte(body), &sheet); err != nil || len(sheet.Runs) == 0 {
		t.Fatalf("%v: %.500s", err, body)
	}
	run := b.rec.text(`select r.name from runs r join pegs p on p.id = r.peg_id where p.code = $1 order by r.distance_mm limit 1`, code)
	deep := 0.0
	fmt.Sscan(b.rec.text(`select depth_mm / 1000.0 from soundings s join runs r on r.id = s.run_id join pegs p on p.id = r.peg_id where p.code = $1 and r.name = $2 order by s.at desc limit 1`, code, run), &deep)
	level := b.rec.text(`select round(s.level_mm / 1000.0, 2) from soundings s join runs r on r.id = s.run_id join pegs p on p.id = r.peg_id where p.code = $1 and r.name = $2 order by s.at desc limit 1`, code, run)
	id := b.id()
	state, words, _ := b.one(club.Angler, entry(id, "kind", "sounding", "peg", code, "run", run, "depth", deep, "level", level, "over", 5, "secs", []any{19, 20, 21}, "boil", 1, "note", "by the post"))
	if state != inTheBook || !strings.Contains(words, "Peg 14. ") || !strings.Contains(words, " run now ") || !strings.Contains(words, " at today's level, was ") {
		t.Fatalf("%s: %s", state, words)
	}
	if got := b.rec.text(`select pace_mmps || ' ' || timed_ms || ' ' || boil || ' ' || note from soundings where intake_id = $1`, id); got != "250 34641 1 by the post" { // 15 ÷ 60; 60 ÷ √3, derived
		t.Errorf("written: %s", got)
	}
	odd := b.id()
	if state, words, ask := b.one(club.Angler, entry(odd, "kind", "sounding", "peg", code, "run", run, "depth", deep+1.5, "level", level)); state != needsMending || !ask || !strings.Contains(words, "deeper") {
		t.Errorf("%s, %v: %s", state, ask, words)
	}
	if state, _, _ := b.one(club.Angler, entry(odd, "kind", "sounding", "peg", code, "run", run, "depth", deep+1.5, "level", level, "sure", true)); state != inTheBook {
		t.Errorf("sure: %s", state)
	}
	if got := b.rec.text(`select odd from soundings where intake_id = $1`, odd); got != "true" {
		t.Errorf("odd: %s", got)
	}
	if state, words, _ := b.one(club.Coach, entry(b.id(), "kind", "sounding", "corrects", odd, "depth", deep, "level", level)); state != needsMending || !strings.Contains(words, "Only who wrote it") {
		t.Errorf("another member puts it right: %s: %s", state, words)
	}
	right := b.id()
	if state, words, _ := b.one(club.Angler, entry(right, "kind", "sounding", "corrects", odd, "depth", deep, "level", level)); state != inTheBook {
		t.Errorf("put right: %s: %s", state, words)
	}
	if state, words, _ := b.one(club.Bailiff, entry(b.id(), "kind", "sounding", "corrects", odd, "withdraw", true)); state != inTheBook {
		t.Errorf("taken away: %s: %s", state, words)
	}
	if got := b.rec.text(`select count(*) || ' ' || count(*) filter (where withdrawn) || ' ' || count(supersedes) from soundings where intake_id is not null`); got != "4 1 2" {
		t.Errorf("soundings, withdrawn, that supersede: %s", got)
	}
}

// TestPuttingALevelRight is a revision; where its time was wrong it is taken away there and
// stands at the right one.
func TestPuttingALevelRight(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	last, id := b.lastLevel("teasel-bridge"), b.id()
	b.one(club.Bailiff, entry(id, "kind", "level", "gauge", "teasel-bridge", "level", last+0.05))
	if state, words, _ := b.one(club.Bailiff, entry(b.id(), "kind", "level", "corrects", id, "level", last+0.01)); state != inTheBook || !strings.Contains(words, fmt.Sprintf("put right: it said %.2f m", last+0.05)) {
		t.Errorf("%s: %s", state, words)
	}
	if got := b.lastLevel("teasel-bridge"); fmt.Sprintf("%.2f", got) != fmt.Sprintf("%.2f", last+0.01) {
		t.Errorf("the gauge stands at %v", got)
	}
	moved := dbtest.DemoNow.Add(-3 * time.Hour).Format(time.RFC3339)
	if state, words, _ := b.one(club.Secretary, entry(b.id(), "kind", "level", "corrects", id, "level", last+0.01, "at", moved, "sure", true)); state != inTheBook {
		t.Errorf("%s: %s", state, words)
	}
	if got := b.rec.text(`select string_agg(revision || ':' || (level_mm is null), ' ' order by at desc, revision) from levels where intake_id is not null`); got != "0:false 1:false 2:true 0:false" {
		t.Errorf("revisions: %s", got)
	}
	if got := b.lastLevel("teasel-bridge"); fmt.Sprintf("%.2f", got) != fmt.Sprintf("%.2f", last) {
		t.Errorf("the gauge stands at %v, want what the station read, %v", got, last)
	}
}

// TestWhoMayWriteWhat: levels and closures are the bailiffs' and the secretary's, soundings
// and incidents every member's.
func TestWhoMayWriteWhat(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	code := b.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`)
	b.rec.do(`update club set incident_line = 'the hotline, 0800 555 0100'`)
	last := b.lastLevel("teasel-bridge")
	for _, role := range club.Roles() {
		office := role == club.Secretary || role == club.Bailiff
		for kind, fields := range map[string][]any{
			"level":    {"gauge", "teasel-bridge", "level", last},
			"closure":  {"where", code, "reason", "Tree down for " + string(role)},
			"incident": {"where", "venue:sallow-reach", "incident", "pollution", "text", "foam"},
		} {
			state, words, _ := b.one(role, entry(b.id(), append(fields, "kind", kind)...))
			want := inTheBook
			if kind != "incident" && !office {
				want = needsMending
			}
			if state != want {
				t.Errorf("%s by %s: %s: %s", kind, role, state, words)
			}
			if kind == "incident" && !strings.Contains(words, "0800 555 0100") {
				t.Errorf("the number is not said: %s", words)
			}
		}
		page := b.get("/record", "Cookie", b.rec.cookie(string(role)))
		if page.status != 200 || strings.Contains(page.body, `id="level-form"`) != office || !strings.Contains(page.body, `id="sounding-form"`) || !strings.Contains(page.body, `href="tel:08005550100"`) {
			t.Errorf("the page of %s: %d", role, page.status)
		}
	}
}

// TestIntake: what came is kept as it came, whoever's number it has, and what is not the
// sender's is told nothing of.
func TestIntake(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	id := b.id()
	e := entry(id, "kind", "level", "gauge", "teasel-bridge", "level", b.lastLevel("teasel-bridge"))
	if code, r := b.sends("", `{"entries":[`+e+`]}`); code != 401 || r.Error == "" {
		t.Errorf("a visitor: %d, %+v", code, r)
	}
	b.one(club.Bailiff, e)
	if state, words, _ := b.one(club.Secretary, e); state != notTaken || strings.Contains(words, "Teasel") {
		t.Errorf("another's number: %s: %s", state, words)
	}
	if got := b.rec.text(`select convert_from(body, 'UTF8') from intake`); got != e {
		t.Errorf("kept as %s, came as %s", got, e)
	}
	for why, fields := range map[string][]any{"another member": {"member", 999999}, "another club": {"club", "00000000-0000-4000-8000-000000000000"}} {
		state, words, _ := b.one(club.Bailiff, entry(b.id(), append(fields, "kind", "level", "gauge", "teasel-bridge", "level", 1)...))
		if state != notTaken || !strings.Contains(words, why) {
			t.Errorf("%s: %s: %s", why, state, words)
		}
	}
	if got := b.rec.text(`select count(*) from intake`); got != "1" {
		t.Errorf("%s entries taken in", got)
	}
	epoch := b.rec.text(`select epoch from club`)
	if code, r := b.sends(club.Bailiff, `{}`); code != 200 || r.Epoch != epoch || r.Entries == nil {
		t.Errorf("nothing sent: %d, %+v", code, r)
	}
}

// TestLeftUnjudged: an entry that was taken in when the program was killed is judged with
// its sender's next.
func TestLeftUnjudged(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	id := b.id()
	e := entry(id, "kind", "level", "gauge", "teasel-bridge", "level", b.lastLevel("teasel-bridge"))
	b.rec.do(`insert into intake (id, member_id, form, body, received_at) select $1, (select min(id) from members where role = 'bailiff'), 1, convert_to($2, 'UTF8'), $3`, id, e, dbtest.DemoNow.Add(-time.Hour))
	b.sends(club.Bailiff, `{}`)
	if got := b.rec.text(`select state from intake`); got != inTheBook {
		t.Errorf("it is %q", got)
	}
}

// TestClocks: a clock that is a day wrong is set right by what it says as it sends; a time
// to come is kept as of when it came; both are said, and what was claimed is kept.
func TestClocks(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	last := b.lastLevel("teasel-bridge")
	for _, c := range []struct {
		name      string
		sent, at  time.Duration // from now
		want      time.Duration
		says, why string
	}{
		{"a day ahead", 24 * time.Hour, 23 * time.Hour, -time.Hour, "1 day ahead", ""},
		{"two days behind", -48 * time.Hour, -49 * time.Hour, -time.Hour, "2 days behind", ""},
		{"to come, and no clock", 0, 30 * time.Hour, 0, "still to come", ""},
		{"two days on the phone", 0, -50 * time.Hour, -50 * time.Hour, "and came", ""},
	} {
		id := b.id()
		body := entry(id, "kind", "level", "gauge", "teasel-bridge", "level", last, "sure", true, "at", dbtest.DemoNow.Add(c.at).Format(time.RFC3339))
		code, r := b.sends(club.Bailiff, `{"sent":"`+dbtest.DemoNow.Add(c.sent).Format(time.RFC3339)+`","entries":[`+body+`]}`)
		if code != 200 || r.Entries[0].State != inTheBook || !strings.Contains(r.Entries[0].Says, c.says) {
			t.Errorf("%s: %d, %+v", c.name, code, r)
			continue
		}
		got := b.rec.text(`select round(extract(epoch from l.at - $2) / 60) || ' ' || round(extract(epoch from i.claimed_at - $2) / 60) from levels l join intake i on i.id = l.intake_id where i.id = $1`, id, dbtest.DemoNow)
		if want := fmt.Sprintf("%.0f %.0f", c.want.Minutes(), c.at.Minutes()); got != want {
			t.Errorf("%s: minutes kept and claimed: %s, want %s", c.name, got, want)
		}
	}
}

// TestRecordWithoutScript: the form itself does it all, and an odd one asks on the page.
func TestRecordWithoutScript(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	last := b.lastLevel("teasel-bridge")
	form := url.Values{"kind": {"level"}, "id": {b.id()}, "gauge": {"teasel-bridge"}, "level": {fmt.Sprintf("%.2f", last+2)}, "at": {""}, "temperature": {""}, "colour": {""}}
	as := []string{"Cookie", b.rec.cookie("bailiff"), "Sec-Fetch-Site", "same-origin"}
	a := b.post("/record", form, as...)
	if a.status != 409 || !strings.Contains(a.body, "Needs a second look") || !strings.Contains(a.body, `name="sure"`) || !strings.Contains(a.body, form.Get("id")) || !strings.Contains(a.body, form.Get("level")) {
		t.Errorf("%d: %.600s", a.status, a.body)
	}
	form.Set("sure", "1")
	for range 2 { // pressed twice
		if a = b.post("/record", form, as...); a.status != 303 || a.header.Get("Location") != "/record" {
			t.Fatalf("%d: %.600s", a.status, a.body)
		}
	}
	cookies := strings.Join(a.header["Set-Cookie"], "\n")
	if !strings.Contains(cookies, "levelpeg_gauge=teasel-bridge") || !strings.Contains(cookies, "levelpeg_said=") {
		t.Errorf("cookies: %s", cookies)
	}
	if got := b.rec.text(`select count(*) from levels where intake_id is not null`); got != "1" {
		t.Errorf("%s levels", got)
	}
	page := b.get("/record", "Cookie", b.rec.cookie("bailiff")+"; levelpeg_gauge=teasel-bridge")
	if !strings.Contains(page.body, `<option value="teasel-bridge" selected`) {
		t.Error("the gauge last used is not chosen")
	}
}

// TestBadEntries: whatever comes is answered with a sentence, and never by half.
func TestBadEntries(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	code := b.rec.text(`select p.code from pegs p join venues v on v.id = p.venue_id where v.slug = 'sallow-reach' and p.label = '14'`)
	good := map[string]map[string]any{
		"level":    {"gauge": "teasel-bridge", "level": "1", "colour": "clear", "temperature": "8", "at": "2026-06-01T10:00", "corrects": ""},
		"sounding": {"peg": code, "run": "inside", "depth": "1.5", "level": "1", "over": "5", "secs": "10", "boil": "1", "at": "2026-06-01T10:00", "pace": "", "note": "", "corrects": ""},
		"closure":  {"where": code, "own": "Works", "until": "2030-01-01T10:00", "at": "2026-06-01T10:00"},
		"incident": {"where": code, "incident": "pollution", "text": "foam", "at": "2026-06-01T10:00"},
		"picnic":   {},
	}
	bad := []any{nil, "", "x", strings.Repeat("9", 40000), "<script>alert(1)</script>", "\x00", "NaN", -1e9, 1e300, true, []any{}, []any{"1", "2"}, map[string]any{"a": 1}, "99999-01-01T00:00", "0001-01-01T00:00Z", "venue:", "venue:x y", "ZZZZ", "'; drop table levels; --", "\u202e"}
	n := 0
	for kind, fields := range good {
		for name := range fields {
			for _, v := range bad {
				e := map[string]any{"form": 1, "id": b.id(), "kind": kind}
				for k, was := range fields {
					e[k] = was
				}
				e[name] = v
				body, _ := json.Marshal(e)
				status, r := b.sends(club.Bailiff, `{"entries":[`+string(body)+`]}`)
				if status != 200 || len(r.Entries) != 1 || r.Entries[0].State != inTheBook && (r.Entries[0].State != needsMending || len(r.Entries[0].Why) < 10 || len([]rune(r.Entries[0].Why)) > 400) {
					t.Errorf("%s with %s %.40v: %d, %.400v", kind, name, v, status, r)
				}
				q := url.Values{}
				for k, x := range e {
					q.Set(k, fmt.Sprint(x))
				}
				q.Set("id", b.id())
				if a := b.post("/record", q, "Cookie", b.rec.cookie("bailiff"), "Sec-Fetch-Site", "same-origin"); a.status >= 500 || strings.Contains(a.body, "<script>alert") {
					t.Errorf("the form of %s with %s %.40v: %d", kind, name, v, a.status)
				}
				n++
			}
		}
	}
	for _, body := range []string{"", "{", "[]", "null", `"x"`, `{"entries":{}}`, `{"entries":[1,"x",null,[],{}]}`, `{"entries":[{"id":5}]}`, `{"entries":[{"id":"x"}]}`, `{"sent":"never","entries":[]}`,
		`{"entries":[` + strings.Repeat(`{"id":"x"},`, 100) + `{"id":"x"}]}`, `{"entries":[` + entry(b.id(), "kind", "level", "note", strings.Repeat("x", 70000)) + `]}`, strings.Repeat(" ", 8<<20) + "{}",
		`{"entries":[{"form":99,"id":"` + b.id() + `"}]}`, `{"entries":[{"form":1e99,"id":"` + b.id() + `"}]}`} {
		if status, r := b.sends(club.Bailiff, body); status != 200 && status != 400 || status == 400 && r.Error == "" {
			t.Errorf("%.60s: %d, %+v", body, status, r)
		}
	}
	if log := b.log.String(); strings.Contains(log, "ERROR") {
		t.Errorf("logged: %.900s", log)
	}
	t.Logf("%d bad entries, each twice", n)
}

// TestWorker: the script that opens the page with no signal is asked for anew each time,
// keeps files that are there, and the manifest's icons are.
func TestWorker(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	a := b.want("/sw.js", 200, `const PAGE = "/record"`)
	if a.header.Get("Cache-Control") != "no-cache" || a.header.Get("Service-Worker-Allowed") != "/" || !strings.HasPrefix(a.header.Get("Content-Type"), "text/javascript") {
		t.Errorf("%v", a.header)
	}
	_, list, _ := strings.Cut(a.body, "const FILES = ")
	list, _, _ = strings.Cut(list, ";")
	var files []string
	if err := json.Unmarshal([]byte(list), &files); err != nil || len(files) < 5 {
		t.Fatalf("%v: %s", err, list)
	}
	page := b.get("/record", "Cookie", b.rec.cookie("bailiff"))
	for _, f := range files {
		b.want(f, 200)
		if !strings.Contains(page.body, f) {
			t.Errorf("the page does not use %s", f)
		}
	}
	var m struct{ Icons []struct{ Src string } }
	if err := json.Unmarshal([]byte(b.want("/app.webmanifest", 200).body), &m); err != nil || len(m.Icons) < 3 {
		t.Errorf("%v, %+v", err, m)
	}
	for _, i := range m.Icons {
		b.want(i.Src, 200)
	}
}

// TestAtOnce: one entry that comes eight times at once is one, and eight readings of one
// second are eight.
func TestAtOnce(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	last, at := b.lastLevel("teasel-bridge"), dbtest.DemoNow.Add(-time.Hour).Format(time.RFC3339)
	same := entry(b.id(), "kind", "level", "gauge", "teasel-bridge", "level", last, "at", at, "sure", true)
	said := make(chan string, 16)
	for i := range 8 {
		own := entry(b.id(), "kind", "level", "gauge", "teasel-bridge", "level", last+float64(i)/100, "at", at, "sure", true)
		for _, e := range []string{same, own} {
			go func() {
				req, _ := http.NewRequest("POST", b.url+"/api/1/entries", strings.NewReader(`{"entries":[`+e+`]}`))
				req.Header.Set("Cookie", b.rec.cookie("bailiff"))
				resp, err := client.Do(req)
				if err != nil {
					said <- err.Error()
					return
				}
				defer resp.Body.Close()
				var r reply
				_ = json.NewDecoder(resp.Body).Decode(&r)
				if resp.StatusCode != 200 || len(r.Entries) != 1 {
					said <- fmt.Sprintf("%d %+v", resp.StatusCode, r)
					return
				}
				said <- r.Entries[0].State
			}()
		}
	}
	for range 16 {
		if s := <-said; s != inTheBook {
			t.Error(s)
		}
	}
	if got := b.rec.text(`select count(*) || ' ' || count(distinct at) || ' ' || count(distinct intake_id) from levels where intake_id is not null`); got != "9 9 9" {
		t.Errorf("levels, times, entries: %s, want nine of each", got)
	}
}

// TestPutRightWithoutScript: the page lists what its reader wrote last, and its form takes
// the place of it, or takes it away.
func TestPutRightWithoutScript(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	last, id := b.lastLevel("teasel-bridge"), b.id()
	b.one(club.Bailiff, entry(id, "kind", "level", "gauge", "teasel-bridge", "level", last+0.07))
	as := []string{"Cookie", b.rec.cookie("bailiff"), "Sec-Fetch-Site", "same-origin"}
	href := "/record?corrects=" + id + "&amp;kind=level"
	if page := b.get("/record", as...); !strings.Contains(page.body, href) {
		t.Errorf("the page has no %s", href)
	}
	if page := b.get("/record", "Cookie", b.rec.cookie("secretary")); strings.Contains(page.body, href) {
		t.Error("another member's page has it")
	}
	page := b.get(strings.ReplaceAll(href, "&amp;", "&"), as...)
	if page.status != 200 || !strings.Contains(page.body, `name="corrects" value="`+id+`"`) || !strings.Contains(page.body, fmt.Sprintf(`value="%.2f"`, last+0.07)) || !strings.Contains(page.body, "Take it away instead") {
		t.Errorf("%d: its form is not filled in", page.status)
	}
	form := url.Values{"kind": {"level"}, "id": {b.id()}, "gauge": {"cinder-lane"}, "corrects": {id}, "level": {fmt.Sprint(last)}}
	if a := b.post("/record", form, as...); a.status != 400 || !strings.Contains(a.body, "taken away there") {
		t.Errorf("to another gauge: %d", a.status)
	}
	form.Set("gauge", "teasel-bridge")
	form.Set("id", b.id())
	form.Set("withdraw", "1")
	if a := b.post("/record", form, as...); a.status != 303 {
		t.Errorf("taken away: %d: %.500s", a.status, a.body)
	}
	if got := b.lastLevel("teasel-bridge"); got != last {
		t.Errorf("the gauge stands at %v, want %v", got, last)
	}
	if a := b.get("/record?kind=level&corrects="+b.id(), as...); a.status != 400 {
		t.Errorf("of nothing: %d", a.status)
	}
}

var writeOwn = regexp.MustCompile(`href="(/record\?[^"]*)">Write it in the book`)

// TestFromTheSheetToTheBook: what was plumbed and timed on the peg is filled in on the
// page of recording; a visitor is not led there, nor anyone from a sheet of another level.
func TestFromTheSheetToTheBook(t *testing.T) {
	t.Parallel()
	b := bankSite(t)
	const own = sheetOfPeg14 + "?depth=2.24&over=5&secs=11&boil=1"
	as := []string{"Cookie", b.rec.cookie("member")}
	m := writeOwn.FindStringSubmatch(b.get(own, as...).body)
	if m == nil {
		t.Fatal("the sheet does not lead there")
	}
	page := b.get(html.UnescapeString(m[1]), as...)
	for _, want := range []string{`name="depth" inputmode="decimal" maxlength="12" autocomplete="off" value="2.24"`, `value="5"`, `value="11"`, `<option value="1" selected>1</option>`} {
		if !strings.Contains(page.body, want) {
			t.Errorf("the form does not hold %s", want)
		}
	}
	for _, path := range []string{own, sheetOfPeg14 + "?level=1.20&depth=2.24", sheetOfPeg14} {
		visitor := []string(nil)
		if path != own {
			visitor = as
		}
		if writeOwn.MatchString(b.get(path, visitor...).body) {
			t.Errorf("%s leads there", path)
		}
	}
	if a := b.get(`/record?kind=sounding&depth="><script>x</script>&run=`+strings.Repeat("x", 3000)+`&boil=9&secs=%00`, as...); a.status != 200 || strings.Contains(a.body, "<script>x") {
		t.Errorf("nonsense: %d", a.status)
	}
}
