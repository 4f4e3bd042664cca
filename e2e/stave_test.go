package e2e

import (
	"math"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// spot is a place on the screen.
type spot struct{ X, Y float64 }

// hand moves something on the screen: a finger or a mouse.
type hand struct{ down, move, up func(b *tab, at spot) }

func finger(kind input.DispatchTouchEventType) func(*tab, spot) {
	return func(b *tab, at spot) {
		p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		if kind != input.DispatchTouchEventTypeTouchEnd {
			p.TouchPoints = append(p.TouchPoints, &input.TouchPoint{X: at.X, Y: at.Y})
		}
		call(b, input.DispatchTouchEvent, p)
	}
}

func mouse(kind input.DispatchMouseEventType) func(*tab, spot) {
	return func(b *tab, at spot) {
		b.do(chromedp.MouseEvent(kind, at.X, at.Y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	}
}

var (
	byFinger = hand{finger(input.DispatchTouchEventTypeTouchStart), finger(input.DispatchTouchEventTypeTouchMove), finger(input.DispatchTouchEventTypeTouchEnd)}
	byMouse  = hand{mouse(chromedp.MousePressed), mouse(chromedp.MouseMoved), mouse(chromedp.MouseReleased)}
)

func (b *tab) mark() spot {
	b.Helper()
	return eval[spot](b, `(() => { const r = document.querySelector("svg .mark").getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2}; })()`)
}

// Moving the mark along the stave moves the water with the finger, and letting go
// shows the sheet at the level that was under it.
func TestDraggingTheMarkAsksForAnotherLevel(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		view view
		hand hand
		by   float64 // down the screen, px
	}{
		"finger up":   {phone, byFinger, -24},
		"finger down": {phone, byFinger, 18},
		"mouse up":    {desk, byMouse, -36},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			home := site(t)
			b := open(t, c.view)
			b.goTo(home + ordinaryPeg)
			b.drag(c.hand, c.by)
			b.quiet(home)
		})
	}
}

// drag moves the mark and checks what is seen on the way and after.
func (b *tab) drag(h hand, by float64) {
	b.Helper()
	b.do(chromedp.ScrollIntoView(chromedp.CSS("svg .mark")))
	from, before := b.mark(), b.level()
	h.down(b, from)
	const steps = 6
	to := spot{from.X, from.Y + by}
	for i := 1; i <= steps; i++ {
		h.move(b, spot{from.X, from.Y + by*float64(i)/steps})
	}
	b.until("the mark is under the finger", func() bool { return math.Abs(b.mark().Y-to.Y) <= 2 })
	shown := b.level()
	if (shown > before) != (by < 0) || shown == before {
		b.Errorf("moved %g px down from %.2f the box says %.2f", by, before, shown)
	}
	h.up(b, to)
	b.until("the address has the level", func() bool { return strings.Contains(b.where(), "level=") })
	b.until("the sheet says it is at another level", func() bool {
		return eval[int](b, `document.querySelectorAll(".asked").length`) == 1
	})
	b.atLevel(shown)
}

// A finger that starts beside the stave scrolls the page and changes nothing.
func TestScrollingBesideTheStaveChangesNothing(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, phone)
	b.goTo(home + ordinaryPeg)
	before := b.level()
	from := eval[spot](b, `(() => { const r = document.querySelector("svg.section").getBoundingClientRect(); return {X: r.x + r.width * .7, Y: r.y + r.height / 2}; })()`)
	byFinger.down(b, from)
	for i := 1.0; i <= 10; i++ {
		byFinger.move(b, spot{from.X, from.Y - 20*i})
	}
	byFinger.up(b, from)
	b.until("the page has scrolled", func() bool { return eval[float64](b, `scrollY`) > 50 })
	if got := b.level(); got != before || b.where() != home+ordinaryPeg {
		t.Errorf("the sheet is at %v, %s; want %v and no other address", got, b.where(), before)
	}
}
