package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"
)

// lookAt is one in how many bodies is unpacked and read; of the others the status, and
// where they lead to, is looked at alone, since unpacking is the tool's work on the server's machine.
const lookAt = 8

// browser asks as a browser does: its connections are kept, and it takes what is compressed.
type browser struct {
	client *http.Client
	url    string
}

func newBrowser(url string, connections int, within time.Duration) *browser {
	return &browser{url: url, client: &http.Client{
		Transport:     &http.Transport{MaxConnsPerHost: connections, MaxIdleConnsPerHost: connections, DisableCompression: true},
		Timeout:       within,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
}

// answer is what came of a request.
type answer struct {
	took  time.Duration
	bytes int
	wrong string // what was not as it should be; empty: nothing
}

// get asks, and looks at what comes: always at its status, and where look is set at its body.
func (b *browser) get(ctx context.Context, a ask, look bool) answer {
	began := time.Now()
	res, body, err := b.fetch(ctx, a)
	out := answer{took: time.Since(began), bytes: len(body)}
	if err != nil {
		out.wrong = "no answer: " + err.Error()
		return out
	}
	out.wrong = a.wrong(res, body, look)
	return out
}

func (b *browser) fetch(ctx context.Context, a ask) (*http.Response, []byte, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, b.url+a.path, nil)
	if err != nil {
		return nil, nil, err
	}
	req.Header.Set("Accept-Encoding", "gzip, deflate, br")
	if a.token != "" {
		req.AddCookie(&http.Cookie{Name: "levelpeg_session", Value: a.token})
	}
	res, err := b.client.Do(req)
	if err != nil {
		return nil, nil, err
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	return res, body, err
}

// wrong says what of an answer is not as it should be.
func (a ask) wrong(res *http.Response, body []byte, look bool) string {
	want := a.status
	if want == 0 {
		want = http.StatusOK
	}
	switch {
	case res.StatusCode != want:
		return fmt.Sprintf("%d, want %d", res.StatusCode, want)
	case want != http.StatusOK:
		if to := res.Header.Get("Location"); to != a.wants {
			return fmt.Sprintf("leads to %s, want %s", to, a.wants)
		}
		return ""
	case len(body) == 0:
		return "empty"
	case !look:
		return ""
	}
	text, err := unpacked(res, body)
	if err != nil {
		return "cannot be unpacked: " + err.Error()
	}
	if !strings.Contains(text, a.wants) {
		return fmt.Sprintf("%s has no %q in it", a.path, a.wants)
	}
	return ""
}

func unpacked(res *http.Response, body []byte) (string, error) {
	switch how := res.Header.Get("Content-Encoding"); how {
	case "":
		return string(body), nil
	case "gzip":
		r, err := gzip.NewReader(bytes.NewReader(body))
		if err != nil {
			return "", err
		}
		text, err := io.ReadAll(r)
		return string(text), err
	default:
		return "", fmt.Errorf("encoded as %q", how)
	}
}
