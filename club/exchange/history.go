package exchange

import (
	"time"

	"levelpeg/club"
)

// Fixture is a match on the club's calendar.
type Fixture struct {
	Name   string  `json:"name"`
	Starts *string `json:"starts_at"`
	Ends   *string `json:"ends_at"`
}

func fixture(f club.Fixture) Fixture { return Fixture{f.Name, stamp(f.Starts), stamp(f.Ends)} }

// History is /gauges/{gauge}.json.
type History struct {
	Gauge     Gauge      `json:"gauge"`
	Span      string     `json:"span"`
	From      *string    `json:"from"`
	To        *string    `json:"to"`
	Each      string     `json:"each"`
	Gap       float64    `json:"gap_over_hours"`
	Levels    []Levels   `json:"levels"`
	Expected  []Expected `json:"expected"`
	Zeros     []Zero     `json:"zeros"`
	Rules     []Rule     `json:"rules"`
	Venues    []string   `json:"venues"`
	Closures  []Closure  `json:"closures"`
	Stops     []string   `json:"do_not_fish"`
	PartStops []PartStop `json:"do_not_fish_at"`
	Water     *Water     `json:"water"`
	// Of levels that come from elsewhere.
	Stale       []string `json:"stale"`
	Acknowledge []string `json:"acknowledgements"`
}

// Levels is what was read in one piece of the history.
type Levels struct {
	From     *string `json:"from"`
	LeastM   float64 `json:"least_m"`
	MostM    float64 `json:"most_m"`
	MeanM    float64 `json:"mean_m"`
	Readings int     `json:"readings"`
}

// Expected is a level to come.
type Expected struct {
	At     *string `json:"at"`
	LevelM Figure  `json:"level_m"`
}

// Zero is a zero of the board.
type Zero struct {
	From    *string `json:"from"`
	OffsetM float64 `json:"above_first_zero_m"`
	Reason  string  `json:"reason"`
}

// Rule is a level rule of a peg, a span of pegs or (no labels) a venue.
type Rule struct {
	Venue     string   `json:"venue,omitempty"`
	FromPeg   string   `json:"from_peg"`
	ToPeg     string   `json:"to_peg"`
	AboveM    *float64 `json:"above_m"`
	BelowM    *float64 `json:"below_m"`
	NoFishing bool     `json:"no_fishing"`
	Text      string   `json:"text"`
	From      *string  `json:"from"`
	To        *string  `json:"to"`
}

func rule(r club.LevelRule, offsetM float64) Rule {
	return Rule{FromPeg: r.FromLabel, ToPeg: r.ToLabel, AboveM: lower(r.AboveM, offsetM), BelowM: lower(r.BelowM, offsetM),
		NoFishing: r.Effect == club.NoFishing, Text: r.Text, From: stamp(r.From), To: stamp(r.To)}
}

func rules(all []club.LevelRule, offsetM float64) []Rule {
	out := []Rule{}
	for _, r := range all {
		out = append(out, rule(r, offsetM))
	}
	return out
}

// NewHistory shapes a gauge's history. Its levels are on the zero in force.
func NewHistory(v club.GaugeView, now time.Time, loc *time.Location) History {
	off := v.Standing.Zero.OffsetM
	out := History{
		Gauge: gauge(v.Standing), Span: v.Span.Slug, From: stamp(v.From), To: stamp(v.To), Each: string(v.By), Gap: v.By.Gap().Hours(),
		Levels: make([]Levels, len(v.Spans)), Expected: []Expected{}, Zeros: []Zero{}, Rules: []Rule{}, Venues: []string{},
		Closures: []Closure{}, Stops: []string{}, PartStops: []PartStop{}, Stale: []string{}, Acknowledge: []string{}, Water: water(v.Look),
	}
	stale, acknowledge := v.FeedsSay(now, loc)
	out.Stale, out.Acknowledge = append(out.Stale, stale...), append(out.Acknowledge, acknowledge...)
	for i, s := range v.Spans {
		out.Levels[i] = Levels{stamp(s.From), round(s.LeastM-off, 3), round(s.MostM-off, 3), round(s.Mid-off, 3), s.Readings}
	}
	for _, p := range v.Expected {
		out.Expected = append(out.Expected, Expected{stamp(p.At), Figure{round(p.MidM-off, 3), round(p.LowM-off, 3), round(p.HighM-off, 3)}})
	}
	for _, z := range v.Zeros {
		out.Zeros = append(out.Zeros, Zero{stamp(z.From), z.OffsetM, z.Reason})
	}
	for _, venue := range v.Venues {
		out.Venues = append(out.Venues, venue.Slug)
		for _, r := range venue.Rules {
			said := rule(r, off)
			said.Venue, said.Text = venue.Slug, venue.Name+": "+r.Text
			out.Rules = append(out.Rules, said)
		}
		for _, c := range venue.Closures {
			said := closure(c)
			said.Venue = venue.Slug
			out.Closures = append(out.Closures, said)
		}
		for _, s := range venue.Stops(v.Standing, now, loc) {
			out.Stops = append(out.Stops, venue.Name+": "+s.Text)
		}
		for _, p := range venue.PartStops(v.Standing, now, loc) {
			said := partStop(p)
			said.Venue = venue.Slug
			out.PartStops = append(out.PartStops, said)
		}
	}
	return out
}

// lower is a level on the datum as one on a zero that lies so far above it.
func lower(datumM *float64, offsetM float64) *float64 {
	if datumM == nil {
		return nil
	}
	return new(round(*datumM-offsetM, 3))
}
