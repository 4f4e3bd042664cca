package club_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"levelpeg/club"
)

// TestBearingBetween: derived by hand; the shorter way round, clockwise where both are
// as long.
func TestBearingBetween(t *testing.T) {
	for _, c := range [][5]int{{0, 90, 1, 2, 45}, {350, 10, 1, 2, 0}, {10, 350, 1, 2, 0}, {0, 180, 1, 2, 90}, {180, 0, 1, 2, 270}, {90, 90, 3, 7, 90}, {359, 0, 0, 1, 359}, {359, 0, 1, 1, 0}, {40, 80, 0, 0, 40}} {
		if got := club.BearingBetween(c[0], c[1], c[2], c[3]); got != c[4] {
			t.Errorf("%v: %d", c, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b, n := rapid.IntRange(0, 359).Draw(t, "a"), rapid.IntRange(0, 359).Draw(t, "b"), rapid.IntRange(1, 50).Draw(t, "n")
		if club.BearingBetween(a, b, 0, n) != a || club.BearingBetween(a, b, n, n) != b {
			t.Fatal("the ends are not the ends")
		}
		for i := range n {
			x, y := club.BearingBetween(a, b, i, n), club.BearingBetween(a, b, i+1, n)
			turn := math.Abs(math.Remainder(float64(y-x), 360))
			if x < 0 || x > 359 || turn > 180/float64(n)+1 {
				t.Fatalf("step %d turns %g degrees, from %d to %d", i, turn, x, y)
			}
		}
	})
}

func TestFreeSlug(t *testing.T) {
	taken := map[string]bool{"mill": true, "mill-2": true}
	for name, want := range map[string]string{"Mill": "mill-3", "New": "new-2", "Łódź Ørsted’s": "lodz-orsteds", "漢字": "water", "": "water", "../x": "x", strings.Repeat("ab ", 40): strings.TrimSuffix(strings.Repeat("ab-", 13), "-") + "-a", "a.json": "a-json"} {
		if got := club.FreeSlug(name, "water", func(s string) bool { return taken[s] }); got != want {
			t.Errorf("%q is at %q, want %q", name, got, want)
		}
	}
}

func TestTiles(t *testing.T) {
	for address, want := range map[string]string{"": "", "/tiles/{z}/{x}/{y}.png": "", "https://tiles.example/{z}/{x}/{y}.png": "https://tiles.example",
		"https://{s}.tiles.example:8443/{z}/{x}/{y}{r}.png?key=a": "https://*.tiles.example:8443", "http://127.0.0.1:9/{z}/{x}/{y}": "http://127.0.0.1:9"} {
		tiles, err := club.Tiles{Address: address}.Checked()
		if err != nil || tiles.Origin() != want {
			t.Errorf("%q: %q, %v", address, tiles.Origin(), err)
		}
	}
	for _, address := range []string{"https://tiles.example/", "javascript:alert({z}{x}{y})", "//tiles.example/{z}/{x}/{y}", "https://tiles.example;script-src */{z}/{x}/{y}", "https://a b/{z}/{x}/{y}",
		"https://*.example/{z}/{x}/{y}", "https://u:p@tiles.example/{z}/{x}/{y}", "https://x.{s}.example/{z}/{x}/{y}", "https:///{z}/{x}/{y}", "https://{x}.example/{z}/{y}'", strings.Repeat("x", 401)} {
		if tiles, err := (club.Tiles{Address: address}).Checked(); err == nil {
			t.Errorf("%q is taken, for %q", address, tiles.Origin())
		}
	}
}

func TestStretch(t *testing.T) {
	d := club.StretchDraft{First: 3, Last: 6, Upstream: true, Bank: club.LeftBank, FirstDeg: 90, LastDeg: 120}
	if got := d.Pegs(); len(got) != 4 || got[0].Label != "6" || got[0].BearingDeg != 120 || got[3].Label != "3" || got[3].BearingDeg != 90 {
		t.Errorf("%+v", got)
	}
	for words, d := range map[string]club.StretchDraft{"from 1 to 9999": {First: 0, Last: 3}, "below the first": {First: 4, Last: 3}, "201 pegs": {First: 1, Last: 201}, "bearing": {First: 1, Last: 2, FirstDeg: 360}, "bank": {First: 1, Last: 2}} {
		if _, err := d.Checked(); club.KindOf(err) != club.Invalid || !strings.Contains(err.Error(), words) {
			t.Errorf("%+v: %v", d, err)
		}
	}
}

// TestCodes are of the letters the book takes, and differ.
func TestCodes(t *testing.T) {
	n := 0
	seen := map[string]bool{}
	for range 500 {
		code := club.NewCode(func(most int) int { n = (n*1103515245 + 12345) & 0x7fffffff; return n >> 8 % most % most })
		if len(code) != 5 || strings.Trim(code, "23456789ABCDEFGHJKMNPQRSTVWXYZ") != "" {
			t.Fatal(code)
		}
		seen[code] = true
	}
	if len(seen) < 400 {
		t.Errorf("%d different codes of 500", len(seen))
	}
}
