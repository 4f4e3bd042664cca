package e2e

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// aGuide is a junior's stick at a level, an Avon with an olivette, and a waggler.
const (
	aGuide       = "/guide/165B150C0T60808Y1J8102MP068DRAAF10M0M080AG7REABT"
	avonGuide    = "/guide/110CG58101464011CH5H04B200GP405HG1WW2R0MRGG95GS4Y1HEATH40022YZ"
	wagglerGuide = "/guide/184RH30G0T3H099R1J9144JM384HG8Y00MHG7GW0001BTD"
)

// A child who has never tied a rig opens a water, follows its guide with a thumb from the
// first step to the last, and loses nothing when the page is loaded anew in the middle.
func TestGuideByTouch(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home + "/rig?depth=1.6&pace=0.4&out=4&junior=1")
		b.tap(".water-side a[href^='/guide/']")
		guide := b.where()
		steps := eval[[]string](b, `[...document.querySelectorAll("[data-step]")].map(li => li.dataset.step)`)
		if len(steps) < 20 {
			t.Fatalf("the guide has %d steps", len(steps))
		}
		b.tap(".go-on a")
		for i, key := range steps {
			b.stepShown(guide, key, i+1, len(steps))
			if i == len(steps)/2 {
				b.middle(guide, key, i)
			}
			b.tap("[data-done]")
		}
		if b.where() != guide {
			t.Errorf("the last step leads to %s", b.where())
		}
		b.allTicked(len(steps))
	})
}

// stepShown checks the step that is open: its drawing and its first instruction are on
// the first screen, over the buttons, and the buttons are wide enough for a thumb.
func (b *tab) stepShown(guide, key string, n, of int) {
	b.Helper()
	if want := guide + "/" + key; b.where() != want {
		b.Fatalf("the address is %s, want %s", b.where(), want)
	}
	if got, want := b.text(".of b"), fmt.Sprintf("Step %d of %d", n, of); got != want {
		b.Errorf("%s says %q, want %q", key, got, want)
	}
	first := eval[bool](b, `(() => {
		const turn = document.querySelector(".turn").getBoundingClientRect(), draw = document.querySelector("svg.sketch").getBoundingClientRect();
		const say = document.querySelector(".do").getBoundingClientRect();
		return draw.top >= 0 && draw.bottom < turn.top && say.bottom <= turn.top + 1 && turn.bottom <= innerHeight + 1;
	})()`)
	if !first {
		b.Errorf("%s: the drawing and the first instruction are not on the first screen", key)
	}
	if wide := eval[bool](b, `document.documentElement.scrollWidth > innerWidth`); wide {
		b.Errorf("%s scrolls to the side", key)
	}
}

// middle loads the page anew in the middle, looks at the list, goes back a step, and goes
// on where it was.
func (b *tab) middle(guide, key string, done int) {
	b.Helper()
	b.follow(chromedp.Reload())
	if b.where() != guide+"/"+key {
		b.Errorf("loaded anew it is at %s", b.where())
	}
	b.tap("a[rel=prev]")
	b.tap(".of a")
	if eval[bool](b, `document.querySelector("[data-go-on]").hidden`) { // without script: the list leads to every step
		b.tap(fmt.Sprintf("[data-step=%q] a", key))
		return
	}
	if got := eval[int](b, `document.querySelectorAll(".ticked").length`); got != done {
		b.Errorf("in the middle %d steps are ticked, want %d", got, done)
	}
	b.tap("[data-go-on] a") // to the step that was open last, which is the one before
	b.tap("[data-done]")
	if b.where() != guide+"/"+key {
		b.Errorf("going on leads to %s", b.where())
	}
}

// allTicked checks the list at the end. Without script there are no ticks to see.
func (b *tab) allTicked(of int) {
	b.Helper()
	if eval[bool](b, `document.querySelector("[data-go-on]").hidden`) {
		return
	}
	if got := eval[int](b, `document.querySelectorAll(".ticked").length`); got != of {
		b.Errorf("at the end %d steps are ticked of %d", got, of)
	}
	b.do(chromedp.Tap(chromedp.CSS("[data-go-on] button"), chromedp.NodeVisible))
	b.until("the ticks are gone", func() bool { return eval[int](b, `document.querySelectorAll(".ticked").length`) == 0 })
}

// TestGuideWords: a trade word in a step is one tap from what it means.
func TestGuideWords(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, phone)
	b.goTo(home + aGuide + "/plumb")
	// The buttons stand over the foot of the screen: the words are read by scrolling on.
	eval[any](b, `void scrollTo(0, document.body.scrollHeight)`)
	b.tap("a[href='/words#plumb']")
	if !strings.Contains(b.text("#plumb + dd"), "plummet") {
		t.Errorf("at %s plumb means %q", b.where(), b.text("#plumb + dd"))
	}
}
