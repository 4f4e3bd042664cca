package e2e

import (
	"fmt"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Two kinds of phone: one that runs scripts and one that does not.
func onPhones(t *testing.T, test func(b *tab, home string)) {
	t.Parallel()
	for name, noScript := range map[string]bool{"with script": false, "without script": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			home := site(t)
			v := phone
			v.noScript = noScript
			b := open(t, v)
			test(b, home)
			b.quiet(home)
		})
	}
}

// sheet checks that the page in the tab is the peg's sheet with the figures that a
// program is given at the same address, and gives those.
func (b *tab) sheet() sheetJSON {
	b.Helper()
	at, err := url.Parse(b.where())
	if err != nil {
		b.Fatal(err)
	}
	at.Path += ".json"
	s := mustJSON[sheetJSON](b.T, at.String())
	runs := eval[[]string](b, `[...document.querySelectorAll("ul.runs > li")].map(li => li.innerText)`)
	if len(runs) != len(s.Runs) {
		b.Fatalf("the page has %d runs, the JSON %d", len(runs), len(s.Runs))
	}
	for i, r := range s.Runs {
		for _, w := range []string{strings.ToLower(r.Name), r.PaceWord, "m/s"} {
			if !strings.Contains(strings.ToLower(runs[i]), w) {
				b.Errorf("at %s run %d says %q, want in it %q", b.where(), i, runs[i], w)
			}
		}
		if got := depthIn(runs[i]); math.Abs(got-r.Depth.Mid) > bothRoundings {
			b.Errorf("at %s run %d says %q, want the depth %.3f m", b.where(), i, runs[i], r.Depth.Mid)
		}
	}
	b.rig(s)
	return s
}

// bothRoundings is how far the page's depth may be from the JSON's: half a
// centimetre for the one and half a millimetre for the other.
const bothRoundings = 0.0055

var depthLine = regexp.MustCompile(`(?m)^([0-9]+\.[0-9]{2}) m\b`)

// depthIn is the depth that a run's text begins a line with; −1 where there is none.
func depthIn(text string) float64 {
	if m := depthLine.FindStringSubmatch(text); m != nil {
		v, _ := strconv.ParseFloat(m[1], 64)
		return v
	}
	return -1
}

// rig checks the answer and the first rig: there where the peg may be fished, and
// not there where it may not.
func (b *tab) rig(s sheetJSON) {
	b.Helper()
	if len(s.Stops) > 0 || len(s.Rigs) == 0 {
		if n := eval[int](b, `document.querySelectorAll(".rigc").length`); n != 0 {
			b.Errorf("%d rigs on a sheet that has none", n)
		}
		return
	}
	for _, css := range []string{".answer", ".rigc"} {
		if got := b.text(css); !strings.Contains(got, s.Rigs[0].Name) {
			b.Errorf("%s says %q, want the rig %q in it", css, got, s.Rigs[0].Name)
		}
	}
	if got, want := b.text(".rigc"), fmt.Sprintf("%.2f g", s.Rigs[0].OnLineG); !strings.Contains(got, want) {
		b.Errorf("the rig says %q, want the weight on the line, %s", got, want)
	}
}

// The job: from the waters to a peg in one tap, and read depth, pace and rig.
func TestFromTheWatersToAPegInOneTap(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		openPeg(b.T, home)
		b.goTo(home)
		b.tap(`main a[href="` + ordinaryPeg + `"]`)
		if got := b.text("h1"); got != "Peg 14" {
			b.Errorf("one tap leads to %q, want Peg 14", got)
		}
		if s := b.sheet(); len(s.Rigs) == 0 {
			b.Error("an ordinary peg has no rig")
		}
	})
}

func TestEveryPegIsOneTapFromTheWaters(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home)
		links := eval[[]string](b, `[...document.querySelectorAll("main a")].filter(a => a.checkVisibility()).map(a => a.getAttribute("href"))`)
		pegs := 0
		for _, v := range mustJSON[venuesJSON](b.T, home+"/venues.json").Venues {
			for _, label := range v.Pegs {
				pegs++
				if want := "/venues/" + v.Slug + "/pegs/" + label; !slices.Contains(links, want) {
					b.Errorf("no link to %s", want)
				}
			}
		}
		if pegs != demoPegs {
			b.Errorf("%d pegs in the demo, want %d", pegs, demoPegs)
		}
	})
}

