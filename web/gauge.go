package web

import (
	"fmt"
	"strings"
	"time"

	"levelpeg/club"
	"levelpeg/web/draw"
)

// GaugePage is a gauge as a page.
type GaugePage struct {
	Shell       Shell
	Write       string // address for writing its level down; empty for who may not
	Name, River string
	Level       LevelLine
	Standing    string     // what that level means on this board
	Stops       []PartLine // what forbids fishing the waters read by it, now
	Cares       []string   // other rules of the club that hold at that level
	Problem     string
	Chart       draw.Levels
	When, Went  string // what the drawing is of
	How         string // how to read it
	Expected    string // what is foretold, in words
	Table       LevelTable
	Earlier     string // addresses; empty where there is nothing
	Later, Now  string
	Spans       []SpanLink
	Date        DateBox
	Facts       []Pair
	Venues      []PegTagLine
	Rules       []string
	Zeros       []string
	Board       []PhotoLine // photographs of it
	JSON        string
	Stale       []string // that levels from elsewhere have stopped coming
	Acknowledge []string // what the licences of levels from elsewhere ask to be said
	Feeds       string   // where a secretary sets them; empty for everyone else
}

// SpanLink is one of the spans to look back over.
type SpanLink struct {
	Label, Href string
	Chosen      bool
	Stop        string // why not to fish there now; empty where nothing forbids it
}

// DateBox asks up to which day to look.
type DateBox struct{ Span, Value, Latest string }

// NewGaugePage shapes a gauge for the page.
func NewGaugePage(a Assets, v club.GaugeView, now time.Time, loc *time.Location) GaugePage {
	g, off := v.Standing.Gauge, v.Standing.Zero.OffsetM
	h := history{v: v, now: now, loc: loc}
	p := GaugePage{
		Shell: NewShell(a, v.Club, v.Member, g.Name), Name: g.Name, River: g.River,
		Level: levelLine(v.Standing, now), Standing: standingWords(v.Standing), Stops: gaugeStops(v, now, loc), Cares: cautionsThatHold(v, now),
		Chart: h.chart(), When: h.when(), Went: h.went(), How: h.how(), Expected: h.expected(), Table: h.table(),
		Earlier: h.earlier(), Later: h.later(), Spans: h.spans(),
		Date: DateBox{v.Span.Slug, v.To.Add(-1).In(loc).Format(time.DateOnly), now.In(loc).Format(time.DateOnly)},
		JSON: h.href(".json", v.Span.Slug, h.past()),
	}
	if club.LevelEntry.MayWrite(v.Member.Role) {
		p.Write = "/record?gauge=" + g.Slug
	}
	if h.past().IsZero() {
		p.Date.Value = ""
	} else {
		p.Now = h.href("", v.Span.Slug, time.Time{})
	}
	if seen := lookWords(v.Look, now); seen != "" {
		p.Facts = append(p.Facts, Pair{"The water", seen})
	}
	p.Facts = append(p.Facts, Pair{"Ordinary range", metres(g.LowM-off) + " to " + metres(g.HighM-off)})
	if g.FloodM != 0 {
		p.Facts = append(p.Facts, Pair{"Beds may move above", metres(g.FloodM - off)})
	}
	for _, venue := range v.Venues {
		for _, r := range venue.Rules {
			p.Rules = append(p.Rules, venue.Name+". "+ruleWords(r, off, loc))
		}
		p.Venues = append(p.Venues, PegTagLine{Label: venue.Name, Says: venue.Name, Href: "/venues/" + venue.Slug})
	}
	p.Stale, p.Acknowledge = v.FeedsSay(now, loc)
	if v.Member.Role.MayFeed() {
		p.Feeds = feedsHref(g.Slug)
	}
	for _, pic := range v.Board {
		p.Board = append(p.Board, photoLine(pic, v.Member, loc))
	}
	for _, z := range v.Zeros[min(1, len(v.Zeros)):] {
		p.Zeros = append(p.Zeros, fmt.Sprintf("New zero on %s, %s from the first one: %s",
			z.From.In(loc).Format("2 January 2006"), metres(z.OffsetM), z.Reason))
	}
	return p
}

// standingWords says how the level lies in the board's ordinary range.
func standingWords(st club.Standing) string {
	if st.Latest == nil {
		return ""
	}
	level, off := st.Latest.LevelM, st.Zero.OffsetM
	low, high := st.Gauge.LowM-off, st.Gauge.HighM-off
	switch {
	case level > high:
		return "That is " + metres(level-high) + " above the board's ordinary range."
	case level < low:
		return "That is " + metres(low-level) + " below the board's ordinary range."
	}
	return "That is in the board's ordinary range, " + metres(low) + " to " + metres(high) + "."
}

// gaugeStops says of each water read by the gauge what forbids fishing it now.
func gaugeStops(v club.GaugeView, now time.Time, loc *time.Location) []PartLine {
	var out []PartLine
	for _, venue := range v.Venues {
		for i, s := range venue.Stops(v.Standing, now, loc) {
			line := PartLine{Why: s.Text}
			if i == 0 {
				line.Head = venue.Name + ": do not fish here now."
			}
			out = append(out, line)
		}
		for _, p := range venue.PartStops(v.Standing, now, loc) {
			out = append(out, PartLine{venue.Name + ": do not fish " + p.Pegs() + " now.", p.Text})
		}
	}
	return out
}

// cautionsThatHold are the club's rules that ask for care at the latest level.
func cautionsThatHold(v club.GaugeView, now time.Time) []string {
	if v.Standing.Latest == nil {
		return nil
	}
	var out []string
	off := v.Standing.Zero.OffsetM
	for _, venue := range v.Venues {
		for _, r := range venue.Rules {
			if r.Effect == club.Caution && r.Holds(now, v.Standing.Latest.LevelM+off) {
				out = append(out, venue.Name+". "+atPegs(r.FromLabel, r.ToLabel)+r.Words(off))
			}
		}
	}
	return out
}

// ruleMarks are the club's rules that speak now for a whole water, as the drawing has
// them.
func ruleMarks(v club.GaugeView, now time.Time) []draw.Rule {
	offsetM := v.Standing.Zero.OffsetM
	var out []draw.Rule
	add := func(r club.LevelRule, side string, m float64) {
		word := "care "
		if r.Effect == club.NoFishing {
			word = "no fishing "
		}
		out = append(out, draw.Rule{LevelM: m - offsetM, Words: word + side + strings.TrimSuffix(metres(m-offsetM), " m")})
	}
	for _, venue := range v.Venues {
		for _, r := range venue.Rules {
			if r.FromLabel != "" || !r.In(now) {
				continue
			}
			if r.AboveM != nil {
				add(r, "above ", *r.AboveM)
			}
			if r.BelowM != nil {
				add(r, "below ", *r.BelowM)
			}
		}
	}
	return out
}
