package e2e

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// choose picks an option of a list by its name and value. A page without scripts has
// no other way to be told by a test than the protocol; a person opens the list.
func (b *tab) choose(name, value string) {
	b.Helper()
	if got := eval[string](b, fmt.Sprintf(`(() => { const s = document.querySelector("select[name=%s]"); s.value = %q; return s.value; })()`, name, value)); got != value {
		b.Fatalf("the list %s has no %q", name, value)
	}
}

// query checks that the address has a value.
func (b *tab) query(name, want string) {
	b.Helper()
	at, err := url.Parse(b.where())
	if err != nil {
		b.Fatal(err)
	}
	if got := at.Query().Get(name); got != want {
		b.Errorf("the address %s has the %s %q, want %q", b.where(), name, got, want)
	}
}

// The job: from the usual rig to the one for the shot in my box, held back as I fish,
// and then to another run and peg without saying so again.
func TestMyShotAndMyHoldBack(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		openPeg(b.T, home)
		b.goTo(home + ordinaryPeg + "?level=0.90")
		usual := b.sheet()
		if eval[bool](b, `document.querySelector("#chart").checkVisibility()`) {
			b.Error("the form of shot is open before anybody opened it")
		}
		b.do(chromedp.Tap(chromedp.CSS("details.shots summary"), chromedp.NodeVisible))
		b.choose("chart", "continental")
		b.choose("shot", "tungsten")
		b.tap("details.shots button")
		b.query("chart", "continental")
		b.query("level", "0.90")
		chosen := b.sheet()
		if chosen.Rigs[0].OnLineG == usual.Rigs[0].OnLineG {
			b.Errorf("the rig has %v g on the line with either shot", usual.Rigs[0].OnLineG)
		}
		if got := b.text("details.shots summary"); !strings.Contains(got, "tungsten, continental chart") {
			b.Errorf("the form says %q", got)
		}
		before := b.text("p.hang")
		b.tap(`nav.holds a[href*="hold=50"]`)
		b.query("hold", "50")
		b.query("chart", "continental")
		if got := b.text("p.hang"); got == before || !strings.HasPrefix(got, "Held back a half") {
			b.Errorf("under the drawing stands %q, before it was %q", got, before)
		}
		if got := b.sheet(); got.Rigs[0] != chosen.Rigs[0] {
			b.Errorf("holding back changes the rig from %+v to %+v", chosen.Rigs[0], got.Rigs[0])
		}
		b.tap("ul.runs li:nth-child(1) a")
		b.tap("a[rel=next]")
		for name, want := range map[string]string{"hold": "50", "chart": "continental", "shot": "tungsten", "level": "0.90"} {
			b.query(name, want)
		}
	})
}

// The whole rig stands beside its list, at least 220 px high, its weights as many as
// the program is told of.
func TestTheRigToScale(t *testing.T) {
	for _, v := range []view{phone, desk} {
		t.Run(fmt.Sprint(v.width), func(t *testing.T) {
			t.Parallel()
			home := site(t)
			openPeg(t, home)
			b := open(t, v)
			b.goTo(home + ordinaryPeg)
			got := eval[struct{ High, Apart float64 }](b, `(() => {
				const svg = document.querySelector(".rigc svg.scale").getBoundingClientRect(), list = document.querySelector(".rigc .string").getBoundingClientRect();
				return {High: svg.height, Apart: svg.left - list.right};
			})()`)
			if got.High < 220 || got.Apart < 0 {
				b.Errorf("it is %v px high, %v px beside the list", got.High, got.Apart)
			}
			b.quiet(home)
		})
	}
}

// What a phone on a bank has to fetch for a sheet: the page, with its stylesheet,
// compressed. The design's budget is 20 kB for the page and stylesheet.
func TestASheetIsSmall(t *testing.T) {
	t.Parallel()
	home := site(t)
	for _, query := range []string{"", "?chart=counts&hold=50", "?shot=lead&olivette=lead&chart=continental&run=middle&hold=100"} {
		page := mustGet(t, home+ordinaryPeg+query, 200)
		css := stylesheet.FindStringSubmatch(page.body)
		if css == nil {
			t.Fatal("the page names no stylesheet")
		}
		total := wire(t, home+ordinaryPeg+query) + wire(t, home+css[1])
		if t.Logf("%q: %d bytes with the stylesheet", query, total); total > 20_000 {
			t.Errorf("%q: %d bytes with the stylesheet, want at most 20,000", query, total)
		}
	}
}

// wire is how many bytes of body an address sends to a browser that takes gzip.
func wire(t *testing.T, url string) int {
	t.Helper()
	r, err := http.NewRequest(http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept-Encoding", "gzip")
	a, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	n, err := io.Copy(io.Discard, a.Body)
	if err != nil || a.Header.Get("Content-Encoding") != "gzip" {
		t.Fatalf("%s comes as %q: %v", url, a.Header.Get("Content-Encoding"), err)
	}
	return int(n)
}
