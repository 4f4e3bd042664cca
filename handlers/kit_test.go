package handlers_test

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/club"
	"levelpeg/db"
	"levelpeg/db/dbtest"
	"levelpeg/handlers"
)

// post sends a form.
func (s site) post(path string, form url.Values, header ...string) answer {
	s.Helper()
	return s.send(path, "application/x-www-form-urlencoded", form.Encode(), header...)
}

func (s site) send(path, kind, body string, header ...string) answer {
	s.Helper()
	req, err := http.NewRequest("POST", s.url+path, strings.NewReader(body))
	if err != nil {
		s.Fatal(err)
	}
	req.Header.Set("Content-Type", kind)
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Set(header[i], header[i+1])
	}
	resp, err := client.Do(req)
	if err != nil {
		s.Fatalf("POST %s: %v", path, err)
	}
	defer resp.Body.Close()
	got, err := io.ReadAll(resp.Body)
	if err != nil {
		s.Fatal(err)
	}
	return answer{resp.StatusCode, resp.Header, string(got)}
}

// kitCookie is the kit's cookie of an answer, nil where it sets none.
func kitCookie(a answer) *http.Cookie {
	for _, c := range (&http.Response{Header: a.header}).Cookies() {
		if c.Name == "levelpeg_kit" {
			return c
		}
	}
	return nil
}

var (
	formPart  = regexp.MustCompile(`(?s)<form class="kit".*?</form>`)
	inputTag  = regexp.MustCompile(`<input[^>]*>`)
	selectTag = regexp.MustCompile(`(?s)<select[^>]*>.*?</select>`)
	chosenTag = regexp.MustCompile(`<option value="([^"]*)" selected`)
	attribute = regexp.MustCompile(`(name|value|type)="([^"]*)"`)
)

// filledIn is what a browser would send of the page's form.
func filledIn(t *testing.T, page string) url.Values {
	t.Helper()
	form := formPart.FindString(page)
	if form == "" {
		t.Fatalf("no form on the page: %.300s", page)
	}
	out := url.Values{}
	attr := func(tag string) map[string]string {
		m := map[string]string{}
		for _, a := range attribute.FindAllStringSubmatch(tag, -1) {
			m[a[1]] = html.UnescapeString(a[2])
		}
		return m
	}
	for _, tag := range regexp.MustCompile(`(?s)<input[^>]*>|<select[^>]*>.*?</select>`).FindAllString(form, -1) {
		if inputTag.MatchString(tag) && !selectTag.MatchString(tag) {
			a := attr(tag)
			if a["type"] == "checkbox" && !strings.Contains(tag, "checked") {
				continue
			}
			out.Add(a["name"], a["value"])
			continue
		}
		name := attr(tag[:strings.Index(tag, ">")])["name"]
		value := ""
		if c := chosenTag.FindStringSubmatch(tag); c != nil {
			value = html.UnescapeString(c[1])
		}
		out.Add(name, value)
	}
	return out
}

const juniorCode = "1~sBB_4_8~o2.5~favon-short_3~fstick_4x4_6x4~lr160_r180~hn120_n140~k14_16_18~r11"

func withKit(code string) []string { return []string{"Cookie", "levelpeg_kit=" + code} }

