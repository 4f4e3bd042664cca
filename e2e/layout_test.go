package e2e

import (
	"slices"
	"strings"
	"testing"
)

// kindsATab is how many kinds of page are looked at before another tab is opened, since
// what is done in one has a limit.
const kindsATab = 25

// onEveryKind looks at every kind of page, with what is folded unfolded.
func onEveryKind(t *testing.T, v view, look func(b *tab, k kind)) {
	t.Helper()
	home := site(t)
	for some := range slices.Chunk(kinds(), kindsATab) {
		onKinds(open(t, v), home, some, look)
	}
}

func onKinds(b *tab, home string, kinds []kind, look func(b *tab, k kind)) {
	b.Helper()
	for _, k := range kinds {
		b.signInAs(home, k.role())
		if got := b.goTo(home + k.path); got != k.status {
			b.Errorf("%s gives %d, want %d", k.path, got, k.status)
		}
		if k.status != 200 {
			b.watch.forgive(home + k.path)
		}
		_ = eval[int](b, `[...document.querySelectorAll("details")].map(d => d.open = true).length`)
		look(b, k)
	}
	b.quiet(home)
}

// sideways lists what reaches past the right edge of the page, but for what a map cuts
// off. The width is the window's, not the page's: a page that is too wide makes its own
// root wide.
const sideways = `(() => {
	const wide = [...document.querySelectorAll("body *")].filter(e => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth + .5 && !e.parentElement.closest(".map"));
	const out = wide.map(e => e.tagName + "." + (e.className.baseVal ?? e.className) + " to " + e.getBoundingClientRect().right.toFixed(0));
	if (document.documentElement.scrollWidth > innerWidth) out.push("the page is " + document.documentElement.scrollWidth + " px wide");
	scrollTo(1000, 0);
	if (scrollX !== 0) out.push("the page scrolls sideways");
	scrollTo(0, 0);
	return out;
})()`

// smallTargets lists what can be pressed and is under 48 px high or wide. Accepted
// are links inside a sentence, whose height is the line's (WCAG 2.2, 2.5.8, exempts
// them), and the skip link, which nobody presses: it is there for the keyboard.
const smallTargets = `(() => {
	const all = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), summary, select, textarea")];
	return all.filter(e => e.checkVisibility() && !e.matches(".skip") && !(e.matches("p a") && inSentence(e))).flatMap(e => {
		const r = e.getBoundingClientRect();
		const name = e.tagName.toLowerCase() + " “" + (e.ariaLabel ?? e.innerText ?? "").trim().split("\n")[0] + "” " + r.width.toFixed(0) + "×" + r.height.toFixed(0);
		return r.height < 47.9 || r.width < 47.9 ? [name] : [];
	});
	function inSentence(a) { return a.closest("p").innerText.trim().length > a.innerText.trim().length; }
})()`

// smallText lists text under 16 px. Accepted are the figures in the drawings, which
// is to be read as a whole: each stands in the list of runs or the facts, too.
const smallText = `(() => {
	const found = new Map();
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n; n = walk.nextNode();) {
		const e = n.parentElement;
		if (!n.data.trim() || e.closest("svg") || !e.checkVisibility()) continue;
		const px = parseFloat(getComputedStyle(e).fontSize);
		if (px < 16) found.set(e.tagName.toLowerCase() + " in ." + (e.parentElement.className || e.parentElement.tagName), px.toFixed(1) + " px: “" + n.data.trim().slice(0, 30) + "”");
	}
	return [...found].map(([k, v]) => k + " " + v);
})()`

// drawnText lists the figures of a drawing that are under 9 px on the screen or lie
// over one another, which nobody reads on a wet bank.
const drawnText = `(() => {
	const all = [...document.querySelectorAll("main svg text")].filter(e => e.textContent.trim());
	const at = all.map(e => e.getBoundingClientRect()), out = [];
	all.forEach((e, i) => {
		const size = parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a;
		if (size < 9) out.push("“" + e.textContent + "” is " + size.toFixed(1) + " px");
		for (let j = i + 1; j < all.length; j++) {
			const over = Math.min(at[i].right, at[j].right) - Math.max(at[i].left, at[j].left);
			const high = Math.min(at[i].bottom, at[j].bottom) - Math.max(at[i].top, at[j].top);
			if (over > 1 && high > at[i].height / 3) out.push("“" + e.textContent + "” lies over “" + all[j].textContent + "”");
		}
		const svg = e.closest("svg").getBoundingClientRect();
		if (at[i].left < svg.left - 1 || at[i].right > svg.right + 1 || at[i].top < svg.top - 1 || at[i].bottom > svg.bottom + 1) out.push("“" + e.textContent + "” is cut off");
	});
	return out;
})()`

// TestLayout looks at every page at the widths the design names: the narrowest it
// holds at, the narrowest common phone, a desk and a wide one; and with twice the text.
func TestLayout(t *testing.T) {
	t.Parallel()
	checks := []struct{ what, js string }{
		{"reaches past the right edge", sideways},
		{"is under 48 px for a thumb", smallTargets},
		{"is text under 16 px", smallText},
		{"cannot be read in a drawing", drawnText},
	}
	// A browser that plays a phone makes a page that is too wide fit by shrinking it,
	// so the narrow views here are narrow windows. A page is loaded once and looked at
	// through each, the widest last.
	views := []view{{width: 320, height: 640}, {width: 360, height: 780}, desk, {width: 1440, height: 900}}
	home, all := site(t), kinds()
	for half := range slices.Chunk(all, (len(all)+1)/2) {
		t.Run("from "+half[0].name, func(t *testing.T) {
			t.Parallel()
			for some := range slices.Chunk(half, kindsATab) {
				onKinds(open(t, views[0]), home, some, func(b *tab, k kind) {
					for _, v := range views {
						b.setView(v)
						for _, c := range checks {
							if out := eval[[]string](b, c.js); len(out) > 0 {
								b.Errorf("%s at %d px, %s: %s", k.path, v.width, c.what, strings.Join(out, "; "))
							}
						}
					}
					twiceTheText(b, k)
					b.setView(views[0])
				})
			}
		})
	}
}

// cutOff lists text that its box cuts off.
const cutOff = `[...document.querySelectorAll("body *")].filter((e) => {
	const s = getComputedStyle(e);
	return e.checkVisibility() && e.textContent.trim() !== "" && !e.closest("svg, .map, select, .skip") && (s.overflowX !== "visible" || s.overflowY !== "visible") && s.overflowX !== "auto" && s.overflowY !== "auto"
		&& (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1) && e.clientWidth > 1;
}).map((e) => e.tagName + "." + e.className + ": " + e.textContent.trim().slice(0, 40))`

// twiceTheText looks at a page with its text at 200 % (WCAG 2.2, 1.4.4): nothing is cut
// off and nothing reaches past the edge.
func twiceTheText(b *tab, k kind) {
	b.Helper()
	b.setView(view{width: 720, height: 900})
	if got := eval[float64](b, `(document.documentElement.style.fontSize = "200%", parseFloat(getComputedStyle(document.querySelector("main p, main label, main a, main li")).fontSize))`); got < 2*16-0.5 {
		b.Errorf("%s: the text is %.1f px high and did not grow", k.path, got)
	}
	for what, js := range map[string]string{"reaches past the right edge": sideways, "is cut off": cutOff} {
		if out := eval[[]string](b, js); len(out) > 0 {
			b.Errorf("%s with text at 200 %%, %s: %s", k.path, what, strings.Join(out, "; "))
		}
	}
}
