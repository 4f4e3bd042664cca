package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
)

// TestShots writes pictures of the pages for a person to look at:
//
//	LEVELPEG_SHOTS=/tmp/shots go test ./e2e -run Shots
//
// A picture is named for the page, the width and the scheme. At 360 px it is of the
// whole page, at 1280 px of the first screen.
func TestShots(t *testing.T) {
	dir := shotsDir(t)
	if dir == "" {
		t.Skip("SKIPPED: no pictures asked for; LEVELPEG_SHOTS=dir writes them")
	}
	home := site(t)
	for _, k := range kinds() {
		t.Run(k.name, func(t *testing.T) { shoot(t, home, k, dir) })
	}
}

// shotsDir is where pictures go that are asked for; empty where none are.
func shotsDir(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("LEVELPEG_SHOTS")
	if dir == "" {
		return ""
	}
	// The test runs in its own folder, and the person who asked did not.
	if !filepath.IsAbs(dir) {
		dir = filepath.Join("..", dir)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

func shoot(t *testing.T, home string, k kind, dir string) {
	b := open(t, phone)
	b.pictures(dir, k.name, func() {
		b.signInAs(home, k.role())
		b.goTo(home + k.path)
	})
}

// pictures takes one at either width in either scheme, each of the page that load shows.
func (b *tab) pictures(dir, named string, load func()) {
	b.Helper()
	for _, v := range []view{phone, desk} {
		for _, v.dark = range []bool{false, true} {
			b.setView(v)
			load()
			name := fmt.Sprintf("%s-%d-%s.png", named, v.width, scheme(v.dark))
			if err := os.WriteFile(filepath.Join(dir, name), b.picture(v.width < 600), 0o644); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// picture is of the first screen, or of the whole page.
func (b *tab) picture(whole bool) []byte {
	b.Helper()
	params := page.CaptureScreenshotParams{Format: page.CaptureScreenshotFormatPng}
	if whole {
		size := call(b, page.GetLayoutMetrics, cdp.Empty{}).CSSContentSize
		params.CaptureBeyondViewport = new(true)
		params.Clip = &page.Viewport{Width: size.Width, Height: size.Height, Scale: 1}
	}
	return call(b, page.CaptureScreenshot, params).Data
}