// TestKitOnAPhone: a common set in one tap, then a number put right, then forgotten.
func TestKitOnAPhone(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	s.want("/kit", 200, "My kit", "You have not said what you carry", "kept on this phone only", `name="preset" value="junior"`)
	a := s.post("/kit", url.Values{"preset": {"junior"}})
	c := kitCookie(a)
	if a.status != 303 || a.header.Get("Location") != "/kit?saved=1" || c == nil || c.Value != juniorCode {
		t.Fatalf("%d to %q, %v", a.status, a.header.Get("Location"), c)
	}
	if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.MaxAge != 400*24*60*60 || c.Secure {
		t.Errorf("the cookie is %+v", c)
	}
	page := s.get("/kit?saved=1", withKit(c.Value)...)
	for _, w := range []string{"Saved.", "3 floats, 3 sizes of tin shot", "Kept on this phone only", "/kit?kit=" + juniorCode, "Forget my kit"} {
		if !strings.Contains(page.body, w) {
			t.Errorf("the page does not say “%s”", w)
		}
	}
	form := filledIn(t, page.body)
	form.Set("shot-BB", "12")
	form.Set("weigh-8", "0,064")
	form.Set("floats-avon-short", "3.3")
	a = s.post("/kit", form, withKit(c.Value)...)
	want := "1~sBB-12_4_8--64~o2.5~favon-short_3_3.3~fstick_4x4_6x4~lr160_r180~hn120_n140~k14_16_18~r11"
	if c = kitCookie(a); a.status != 303 || a.header.Get("Location") != "/kit?saved=1" || c == nil || c.Value != want {
		t.Fatalf("%d to %q, %v", a.status, a.header.Get("Location"), c)
	}
	again := filledIn(t, s.get("/kit", withKit(want)...).body)
	if again.Get("shot-BB") != "12" || again.Get("weigh-8") != "0.064" || !slices.Contains(again["float"], "avon-short:3.3") {
		t.Errorf("what was saved is not there: %v", again)
	}
	var j struct{ Code, Words string }
	if err := json.Unmarshal([]byte(s.get("/kit.json", withKit(want)...).body), &j); err != nil || j.Code != want {
		t.Errorf("%+v, %v", j, err)
	}
	// Another set can be undone.
	a = s.post("/kit", url.Values{"preset": {"nothing"}}, withKit(want)...)
	undo := a.header.Get("Location")
	if !strings.Contains(undo, "was="+url.QueryEscape(want)) {
		t.Errorf("leads to %q", undo)
	}
	if page = s.get(undo, withKit(kitCookie(a).Value)...); !strings.Contains(page.body, "Put back what I had") || !strings.Contains(page.body, `name="kit" value="`+want+`"`) {
		t.Error("the kit before cannot be put back")
	}
	if a = s.post("/kit", url.Values{"kit": {want}}); kitCookie(a).Value != want {
		t.Errorf("put back: %v", kitCookie(a))
	}
	a = s.post("/kit", url.Values{"forget": {"1"}}, withKit(want)...)
	if c = kitCookie(a); a.status != 303 || c == nil || c.MaxAge >= 0 || c.Value != "" {
		t.Errorf("forgotten: %v", c)
	}
	s.want("/kit?forgotten=1", 200, "Forgotten.")
	s.want("/kit?saved=1", 200, "It was not kept")
}

// Every common set, saved again as its form shows it, is the same kit.
func TestKitFormsComeBack(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	codes := []string{
		"1", "1~f~l~h~k~r", "1~ccounts~mul~sSSG-0-1900_BB-40_7_8--64_13~o0.26-7_2.5-3_4_33~favon-short_3_3.3~fstick_4x4_9x4~lb120-8_r160-2.55~hf125~k4_13_22~r9.5_13_23",
		"1~ccontinental~mll~sAB~fflat_3~l",
	}
	for _, p := range club.Presets() {
		codes = append(codes, p.Kit.Code())
	}
	for _, code := range codes {
		form := filledIn(t, s.want("/kit?kit="+code, 200, "This is a kit someone sent you: keep it?").body)
		if a := s.post("/kit", form); a.status != 303 || kitCookie(a) == nil || kitCookie(a).Value != code {
			t.Errorf("%s: %d, %v\n%.600s", code, a.status, kitCookie(a), a.body[:min(len(a.body), 10)])
		}
	}
	// The kit that is kept already is not offered again.
	if a := s.get("/kit?kit="+juniorCode, withKit(juniorCode)...); strings.Contains(a.body, "someone sent you") {
		t.Error("the phone's own kit is offered to it")
	}
	s.want("/kit?kit=none", 200, "My kit")
}

