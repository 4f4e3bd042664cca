package e2e

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/jackc/pgx/v5"
)

// cutSeed makes every run cut at the same moments.
const cutSeed = 20261126

func cutRounds() int {
	if os.Getenv("LEVELPEG_LONG") == "1" {
		return 200
	}
	return 20
}

// What may go wrong in a round besides what the gate does.
const (
	listenerStopped = "the listener stopped"
	browserKilled   = "the browser killed"
	signedOut       = "signed out, and another signed in"
	programKilled   = "the program killed -9"
	sessionEnded    = "the session ended on the server"
)

// cutKinds are what goes wrong, each about as often as it stands here.
var cutKinds = []string{string(cutBefore), string(cutDuring), string(cutAfter), string(halfAnswer), string(portal), string(portalJSON), string(redirecting),
	listenerStopped, browserKilled, signedOut, programKilled, sessionEnded}

// ordeal is a handset that goes through all of it.
type ordeal struct {
	*handset
	dir    string
	p      *program
	random *rand.Rand
	base   float64
	made   map[string]bool // entries that were said to be kept on the phone
	shown  map[string]bool // entries that were ever shown as in the book
	met    map[string]int
	others int // entries a second member wrote
}

// look writes down what the page shows as in the book.
func (o *ordeal) look() {
	o.Helper()
	for _, id := range o.onList("in the book") {
		o.shown[id] = true
	}
}

// write keeps one to three levels.
func (o *ordeal) write() {
	o.Helper()
	for range 1 + o.random.IntN(3) {
		before := o.count()
		cm := int(o.base*100) + o.random.IntN(5)
		_ = eval[bool](o.tab, fmt.Sprintf(`(() => {
			document.querySelector("#kept").textContent = "";
			for (const k of %q) document.querySelector('[data-key="' + k + '"]').click();
			document.querySelector(".keep-it").click();
			return true;
		})()`, fmt.Sprint(cm)))
		o.made[o.kept(before)] = true
		o.look()
	}
}

