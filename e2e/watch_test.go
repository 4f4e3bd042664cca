package e2e

import (
	"fmt"
	"net/url"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// watch writes down what a tab asked for and complained of.
type watch struct {
	mu       sync.Mutex
	asked    []string // addresses
	complain []string
	forgiven []string // pages whose status is meant to be an error
}

// forgive lets a page have the error status that it is meant to have.
func (w *watch) forgive(page string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.forgiven = append(w.forgiven, page)
}

// hear runs inside the browser's event loop, so it only writes down.
func (w *watch) hear(ev any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch ev := ev.(type) {
	case *network.EventRequestWillBeSent:
		w.asked = append(w.asked, ev.Request.URL)
	case *runtime.EventExceptionThrown:
		w.complain = append(w.complain, "exception: "+ev.ExceptionDetails.Text)
	case *runtime.EventConsoleAPICalled:
		w.complain = append(w.complain, fmt.Sprintf("console.%s", ev.Type))
	case *log.EventEntryAdded:
		w.complain = append(w.complain, fmt.Sprintf("%s %s: %s (%s)", ev.Entry.Source, ev.Entry.Level, ev.Entry.Text, ev.Entry.URL))
	}
}

// troubles are the requests that left for another host, and everything the console
// said but what the browser says of a page whose status is meant to be an error.
func (w *watch) troubles(home string) []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	var out []string
	host := hostOf(home)
	for _, a := range w.asked {
		if h := hostOf(a); h != "" && h != host {
			out = append(out, "asked another host: "+a)
		}
	}
	for _, c := range w.complain {
		if !expectedStatus(c, w.forgiven) {
			out = append(out, "console: "+c)
		}
	}
	return out
}

// expectedStatus tells the browser's own line about the status of a page that is
// meant to have it: its source is the network and its address the page's.
func expectedStatus(line string, pages []string) bool {
	for _, p := range pages {
		if strings.HasPrefix(line, "network ") && strings.HasSuffix(line, "("+p+")") {
			return true
		}
	}
	return false
}

// hostOf is the host an address asks; none for data: and about:.
func hostOf(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "unreadable: " + address
	}
	return u.Host
}

// quiet fails the test for any trouble.
func (b *tab) quiet(home string) {
	b.Helper()
	for _, trouble := range b.watch.troubles(home) {
		b.Errorf("%s", trouble)
	}
}

func call[P, R any](b *tab, cmd cdp.Command[P, R], params P) R {
	b.Helper()
	r, err := chromedp.Call(b.ctx, cmd, params)
	if err != nil {
		b.Fatalf("%v", err)
	}
	return r
}

// What the tests above rely on: that the watch sees what it is there for.
func TestWatchSeesTrouble(t *testing.T) {
	t.Parallel()
	home := site(t)
	b := open(t, phone)
	b.goTo(home)
	b.quiet(home)
	_ = eval[bool](b, `(() => {
		const s = document.createElement("script");
		s.textContent = "1";
		document.body.append(s);
		const i = new Image();
		i.src = "http://127.0.0.2:9/x.png";
		console.error("on purpose");
		return true;
	})()`)
	_, _ = chromedp.Run(b.ctx, chromedp.Evaluate[bool](`fetch("http://127.0.0.2:9/y").catch(() => true)`, chromedp.EvalAwaitPromise))
	got := strings.Join(b.watch.troubles(home), "\n")
	for _, want := range []string{"inline script", "127.0.0.2", "console.error"} {
		if !strings.Contains(got, want) {
			t.Errorf("the watch did not see %q; it saw:\n%s", want, got)
		}
	}
}
