package e2e

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// office is a secretary's phone and the club it sets up. It keeps the pages it was on,
// for the checker of HTML.
type office struct {
	*tab
	home   string
	data   string // the folder of the club
	dir    string // of the pages
	pages  []string
	script bool
}

// newOffice is a club of nothing, whose first secretary has just joined.
func newOffice(t *testing.T, v view) *office {
	t.Helper()
	needPostgres(t)
	data := folder(t)
	p, home := serve(t, "--data", data)
	o := &office{tab: open(t, v), home: home, data: data, dir: t.TempDir(), script: !v.noScript}
	o.goTo(p.printed(t, "The club has no secretary yet."))
	for field, value := range map[string]string{"#club": "Test club", "#name": "Ann B.", "#sign-in": "ann", "#password": secretWord} {
		o.fill(field, value)
	}
	o.tap(`form[data-passkey] button:not([data-key])`)
	return o
}

// sound looks at the page it is on, as the tests of all kinds of page do, at the phone's
// width and at a desk's, and keeps it. Where pictures are asked for, it takes them.
func (o *office) sound(name string, v view) {
	o.Helper()
	_ = eval[int](o.tab, `[...document.querySelectorAll("details")].map(d => d.open = true).length`)
	for _, c := range []struct{ what, js string }{{"reaches past the right edge", sideways}, {"is under 48 px for a thumb", smallTargets}, {"is text under 16 px", smallText}} {
		if out := eval[[]string](o.tab, c.js); len(out) > 0 {
			o.Errorf("%s, %s: %s", o.where(), c.what, strings.Join(out, "; "))
		}
	}
	body := mustGet(o.T, o.where(), http.StatusOK, &http.Cookie{Name: sessionCookie, Value: o.cookie(o.home)}).body
	path := filepath.Join(o.dir, name+".html")
	if err := os.WriteFile(path, []byte(body), 0o644); err != nil {
		o.Fatal(err)
	}
	o.pages = append(o.pages, path)
	if _, err := axeSource(); err == nil && !v.noScript {
		for _, v.dark = range []bool{false, true} {
			o.setView(v)
			r := o.axe()
			for _, f := range append(r.Violations, doubts(r.Incomplete)...) {
				o.Errorf("%s, %s: %v", o.where(), scheme(v.dark), f)
			}
			o.shoot(name, v)
		}
		v.dark = false
		o.setView(v)
	}
}

// shoot takes pictures at both widths, where they are asked for.
func (o *office) shoot(name string, v view) {
	o.Helper()
	dir := os.Getenv("LEVELPEG_SHOTS")
	if dir == "" {
		return
	}
	for _, width := range []view{v, {width: desk.width, height: desk.height, dark: v.dark}} {
		o.setView(width)
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("empty-%s-%d-%s.png", name, width.width, scheme(v.dark))), o.picture(true), 0o644); err != nil {
			o.Fatal(err)
		}
	}
	o.setView(v)
}

// valid has the checker of HTML look at all the pages that were kept.
func (o *office) valid() {
	o.Helper()
	for _, m := range checkHTML(o.T, o.pages...) {
		if m.Type != "info" {
			o.Errorf("%v", m)
		}
	}
}

// step wants the list of steps to say which comes next, and goes there.
func (o *office) step(name string) {
	o.Helper()
	n := eval[int](o.tab, `1 + [...document.querySelectorAll(".steps li")].findIndex(li => li.querySelector("span").innerText.startsWith("Next"))`)
	at := ".steps li:nth-child(" + strconv.Itoa(n) + ") a"
	if n == 0 || o.text(at+" b") != name {
		o.Fatalf("at %s the next step is number %d, want %q: %s", o.where(), n, name, o.text("main"))
	}
	o.tap(at)
}

func (o *office) says(words string) {
	o.Helper()
	if got := o.text("[role=status]"); !strings.Contains(got, words) {
		o.Errorf("%s says %q, want “%s”", o.where(), got, words)
	}
}

