package web

import (
	"fmt"
	"time"

	"levelpeg/club"
	"levelpeg/web/draw"
)

// GaugePage is a gauge as a page.
type GaugePage struct {
	Shell       Shell
	Name, River string
	Level       LevelLine
	Problem     string
	Chart       draw.Levels
	Spans       []SpanLink
	Facts       []Pair
	Venues      []PegTagLine
	Rules       []string
	Zeros       []string
}

// SpanLink is one of the spans to look back over.
type SpanLink struct {
	Label, Href string
	Chosen      bool
}

// GaugeSpans are the spans the page offers to look back over, in days.
var GaugeSpans = []struct {
	Days  int
	Label string
}{{2, "2 days"}, {7, "a week"}, {30, "a month"}, {365, "a year"}, {1826, "5 years"}, {7305, "20 years"}}

// NewGaugePage shapes a gauge for the page.
func NewGaugePage(a Assets, v club.GaugeView, now time.Time, loc *time.Location) GaugePage {
	g, off := v.Standing.Gauge, v.Standing.Zero.OffsetM
	p := GaugePage{
		Shell: NewShell(a, v.Club, v.Member, g.Name), Name: g.Name, River: g.River,
		Level: levelLine(v.Standing, now), Chart: levelsChart(v, now, loc),
	}
	for _, s := range GaugeSpans {
		p.Spans = append(p.Spans, SpanLink{s.Label, fmt.Sprintf("/gauges/%s?days=%d", g.Slug, s.Days), s.Days == v.Days})
	}
	p.Facts = []Pair{{"Ordinary range", metres(g.LowM-off) + " to " + metres(g.HighM-off)}}
	if g.FloodM != 0 {
		p.Facts = append(p.Facts, Pair{"Beds may move above", metres(g.FloodM - off)})
	}
	for _, r := range v.Rules {
		p.Rules = append(p.Rules, r.Words(off))
	}
	for _, venue := range v.Venues {
		p.Venues = append(p.Venues, PegTagLine{Label: venue.Name, Says: venue.Name, Href: "/venues/" + venue.Slug})
	}
	for _, z := range v.Zeros[min(1, len(v.Zeros)):] {
		p.Zeros = append(p.Zeros, fmt.Sprintf("New zero on %s, %s from the first one: %s",
			z.From.In(loc).Format("2 January 2006"), metres(z.OffsetM), z.Reason))
	}
	return p
}

func levelsChart(v club.GaugeView, now time.Time, loc *time.Location) draw.Levels {
	off := v.Standing.Zero.OffsetM
	d := draw.Levels{
		Title: fmt.Sprintf("%s over the last %s", v.Standing.Gauge.Name, daysWords(v.Days)),
		From:  now.AddDate(0, 0, -v.Days), To: now, Loc: loc, Step: v.Step,
	}
	for _, s := range v.Spans {
		d.Spans = append(d.Spans, draw.LevelSpan{At: s.From, LowM: s.LeastM - off, HighM: s.MostM - off, MidM: s.Mid - off})
	}
	for _, r := range v.Rules {
		if r.AboveM != nil && r.Effect == club.NoFishing {
			d.Rules = append(d.Rules, *r.AboveM-off)
		}
	}
	if v.Standing.Latest != nil {
		d.Latest = &v.Standing.Latest.LevelM
	}
	return d
}

func daysWords(days int) string {
	for _, s := range GaugeSpans {
		if s.Days == days {
			return s.Label
		}
	}
	return count(days, "day")
}
