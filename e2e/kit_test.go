package e2e

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// unfold opens a part of the kit's form as a finger does.
func (b *tab) unfold(part string) {
	b.Helper()
	is := `[...document.querySelectorAll("form.kit details")].find(d => d.querySelector("summary b").innerText === "` + part + `")`
	if !eval[bool](b, is+`.id = "part-under-test", !`+is+`.open`) {
		b.Fatalf("the part %s is open already", part)
	}
	b.do(chromedp.Tap(chromedp.CSS("#part-under-test summary"), chromedp.NodeVisible))
	b.until("the part opens", func() bool { return eval[bool](b, is+`.open`) })
	_ = eval[bool](b, is+`.removeAttribute("id"), true`)
}

// The job: a common set in one tap, one number put right, saved; it is there when the
// phone is taken out again, and gone when it is forgotten.
func TestAKitInOneTapThenPutRight(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home)
		b.tap(`header a[href="/kit"]`)
		b.tap(`button[value="junior"]`)
		if got := b.text("[role=status]"); got != "Saved." {
			b.Errorf("after a tap on a set the page says %q", got)
		}
		if got := b.text("main"); !strings.Contains(got, "3 floats, 3 sizes of tin shot") || !strings.Contains(got, "Kept on this phone only") {
			b.Errorf("the page says %.400q", got)
		}
		b.unfold("Shot")
		b.choose("shot-BB", "12")
		b.fill(`input[name=weigh-8]`, "0,064")
		b.unfold("Rods")
		b.do(chromedp.Tap(chromedp.CSS(`.tick:has(input[name=rod][value="13"])`), chromedp.NodeVisible))
		b.tap(".save button")
		for range 2 {
			got := eval[[]string](b, `["shot-BB", "shot-AAA", "weigh-8"].map(n => document.querySelector("[name=" + n + "]").value).concat([...document.querySelectorAll("[name=rod]:checked")].map(r => r.value))`)
			if want := "12,,0.064,11,13"; strings.Join(got, ",") != want {
				b.Errorf("the form has %v, want %s", got, want)
			}
			b.goTo(home + "/kit")
		}
		b.unfold("Hooks")
		b.fill(`input[name=hooks]`, "fifteen")
		b.tap(".save button")
		if got := b.text("[role=alert]"); !strings.Contains(got, "Nothing was saved.") || !strings.Contains(got, "“fifteen”") {
			b.Errorf("of a hook of size fifteen the page says %q", got)
		}
		if got := eval[string](b, `document.querySelector("[name=hooks]").value`); got != "fifteen" || !eval[bool](b, `document.querySelector("[name=hooks]").checkVisibility()`) {
			b.Errorf("what was typed is %q, or is folded away", got)
		}
		b.watch.forgive(home + "/kit")
		b.goTo(home + "/kit")
		b.tap(`form:has([name=forget]) button`)
		if got := b.text("main"); !strings.Contains(got, "Forgotten.") || !strings.Contains(got, "You have not said what you carry") {
			b.Errorf("forgotten, the page says %.300q", got)
		}
	})
}

// From one phone to another by a link.
func TestAKitGoesToAnotherPhone(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home + "/kit?kit=" + sentKit)
		if got := b.text("main"); !strings.Contains(got, "This is a kit someone sent you: keep it?") {
			b.Errorf("the page says %.300q", got)
		}
		b.tap("form.asked button")
		link := eval[string](b, `document.querySelector("a.row[href*='?kit=']").getAttribute("href")`)
		if link != "/kit?kit="+sentKit {
			b.Errorf("the link is %s", link)
		}
	})
}

// Every box of the open form is reached by the keyboard and shows that it is; Enter in
// a box saves.
func TestTheKitByTheKeyboard(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, desk)
	b.goTo(home + "/kit")
	_ = eval[int](b, `[...document.querySelectorAll("details")].map(d => d.open = true).length`)
	n := eval[int](b, `[...document.querySelectorAll("a[href], button, input:not([type=hidden]), summary, select")].filter(e => e.checkVisibility()).length`)
	const seen = `(() => {
		const e = document.activeElement, r = e.getBoundingClientRect(), shown = e.matches("[type=checkbox]") ? e.nextElementSibling : e, s = getComputedStyle(shown);
		const name = e.name || e.innerText;
		if (r.top < -1 || r.bottom > innerHeight + 1) return name + " is off the screen";
		if (s.outlineStyle === "none" || parseFloat(s.outlineWidth) < 2) return name + " is not marked";
		return "";
	})()`
	for range n {
		b.do(chromedp.KeyEvent(kb.Tab))
		if wrong := eval[string](b, seen); wrong != "" {
			t.Error(wrong)
		}
	}
	if eval[string](b, `document.activeElement.innerText`) != "My kit: the tackle you carry" {
		t.Errorf("after %d steps the focus is on %s", n, eval[focused](b, whatHasFocus).Name)
	}
	b.do(chromedp.Focus(chromedp.CSS("input[name=rods]")), chromedp.KeyEvent("12.5"))
	b.follow(chromedp.KeyEvent(kb.Enter))
	if got := b.text("main"); !strings.Contains(got, "1 rod: 12.5 ft (3.8 m)") {
		t.Errorf("after Enter the page says %.300q", got)
	}
	b.quiet(home)
}
