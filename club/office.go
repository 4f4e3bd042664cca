package club

import (
	"fmt"
	"math"
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

// Steps are what a water needs, in order, until its first sheet answers: of a club's
// waters the first that lacks something, whose name comes with them. A club without a
// water has them to do for its first, which has no name yet.
func (o Office) Steps() (water string, steps []Step) {
	if len(o.Venues) == 0 {
		return "", firstSteps(o.Gauges)
	}
	for i := len(o.Venues) - 1; i >= 0; i-- {
		if s := stepsOf(o.Venues[i], o.gauge(o.Venues[i].GaugeSlug)); steps == nil || NextStep(s) != nil {
			water, steps = o.Venues[i].Name, s
		}
	}
	return water, steps
}

func (o Office) gauge(slug string) OfficeGauge {
	for _, g := range o.Gauges {
		if g.Slug == slug {
			return g
		}
	}
	return OfficeGauge{}
}

// Steps are what the water needs, in order, until its first sheet answers.
func (w OfficeWater) Steps() []Step { return stepsOf(w.Venue, w.Gauge) }

// NextStep is the first of some steps that is not done; nil where all are.
func NextStep(steps []Step) *Step {
	for i := range steps {
		if !steps[i].Done {
			return &steps[i]
		}
	}
	return nil
}

// firstSteps are those of a club that has no water yet.
func firstSteps(gauges []OfficeGauge) []Step {
	const water = "/setup/venues/new"
	gauge := "/setup/gauges/new"
	if len(gauges) > 0 {
		gauge = "/setup/gauges/" + gauges[0].Slug
	}
	return []Step{
		{"A gauge", gauge, len(gauges) > 0, some(len(gauges), "gauge")},
		{"A water", water, false, ""},
		{"Its pegs", water, false, ""},
		{"Their runs", water, false, ""},
		{"A first level", "/record", false, ""},
		{"A first sounding", "/record?kind=sounding", false, ""},
	}
}

func stepsOf(v OfficeVenue, g OfficeGauge) []Step {
	at := "/setup/venues/" + v.Slug
	runs := ""
	if v.Pegs > 0 {
		runs = fmt.Sprintf("%d of %s", v.PegsWithRuns, Plural(v.Pegs, "peg"))
	}
	read := "what the board “" + g.Name + "” reads"
	if g.Last != nil {
		read = "“" + g.Name + "” was read"
	}
	return []Step{
		{"A gauge", "/setup/gauges/" + g.Slug, true, g.Name},
		{"A water", at, true, v.Name},
		{"Its pegs", at + "/pegs", v.Pegs > 0, some(v.Pegs, "peg")},
		{"Their runs", at + "/runs", v.Pegs > 0 && v.PegsWithRuns == v.Pegs, runs},
		{"A first level", "/record?gauge=" + g.Slug, g.Last != nil, read},
		{"A first sounding", "/record?kind=sounding", v.Soundings > 0, some(v.Soundings, "sounding")},
	}
}

// some is how many there are, and nothing where there are none.
func some(n int, one string) string {
	if n == 0 {
		return ""
	}
	return Plural(n, one)
}

// Tiles are where a map's tiles come from; without an address the map is drawn without.
type Tiles struct{ Address, Credit string }

// round3 is to the millimetre, as the book keeps lengths.
func round3(m float64) float64 { return math.Round(m*1000) / 1000 }