// TestCuts writes levels while everything that can go wrong does, at moments of a fixed
// seed: nothing is lost, nothing doubled, and whatever the phone ever showed as in the
// book is in the database.
func TestCuts(t *testing.T) {
	t.Parallel()
	dir := withDemo(t)
	prog, home := killable(t, dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	g := newGate(t, home)
	o := &ordeal{handset: newHandset(t, g), dir: dir, p: prog, random: rand.New(rand.NewPCG(cutSeed, 1)), made: map[string]bool{}, shown: map[string]bool{}, met: map[string]int{}}
	t.Cleanup(func() { o.p.kill() })
	o.member("bailiff")
	o.record()
	o.installed()
	o.base = eval[float64](o.tab, `Number(document.querySelector("#gauge").selectedOptions[0].dataset.level)`)
	kinds := []string{}
	for round := range cutRounds() {
		if round%len(cutKinds) == 0 {
			kinds = slices.Clone(cutKinds)
			o.random.Shuffle(len(kinds), func(i, j int) { kinds[i], kinds[j] = kinds[j], kinds[i] })
		}
		kind := kinds[round%len(kinds)]
		o.met[kind]++
		o.round(kind)
	}
	g.set(noFault, g.behind)
	o.member("bailiff")
	o.record()
	o.until("everything is in the book", func() bool { o.look(); return len(o.onList("kept")) == 0 && len(o.onList("in the book")) > 0 })
	o.judge()
}

// round is one: something goes wrong, entries are written meanwhile, and the signal comes
// back for a while, or not.
func (o *ordeal) round(kind string) {
	o.Helper()
	behind := o.gate.behind
	switch kind {
	case listenerStopped:
		o.gate.shut()
		o.write()
		o.record()
		o.gate.open()
	case browserKilled:
		o.gate.set(fault(pick(o.random, string(noFault), string(cutAfter), string(cutDuring))), behind)
		o.write()
		o.handset.kill()
		o.member("bailiff")
		o.record()
	case signedOut:
		o.gate.set(cutBefore, behind)
		o.write()
		o.swap()
	case programKilled:
		o.write()
		o.p.kill()
		o.write()
		o.restart()
	case sessionEnded:
		o.end("bailiff")
		o.write()
		o.member("bailiff")
		if err := o.begin("bailiff"); err != nil {
			o.Fatal(err)
		}
	default:
		o.gate.set(fault(kind), behind)
		before := o.gate.meets(fault(kind))
		o.write()
		o.until("a request meets it: "+kind, func() bool { return o.gate.meets(fault(kind)) > before })
		if o.random.IntN(2) == 0 {
			o.record() // opened again while it lasts
		}
		time.Sleep(time.Duration(o.random.IntN(150)) * time.Millisecond)
	}
	o.look()
	o.gate.set(noFault, o.gate.behind)
	if o.random.IntN(3) > 0 {
		_ = eval[bool](o.tab, `dispatchEvent(new Event("online")), document.querySelector("#send").click(), true`) // both, as they race
		time.Sleep(time.Duration(o.random.IntN(250)) * time.Millisecond)
		o.look()
	}
}

func pick(r *rand.Rand, all ...string) string { return all[r.IntN(len(all))] }

// swap signs the bailiff out and another member in on the same handset: the saved page is
// gone, the outbox is not, and the other sees how many wait and nothing of what they say.
func (o *ordeal) swap() {
	o.Helper()
	waiting := promise[int](o.tab, countEntries)
	o.goTo(o.gate.url() + "/me")
	o.follow(chromedp.Click(chromedp.CSS(`form[action="/sign-out"] button`)))
	if left := promise[int](o.tab, `caches.keys().then((names) => names.filter((n) => n.startsWith("levelpeg-page-")).length)`); left != 0 {
		o.Errorf("%d saved pages are left behind by signing out", left)
	}
	if left := promise[int](o.tab, countEntries); left != waiting {
		o.Errorf("signing out left %d entries of %d", left, waiting)
	}
	o.member("secretary")
	o.record()
	if others := promise[int](o.tab, waitingOfOthers); others == 0 || !strings.Contains(o.text("main"), "of another member") {
		o.Errorf("%d entries of another member wait, and this one reads %.600s", others, o.text("main"))
	}
	for _, id := range eval[[]string](o.tab, `[...document.querySelectorAll("#entries li")].map((li) => li.dataset.id)`) {
		if o.made[id] {
			o.Errorf("another member reads what %s says", id)
		}
	}
	o.gate.set(noFault, o.gate.behind)
	before := o.count()
	_ = eval[bool](o.tab, `document.querySelector("#kept").textContent = "", document.querySelector("#level").value = "0.19", document.querySelector(".keep-it").click(), true`)
	o.kept(before)
	o.others++
	o.until("the other's entry in the book", func() bool { return len(o.onList("kept")) == 0 })
	if err := o.begin("bailiff"); err != nil {
		o.Fatal(err)
	}
	o.member("bailiff")
	o.record()
}

// waitingOfOthers counts what is not in the book yet of whoever is not signed in.
const waitingOfOthers = `new Promise((done, fail) => { const r = indexedDB.open("levelpeg", 1); r.onerror = fail; r.onsuccess = () => { const c = r.result.transaction("entries").objectStore("entries").getAll(); c.onsuccess = () => done(c.result.filter((e) => e.state === "kept" && e.member !== Number(document.querySelector("#record").dataset.member)).length); }; })`

const countEntries = `new Promise((done, fail) => { const r = indexedDB.open("levelpeg", 1); r.onerror = fail; r.onsuccess = () => { const c = r.result.transaction("entries").objectStore("entries").count(); c.onsuccess = () => done(c.result); }; })`

// killable is a program that the test kills and starts again.
func killable(t *testing.T, dir string) (*program, string) {
	t.Helper()
	p, err := launch("serve", "--data", dir, "--listen", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	home, err := p.awaitURL(startWithin)
	if err != nil {
		p.kill()
		t.Fatal(err)
	}
	return p, home
}

func (o *ordeal) restart() {
	o.Helper()
	p, home := killable(o.T, o.dir)
	o.p = p
	o.gate.set(noFault, home)
}

// begin and end give a member their session on the server, and take it away.
func (o *ordeal) begin(role string) error {
	return o.tell(`insert into sessions (token_hash, member_id, expires_at) select sha256(convert_to($1, 'UTF8')), min(id), now() + interval '1 day' from members where role = $2 on conflict do nothing`, url.QueryEscape(tokenOf(role)), role)
}

func (o *ordeal) end(role string) {
	o.Helper()
	if err := o.tell(`delete from sessions where token_hash = sha256(convert_to($1, 'UTF8'))`, url.QueryEscape(tokenOf(role))); err != nil {
		o.Fatal(err)
	}
}

func (o *ordeal) tell(statement string, args ...any) error {
	conn := inside(o.T, o.dir)
	defer conn.Close(context.Background())
	_, err := conn.Exec(context.Background(), statement, args...)
	return err
}

// judge holds what the phone said against what the database has.
func (o *ordeal) judge() {
	w, levels, _ := whatIsWritten(o.T, o.dir)
	lost, early := 0, 0
	for id := range o.made {
		if w.states[id] != "in the book" {
			o.Errorf("%s was kept on the phone and is %q in the database", id, w.states[id])
			lost++
		}
	}
	for id := range o.shown {
		if w.states[id] != "in the book" {
			o.Errorf("%s was shown as in the book and is %q in the database", id, w.states[id])
			early++
		}
	}
	if want := len(o.made) + o.others; levels != want || len(w.states) != want {
		o.Errorf("%d levels and %d entries taken in, want %d", levels, len(w.states), want)
	}
	strangers := 0
	if err := inside(o.T, o.dir).QueryRow(context.Background(), `select count(*) from intake i where member_id is distinct from (convert_from(body, 'UTF8')::jsonb ->> 'member')::bigint`).Scan(&strangers); err != nil && err != pgx.ErrNoRows {
		o.Error(err)
	}
	if strangers > 0 {
		o.Errorf("%d entries were sent as another member", strangers)
	}
	for _, kind := range slices.Sorted(maps.Keys(o.met)) {
		o.Logf("%3d × %s", o.met[kind], kind)
	}
	o.gate.mu.Lock()
	defer o.gate.mu.Unlock()
	for _, f := range slices.Sorted(maps.Keys(o.gate.met)) {
		o.Logf("%3d requests with entries: %s", o.gate.met[f], cmp.Or(string(f), "passed through"))
	}
	for _, f := range []fault{cutBefore, cutDuring, cutAfter, halfAnswer, portal, portalJSON, redirecting} {
		if o.gate.met[f] == 0 {
			o.Errorf("nothing met: %s", f)
		}
	}
	o.Logf("%d entries kept on the phone, %d shown as in the book while it went on, %d lost, %d shown too early", len(o.made), len(o.shown), lost, early)
}