// TestBadKitForms: each comes back with a sentence and as it was typed, and nothing is
// kept.
func TestBadKitForms(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	good := filledIn(t, s.get("/kit?kit="+juniorCode).body)
	script := "<script>alert(1)</script>"
	refused := func(name string, form url.Values, typed string, words ...string) {
		t.Helper()
		a := s.post("/kit", form, withKit(juniorCode)...)
		if a.status != 400 || kitCookie(a) != nil || !strings.Contains(a.body, `role="alert"`) || !strings.Contains(a.body, "Nothing was saved.") {
			t.Errorf("%s: %d, %v", name, a.status, kitCookie(a))
		}
		if strings.Contains(a.body, "<script>alert") {
			t.Errorf("%s: markup comes back", name)
		}
		if typed != "" && !strings.Contains(a.body, `value="`+html.EscapeString(typed)+`"`) {
			t.Errorf("%s: what was typed is lost", name)
		}
		for _, w := range words {
			if !strings.Contains(a.body, w) {
				t.Errorf("%s: does not say “%s”", name, w)
			}
		}
	}
	for field := range good {
		if slices.Contains([]string{"float", "hook", "rod", "none"}, field) {
			continue // a browser sends none where none is ticked
		}
		form := with(good, field)
		typed := "0.16"
		if field == "main-mm" {
			typed = "0.12"
		}
		refused("without "+field, form, typed, "did not come whole")
		if got := filledIn(t, s.post("/kit", form).body); !slices.Equal(got["float"], good["float"]) || !slices.Equal(got["hook"], good["hook"]) {
			t.Errorf("without %s the floats are %v and the hooks %v", field, got["float"], got["hook"])
		}
	}
	text := []string{"weigh-BB", "floats-stick", "main-mm", "main-kg", "hl-mm", "hooks", "rods"}
	for _, field := range text {
		for _, bad := range []string{"abc", script, "-1", "1e9", "NaN", "Inf", "0", "99999", strings.Repeat("9", 3000), "0x10", "1,2,3", "−", "½"} {
			all := []string{bad}
			if strings.HasSuffix(field, "-kg") || strings.HasSuffix(field, "-mm") {
				all = append(all, good[field][1:]...)
			}
			refused(field+" of "+bad[:min(len(bad), 20)], with(good, field, all...), bad)
		}
		a := s.post("/kit", with(good, field, "\x00\xff"))
		if a.status != 400 || strings.ContainsRune(a.body, 0) {
			t.Errorf("%s that is no text: %d", field, a.status)
		}
	}
	for _, field := range []string{"chart", "shot", "olivette", "shot-BB", "ol", "main-kind"} {
		for _, bad := range []string{"abc", script, "-5", "1001", "1.5", strings.Repeat("x", 3000), "\x00"} {
			all := append([]string{bad}, good[field][min(1, len(good[field])):]...)
			form := with(good, field, all...)
			if field == "ol" {
				form.Set("ol-count", "plenty")
			}
			if field == "ol" && bad == "1.5" {
				continue // which is an olivette
			}
			refused(field+" of "+bad[:min(len(bad), 20)], form, "")
		}
	}
	for _, c := range []struct{ field, value, say string }{
		{"float", "stick:99", "is not a float known here"}, {"float", "plug:3", "is not a float known here"}, {"float", script, "is not a float known here"},
		{"hook", "3", "A hook of size 3"}, {"hook", "x", "is not a size of hook"}, {"rod", "3", "A rod of 3 ft"}, {"rod", "Inf", "is not the length of a rod"},
		{"weigh-8", "0.64", "One No.8 cannot weigh 0.64 g"}, {"rods", "12,5", "“12,5” was not understood"}, {"hooks", "13.5", "whole numbers"},
		{"ol-count", "1001", "not how many there are"},
	} {
		refused(c.field+" "+c.value[:min(len(c.value), 9)], with(good, c.field, c.value), "", c.say)
	}
	refused("braid with no label", with(with(good, "hl-kind", "braid", "braid", "braid", "braid"), "hl-kg", "", "", "", ""), "", "Braid of 0.12 mm needs the kg on its label")
	refused("a label with no thickness", with(with(good, "main-mm", "", "", "", ""), "main-kg", "2.5", "", "", ""), "2.5", "How thick is the main line of 2.5 kg?")
	refused("an olivette of no weight", with(with(good, "ol", ""), "ol-count", "3"), "", "Write what the olivette you added weighs")
	var mm []string
	for i := range 13 {
		mm = append(mm, fmt.Sprintf("0.%d", 12+i))
	}
	refused("13 lines", with(with(with(good, "main-mm", mm...), "main-kg", make([]string, 13)...), "main-kind", slices.Repeat([]string{"reel nylon"}, 13)...), "", "13 main lines")
	for name, form := range map[string]url.Values{
		"an unknown set": {"preset": {script}}, "no set": {"preset": {""}}, "no code": {"kit": {""}}, "a broken code": {"kit": {script}}, "nothing": {}, "only what is not known": {"x": {"1"}},
	} {
		refused(name, form, "")
	}
	if a := s.post("/kit", url.Values{}, withKit(juniorCode)...); filledIn(t, a.body).Get("shot-BB") != "plenty" {
		t.Error("after a form with nothing in it the kit that is kept is not in the form")
	}
	// What is not known is passed over.
	form := with(good, "colour", script)
	if a := s.post("/kit", form); a.status != 303 || kitCookie(a).Value != juniorCode {
		t.Errorf("with an unknown field: %d", a.status)
	}
	if log := s.log.String(); log != "" {
		t.Errorf("logged: %.600s", log)
	}
}

