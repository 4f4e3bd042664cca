package e2e

import (
	"strings"
	"testing"
)

// A closed peg is found as a person finds it, on the venue's page, and says so first.
func TestAClosedPegShowsTheStopAndNoRig(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		closed := ""
		for _, p := range mustJSON[venueJSON](b.T, home+"/venues/sallow-reach.json").PegList {
			if p.Closed {
				closed = "/venues/sallow-reach/pegs/" + p.Label
			}
		}
		b.goTo(home + "/venues/sallow-reach")
		if got := b.text(`main a[href="` + closed + `"]`); !strings.Contains(strings.ToLower(got), "closed") {
			b.Errorf("the venue's page says of the closed peg %q", got)
		}
		b.tap(`main a[href="` + closed + `"]`)
		b.stopped("Do not fish here now")
	})
}

// At a level over the club's own rule nobody fishes, however the level was asked.
func TestALevelOverTheRuleShowsTheStopAndNoRig(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home + ordinaryPeg)
		b.fill("#level", "1.90")
		b.tap("form.level button")
		b.stopped("Do not fish here at 1.90 m")
	})
}

// stopped checks that the page says before all else that nobody fishes here, on the
// first screen, and offers nothing to fish with.
func (b *tab) stopped(word string) {
	b.Helper()
	if s := b.sheet(); len(s.Stops) == 0 || len(s.Rigs) != 0 {
		b.Errorf("the JSON has stops %v and %d rigs", s.Stops, len(s.Rigs))
	}
	if got := b.text(".stop"); !strings.HasPrefix(got, word) {
		b.Errorf("the stop says %q, want first %q", got, word)
	}
	below := eval[[]string](b, `(() => {
		const stop = document.querySelector(".stop"), end = stop.getBoundingClientRect().bottom;
		const later = [...document.querySelectorAll(".care, .draw, .level, ul.runs, .notes")].filter(e => e.getBoundingClientRect().top < end);
		return later.map(e => e.className).concat(end > innerHeight ? ["the edge of the screen"] : []);
	})()`)
	if len(below) > 0 {
		b.Errorf("the stop does not come first: before its end come %v", below)
	}
	if n := eval[int](b, `document.querySelectorAll(".answer, .rigc, .rig").length`); n != 0 {
		b.Errorf("%d answers, rigs or drawn rigs beside a stop", n)
	}
}
