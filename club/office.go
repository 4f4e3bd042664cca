package club

import (
	"math"
	"time"
)

// Office is what the pages that set a club up are made of.
type Office struct {
	Club   Club
	Member Member
	Gauges []OfficeGauge
	Venues []OfficeVenue
}

// OfficeGauge is a gauge as a secretary sees it.
type OfficeGauge struct {
	Gauge
	Zeros []Zero // oldest first
	Zero  Zero   // in force now
	Last  *Level // nil where nothing was read yet
}

// Draft is the gauge as its form has it: on the board as it reads now.
func (g OfficeGauge) Draft() GaugeDraft {
	d := GaugeDraft{Name: g.Name, River: g.River, LowM: round3(g.LowM - g.Zero.OffsetM), HighM: round3(g.HighM - g.Zero.OffsetM)}
	if g.FloodM != 0 {
		flood := round3(g.FloodM - g.Zero.OffsetM)
		d.FloodM = &flood
	}
	return d
}

// Fix is the zero as its form has it.
func (z Zero) Fix() ZeroFix { return ZeroFix{OffsetM: z.OffsetM, Reason: z.Reason} }

// OfficeVenue is a venue as a secretary sees it, with how much of it is set up.
type OfficeVenue struct {
	Venue
	GaugeSlug, GaugeName           string
	Pegs, PegsWithRuns, Soundings  int
	Hazards, Rules, Closures, Next int
	Placed                         int // pegs with a position
}

// Draft is the venue as its form has it.
func (v OfficeVenue) Draft() VenueDraft {
	return VenueDraft{Name: v.Name, River: v.River, Gauge: v.GaugeSlug, About: v.About, Access: v.Access, CloseSeason: v.CloseSeason, Open: v.Open}
}

// OfficeWater is a venue with all that is set up of it.
type OfficeWater struct {
	Club     Club
	Tiles    Tiles
	Member   Member
	Venue    OfficeVenue
	Gauges   []OfficeGauge
	Gauge    OfficeGauge
	Pegs     []OfficePeg // in order downstream
	Hazards  []OfficeHazard
	Fixtures []Fixture // all of them, the newest first
}

// OfficePeg is a peg as a secretary sees it.
type OfficePeg struct {
	Peg
	Runs      []OfficeRun
	Soundings int  // all that were ever written, those superseded too
	Gone      bool // it is closed for good
}

// Draft is the peg as its form has it.
func (p OfficePeg) Draft(zero Zero) PegDraft {
	return PegDraft{Label: p.Label, Bank: p.Bank, BearingDeg: p.BearingDeg, Reach: p.Reach, Access: p.Access, MarkM: round3(p.MarkHeightM - zero.OffsetM), At: p.At}
}

// OfficeRun is a run as a secretary sees it.
type OfficeRun struct {
	Run
	Soundings int
}

// Draft is the run as its form has it.
func (r Run) Draft() RunDraft {
	return RunDraft{Name: r.Name, DistanceM: r.DistanceM, Boil: r.Boil, SteepSide: r.SteepSide, Snaggy: r.Snaggy, Bottom: r.Bottom}
}

// OfficeHazard is a hazard as whoever changes it sees it.
type OfficeHazard struct {
	ID int64
	Hazard
	PegCode string
}

// Draft is the hazard as its form has it.
func (h OfficeHazard) Draft() HazardDraft {
	return HazardDraft{Kind: h.Kind, Peg: PegRef{Label: h.PegLabel, Code: h.PegCode}, DistanceM: h.DistanceM, Text: h.Text}
}

// PegsStamp marks which pegs a water has, in which order and with which numbers.
func (w OfficeWater) PegsStamp() string {
	refs := make([]PegRef, len(w.Pegs))
	for i, p := range w.Pegs {
		refs[i] = PegRef{p.Label, p.Code}
	}
	return StampPegs(refs)
}

// StampPegs marks pegs in their order.
func StampPegs(refs []PegRef) string { return stamp(append([]PegRef{}, refs...)) }

// PlacesStamp marks where a water's pegs are.
func (w OfficeWater) PlacesStamp() string {
	places := make([]PegPlace, len(w.Pegs))
	for i, p := range w.Pegs {
		places[i] = PegPlace{p.Code, p.At}
	}
	return StampPlaces(places)
}

// StampPlaces marks pegs in their order and where they are.
func StampPlaces(places []PegPlace) string { return stamp(append([]PegPlace{}, places...)) }

// Peg finds a peg by its code.
func (w OfficeWater) Peg(code string) (OfficePeg, bool) {
	for _, p := range w.Pegs {
		if p.Code == code {
			return p, true
		}
	}
	return OfficePeg{}, false
}

// Step is a step of setting a club up.
type Step struct {
	Name, Href string
	Done       bool
	Says       string // how much there is
}

// Steps are what a new club needs, in order, until its first sheet answers.
func (o Office) Steps(now time.Time) []Step {
	var venue *OfficeVenue
	read := false
	for i := range o.Venues {
		if v := &o.Venues[i]; venue == nil || venue.Soundings == 0 && v.Pegs > 0 && v.PegsWithRuns > 0 {
			venue = v
		}
	}
	for _, g := range o.Gauges {
		read = read || g.Last != nil
	}
	at := "/setup/venues/new"
	pegs, withRuns, soundings := 0, 0, 0
	if venue != nil {
		at = "/setup/venues/" + venue.Slug
	}
	for _, v := range o.Venues {
		pegs, withRuns, soundings = pegs+v.Pegs, withRuns+v.PegsWithRuns, soundings+v.Soundings
	}
	gauge := "/setup/gauges/new"
	if len(o.Gauges) > 0 {
		gauge = "/setup/gauges/" + o.Gauges[0].Slug
	}
	below := func(path string) string {
		if venue == nil {
			return at
		}
		return at + path
	}
	return []Step{
		{"A gauge", gauge, len(o.Gauges) > 0, Plural(len(o.Gauges), "gauge")},
		{"A water", at, len(o.Venues) > 0, Plural(len(o.Venues), "water")},
		{"Its pegs", below("/pegs"), pegs > 0, Plural(pegs, "peg")},
		{"Their runs", below("/runs"), pegs > 0 && withRuns == pegs, Plural(withRuns, "peg") + " with runs"},
		{"A first level", "/record", read, ""},
		{"A first sounding", "/record", soundings > 0, Plural(soundings, "sounding")},
	}
}

// Tiles are where a map's tiles come from; without an address the map is drawn without.
type Tiles struct{ Address, Credit string }

// round3 is to the millimetre, as the book keeps lengths.
func round3(m float64) float64 { return math.Round(m*1000) / 1000 }
