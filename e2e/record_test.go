package e2e

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"io"
	"log"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	chrome "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/jackc/pgx/v5"
)

var quietLog = log.New(io.Discard, "", 0)

// handset is a browser of the test's own, whose profile outlives it.
type handset struct {
	*tab
	profile string
	gate    *gate
	end     func()
	browser *os.Process
	flags   []chromedp.ExecAllocatorOption
}

func newHandset(t *testing.T, g *gate) *handset {
	t.Helper()
	p := &handset{profile: filepath.Join(books, "profile-"+strings.ReplaceAll(t.Name(), "/", "-")), gate: g}
	t.Cleanup(func() { os.RemoveAll(p.profile) })
	p.start(t)
	t.Cleanup(func() { p.end() })
	return p
}

// start opens the browser with the profile as it was left.
func (p *handset) start(t *testing.T) {
	t.Helper()
	path := chromium()
	if path == "" {
		missing(t, "a browser", "apt-get install chromium")
	}
	opts := browserOptions(path, append([]chromedp.ExecAllocatorOption{chromedp.UserDataDir(p.profile)}, p.flags...)...)
	alloc, free := chromedp.NewExecAllocator(context.Background(), opts...)
	w := &watch{}
	ctx, cancel := chromedp.NewContext(alloc, chromedp.WithListener(w.hear))
	p.tab = &tab{T: t, ctx: ctx, watch: w}
	p.end = func() { cancel(); free() }
	p.do(chromedp.Navigate("about:blank"))
	p.browser = chromedp.FromContext(ctx).Browser.Process()
	p.setView(phone)
}

// kill ends the browser without a word, and starts it again.
func (p *handset) kill() {
	p.Helper()
	if err := p.browser.Kill(); err != nil {
		p.Fatal(err)
	}
	p.end()
	p.start(p.T)
}

// member signs somebody in on the handset, by a token the book knows.
func (p *handset) member(role string) {
	p.Helper()
	call(p.tab, network.SetCookie, network.SetCookieParams{Name: sessionCookie, Value: url.QueryEscape(tokenOf(role)), URL: p.gate.url()})
}

// record opens the page, and waits until its script is there.
func (p *handset) record() {
	p.Helper()
	p.goTo(p.gate.url() + "/record")
	p.until("the page of recording is ready", func() bool { return eval[bool](p.tab, `document.querySelector("#record")?.dataset.ready === "1"`) })
}

// installed waits until the page is kept for when there is no signal.
func (p *handset) installed() {
	p.Helper()
	p.until("the page is kept", func() bool {
		return promise[bool](p.tab, `(async () => !!navigator.serviceWorker.controller && (await caches.keys()).some((n) => n.startsWith("levelpeg-page-")) && !!(await caches.match("/record")))()`)
	})
}

func promise[T any](b *tab, js string) T {
	b.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](js, chromedp.EvalAwaitPromise))
	if err != nil {
		b.Fatalf("%s: %v\nat %s", js, err, b.where())
	}
	return v
}

// onList gives the numbers of entries the page shows in a state.
func (p *handset) onList(state string) []string {
	p.Helper()
	return eval[[]string](p.tab, `[...document.querySelectorAll('#entries [data-state="`+state+`"]')].map((li) => li.dataset.id)`)
}

// kept waits for the page to say that one more entry is kept on the phone, and gives its
// number.
func (p *handset) kept(before int) string {
	p.Helper()
	p.until("“kept on this phone”", func() bool {
		return eval[bool](p.tab, fmt.Sprintf(`document.querySelector("#kept").textContent.startsWith("Kept on this phone") && document.querySelectorAll("#entries li").length > %d`, before))
	})
	return eval[string](p.tab, `document.querySelector("#entries li").dataset.id`)
}

func (p *handset) count() int {
	p.Helper()
	return eval[int](p.tab, `document.querySelectorAll("#entries li").length`)
}

// press taps one thing, as a finger does, and counts.
func (p *handset) press(css string, taps *int) {
	p.Helper()
	p.do(chromedp.Tap(chromedp.CSS(css), chromedp.NodeVisible))
	*taps++
}

