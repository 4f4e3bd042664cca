package web

import (
	"math"
	"net/url"
	"time"

	"levelpeg/club"
	"levelpeg/web/draw"
)

// history shapes what a gauge's page shows of its past.
type history struct {
	v   club.GaugeView
	now time.Time
	loc *time.Location
}

// past is where the history ends; zero where it goes up to now.
func (h history) past() time.Time {
	if h.v.To.Before(h.now) {
		return h.v.To
	}
	return time.Time{}
}

// href is the address of the gauge's history over a span; up to now where to is zero.
func (h history) href(as, span string, to time.Time) string {
	q := url.Values{"span": {span}}
	if !to.IsZero() {
		q.Set("to", clock(to, h.loc))
	}
	// A colon needs no escape in a query, and the address is for people, too.
	text, err := url.QueryUnescape(q.Encode())
	if err != nil {
		text = q.Encode()
	}
	return "/gauges/" + h.v.Standing.Gauge.Slug + as + "?" + text
}

// earlier is the address of the span before; empty where there is nothing in it.
func (h history) earlier() string {
	if h.v.First.IsZero() || !h.v.First.Before(h.v.From) {
		return ""
	}
	// Up to the next minute, so that no reading falls between the two.
	return h.href("", h.v.Span.Slug, h.v.From.Add(time.Minute-1))
}

// later is the address of the span after; empty where this one goes up to now.
func (h history) later() string {
	if h.past().IsZero() {
		return ""
	}
	to := h.v.To.Add(h.v.To.Sub(h.v.From))
	if !to.Before(h.now) {
		to = time.Time{}
	}
	return h.href("", h.v.Span.Slug, to)
}

func (h history) spans() []SpanLink {
	var out []SpanLink
	for _, s := range club.Spans() {
		out = append(out, SpanLink{Label: s.Words, Href: h.href("", s.Slug, h.past()), Chosen: s == h.v.Span})
	}
	return out
}

func (h history) chart() draw.Levels {
	off := h.v.Standing.Zero.OffsetM
	d := draw.Levels{
		Title: h.v.Standing.Gauge.Name + ", " + h.when() + ". " + h.went(),
		From:  h.v.From, To: h.v.To, Loc: h.loc, Step: h.v.By.Length(), Gap: h.v.By.Gap(),
		Spans: make([]draw.LevelSpan, len(h.v.Spans)), Rules: ruleMarks(h.v, h.now),
	}
	for i, s := range h.v.Spans {
		d.Spans[i] = draw.LevelSpan{At: s.From, LowM: s.LeastM - off, HighM: s.MostM - off, MidM: s.Mid - off}
	}
	for _, z := range h.v.Zeros[min(1, len(h.v.Zeros)):] {
		d.Zeros = append(d.Zeros, z.From)
	}
	if l := h.v.Standing.Latest; l != nil && h.past().IsZero() {
		d.Latest = &draw.LevelAt{At: l.At, LevelM: l.LevelM}
	}
	for _, p := range h.fan() {
		d.Fan = append(d.Fan, draw.FanPoint{At: p.At, MidM: p.MidM - off, LowM: p.LowM - off, HighM: p.HighM - off})
	}
	return d
}

// fan is what is foretold; nothing where the history ends in the past.
func (h history) fan() []club.FanPoint {
	if !h.past().IsZero() {
		return nil
	}
	return h.v.Expected
}

// when says what time the history is of.
func (h history) when() string {
	from, to := h.v.From.In(h.loc), h.v.To.In(h.loc)
	layout, year := "2 January 2006", ""
	if from.Year() != h.now.In(h.loc).Year() {
		year = " 2006"
	}
	switch h.v.By {
	case club.ByReading:
		layout = "Mon 2 January" + year + ", 15:04"
	case club.ByHour, club.ByTwoHours:
		layout = "Mon 2 January" + year
	}
	if h.past().IsZero() {
		return "from " + from.Format(layout) + " to now"
	}
	if h.v.By != club.ByReading {
		to = to.Add(-1) // midnight ends the day before
	}
	return "from " + from.Format(layout) + " to " + to.Format(layout)
}

// went says between which levels the water went.
func (h history) went() string {
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range h.v.Spans {
		low, high = math.Min(low, s.LeastM), math.Max(high, s.MostM)
	}
	if low > high {
		return "Nothing was read in this time."
	}
	off := h.v.Standing.Zero.OffsetM
	return "Lowest " + metres(low-off) + ", highest " + metres(high-off) + "."
}

// how says how to read the drawing.
func (h history) how() string {
	if len(h.v.Spans) == 0 {
		return ""
	}
	if h.v.By == club.ByReading {
		return "Every reading. Where none was taken for over an hour and a half, the line stops."
	}
	piece := map[club.Grain]string{club.ByHour: "hour", club.ByTwoHours: "two hours", club.ByDay: "day",
		club.ByFiveDays: "five days", club.ByTenDays: "ten days", club.ByMonth: "month", club.ByYear: "year"}[h.v.By]
	return "The line is the mean of each " + piece + ", and the band goes from the least to the most. Where nothing was read, nothing is drawn."
}

// expected says the last of what is foretold.
func (h history) expected() string {
	fan := h.fan()
	if len(fan) == 0 {
		return ""
	}
	last, off := fan[len(fan)-1], h.v.Standing.Zero.OffsetM
	return "Expected by " + last.At.In(h.loc).Format("Mon 2 January, 15:04") + ": " + metres(last.MidM-off) +
		", and four times in five between " + metres(last.LowM-off) + " and " + metres(last.HighM-off) + "."
}
