package e2e

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// The job, the night before and in the morning: the match's hour, what to tie for it, the
// peg that is drawn, and there two taps from what was plumbed to the rig for it.
func TestFromTheMatchToTheRigOnThePeg(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		openPeg(b.T, home)
		b.goTo(home + "/venues/sallow-reach")
		b.tap("ul.fixtures li:first-child a.row")
		if got := b.text("h1"); got != "What to tie" {
			b.Fatalf("the match leads to %q", got)
		}
		at := eval[string](b, `new URL(location).searchParams.get("at")`)
		if !strings.HasSuffix(at, "T10:00") {
			b.Errorf("it asks for %q, want ten in the morning", at)
		}
		if strings.Contains(b.text("p.say"), "too far ahead") {
			b.Skip("SKIPPED: the demo's next match is more than a fortnight away, so no level is foreseen for it")
		}
		answer := b.text("p.answer")
		if !strings.Contains(answer, "rig") || !strings.Contains(answer, "cover") {
			b.Errorf("the answer is %q", answer)
		}
		if n, m := eval[int](b, `document.querySelectorAll("ol.tie li").length`), eval[int](b, `document.querySelectorAll("section.rigc").length`); n == 0 || n != m {
			b.Errorf("%d rigs in the list and %d cards", n, m)
		}
		b.do(chromedp.Tap(chromedp.CSS(`ul.pegs a[href^="#peg-14-"]`), chromedp.NodeVisible))
		b.tap(`tr[id^="peg-14-"] a`)
		if got := b.text("h1"); got != "Peg 14" {
			b.Fatalf("peg 14 leads to %q", got)
		}
		b.query("at", at)
		before := b.text(".answer")
		b.do(chromedp.Tap(chromedp.CSS("#depth"), chromedp.NodeVisible))
		b.fill("#depth", "2.20")
		b.tap(".own button")
		b.query("depth", "2.20")
		b.query("at", at)
		after := b.text(".answer")
		if !strings.Contains(after, "2.20 m") || !strings.Contains(after, "as you plumbed it") || after == before {
			b.Errorf("with 2.20 plumbed the sheet says %q, and before %q", after, before)
		}
		set := b.text(".rigc .string li:first-child .g")
		if !strings.HasPrefix(set, "set at 2.") {
			b.Errorf("the float is %q", set)
		}
	})
}

// A stopwatch is there where scripts run, and fills the box.
func TestTheStopwatch(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, phone)
	b.goTo(home + "/rig")
	b.do(chromedp.Tap(chromedp.CSS("button.watch"), chromedp.NodeVisible))
	b.until("the watch runs", func() bool { return strings.Contains(b.text("button.watch"), "Stop at 0.5") })
	b.do(chromedp.Tap(chromedp.CSS("button.watch"), chromedp.NodeVisible))
	if secs := eval[float64](b, `+document.querySelector("#secs").value`); secs < 0.5 || secs > 5 {
		t.Errorf("half a second is %v s by the watch", secs)
	}
	b.fill("#depth", "1.83")
	b.fill("#over", "4.026")
	b.fill("#secs", "4.5")
	b.tap(".ownall button[form=own]:last-of-type")
	// 4.026 m in 4.5 s is 0.895 m/s: hydrometry guides.
	if got := b.text(".answer"); !strings.Contains(got, "at 0.89 m/s") && !strings.Contains(got, "at 0.90 m/s") {
		t.Errorf("the page says %q", got)
	}
	b.quiet(home)
}

// Moving along the stave of one's own water asks for another depth.
func TestTheStaveOfOnesOwnWater(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, desk)
	b.goTo(home + "/rig?depth=1.83&pace=0.5")
	eval[bool](b, `(() => {
		const board = document.querySelector("svg .stave"), box = board.closest("svg").getBoundingClientRect();
		const at = (type, y) => board.dispatchEvent(new PointerEvent(type, { clientX: box.left + 20, clientY: y, pointerId: 1, bubbles: true }));
		board.setPointerCapture = () => {};
		const y = document.querySelector(".waterline").getBoundingClientRect().top;
		at("pointerdown", y); at("pointermove", y + 40); at("pointerup", y + 40);
		return true;
	})()`)
	b.until("another depth is asked for", func() bool {
		d := eval[string](b, `new URL(location).searchParams.get("depth")`)
		return d != "1.83" && strings.Contains(b.text(".answer"), d+" m")
	})
	if level := eval[bool](b, `new URL(location).searchParams.has("level")`); level {
		t.Error("it asks for a level as well")
	}
}