// Together with the test above: from any page to any peg in two taps.
func TestEveryPageIsOneTapFromTheWaters(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, phone)
	for _, k := range kinds() {
		b.goTo(home + k.path)
		b.tap(`header a[href="/"]`)
		if got := b.where(); got != home+"/" {
			t.Errorf("from %s the waters' link leads to %s", k.path, got)
		}
	}
	b.tap(`main a[href="/venues/cinder-bend/pegs/7"]`)
	if got := b.text("h1"); got != "Peg 7" {
		t.Errorf("the second tap leads to %q, want Peg 7", got)
	}
}

// atLevel checks that the sheet is at the level, in the address, the box and the
// figures.
func (b *tab) atLevel(want float64) {
	b.Helper()
	at, err := url.Parse(b.where())
	if err != nil {
		b.Fatal(err)
	}
	text := fmt.Sprintf("%.2f", want)
	if got := at.Query().Get("level"); got != text {
		b.Errorf("the address says level %q, want %s", got, text)
	}
	if got := eval[string](b, `document.querySelector("#level").value`); got != text {
		b.Errorf("the box says %q, want %s", got, text)
	}
	if s := b.sheet(); s.LevelM == nil || *s.LevelM != want {
		b.Errorf("the sheet is at %v, want %s", s.LevelM, text)
	}
}

func (b *tab) level() float64 {
	b.Helper()
	v, err := strconv.ParseFloat(eval[string](b, `document.querySelector("#level").value`), 64)
	if err != nil {
		b.Fatalf("the level box: %v", err)
	}
	return v
}

func round2(v float64) float64 {
	r, _ := strconv.ParseFloat(fmt.Sprintf("%.2f", v), 64)
	return r
}

func TestToAnotherLevelByTheButtonsBesideTheBox(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home + ordinaryPeg)
		from := b.level()
		b.tap("form.level > a:last-of-type")
		b.atLevel(round2(from + 0.05))
		b.tap("form.level > a:last-of-type")
		b.atLevel(round2(from + 0.10))
		b.tap("form.level > a:first-of-type")
		b.atLevel(round2(from + 0.05))
	})
}

func TestToAnotherLevelByTheBox(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home + ordinaryPeg)
		b.fill("#level", "1.24")
		b.tap("form.level button")
		b.atLevel(1.24)
		b.fill("#level", "0,70")
		b.follow(chromedp.KeyEvent(kb.Enter))
		if got := b.level(); got != 0.7 {
			b.Errorf("0,70 and Enter lead to %v, want 0.70", got)
		}
	})
}

// fill writes into a box as a person does: the old text goes first.
func (b *tab) fill(css, text string) {
	b.Helper()
	b.do(chromedp.DoubleClick(chromedp.CSS(css)), chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)),
		chromedp.KeyEvent(kb.Delete), chromedp.KeyEvent(text))
	if got := eval[string](b, `document.querySelector(`+strconv.Quote(css)+`).value`); got != text {
		b.Fatalf("the box holds %q after typing %q", got, text)
	}
}

func TestWhatIsNoLevelIsSaidOnTheSheet(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home + ordinaryPeg)
		latest := b.level()
		b.fill("#level", "high")
		b.tap("form.level button")
		if got := b.text("[role=alert]"); !strings.Contains(got, "high") {
			b.Errorf("the sheet says %q, want what was not understood", got)
		}
		if got := b.level(); got != latest {
			b.Errorf("the sheet is at %v, want the latest level %v", got, latest)
		}
		b.watch.forgive(b.where())
	})
}

func TestAnotherRunKeepsTheLevel(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		openPeg(b.T, home)
		b.goTo(home + ordinaryPeg + "?level=1.24")
		first := b.sheet()
		for i, r := range first.Runs {
			b.tap(fmt.Sprintf("ul.runs li:nth-child(%d) a", i+1))
			b.atLevel(1.24)
			if s := b.sheet(); s.Chosen != r.Slug {
				b.Errorf("the rigs are for %q, want %q", s.Chosen, r.Slug)
			}
			current := eval[[]int](b, `[...document.querySelectorAll("ul.runs a")].flatMap((a, i) => a.hasAttribute("aria-current") ? [i] : [])`)
			if !slices.Equal(current, []int{i}) {
				b.Errorf("the runs marked as chosen are %v, want only %d", current, i)
			}
			if got := b.text(".answer"); !strings.HasPrefix(strings.ToLower(got), r.Name) {
				b.Errorf("the answer says %q, want the run %q first", got, r.Name)
			}
		}
	})
}