// with is a form with a field's values changed, or with none taken out.
func with(form url.Values, field string, values ...string) url.Values {
	out := url.Values{}
	for k, v := range form {
		out[k] = v
	}
	if len(values) == 0 {
		delete(out, field)
	} else {
		out[field] = values
	}
	return out
}

func TestBadKitBodies(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	const form = "application/x-www-form-urlencoded"
	for name, c := range map[string]struct{ kind, body, say string }{
		"large":       {form, "preset=junior&x=" + strings.Repeat("a", 65<<10), "more than a kit can hold"},
		"huge":        {form, strings.Repeat("float=stick:4x4&", 1<<16), "more than a kit can hold"},
		"broken":      {form, "preset=%zz", "could not be read"},
		"semicolons":  {form, "preset=junior;x=1", "could not be read"},
		"JSON":        {"application/json", `{"preset":"junior"}`, "did not come whole"},
		"a file":      {"multipart/form-data; boundary=x", "--x\r\nContent-Disposition: form-data; name=\"preset\"\r\n\r\njunior\r\n--x--\r\n", "did not come whole"},
		"no kind":     {"", "preset=junior", "did not come whole"},
		"a bad kind":  {"a/b/c; =", "preset=junior", "could not be read"},
		"many fields": {form, strings.Repeat("a&", 30000), "could not be read"},
		"many floats": {form, strings.Repeat("float=stick:4x4&", 4000), "Nothing was saved"},
		"many rows":   {form, strings.Repeat("main-mm=0.1&", 5000), "Nothing was saved"},
	} {
		a := s.send("/kit", c.kind, c.body)
		if a.status != 400 || !strings.Contains(a.body, c.say) || kitCookie(a) != nil {
			t.Errorf("%s: %d, does not say “%s”", name, a.status, c.say)
		}
		if len(a.body) > 400_000 {
			t.Errorf("%s: a page of %d bytes comes back", name, len(a.body))
		}
	}
	if log := s.log.String(); log != "" {
		t.Errorf("logged: %.600s", log)
	}
}

// What another site's page sends changes nothing.
func TestKitOfAnotherSite(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for name, header := range map[string][]string{
		"cross-site": {"Sec-Fetch-Site", "cross-site"}, "same-site": {"Sec-Fetch-Site", "same-site"}, "by its origin": {"Origin", "https://evil.example"},
	} {
		if a := s.post("/kit", url.Values{"preset": {"junior"}}, header...); a.status != 403 || kitCookie(a) != nil {
			t.Errorf("%s: %d, %v", name, a.status, kitCookie(a))
		}
	}
	if a := s.post("/kit", url.Values{"preset": {"junior"}}, "Sec-Fetch-Site", "same-origin", "Origin", s.url); a.status != 303 {
		t.Errorf("our own page: %d", a.status)
	}
}

func TestKitMethods(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, c := range []struct{ method, path, allow string }{
		{"PUT", "/kit", "GET, HEAD, POST"}, {"DELETE", "/kit", "GET, HEAD, POST"}, {"POST", "/kit.json", "GET, HEAD"}, {"POST", "/", "GET, HEAD"},
		{"POST", "/venues/sallow%2Dreach", "GET, HEAD"},
	} {
		if a := s.ask(c.method, c.path); a.status != 405 || a.header.Get("Allow") != c.allow {
			t.Errorf("%s %s: %d, allow %q", c.method, c.path, a.status, a.header.Get("Allow"))
		}
	}
	if a := s.ask("HEAD", "/kit"); a.status != 200 || a.body != "" {
		t.Errorf("HEAD: %d", a.status)
	}
	if csp := s.post("/kit", url.Values{}).header.Get("Content-Security-Policy"); !strings.Contains(csp, "form-action 'self'") {
		t.Errorf("policy %q", csp)
	}
}

