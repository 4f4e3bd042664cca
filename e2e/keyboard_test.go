package e2e

import (
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// focused says what has the focus, and whether a person can see that it has.
type focused struct {
	Name    string
	Visible bool // on the screen
	Marked  bool // with an outline
}

const whatHasFocus = `(() => {
	const e = document.activeElement;
	const r = e.getBoundingClientRect(), s = getComputedStyle(e);
	return {
		Name: e.id ? "#" + e.id : e.className ? "." + e.className : e.tagName.toLowerCase() + " " + (e.getAttribute("href") ?? e.innerText),
		Visible: r.left >= 0 && r.right <= innerWidth + 1 && r.top >= -1 && r.top < innerHeight && r.width > 1,
		Marked: s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2,
	};
})()`

func TestTheKeyboardReachesEverything(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, desk)
	b.goTo(home + ordinaryPeg)
	n := eval[int](b, `[...document.querySelectorAll("a[href], button, input:not([type=hidden]), summary")].filter(e => e.checkVisibility()).length`)
	var order []string
	for range n {
		b.do(chromedp.KeyEvent(kb.Tab))
		f := eval[focused](b, whatHasFocus)
		if !f.Visible || !f.Marked {
			t.Errorf("the focus is on %s: on the screen %v, marked %v", f.Name, f.Visible, f.Marked)
		}
		order = append(order, f.Name)
	}
	want := []string{".skip", "#find", "#level"}
	got := slices.DeleteFunc(slices.Clone(order), func(s string) bool { return !slices.Contains(want, s) })
	if !slices.Equal(got, want) {
		t.Errorf("the keyboard reaches %v of %v, in all %v", got, want, order)
	}
	if order[0] != ".skip" {
		t.Errorf("the first is %s, want the skip link", order[0])
	}
	seen := map[string]bool{}
	for _, name := range order {
		seen[name] = true
	}
	for _, href := range []string{"a /", "a /gauges/teasel-bridge"} {
		if !seen[href] {
			t.Errorf("%s is not reached: %v", href, order)
		}
	}
	b.quiet(home)
}

func TestTheSkipLinkLeadsPastTheHeader(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, desk)
	b.goTo(home + ordinaryPeg)
	b.do(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter))
	b.until("the address names the main part", func() bool { return strings.HasSuffix(b.where(), "#main") })
	b.do(chromedp.KeyEvent(kb.Tab))
	if !eval[bool](b, `document.querySelector("main").contains(document.activeElement)`) {
		t.Errorf("after the skip link the next is %s", eval[focused](b, whatHasFocus).Name)
	}
}

func TestEnterOnTheLevelBoxShowsThatLevel(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, desk)
	b.goTo(home + ordinaryPeg)
	for range 30 {
		b.do(chromedp.KeyEvent(kb.Tab))
		if eval[focused](b, whatHasFocus).Name == "#level" {
			break
		}
	}
	// A box reached with Tab has its text selected, so typing replaces it.
	b.do(chromedp.KeyEvent("1.31"))
	b.follow(chromedp.KeyEvent(kb.Enter))
	b.atLevel(1.31)
	b.quiet(home)
}
