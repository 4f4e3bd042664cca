package e2e

import (
	"strings"
	"testing"

	"levelpeg/db/dbtest"
)

// TestPagesWithNoRoom: a bailiff closes a peg while the disk is full. The form stands there
// as it was filled, with what to do; what has no page of its own is said on one, and sent
// again from there, so that with room again nothing is typed twice.
func TestPagesWithNoRoom(t *testing.T) {
	t.Parallel()
	needAxe(t)
	dir := withDemo(t)
	_, home := serve(t, "--data", dir)
	if err := addBailiff(dir); err != nil {
		t.Fatal(err)
	}
	conn := inside(t, dir)
	tell(t, conn, dbtest.RefuseWrites("53100"))
	const close14 = "/venues/sallow-reach/closures?peg=14"
	const words = "A swan's nest by the steps"
	b := open(t, phone)
	b.signInAs(home, "bailiff")
	b.goTo(home + close14)
	b.fill("#own", words)
	b.watch.forgive(home + "/venues/sallow-reach/closures")
	b.tap(`#own ~ button:not([name])`)
	if got := b.text("main .problem"); got != noRoom {
		b.Errorf("the page says %q", got)
	}
	if got := eval[string](b, `document.querySelector("#own").value + "|" + document.querySelector("#c-from").selectedOptions[0].text`); !strings.HasPrefix(got, words+"|") || !strings.Contains(got, "14") {
		b.Errorf("the form holds %q", got)
	}
	b.looked("no-room-close")

	b.goTo(home + "/me")
	b.watch.forgive(home + "/sign-out")
	b.tap(`form[action="/sign-out"] button`)
	if got := b.text("main"); !strings.Contains(got, "The book has no room") || !strings.Contains(got, noRoom) {
		b.Errorf("the page says %q", got)
	}
	b.looked("no-room")
	tell(t, conn, dbtest.RestoreWrites)
	b.tap("main form button")
	if got := b.text("main"); !strings.Contains(got, "You are signed out.") {
		b.Errorf("sent again, the page says %q", got)
	}
	b.quiet(home)
}

// looked checks a page that no address shows: accessibility, layout and markup, and makes
// pictures of it where they are asked for.
func (b *tab) looked(name string) {
	b.Helper()
	for _, v := range []view{{width: 320, height: 640}, phone, desk, {width: 1440, height: 900}} {
		for _, v.dark = range []bool{false, true} {
			b.setView(v)
			r := b.axe()
			for _, f := range append(r.Violations, doubts(r.Incomplete)...) {
				b.Errorf("%s at %d px, %s: %v", name, v.width, scheme(v.dark), f)
			}
			for _, js := range []string{sideways, smallTargets, smallText} {
				if out := eval[[]string](b, js); len(out) > 0 {
					b.Errorf("%s at %d px: %s", name, v.width, strings.Join(out, "; "))
				}
			}
		}
	}
	if dir := shotsDir(b.T); dir != "" {
		b.pictures(dir, name, func() {})
	}
	b.setView(phone)
}
