package e2e

import (
	"context"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// tabLimit is how long everything one test does in one tab may take.
const tabLimit = 3 * time.Minute

// browser is the one browser of a run, with a fresh profile. Every tab of a test is
// in a browser context of its own, so that tests share nothing.
var browser struct {
	once   sync.Once
	ctx    context.Context
	cancel func()
	err    error
}

func chromium() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

func openBrowser(t *testing.T) context.Context {
	t.Helper()
	path := chromium()
	if path == "" {
		missing(t, "a browser", "apt-get install chromium")
	}
	browser.once.Do(func() {
		alloc, free := chromedp.NewExecAllocator(context.Background(), browserOptions(path)...)
		ctx, cancel := chromedp.NewContext(alloc)
		browser.ctx, browser.cancel = ctx, func() { cancel(); free() }
		browser.err = chromedp.Do(ctx)
	})
	if browser.err != nil {
		t.Fatalf("starting the browser: %v", browser.err)
	}
	return browser.ctx
}

// browserOptions are how every browser is started. What it leaves lying about goes with the run.
func browserOptions(path string, more ...chromedp.ExecAllocatorOption) []chromedp.ExecAllocatorOption {
	// The defaults already keep it from fetching in the background and from syncing.
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.DisableGPU, chromedp.Env("TMPDIR="+books),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	if os.Geteuid() == 0 {
		opts = append(opts, chromedp.NoSandbox)
	}
	return append(opts, more...)
}

func closeBrowser() {
	if browser.cancel != nil {
		browser.cancel()
	}
}

// view is how a page is looked at.
type view struct {
	width, height int64
	dark          bool
	noScript      bool
	touch         bool
}

// phone is the narrowest common phone.
var (
	phone = view{width: 360, height: 780, touch: true}
	desk  = view{width: 1280, height: 900}
)

// tab is a page under test.
type tab struct {
	*testing.T
	ctx   context.Context
	watch *watch
}

// open gives a blank tab with the view, watched for what no page may do.
func open(t *testing.T, v view) *tab {
	t.Helper()
	parent := openBrowser(t)
	w := &watch{}
	ctx, cancel := chromedp.NewContext(parent, chromedp.WithNewBrowserContext(), chromedp.WithListener(w.hear))
	t.Cleanup(cancel)
	ctx, stop := context.WithTimeout(ctx, tabLimit)
	t.Cleanup(stop)
	b := &tab{T: t, ctx: ctx, watch: w}
	b.do(chromedp.Navigate("about:blank"))
	b.setView(v)
	return b
}

func (b *tab) setView(v view) {
	b.Helper()
	call(b, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: v.width, Height: v.height, DeviceScaleFactor: 1, Mobile: v.touch})
	call(b, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: v.touch})
	call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme(v.dark)}}})
	call(b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: v.noScript})
}

func scheme(dark bool) string {
	if dark {
		return "dark"
	}
	return "light"
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.Fatalf("%v\nat %s", err, b.where())
	}
}

// goTo loads an address and gives the status of its page.
func (b *tab) goTo(url string) int {
	b.Helper()
	answer, err := chromedp.Run(b.ctx, chromedp.NavigateResponse(url))
	if err != nil {
		b.Fatalf("loading %s: %v", url, err)
	}
	return int(answer.Status)
}

// follow does what leads to another page and waits until that has loaded.
func (b *tab) follow(step chromedp.Action[chromedp.Void]) {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 20*time.Second)
	defer cancel()
	if _, err := chromedp.Run(ctx, chromedp.WaitEvent(page.LoadEventFired, nil, step)); err != nil {
		b.Fatalf("no other page came: %v\nat %s", err, b.where())
	}
}

// tap presses the one element the selector finds, as a finger does, and waits for
// the page that it leads to.
func (b *tab) tap(css string) {
	b.Helper()
	b.follow(chromedp.Tap(chromedp.CSS(css), chromedp.NodeVisible))
}

// where is the address of the page, for messages.
func (b *tab) where() string {
	url, err := chromedp.Run(b.ctx, chromedp.Location())
	if err != nil {
		return err.Error()
	}
	return url
}

// eval gives the value of an expression in the page. The protocol's evaluation is
// not subject to the page's content policy.
func eval[T any](b *tab, js string) T {
	b.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](js))
	if err != nil {
		b.Fatalf("%s: %v\nat %s", js, err, b.where())
	}
	return v
}

func (b *tab) text(css string) string {
	b.Helper()
	s, err := chromedp.Run(b.ctx, chromedp.Text(chromedp.CSS(css)))
	if err != nil {
		b.Fatalf("reading %s: %v\nat %s", css, err, b.where())
	}
	return s
}

// until waits for something to become so.
func (b *tab) until(what string, is func() bool) {
	b.Helper()
	for deadline := time.Now().Add(10 * time.Second); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if is() {
			return
		}
	}
	b.Fatalf("did not happen in 10 s: %s\nat %s", what, b.where())
}
