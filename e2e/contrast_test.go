package e2e

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var (
	colourLine = regexp.MustCompile(`--([a-z-]+):\s*(#[0-9a-fA-F]{6})\b`)
	darkBlock  = regexp.MustCompile(`(?s)@media \(prefers-color-scheme: dark\) \{\s*:root \{(.*?)\}`)
)

// palettes reads the colours of both schemes from the stylesheet. The dark scheme
// has the light one's colours but for those it names.
func palettes(t *testing.T) map[string]map[string]string {
	t.Helper()
	css, err := os.ReadFile(filepath.Join("..", "static", "app.css"))
	if err != nil {
		t.Fatal(err)
	}
	darkPart := darkBlock.FindStringSubmatch(string(css))
	if darkPart == nil {
		t.Fatal("the stylesheet has no colours for the dark scheme where they were")
	}
	lightPart, _, _ := strings.Cut(string(css), "@media")
	light, dark := map[string]string{}, map[string]string{}
	for _, m := range colourLine.FindAllStringSubmatch(lightPart, -1) {
		light[m[1]], dark[m[1]] = m[2], m[2]
	}
	for _, m := range colourLine.FindAllStringSubmatch(darkPart[1], -1) {
		dark[m[1]] = m[2]
	}
	return map[string]map[string]string{"light": light, "dark": dark}
}

// luminance is the relative luminance of #rrggbb, 0 for black and 1 for white:
// WCAG 2.2, "relative luminance", with its threshold of 0.04045.
func luminance(colour string) (float64, error) {
	n, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil || len(colour) != 7 {
		return 0, fmt.Errorf("%q is no colour", colour)
	}
	linear := func(shift int) float64 {
		c := float64(n>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(16) + 0.7152*linear(8) + 0.0722*linear(0), nil
}

// contrast is the ratio of two colours, 1 to 21: WCAG 2.2, "contrast ratio".
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, err := luminance(a)
	if err != nil {
		t.Fatal(err)
	}
	lb, err := luminance(b)
	if err != nil {
		t.Fatal(err)
	}
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// Black on white is 21:1 by the definition; grey #767676 on white is the well-known
// lightest grey of 4.5:1 (4.54, derived from the definition).
func TestContrastOfKnownColours(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want float64
	}{{"#000000", "#ffffff", 21}, {"#767676", "#ffffff", 4.54}, {"#123456", "#123456", 1}} {
		if got := contrast(t, c.a, c.b); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%s on %s is %.3f:1, want %.2f:1", c.a, c.b, got, c.want)
		}
	}
}

// The design's own floors: 7:1 for text, 3:1 for the accent against all it lies on.
func TestColoursContrast(t *testing.T) {
	pairs := []struct {
		of, on string
		least  float64
	}{
		{"ink", "paper", 7}, {"ink", "card", 7}, {"soft", "paper", 7}, {"soft", "card", 7},
		{"warn-ink", "warn", 7}, {"card", "ink", 7},
		{"ink", "water", 7}, {"ink", "bed", 7}, // figures in the drawing
		{"tip", "paper", 3}, {"tip", "card", 3}, {"tip", "water", 3}, {"tip", "bed", 3},
	}
	for name, colours := range palettes(t) {
		for _, p := range pairs {
			of, on := colours[p.of], colours[p.on]
			if of == "" || on == "" {
				t.Errorf("the %s scheme has no %s or no %s", name, p.of, p.on)
				continue
			}
			if got := contrast(t, of, on); got < p.least {
				t.Errorf("in the %s scheme --%s %s on --%s %s is %.2f:1, want %g:1", name, p.of, of, p.on, on, got, p.least)
			}
		}
	}
}