// A broken code in the address is said; one that was kept is as good as not there.
func TestBrokenKitCodes(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	for _, code := range []string{"", "x", "2~sBB", "1~k99", "<script>alert(1)</script>", strings.Repeat("1", 5000), "\x00"} {
		q := url.QueryEscape(code)
		a := s.want("/kit?kit="+q, 400, `role="alert"`, "My kit")
		if strings.Contains(a.body, "<script>alert") {
			t.Errorf("%.20q comes back as markup", code)
		}
		s.want("/kit.json?kit="+q, 400, `{"error":"`)
	}
	for _, code := range []string{"x", "2~sBB", "1~k99", strings.Repeat("1", 3000)} {
		if a := s.get("/kit", withKit(code)...); a.status != 200 || !strings.Contains(a.body, "You have not said what you carry") {
			t.Errorf("a cookie of %.20q: %d", code, a.status)
		}
	}
	s.want("/kit.json", 200, "null")
	s.want("/kit.json?kit=none", 200, "null")
	s.want("/kit.json?kit="+juniorCode, 200, `"code":"`+juniorCode+`"`, `"rods_ft":[11]`, `"marking":"4 × No.4"`, `"count":null`)
	s.want("/kit?was=<script>&saved=1", 200)
}

// TestKitLead: lead that is not lawful is kept and said (SI 1986/1992).
func TestKitLead(t *testing.T) {
	t.Parallel()
	s, _ := demoSite(t)
	s.want("/kit?kit=1~mll~sSSG_BB-0-400_8~o2.5", 200, "Your SSG, 2.5 g olivette: that is lead.", "Local byelaws and the club go first")
	for _, code := range []string{"1~mll~s8_9", "1~sSSG~o2.5"} {
		if a := s.get("/kit?kit=" + code); strings.Contains(a.body, "that is lead.") {
			t.Errorf("%s is called lead that may not be used", code)
		}
	}
	form := with(filledIn(t, s.get("/kit?kit="+juniorCode).body), "shot", "lead")
	if a := s.post("/kit", form); a.status != 303 || !strings.HasPrefix(kitCookie(a).Value, "1~mlu~") {
		t.Errorf("lead is refused: %d", a.status)
	}
	s.want("/kit?kit=1~ccounts~s11", 200, "Not on this chart", "No.11")
}

// signIn makes a session of a new member and gives its cookie.
func signIn(t *testing.T, url, name, role string) []string {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	token := "token_of_" + name
	sum := sha256.Sum256([]byte(token))
	if _, err := conn.Exec(context.Background(), `
		with m as (insert into members (name, role) values ($1, $2) returning id)
		insert into sessions (token_hash, member_id, created_at, expires_at) select $3, id, $4, $5 from m`,
		name, role, sum[:], dbtest.DemoNow.Add(-time.Hour), dbtest.DemoNow.AddDate(0, 1, 0)); err != nil {
		t.Fatal(err)
	}
	return []string{"Cookie", "levelpeg_session=" + token}
}

