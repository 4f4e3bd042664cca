package e2e

import (
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

func TestThePegBox(t *testing.T) {
	cases := []struct{ from, write, path, heading string }{
		{"/venues/sallow-reach", "14", "/venues/sallow-reach/pegs/14", "Peg 14"},
		{"/venues/sallow-reach/pegs/3", "14a", "/venues/sallow-reach/pegs/14A", "Peg 14A"},
		{"/venues/sallow-reach/pegs/3", "tansy 5", "/venues/tansy-meadow/pegs/5", "Peg 5"},
		{"/", "cinder bend 7", "/venues/cinder-bend/pegs/7", "Peg 7"},
		{"/", "peg 26", "/venues/sallow-reach/pegs/26", "Peg 26"},
		{"/", "Tansy Meadow", "/venues/tansy-meadow", "Tansy Meadow"},
		{"/gauges/teasel-bridge", "sallow 1", "/venues/sallow-reach/pegs/1", "Peg 1"},
	}
	onPhones(t, func(b *tab, home string) {
		for _, c := range cases {
			b.goTo(home + c.from)
			b.fill("form.find [name=q]", c.write)
			b.tap("form.find button")
			if got := strings.TrimPrefix(b.where(), home); !strings.EqualFold(got, c.path) || b.text("h1") != c.heading {
				b.Errorf("%q on %s leads to %s, %q; want %s, %q", c.write, c.from, got, b.text("h1"), c.path, c.heading)
			}
		}
	})
}

func TestThePegBoxOffersEveryVenueWithThatPeg(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		b.goTo(home)
		b.fill("form.find [name=q]", "14")
		b.follow(chromedp.KeyEvent(kb.Enter))
		got := eval[[]string](b, `[...document.querySelectorAll("main li a")].map(a => a.getAttribute("href"))`)
		want := []string{"/venues/sallow-reach/pegs/14", "/venues/tansy-meadow/pegs/14", "/venues/cinder-bend/pegs/14"}
		if !slices.Equal(got, want) {
			b.Fatalf("peg 14 is offered at %v, want %v", got, want)
		}
		b.tap(`main li a[href="` + want[1] + `"]`)
		if b.where() != home+want[1] {
			b.Errorf("the choice leads to %s", b.where())
		}
	})
}

func TestAlongTheBank(t *testing.T) {
	onPhones(t, func(b *tab, home string) {
		v := mustJSON[venuesJSON](b.T, home+"/venues.json").Venues[0]
		b.goTo(home + "/venues/" + v.Slug + "/pegs/" + v.Pegs[12])
		for i, rel := range []string{"next", "next", "prev"} {
			b.tap("a[rel=" + rel + "]")
			if got, want := b.text("h1"), "Peg "+v.Pegs[[]int{13, 14, 13}[i]]; got != want {
				b.Errorf("%s leads to %q, want %q", rel, got, want)
			}
		}
	})
}

var nextLink = regexp.MustCompile(`<a href="([^"]+)" rel="next"`)

// From the first peg of a venue the links lead to every other, and end.
func TestTheLinksAlongTheBankReachEveryPeg(t *testing.T) {
	t.Parallel()
	home := site(t)
	for _, v := range mustJSON[venuesJSON](t, home+"/venues.json").Venues {
		var got []string
		for at := "/venues/" + v.Slug + "/pegs/" + v.Pegs[0]; at != "" && len(got) <= len(v.Pegs); {
			got = append(got, at[strings.LastIndex(at, "/")+1:])
			next := nextLink.FindStringSubmatch(mustGet(t, home+at, http.StatusOK).body)
			if at = ""; next != nil {
				at = next[1]
			}
		}
		if !slices.Equal(got, v.Pegs) {
			t.Errorf("along %s the links reach %v, want %v", v.Slug, got, v.Pegs)
		}
	}
}