// TestTheSecretarysWayToAFirstSheet on the narrowest common phone, from a club of nothing;
// with script and with forms alone.
func TestTheSecretarysWayToAFirstSheet(t *testing.T) {
	for name, noScript := range map[string]bool{"with script": false, "forms alone": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := phone
			v.noScript = noScript
			o := newOffice(t, v)
			o.tap(`main a[href="/setup"]`)
			o.sound("setup", v)
			o.tap(`main a[href="/setup/venues/new"]:not(.steps a)`)
			o.sound("venue-no-gauge", v)
			o.tap(`main a[href="/setup/gauges/new"]`)
			o.sound("gauge-new", v)
			for field, value := range map[string]string{"#gauge-name": "Mill bridge board", "#gauge-river": "The Water", "#gauge-low": "0.30", "#gauge-high": "1,50"} {
				o.fill(field, value)
			}
			o.tap(`form[action="/setup/gauges"] button`)
			o.says("Made: the gauge")
			o.sound("setup-gauge", v)
			o.step("A water")
			o.sound("venue-new", v)
			o.fill("#venue-name", "Mill Reach")
			o.fill("#venue-river", "The Water")
			o.tap(`form[action="/setup/venues"] button`)
			o.says("Now its pegs")
			o.nothingYet(v)
			o.goTo(o.home + "/setup")
			o.step("Its pegs")
			for field, value := range map[string]string{"#stretch-last": "40", "#stretch-first_deg": "90", "#stretch-last_deg": "120"} {
				o.fill(field, value)
			}
			o.tap(`form[action="` + millPegs + `"] button`)
			o.says("40 pegs made: going downstream 1 to 40. Now their runs.")
			o.sound("runs-now", v)
			o.tap(`form[action="/setup/venues/mill-reach/runs"] button`)
			o.says("Made: 160 runs at 40 pegs.")
			o.sound("runs-made", v)
			o.tap(`main p a[href^="/record?gauge="]`)
			o.readBoard()
			o.goTo(o.home + "/setup/venues/mill-reach")
			o.sound("venue-no-sounding", v)
			o.step("A first sounding")
			o.sounded("Mill Reach 7", "two rods", "1.80")
			o.goTo(o.home + "/setup")
			if got := o.text("main .say"); got != "Every water here has all that its sheets need." {
				t.Errorf("at the end it says %q", got)
			}
			o.sound("setup-done", v)
			o.goTo(o.home + "/venues/mill-reach/pegs/7")
			if got := o.text(".answer"); !strings.Contains(got, "Two rods 1.80 m") || eval[int](o.tab, `document.querySelectorAll(".rigc").length`) == 0 {
				t.Errorf("the first sheet answers %q", got)
			}
			o.fits()
			o.quiet(o.home)
			if !noScript {
				o.valid()
			}
		})
	}
}

const millPegs = "/setup/venues/mill-reach/pegs"

// nothingYet looks at all pages of a water that has nothing yet.
func (o *office) nothingYet(v view) {
	o.Helper()
	for name, path := range map[string]string{
		"venue": "", "pegs": "/pegs", "runs": "/runs", "hazards": "/hazards", "positions": "/positions", "fixtures": "/fixtures",
	} {
		o.goTo(o.home + "/setup/venues/mill-reach" + path)
		o.sound("no-"+name, v)
	}
	for name, path := range map[string]string{"gauge": "/setup/gauges/mill-bridge-board", "import": "/setup/import", "map": "/venues/mill-reach/map", "water": "/venues/mill-reach", "record": "/record"} {
		o.goTo(o.home + path)
		o.sound("no-"+name, v)
	}
}

// readBoard writes the first level down on the page of recording it is on.
func (o *office) readBoard() {
	o.Helper()
	if got := eval[string](o.tab, `document.querySelector("#gauge").value`); got != "mill-bridge-board" {
		o.Errorf("the gauge chosen is %q", got)
	}
	o.keeps("level-form", map[string]string{"level": "0.70"})
}

// sounded writes a sounding down on the page of recording it is on.
func (o *office) sounded(peg, run, depth string) {
	o.Helper()
	code := eval[string](o.tab, `[...document.querySelector("#s-peg").options].find(o => o.text === "`+peg+`" || o.text.endsWith(" 7")).value`)
	_ = eval[int](o.tab, `(() => { const s = document.querySelector("#s-peg"); s.value = "`+code+`"; s.dispatchEvent(new Event("change")); return 1; })()`)
	o.keeps("sounding-form", map[string]string{"run": run, "depth": depth})
}

// keeps fills a form of recording in and sends it, and waits until it is in the book.
func (o *office) keeps(id string, fields map[string]string) {
	o.Helper()
	if o.script {
		o.until("the page of recording is ready", func() bool { return eval[bool](o.tab, `document.querySelector("#record")?.dataset.ready === "1"`) })
	}
	for name, value := range fields {
		if got := eval[string](o.tab, fmt.Sprintf(`(() => { const e = document.getElementById(%q).elements[%q]; e.value = %q; return e.value; })()`, id, name, value)); got != value {
			o.Fatalf("%s holds %q, want %q", name, got, value)
		}
	}
	const inTheBook = `document.querySelectorAll('#entries [data-state="in the book"]').length`
	send := fmt.Sprintf(`document.getElementById(%q).requestSubmit(), 1`, id)
	if o.script {
		before := eval[int](o.tab, inTheBook)
		_ = eval[int](o.tab, send)
		o.until("it is in the book", func() bool { return eval[int](o.tab, inTheBook) > before })
		return
	}
	o.follow(chromedp.Evaluate[chromedp.Void](send))
	o.says("In the book.")
}