func TestKitOfAMember(t *testing.T) {
	t.Parallel()
	address := dbtest.NewDemo(t)
	book, err := db.Open(context.Background(), address, db.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(book.Close)
	s := serve(t, book)
	jo, al := signIn(t, address, "Jo", string(club.Junior)), signIn(t, address, "Al", string(club.Angler))
	a := s.post("/kit", url.Values{"preset": {"junior"}}, jo...)
	if c := kitCookie(a); a.status != 303 || c == nil || c.MaxAge >= 0 {
		t.Errorf("%d, and on the phone %v", a.status, c)
	}
	if page := s.get("/kit", jo...); !strings.Contains(page.body, "Kept with your name") || !strings.Contains(page.body, "3 floats, 3 sizes of tin shot") {
		t.Errorf("Jo's page: %.300s", page.body)
	}
	if page := s.get("/kit", al...); strings.Contains(page.body, "3 floats") || !strings.Contains(page.body, "You have not said what you carry") {
		t.Error("Al sees Jo's kit")
	}
	for _, path := range []string{"/venues/sallow-reach/pegs/14.json", tonight + ".json", "/rig.json?depth=1.8&pace=0.5"} {
		if j := s.get(path, jo...); !strings.Contains(j.body, `"kit":"`+juniorCode+`","kit_from":"member"`) {
			t.Errorf("%s goes without Jo's kit: %.300s", path, j.body)
		}
		if j := s.get(path, al...); strings.Contains(j.body, juniorCode) {
			t.Errorf("%s goes by Jo's kit for Al", path)
		}
	}
	// The name comes before the phone, and a phone's kit can be kept with the name.
	both := func(session []string, code string) []string {
		return []string{"Cookie", session[1] + "; levelpeg_kit=" + code}
	}
	if j := s.get("/kit.json", both(jo, "1~sAAA")...); !strings.Contains(j.body, juniorCode) {
		t.Errorf("Jo's kit is %.200s", j.body)
	}
	page := s.get("/kit", both(al, "1~sAAA")...)
	if !strings.Contains(page.body, "Kept on this phone only, so far.") {
		t.Errorf("Al's page: %.300s", page.body)
	}
	s.post("/kit", filledIn(t, page.body), both(al, "1~sAAA")...)
	if j := s.get("/kit.json", al...); !strings.Contains(j.body, `"code":"1~sAAA"`) {
		t.Errorf("Al's kit is %.200s", j.body)
	}
	s.post("/kit", url.Values{"forget": {"1"}}, both(al, "1~sAAA")...)
	if j := s.get("/kit.json", al...); strings.TrimSpace(j.body) != "null" {
		t.Errorf("forgotten, Al's kit is %.200s", j.body)
	}
	// A session that is nobody's keeps it on the phone.
	a = s.post("/kit", url.Values{"preset": {"junior"}}, "Cookie", "levelpeg_session=old")
	if c := kitCookie(a); c == nil || c.Value != juniorCode {
		t.Errorf("with an old session: %v", c)
	}
}

// The cookie is for https alone where it came by https.
func TestKitCookieIsSecureOverTLS(t *testing.T) {
	t.Parallel()
	_, book := demoSite(t)
	h := handlers.New(handlers.Config{Book: book, Rigs: club.NewRigMemory(0), Log: slog.New(slog.DiscardHandler), Now: func() time.Time { return dbtest.DemoNow }})
	for scheme, want := range map[string]bool{"https": true, "http": false} {
		r := httptest.NewRequest("POST", scheme+"://club.example/kit", strings.NewReader("preset=junior"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("X-Forwarded-Proto", "https")
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if c := kitCookie(answer{header: w.Header()}); c == nil || c.Secure != want {
			t.Errorf("%s: %v", scheme, c)
		}
	}
}

// lostBook cannot keep anything, or read anything either.
type lostBook struct {
	handlers.Book
	asks func() error
}

func (b lostBook) Asker(context.Context, []byte, time.Time) (club.Club, club.Member, error) {
	return club.Club{}, club.Member{}, b.asks()
}

func (b lostBook) SaveKit(context.Context, []byte, string, time.Time) error {
	return club.Faultf(club.Unavailable, "The book is out of reach.").Because(errors.New("dial secret"))
}

// With the book out of reach nothing that was typed is lost.
func TestKitWithTheBookOutOfReach(t *testing.T) {
	t.Parallel()
	good, _ := demoSite(t)
	form := with(filledIn(t, good.get("/kit?kit="+juniorCode).body), "weigh-8", "0.0611")
	for name, asks := range map[string]func() error{
		"to keep": func() error { return nil },
		"at all":  func() error { return club.Faultf(club.Unavailable, "The book is out of reach.") },
	} {
		s := serve(t, lostBook{asks: asks})
		a := s.post("/kit", form, "Cookie", "levelpeg_session=x")
		if a.status != 503 || a.header.Get("Retry-After") == "" || !strings.Contains(a.body, `value="0.0611"`) || !strings.Contains(a.body, "out of reach") || strings.Contains(a.body, "secret") {
			t.Errorf("out of reach %s: %d %.300s", name, a.status, a.body)
		}
		if name == "at all" {
			s.want("/kit", 503, "out of reach")
			s.want("/kit.json", 503, "out of reach")
			if a := s.post("/kit", url.Values{"preset": {"junior"}}); a.status != 503 {
				t.Errorf("a set: %d", a.status)
			}
		}
	}
}