// level writes a level by the pad, and gives the entry's number and the taps it took.
func (p *handset) level(m float64) (string, int) {
	p.Helper()
	before, taps := p.count(), 0
	_ = eval[bool](p.tab, `document.querySelector("#kept").textContent = "", true`)
	for _, digit := range strings.TrimLeft(strings.ReplaceAll(fmt.Sprintf("%.2f", m), ".", ""), "0") {
		p.press(`[data-key="`+string(digit)+`"]`, &taps)
	}
	p.press(".keep-it", &taps)
	return p.kept(before), taps
}

// sounding writes a depth at a peg of the demo.
func (p *handset) sounding(run string, depthM float64) string {
	p.Helper()
	before := p.count()
	_ = promise[bool](p.tab, fmt.Sprintf(`(async () => {
		document.querySelector("#kept").textContent = "";
		const form = document.querySelector("#sounding-form"), set = (name, value) => form.elements[name].value = value;
		form.closest("details").open = true;
		form.elements.peg.value = [...form.elements.peg.options].find((o) => o.textContent === "Sallow Reach 14").value;
		form.elements.peg.dispatchEvent(new Event("change"));
		await new Promise((done) => setTimeout(done, 50));
		set("run", [...form.elements.run.options].find((o) => o.value.toLowerCase() === %q).value);
		set("depth", %q);
		form.requestSubmit();
		return true;
	})()`, run, fmt.Sprintf("%.2f", depthM)))
	return p.kept(before)
}

// recording is a program with the demo behind a gate, and a bailiff's handset that has
// opened the page of recording once.
func recording(t *testing.T) (dir string, g *gate, p *handset) {
	t.Helper()
	dir = withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	g = newGate(t, home)
	p = newHandset(t, g)
	p.member("bailiff")
	p.record()
	p.installed()
	return dir, g, p
}

// written is what the book has of the entries that phones sent.
type written struct{ states, places map[string]string }

