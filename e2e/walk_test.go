package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestFromTheVenueToTheFirstCast is one person's walk at 360 px by touch alone: the venue,
// saved, a peg, its rig, and the guide to its last step; with no signal from the peg on,
// and loaded anew in the middle. LEVELPEG_WALK=dir writes a picture of every screen, as
// docs/walk has them.
func TestFromTheVenueToTheFirstCast(t *testing.T) {
	t.Parallel()
	_, _, _, p := taking(t, "")
	shot := 0
	look := func(name string) {
		shot++
		if dir := os.Getenv("LEVELPEG_WALK"); dir != "" {
			if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%02d-%s.png", shot, name)), p.picture(false), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	look("venue")
	p.press("[data-save]", new(int))
	p.until("it is saved", func() bool { return strings.Contains(p.text("#save [role=status]"), "On this phone: saved") })
	p.cut()
	p.tap(`.peglist a[href$="/pegs/14"]`)
	if got := p.text("main"); !strings.Contains(got, "Peg 14") || !strings.Contains(got, "saved at") {
		t.Fatalf("the peg: %.300s", got)
	}
	look("peg")
	p.do(chromedp.ScrollIntoView(chromedp.CSS("a[href^='/guide/']")))
	look("rig")
	p.tap("a[href^='/guide/']")
	guide := p.where()
	steps := eval[[]string](p.tab, `[...document.querySelectorAll("[data-step]")].map(li => li.dataset.step)`)
	if len(steps) < 20 {
		t.Fatalf("the guide has %d steps", len(steps))
	}
	look("guide")
	p.tap(".go-on a")
	for i, key := range steps {
		p.stepShown(guide, key, i+1, len(steps))
		look(key)
		if i == len(steps)/2 {
			p.middle(guide, key, i)
		}
		p.tap("[data-done]")
	}
	if p.where() != guide {
		t.Errorf("the last step leads to %s", p.where())
	}
	look("done")
	p.allTicked(len(steps))
	if n := len(eval[[]string](p.tab, `performance.getEntriesByType("resource").filter((e) => e.transferSize > 0 && !e.name.startsWith("data:")).map((e) => e.name)`)); n > 0 {
		t.Errorf("%d files came over the network", n)
	}
}
