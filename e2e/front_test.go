package e2e

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"
)

// front is a proxy before two servers, as an operator would set one up: it asks each
// whether it is ready, keeps Host, and asks the other where a request that may be asked
// twice got no answer.
type front struct {
	*testing.T
	mu      sync.Mutex
	at      [2]*url.URL // nil: not started
	ready   [2]bool
	only    int // -1: whichever is ready
	turn    int
	counts  map[int]int
	by      [2]int
	retried int
	blow    *blow
}

// blow kills a server at the worst moment for a request that writes.
type blow struct {
	on     string // the end of the request's path
	i      int    // the server that was given it
	late   bool   // it is done, and the answer gets lost; else the server is gone before it comes
	kill   func()
	fell   chan struct{}
	fallen sync.Once
}

// at falls where a request is the one waited for.
func (s *blow) at(r *http.Request, i int, late bool) bool {
	if s == nil || s.i != i || s.late != late || r.Method != http.MethodPost || !strings.HasSuffix(r.URL.Path, s.on) {
		return false
	}
	struck := false
	s.fallen.Do(func() {
		s.kill()
		close(s.fell)
		struck = true
	})
	return struck
}

// fall waits for a blow to fall.
func (f *front) fall(s *blow) {
	f.Helper()
	s.fell = make(chan struct{})
	f.mu.Lock()
	f.blow = s
	f.mu.Unlock()
	select {
	case <-s.fell:
	case <-time.After(startWithin):
		f.Errorf("nobody wrote to %s", s.on)
	}
}

func newFront(t *testing.T) (*front, string) {
	t.Helper()
	f := &front{T: t, only: -1, counts: map[int]int{}}
	proxy := &httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) {
			r.SetXForwarded()
			r.Out.URL.Scheme, r.Out.URL.Host, r.Out.Host = "http", "pair", r.In.Host
		},
		Transport: f,
		ModifyResponse: func(a *http.Response) error {
			f.count(a.StatusCode)
			if a.StatusCode >= 400 {
				f.Logf("%s %s: %d", a.Request.Method, a.Request.URL.Path, a.StatusCode)
			}
			return nil
		},
		ErrorHandler: func(w http.ResponseWriter, r *http.Request, _ error) {
			if r.Context().Err() == nil { // else nobody hears it
				f.count(http.StatusBadGateway)
			}
			http.Error(w, "Bad gateway", http.StatusBadGateway)
		},
	}
	s := httptest.NewServer(proxy)
	t.Cleanup(s.Close)
	ctx, stop := context.WithCancel(context.Background())
	var looking sync.WaitGroup
	looking.Go(func() { f.look(ctx) })
	t.Cleanup(func() { stop(); looking.Wait() })
	return f, s.URL
}

func (f *front) count(status int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.counts[status]++
}

// look asks both servers whether they are ready.
func (f *front) look(ctx context.Context) {
	asker := &http.Client{Timeout: time.Second, Transport: &http.Transport{DisableKeepAlives: true}}
	for ctx.Err() == nil {
		for i := range f.at {
			f.mu.Lock()
			at := f.at[i]
			f.mu.Unlock()
			ok := false
			if at != nil {
				if a, err := asker.Get(at.String() + "/readyz"); err == nil {
					ok = a.StatusCode == http.StatusOK
					a.Body.Close()
				}
			}
			f.mu.Lock()
			f.ready[i] = ok && f.at[i] == at
			f.mu.Unlock()
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// pick is the next server in turn that is ready, and not the one that has just failed.
func (f *front) pick(not int) (int, *url.URL) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for range f.at {
		f.turn = 1 - f.turn
		if i := f.turn; i != not && f.ready[i] && f.at[i] != nil && (f.only < 0 || f.only == i) {
			f.by[i]++
			return i, f.at[i]
		}
	}
	return -1, nil
}

// RoundTrip asks one server, and the other where that may be.
func (f *front) RoundTrip(r *http.Request) (*http.Response, error) {
	failed, err := -1, errors.New("no server is ready")
	for range 2 {
		i, at := f.pick(failed)
		if at == nil {
			break
		}
		f.mu.Lock()
		s := f.blow
		f.mu.Unlock()
		s.at(r, i, false)
		out := r.Clone(r.Context())
		out.URL.Host = at.Host
		var a *http.Response
		if a, err = http.DefaultTransport.RoundTrip(out); err == nil && !s.at(r, i, true) {
			return a, nil
		}
		if err == nil {
			a.Body.Close()
			err = errors.New("the answer got lost")
		}
		if failed = i; r.Method != http.MethodGet && r.Method != http.MethodHead || r.Context().Err() != nil {
			break
		}
		f.mu.Lock()
		f.retried++
		f.mu.Unlock()
	}
	return nil, err
}

// set says where a server is; nil: nowhere.
func (f *front) set(i int, at *url.URL) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.at[i], f.ready[i] = at, false
}

func (f *front) pin(i int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.only = i
}

// both waits until both servers are asked.
func (f *front) both() {
	f.Helper()
	for deadline := time.Now().Add(startWithin); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		f.mu.Lock()
		ok := f.ready[0] && f.ready[1]
		f.mu.Unlock()
		if ok {
			return
		}
	}
	f.Fatal("the two servers did not become ready")
}