func whatIsWritten(t *testing.T, dir string) (w written, levels, soundings int) {
	t.Helper()
	conn := inside(t, dir)
	ctx := testContext(t, tabLimit)
	w = written{map[string]string{}, map[string]string{}}
	rows, err := conn.Query(ctx, `select id::text, state, (select count(*) from levels l where l.intake_id = i.id), (select count(*) from soundings s where s.intake_id = i.id) from intake i`)
	if err != nil {
		t.Fatal(err)
	}
	var id, state string
	var l, s int
	_, err = pgx.ForEachRow(rows, []any{&id, &state, &l, &s}, func() error {
		w.states[id] = state
		levels, soundings = levels+l, soundings+s
		if want := 0; state == "in the book" {
			if want = 1; l+s != want {
				t.Errorf("%s is in the book %d times", id, l+s)
			}
		} else if l+s != want {
			t.Errorf("%s %s, and is in the book %d times", id, state, l+s)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return w, levels, soundings
}

// TestWrittenWithNoSignal: the listener is stopped, three levels and two soundings are
// written, the browser is killed straight after the last “kept on this phone”, opened
// again, and the signal comes back: five entries arrive, each once.
func TestWrittenWithNoSignal(t *testing.T) {
	t.Parallel()
	dir, g, p := recording(t)
	last := eval[float64](p.tab, `Number(document.querySelector("#gauge").selectedOptions[0].dataset.level)`)
	sheet := mustJSON[sheetJSON](t, g.url()+ordinaryPeg+".json")
	g.shut()
	call(p.tab, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: true})
	p.record()
	var ids []string
	for i := range 3 {
		id, taps := p.level(last + 0.01*float64(i))
		if taps > 4 {
			t.Errorf("a level took %d taps", taps)
		}
		t.Logf("%.2f m in %d taps", last+0.01*float64(i), taps)
		ids = append(ids, id)
	}
	for i := range 2 {
		ids = append(ids, p.sounding(strings.ToLower(sheet.Runs[0].Name), sheet.Runs[0].Depth.Mid+0.01*float64(i)))
	}
	p.kill()
	p.member("bailiff")
	p.record()
	if got := p.onList("kept"); len(got) != 5 {
		t.Fatalf("after the kill %d entries are kept, want 5", len(got))
	}
	g.open()
	p.record()
	p.until("five entries in the book", func() bool { return len(p.onList("in the book")) == 5 })
	w, levels, soundings := whatIsWritten(t, dir)
	if levels != 3 || soundings != 2 || len(w.states) != 5 {
		t.Errorf("%d levels, %d soundings, %d entries taken in; want 3, 2 and 5", levels, soundings, len(w.states))
	}
	for _, id := range ids {
		if w.states[id] != "in the book" {
			t.Errorf("%s: %q", id, w.states[id])
		}
	}
}

// TestOfferedAgainAfterARestore: a backup that is put back changes the club's epoch, and
// what went into the book since is offered again, once.
func TestOfferedAgainAfterARestore(t *testing.T) {
	t.Parallel()
	dir, _, p := recording(t)
	last := eval[float64](p.tab, `Number(document.querySelector("#gauge").selectedOptions[0].dataset.level)`)
	id, _ := p.level(last)
	p.until("in the book", func() bool { return len(p.onList("in the book")) == 1 })
	conn := inside(t, dir)
	for _, statement := range []string{`alter table levels disable trigger levels_keep`, `delete from levels where intake_id is not null`, `delete from intake`,
		`alter table levels enable trigger levels_keep`, `update club set epoch = gen_random_uuid()`} {
		tell(t, conn, statement)
	}
	p.record()
	p.until("in the book once more", func() bool {
		w, levels, _ := whatIsWritten(t, dir)
		return levels == 1 && w.states[id] == "in the book" && len(p.onList("in the book")) == 1
	})
}

// TestAWeakSignal: a server that takes a request and says nothing holds nobody up: the
// page that is kept opens within seconds.
func TestAWeakSignal(t *testing.T) {
	t.Parallel()
	_, g, p := recording(t)
	g.set(saysNothing, g.behind)
	began := time.Now()
	p.record()
	took := time.Since(began)
	if took > 6*time.Second {
		t.Errorf("it took %v", took)
	}
	t.Logf("opened in %v", took.Round(time.Millisecond))
	p.level(0.19)
	g.set(noFault, g.behind)
}

// TestPlainHTTP: where the page is not secure it says that nothing can be kept on the
// phone, and why, and what is written goes to the server at once.
func TestPlainHTTP(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	g := newGate(t, home)
	p := &handset{profile: filepath.Join(books, "profile-plain"), gate: g, flags: []chromedp.ExecAllocatorOption{chromedp.Flag("host-resolver-rules", "MAP waters.example 127.0.0.1")}}
	t.Cleanup(func() { os.RemoveAll(p.profile) })
	p.start(t)
	t.Cleanup(func() { p.end() })
	plain := strings.Replace(g.url(), "127.0.0.1", "waters.example", 1)
	call(p.tab, network.SetCookie, network.SetCookieParams{Name: sessionCookie, Value: url.QueryEscape(tokenOf("bailiff")), URL: plain})
	p.goTo(plain + "/record")
	p.until("it says why", func() bool { return eval[bool](p.tab, `!document.querySelector("#insecure").hidden`) })
	taps := 0
	for _, key := range []string{"1", "9"} {
		p.press(`[data-key="`+key+`"]`, &taps)
	}
	p.tab.tap(".keep-it")
	if got := p.text("main"); !strings.Contains(got, "In the book.") {
		t.Errorf("it says %.300s", got)
	}
}

// TestOddOnThePhone: an odd level is asked about on the phone's list, once, and put in the
// book by one tap; there it is put right, and an odd sounding with its three floats too.
func TestOddOnThePhone(t *testing.T) {
	t.Parallel()
	dir, _, p := recording(t)
	id, taps := p.level(1.97)
	if taps != 4 {
		t.Errorf("three digits and Keep took %d taps", taps)
	}
	p.until("it is asked about", func() bool { return len(p.onList("needs mending")) == 1 })
	if got := p.text("#entries"); !strings.Contains(got, "second look") {
		t.Errorf("the list says %q", got)
	}
	p.press(`[data-id="`+id+`"] button`, &taps)
	p.until("in the book", func() bool { return len(p.onList("in the book")) == 1 })
	p.press(`[data-id="`+id+`"] button`, &taps) // put it right
	p.fill("#level", "0.19")
	p.press(".keep-it", &taps)
	p.until("both in the book", func() bool { return len(p.onList("in the book")) == 2 })
	var got string
	if err := inside(t, dir).QueryRow(testContext(t, tabLimit), `select string_agg(revision || ':' || level_mm, ' ' order by revision) from levels where intake_id is not null`).Scan(&got); err != nil || got != "0:1970 1:190" {
		t.Errorf("revisions %q, %v", got, err)
	}
	_ = eval[bool](p.tab, `document.querySelector("#sounding-form").closest("details").open = true`)
	p.fill("#over", "6")
	for _, n := range []string{"1", "2", "3"} {
		p.press(`#secs-`+n+` + button`, &taps)
		time.Sleep(600 * time.Millisecond)
		p.press(`#secs-`+n+` + button`, &taps)
	}
	p.until("the mean of three", func() bool { return strings.Contains(p.text("#mean"), "the mean of 3") })
}

// TestPhotographOfTheBoard: it is made small and kept on the phone with its level, through
// a kill of the browser, and goes after it into the book, once.
func TestPhotographOfTheBoard(t *testing.T) {
	t.Parallel()
	dir, g, p := recording(t)
	last := eval[float64](p.tab, `Number(document.querySelector("#gauge").selectedOptions[0].dataset.level)`)
	g.shut()
	p.record()
	file := filepath.Join(p.profile, "board.png")
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 3000, 2000))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	_ = eval[bool](p.tab, `document.querySelector("#board-photo").closest("details").open = true`)
	p.do(chromedp.SetUploadFiles("#board-photo", []string{file}))
	id, _ := p.level(last)
	p.kill()
	p.member("bailiff")
	p.record()
	if got := p.text("#entries"); !strings.Contains(got, "Its photograph: kept on this phone") {
		t.Fatalf("after the kill the list says %q", got)
	}
	g.open()
	p.record()
	p.until("both in the book", func() bool {
		return len(p.onList("in the book")) == 1 && strings.Contains(p.text("#entries"), "Its photograph: in the book")
	})
	var got string
	err := inside(t, dir).QueryRow(testContext(t, tabLimit), `select string_agg(d.width || ' by ' || d.height || ' of ' || l.intake_id, ', ')
		from pictures p join picture_data d on d.hash = p.hash join levels l on l.gauge_id = p.gauge_id and l.at = p.at`).Scan(&got)
	if want := "1600 by 1067 of " + id; err != nil || got != want {
		t.Errorf("in the book %q, %v; want %q", got, err, want)
	}
}

