package draw

import (
	"testing"
	"time"
)

// Twenty years of days become few enough to draw, with every extreme and every gap
// kept.
func TestThinKeepsExtremesAndGaps(t *testing.T) {
	from := time.Date(2006, 1, 1, 0, 0, 0, 0, time.UTC)
	d := Levels{From: from, To: from.AddDate(20, 0, 0), Step: 24 * time.Hour}
	for day := range 7305 {
		if day >= 3000 && day < 3100 {
			continue // the board was away
		}
		s := LevelSpan{At: from.AddDate(0, 0, day), LowM: 0.5, MidM: 0.6, HighM: 0.7}
		if day == 1234 {
			s.HighM = 3.1
		}
		if day == 6001 {
			s.LowM = -0.2
		}
		d.Spans = append(d.Spans, s)
	}
	d.thin()
	if n := len(d.Spans); n > mostSpans+1 || n < mostSpans/2 {
		t.Errorf("%d spans are left, want about %d", n, mostSpans)
	}
	low, high := 1.0, 0.0
	for _, s := range d.Spans {
		low, high = min(low, s.LowM), max(high, s.HighM)
	}
	if low != -0.2 || high != 3.1 {
		t.Errorf("the extremes are %.1f and %.1f, want -0.2 and 3.1", low, high)
	}
	if parts := len(d.unbroken()); parts != 2 {
		t.Errorf("the course is in %d parts, want the 2 beside the gap", parts)
	}
}

func TestThinLeavesWhatCanBeToldApart(t *testing.T) {
	d := Levels{Step: time.Hour, Spans: make([]LevelSpan, mostSpans)}
	d.thin()
	if len(d.Spans) != mostSpans || d.Step != time.Hour {
		t.Errorf("%d spans of %s, want them untouched", len(d.Spans), d.Step)
	}
}