// numbersOver counts the numbers on a map that lie over another one.
const numbersOver = `(() => {
	const at = [...document.querySelectorAll(".pin span:not(:empty)")].map(e => e.getBoundingClientRect());
	return at.filter((a, i) => at.some((b, j) => j < i && a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)).length;
})()`

// TestTheMapWithoutTiles: where its tiles cannot be fetched the map still shows the pegs;
// they are placed by typing, with the keyboard alone, and by a tap on the map.
func TestTheMapWithoutTiles(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	conn := inside(t, dir)
	if _, err := conn.Exec(testContext(t, tabLimit), `update club set tiles = 'https://tiles.invalid/{z}/{x}/{y}.png', tiles_credit = '<b>Nobody</b>'`); err != nil {
		t.Fatal(err)
	}
	b := open(t, phone)
	b.signInAs(home, "secretary")
	b.goTo(home + "/setup/venues/tansy-meadow/positions")
	b.until("the map is there", func() bool { return eval[bool](b, `!!document.querySelector(".leaflet-container")`) })
	b.until("tiles are asked for", func() bool { return strings.Contains(strings.Join(b.watch.troubles(home), " "), "tiles.invalid") })
	if got := b.text(".leaflet-control-attribution"); got != "<b>Nobody</b>" {
		t.Errorf("the credit is %q", got)
	}
	// By typing, with Tab and Enter alone.
	first := eval[string](b, `document.querySelector("tr[data-code]").dataset.code`)
	b.do(chromedp.Focus(chromedp.CSS(`[name="lat.` + first + `"]`)))
	b.do(chromedp.KeyEvent("52,1234"), chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent("-1.5"), chromedp.KeyEvent(kb.Tab))
	if n := eval[int](b, `document.querySelectorAll(".pin").length`); n != 1 {
		t.Errorf("%d pegs on the map after one was typed", n)
	}
	// By a tap, which places the peg that is chosen.
	second := eval[string](b, `document.querySelectorAll("tr[data-code]")[1].dataset.code`)
	b.do(chromedp.Focus(chromedp.CSS(`[name="lat.` + second + `"]`)))
	_ = eval[int](b, `document.querySelector(".map").scrollIntoView({block: "center"}), 1`)
	b.do(chromedp.Tap(chromedp.CSS(".map"), chromedp.NodeVisible))
	b.until("the tap places it", func() bool { return eval[string](b, `document.querySelector('[name="lon.`+second+`"]').value`) != "" })
	b.do(chromedp.Focus(chromedp.CSS(`[name="lat.` + first + `"]`)))
	b.follow(chromedp.KeyEvent(kb.Enter))
	if got := b.text("[role=status]"); got != "2 pegs placed." {
		t.Errorf("it says %q", got)
	}
	if got := eval[string](b, `document.querySelector('[name="lat.`+first+`"]').value`); got != "52.1234" {
		t.Errorf("the first peg is at %q", got)
	}
	// Pegs side by side: no number lies over another.
	if _, err := conn.Exec(testContext(t, tabLimit), `update pegs set lat = 52.1234 + position * 0.00002, lon = -1.5 + position * 0.0001 where venue_id = (select id from venues where slug = 'sallow-reach')`); err != nil {
		t.Fatal(err)
	}
	for _, v := range []view{phone, desk, {width: 360, height: 780, dark: true}} {
		b.setView(v)
		b.goTo(home + "/venues/sallow-reach/map")
		b.until("the map is there", func() bool {
			return eval[int](b, `document.querySelectorAll(".pin").length`) == venuePegs["sallow-reach"]
		})
		if n := eval[int](b, numbersOver); n != 0 || eval[int](b, `document.querySelectorAll(".pin span:not(:empty)").length`) < 4 {
			t.Errorf("at %d px %d numbers lie over others", v.width, n)
		}
		if _, err := axeSource(); err == nil {
			for _, f := range b.axe().Violations {
				// WCAG 2.2, 2.5.8, exempts targets that another one on the page does the work of: the
				// list below the map, whose links are looked at like all others.
				if f.Nodes = slices.DeleteFunc(f.Nodes, func(n string) bool { return f.ID == "target-size" && strings.Contains(n, "leaflet-marker-icon") }); len(f.Nodes) > 0 {
					t.Errorf("%v", f)
				}
			}
			if n := eval[int](b, `document.querySelectorAll('.places th a[href^="/venues/sallow-reach/pegs/"]').length`); n != venuePegs["sallow-reach"] {
				t.Errorf("%d pegs in the list", n)
			}
		}
		if dir := os.Getenv("LEVELPEG_SHOTS"); dir != "" {
			if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("map-pegs-%d-%s.png", v.width, scheme(v.dark))), b.picture(false), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	b.setView(phone)
	// Everyone's map: each peg a button that leads to its sheet, by the keyboard too.
	b.goTo(home + "/venues/tansy-meadow/map")
	b.until("the map is there", func() bool { return eval[int](b, `document.querySelectorAll(".pin").length`) == 2 })
	_ = eval[int](b, `document.querySelector(".pin").focus(), 1`)
	f := eval[focused](b, whatHasFocus)
	if !f.Marked || !strings.Contains(f.Name, "pin") {
		t.Errorf("the focus is on %+v", f)
	}
	b.follow(chromedp.KeyEvent(kb.Enter))
	if got := b.text("h1"); got != "Peg 1" {
		t.Errorf("the peg on the map leads to %q", got)
	}
	// With no background and no peg on it there is no map to tap at, until one is typed.
	if _, err := conn.Exec(testContext(t, tabLimit), `update club set tiles = ''`); err != nil {
		t.Fatal(err)
	}
	b.goTo(home + "/setup/venues/cinder-bend/positions")
	b.until("it says what to do", func() bool { return strings.HasPrefix(b.text("[data-map-say]"), "Type where peg 1 is.") })
	if eval[bool](b, `document.querySelector(".map").checkVisibility()`) {
		t.Error("an empty map is shown")
	}
	third := eval[string](b, `document.querySelector("tr[data-code]").dataset.code`)
	b.do(chromedp.Focus(chromedp.CSS(`[name="lat.` + third + `"]`)))
	b.do(chromedp.KeyEvent("52.1"), chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent("-1.5"), chromedp.KeyEvent(kb.Tab))
	b.until("the map begins there", func() bool {
		return eval[bool](b, `document.querySelector(".map").checkVisibility() && document.querySelectorAll(".pin").length === 1`)
	})
	// Without script the list says it all.
	v := phone
	v.noScript = true
	plain := open(t, v)
	plain.goTo(home + "/venues/tansy-meadow/map")
	if got := plain.text("main"); !strings.Contains(got, "52.1234, -1.5") || eval[bool](plain, `document.querySelector(".map").checkVisibility()`) {
		t.Errorf("without script: %.300s", got)
	}
	plain.quiet(home)
}

var writtenAt = regexp.MustCompile(`"exported_at": "[^"]*"`)

// TestAWaterGoesToAnotherClubByCommand, with all its levels and beside running servers,
// and comes back the same.
func TestAWaterGoesToAnotherClubByCommand(t *testing.T) {
	t.Parallel()
	from := withDemo(t)
	serve(t, "--data", from)
	to := newOffice(t, phone)
	file, back := filepath.Join(to.dir, "water.json"), filepath.Join(to.dir, "back.json")
	run := func(args ...string) string {
		t.Helper()
		code, out, log := once(t, nil, args...)
		if code != 0 {
			t.Fatalf("levelpeg %s ends with %d: %s%s", strings.Join(args, " "), code, out, log)
		}
		return out
	}
	run("export", "cinder-bend", "--levels", "--names", "-o", file, "--data", from)
	for _, args := range [][]string{{"import", "--look", file}, {"import", file}} {
		out := run(append(args, "--data", to.data)...)
		for _, words := range []string{"The water “Cinder Bend” with 18 pegs", "The gauge “Cinder Lane board” with ", "It begins closed to visitors."} {
			if !strings.Contains(out, words) {
				t.Errorf("%v says %q, want “%s”", args, out, words)
			}
		}
	}
	run("export", "cinder-bend", "--levels", "-o", back, "--data", to.data)
	run("export", "cinder-bend", "--levels", "-o", file, "--data", from)
	sent, got := read(t, file), read(t, back)
	if len(sent) < 1<<20 || writtenAt.ReplaceAllString(got, "") != writtenAt.ReplaceAllString(sent, "") {
		t.Errorf("%d bytes came back of %d", len(got), len(sent))
	}
	t.Logf("%d bytes", len(sent))
	if strings.Contains(sent, `"by"`) {
		t.Error("names were written that nobody asked for")
	}
	to.goTo(to.home + "/setup/venues/cinder-bend")
	if got := to.text("h1"); got != "Setting up Cinder Bend" {
		t.Errorf("the running server shows %q", got)
	}
	if err := os.WriteFile(file, []byte(sent[:len(sent)/2]), 0o644); err != nil {
		t.Fatal(err)
	}
	code, _, log := once(t, nil, "import", file, "--data", to.data)
	sentenceAbout(t, code, log, "not JSON: line")
	code, _, log = once(t, nil, "export", "nowhere", "--data", to.data)
	sentenceAbout(t, code, log, "no water at this address")
}

func read(t *testing.T, path string) string {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}