// TestNearestGauge is chosen only when asked, by where the waters' pegs are.
func TestNearestGauge(t *testing.T) {
	t.Parallel()
	dir, _, p := recording(t)
	conn := inside(t, dir)
	if eval[bool](p.tab, `!document.querySelector("#nearest")`) != true {
		t.Error("it is offered where nobody has said where the waters are")
	}
	tell(t, conn, `update pegs set lat = 52.1, lon = -1.5 from venues v join gauges g on g.id = v.gauge_id where v.id = venue_id and g.slug = 'teasel-bridge'`)
	tell(t, conn, `update pegs set lat = 52.3, lon = -1.9 from venues v join gauges g on g.id = v.gauge_id where v.id = venue_id and g.slug = 'cinder-lane'`)
	lat, lon, accuracy := 52.28, -1.8, 20.0
	call(p.tab, chrome.SetPermission, chrome.SetPermissionParams{Permission: &chrome.PermissionDescriptor{Name: "geolocation"}, Setting: chrome.PermissionSettingGranted})
	call(p.tab, emulation.SetGeolocationOverride, emulation.SetGeolocationOverrideParams{Latitude: &lat, Longitude: &lon, Accuracy: &accuracy})
	p.record()
	_ = eval[bool](p.tab, `document.querySelector("#nearest").closest("details").open = true`)
	taps := 0
	p.press("#nearest", &taps)
	p.until("the nearest is chosen", func() bool { return eval[string](p.tab, `document.querySelector("#gauge").value`) == "cinder-lane" })
}
