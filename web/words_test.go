package web

import (
	"testing"
	"time"
)

// Every expectation is arithmetic on 1 in = 25.4 mm and 1 lb = 453.59237 g, both
// exact, or the wording the function's own comment promises.

func TestFeet(t *testing.T) {
	for m, want := range map[float64]string{
		1.86: "6 ft 1 in", 0.28: "11 in", 0.3048: "1 ft", 0: "0 in", 3.66: "12 ft", 0.295: "1 ft", 1.8288: "6 ft", 0.0127: "1 in", 2: "6 ft 7 in",
	} {
		if got := feet(m); got != want {
			t.Errorf("feet(%v) = %q, want %q", m, got, want)
		}
	}
}

func TestPounds(t *testing.T) {
	for kg, want := range map[float64]string{
		1.3: "2 lb 14 oz", 0.45359237: "1 lb", 0.2: "7 oz", 2.72155422: "6 lb", 0.44: "1 lb", 0.43: "15 oz",
	} {
		if got := pounds(kg); got != want {
			t.Errorf("pounds(%v) = %q, want %q", kg, got, want)
		}
	}
}

func TestGrams(t *testing.T) {
	for g, want := range map[float64]string{
		0.25: "0.25 g", 3: "3 g", 2.5: "2.50 g", 0.405: "0.405 g", 2.98: "2.98 g", 0.1 + 0.2: "0.30 g", 0.0004: "0 g", 10: "10 g",
	} {
		if got := grams(g); got != want {
			t.Errorf("grams(%v) = %q, want %q", g, got, want)
		}
	}
}

func TestPlusMinus(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{{1.80, 1.92, "± 6 cm"}, {1, 1, "± 1 cm"}, {1, 1.001, "± 1 cm"}, {0, 2, "± 100 cm"}, {-0.05, 0.05, "± 5 cm"}} {
		if got := plusMinus(c.low, c.high); got != c.want {
			t.Errorf("plusMinus(%v, %v) = %q, want %q", c.low, c.high, got, c.want)
		}
	}
}

func TestFixed(t *testing.T) {
	for v, want := range map[float64]string{1.236: "1.24", -0.3: "−0.30", -0.001: "0.00", 0: "0.00", -0.006: "−0.01", 12: "12.00"} {
		if got := fixed(v, 2); got != want {
			t.Errorf("fixed(%v) = %q, want %q", v, got, want)
		}
	}
}

func TestAgo(t *testing.T) {
	const day = 24 * time.Hour
	for d, want := range map[time.Duration]string{
		0: "just now", 119 * time.Second: "just now", 2 * time.Minute: "2 min ago", 59*time.Minute + 59*time.Second: "59 min ago",
		time.Hour: "1 hour ago", 89 * time.Minute: "1 hour ago", 5 * time.Hour: "5 hours ago", 35 * time.Hour: "35 hours ago", 36 * time.Hour: "2 days ago", 47 * time.Hour: "2 days ago",
		2 * day: "2 days ago", 20 * day: "20 days ago", 21 * day: "3 weeks ago", 89 * day: "12 weeks ago", 90 * day: "3 months ago",
		729 * day: "24 months ago", 730 * day: "2 years ago",
	} {
		if got := ago(d); got != want {
			t.Errorf("ago(%v) = %q, want %q", d, got, want)
		}
	}
}

// TestBearing: each of eight points holds 45°, turning over half way between two.
func TestBearing(t *testing.T) {
	for deg, want := range map[int]string{
		0: "north", 22: "north", 23: "north-east", 45: "north-east", 67: "north-east", 68: "east", 90: "east", 135: "south-east",
		180: "south", 225: "south-west", 270: "west", 315: "north-west", 337: "north-west", 338: "north", 359: "north",
	} {
		if got := bearing(deg); got != want {
			t.Errorf("bearing(%d) = %q, want %q", deg, got, want)
		}
	}
}

func TestNumberWords(t *testing.T) {
	for n, want := range map[int]string{0: "no", 1: "one", 6: "six", 12: "twelve", 13: "13", 17: "17", -1: "-1"} {
		if got := numberWord(n); got != want {
			t.Errorf("numberWord(%d) = %q, want %q", n, got, want)
		}
	}
	if count(1, "peg") != "1 peg" || count(3, "peg") != "3 pegs" || count(0, "peg") != "0 pegs" {
		t.Error("count does not say 1 peg, 3 pegs and 0 pegs")
	}
}
