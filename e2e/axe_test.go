package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
)

const installModules = "run “npm ci” in e2e"

var axeSource = sync.OnceValues(func() (string, error) {
	text, err := os.ReadFile(filepath.Join("node_modules", "axe-core", "axe.min.js"))
	return string(text), err
})

func needAxe(t *testing.T) {
	t.Helper()
	if _, err := axeSource(); err != nil {
		missing(t, "axe-core", installModules)
	}
}

// axeResult is what the checker says of a page.
type axeResult struct {
	Passes     int
	Violations []axeFinding
	Incomplete []axeFinding // what it could not decide
}

type axeFinding struct {
	ID, Help string
	Nodes    []string
}

func (f axeFinding) String() string {
	return fmt.Sprintf("%s (%s): %s", f.ID, f.Help, strings.Join(f.Nodes[:min(3, len(f.Nodes))], " | "))
}

// runAxe runs every rule of the checker, best practices included, and two that it
// leaves out unless asked: contrast of 7:1 for text and the size of targets.
const runAxe = `axe.run(document, {rules: {"color-contrast-enhanced": {enabled: true}, "target-size": {enabled: true}}}).then(r => {
	const short = list => list.map(v => ({ID: v.id, Help: v.help, Nodes: v.nodes.map(n => n.html.slice(0, 200) + " " + [...n.any, ...n.all].map(c => c.message).join(" ").slice(0, 160))}));
	return {Passes: r.passes.length, Violations: short(r.violations), Incomplete: short(r.incomplete)};
})`

// axe checks the page in the tab. The checker comes in over the protocol, which the
// page's content policy does not concern, so that the page is as it is served.
func (b *tab) axe() axeResult {
	b.Helper()
	source, err := axeSource()
	if err != nil {
		b.Fatal(err)
	}
	if !eval[bool](b, `"axe" in window`) {
		b.do(chromedp.Evaluate[chromedp.Void](source))
	}
	// A guide's buttons stand over the foot of the screen, and the checker cannot judge what
	// lies under them just then: it is shown them in their place in the page.
	eval[any](b, `void document.querySelector(".turn")?.style.setProperty("position", "static")`)
	r, err := chromedp.Run(b.ctx, chromedp.Evaluate[axeResult](runAxe, chromedp.EvalAwaitPromise))
	if err != nil {
		b.Fatalf("the checker at %s: %v", b.where(), err)
	}
	return r
}

// Nothing is left out of what the checker finds. Of what it cannot decide only what
// can be decided otherwise is accepted.
func TestNoPageViolatesAnAccessibilityRule(t *testing.T) {
	t.Parallel()
	needAxe(t)
	onEveryKind(t, phone, func(b *tab, k kind) {
		for _, dark := range []bool{false, true} {
			v := phone
			v.dark = dark
			b.setView(v)
			r := b.axe()
			if r.Passes < 15 {
				b.Errorf("%s: only %d rules found anything to look at", k.path, r.Passes)
			}
			for _, f := range append(r.Violations, doubts(r.Incomplete)...) {
				b.Errorf("%s, %s: %v", k.path, scheme(dark), f)
			}
		}
	})
}

// doubts are the findings that the checker could not decide and nothing else does.
// What else does: TestColoursContrast for the figures in drawings, which lie on what
// is drawn, and for the signs − and + on the level's buttons and a map's, which the checker does
// not take for text; and those buttons' names, which say in words what the sign does.
func doubts(all []axeFinding) []axeFinding {
	var out []axeFinding
	for _, f := range all {
		f.Nodes = slices.DeleteFunc(slices.Clone(f.Nodes), func(node string) bool {
			switch f.ID {
			case "color-contrast", "color-contrast-enhanced":
				return strings.HasPrefix(node, "<text ") || signButton.MatchString(node)
			case "label-content-name-mismatch":
				return signButton.MatchString(node)
			}
			return false
		})
		if len(f.Nodes) > 0 {
			out = append(out, f)
		}
	}
	return out
}

// signButton is a button whose sign its name says in words: of the level, or of a map.
var signButton = regexp.MustCompile(`^(<a [^>]*>)?(<span aria-hidden="true">)?[−+]</`)

// That the checker sees what it is there for.
func TestTheAccessibilityCheckerSeesTrouble(t *testing.T) {
	t.Parallel()
	needAxe(t)
	home := site(t)
	b := open(t, phone)
	b.goTo(home)
	_ = eval[int](b, `document.querySelector("main").append(document.createElement("img"), Object.assign(document.createElement("p"), {innerText: "faint", id: "faint"}))`+`, document.querySelector("#faint").style.color = "#686868", 1`)
	var got []string
	for _, f := range b.axe().Violations {
		got = append(got, f.ID)
	}
	for _, want := range []string{"image-alt", "color-contrast-enhanced"} {
		if !slices.Contains(got, want) {
			t.Errorf("the checker did not see %s, only %v", want, got)
		}
	}
}
