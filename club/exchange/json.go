// Package exchange is the club's book as other programs read it: JSON with the
// unit in every name. docs/api.md describes it; a name that has been given is kept.
package exchange

import (
	"math"
	"time"

	"levelpeg/club"
	"levelpeg/hydro"
	"levelpeg/rig"
)

// Venues is /venues.json.
type Venues struct {
	Club   string      `json:"club"`
	Demo   bool        `json:"demo"`
	Venues []VenueCard `json:"venues"`
}

// VenueCard is a venue in a list.
type VenueCard struct {
	Slug  string     `json:"slug"`
	Name  string     `json:"name"`
	River string     `json:"river"`
	Gauge Gauge      `json:"gauge"`
	Stops []string   `json:"do_not_fish"`
	Pegs  []string   `json:"pegs"`
	Next  *Fixture   `json:"next_fixture"`
	Parts []PartStop `json:"do_not_fish_at"`
}

// Gauge is how a gauge stands.
type Gauge struct {
	Slug         string   `json:"slug"`
	Name         string   `json:"name"`
	LevelM       *float64 `json:"level_m"`
	ReadAt       *string  `json:"read_at"`
	TrendCMPerH  *float64 `json:"trend_cm_per_hour"`
	ZeroOffsetM  float64  `json:"zero_above_first_zero_m"`
	OrdinaryLowM float64  `json:"ordinary_low_m"`
	OrdinaryHiM  float64  `json:"ordinary_high_m"`
}

// Venue is /venues/{venue}.json.
type Venue struct {
	VenueCard
	About    string    `json:"about"`
	Access   string    `json:"access"`
	Cautions []string  `json:"cautions"`
	Closures []Closure `json:"closures"`
	Fixtures []Fixture `json:"fixtures"`
	PegList  []Peg     `json:"peg_list"`
	Rules    []Rule    `json:"rules"`
	Water    *Water    `json:"water"`
}

// Water is what the water was like at a gauge, of the last two days.
type Water struct {
	SeenAt *string  `json:"seen_at"`
	Colour *string  `json:"colour"`
	TempC  *float64 `json:"temperature_c"`
}

func water(l *club.Look) *Water {
	if l == nil {
		return nil
	}
	w := &Water{SeenAt: stamp(l.At), TempC: l.WaterDeg}
	if l.Colour != "" {
		w.Colour = &l.Colour
	}
	return w
}

// Closure is a peg, a span of pegs or (no labels) a venue that is closed, now or to come.
type Closure struct {
	Venue   string  `json:"venue,omitempty"`
	FromPeg string  `json:"from_peg"`
	ToPeg   string  `json:"to_peg"`
	From    *string `json:"from"`
	To      *string `json:"to"`
	Reason  string  `json:"reason"`
}

func closures(all []club.Closure) []Closure {
	out := []Closure{}
	for _, c := range all {
		out = append(out, closure(c))
	}
	return out
}

func closure(c club.Closure) Closure {
	return Closure{FromPeg: c.FromLabel, ToPeg: c.ToLabel, From: stamp(c.From), To: stamp(c.To), Reason: c.Reason}
}

// PartStop is a reason not to fish a peg or a span of pegs now.
type PartStop struct {
	Venue   string `json:"venue,omitempty"`
	FromPeg string `json:"from_peg"`
	ToPeg   string `json:"to_peg"`
	Why     string `json:"why"`
}

func partStop(p club.PartStop) PartStop {
	return PartStop{FromPeg: p.FromLabel, ToPeg: p.ToLabel, Why: p.Text}
}

func partStops(all []club.PartStop) []PartStop {
	out := []PartStop{}
	for _, p := range all {
		out = append(out, partStop(p))
	}
	return out
}

// Peg is a peg in its venue.
type Peg struct {
	Label       string  `json:"label"`
	Code        string  `json:"code"`
	Order       int     `json:"order_downstream"`
	Bank        string  `json:"bank"`
	FlowDeg     int     `json:"flow_towards_deg"`
	Closed      bool    `json:"closed"`
	NoFishing   bool    `json:"no_fishing_at_level"`
	Soundings   int     `json:"soundings"`
	LastSounded *string `json:"last_sounded_at"`
}

// NewVenues shapes the list of venues.
func NewVenues(h club.Home, now time.Time, loc *time.Location) Venues {
	out := Venues{Club: h.Club.Name, Demo: h.Club.Demo, Venues: []VenueCard{}}
	for _, v := range h.Venues {
		c := card(v.Venue, v.Standing, club.VenueStops(v.Venue, v.Standing, v.Closures, v.Rules, now, loc))
		c.Parts = partStops(club.PartStops(v.Standing, v.Closures, v.Rules, now, loc))
		for _, p := range v.Pegs {
			c.Pegs = append(c.Pegs, p.Label)
		}
		if v.Next != nil {
			c.Next = new(fixture(*v.Next))
		}
		out.Venues = append(out.Venues, c)
	}
	return out
}

// NewVenue shapes a venue.
func NewVenue(v club.VenueView, now time.Time, loc *time.Location) Venue {
	out := Venue{
		VenueCard: card(v.Venue, v.Standing, club.VenueStops(v.Venue, v.Standing, v.Closures, v.Rules, now, loc)),
		About:     v.Venue.About, Access: v.Venue.Access, Cautions: cautions(club.VenueCares(v, now)), Closures: closures(v.Closures), Fixtures: []Fixture{}, PegList: []Peg{},
		Rules: rules(v.Rules, v.Standing.Zero.OffsetM), Water: water(v.Look),
	}
	out.Parts = partStops(club.PartStops(v.Standing, v.Closures, v.Rules, now, loc))
	for _, f := range v.Fixtures {
		out.Fixtures = append(out.Fixtures, fixture(f))
	}
	if len(out.Fixtures) > 0 {
		out.Next = &out.Fixtures[0]
	}
	for _, l := range v.Pegs {
		out.Pegs = append(out.Pegs, l.Peg.Label)
		out.PegList = append(out.PegList, Peg{
			Label: l.Peg.Label, Code: l.Peg.Code, Order: l.Peg.Order, Bank: string(l.Peg.Bank), FlowDeg: l.Peg.BearingDeg,
			Closed: l.Closed, NoFishing: l.NoFishing, Soundings: l.Soundings, LastSounded: stamp(l.Last),
		})
	}
	return out
}

func card(v club.Venue, st club.Standing, stops []club.Stop) VenueCard {
	return VenueCard{Slug: v.Slug, Name: v.Name, River: v.River, Gauge: gauge(st), Stops: stopTexts(stops), Pegs: []string{}}
}

func gauge(st club.Standing) Gauge {
	g := Gauge{Slug: st.Gauge.Slug, Name: st.Gauge.Name, ZeroOffsetM: st.Zero.OffsetM,
		OrdinaryLowM: round(st.Gauge.LowM-st.Zero.OffsetM, 3), OrdinaryHiM: round(st.Gauge.HighM-st.Zero.OffsetM, 3)}
	if st.Latest == nil {
		return g
	}
	level := round(st.Latest.LevelM, 3)
	g.LevelM, g.ReadAt = &level, stamp(st.Latest.At)
	if st.Earlier == nil {
		return g
	}
	if t, err := hydro.TrendOf(st.Latest.LevelM, st.Earlier.LevelM, st.Latest.At.Sub(st.Earlier.At)); err == nil {
		rate := round(t.CMPerHour, 1)
		g.TrendCMPerH = &rate
	}
	return g
}

func stopTexts(stops []club.Stop) []string {
	out := []string{}
	for _, s := range stops {
		out = append(out, s.Text)
	}
	return out
}

func cautions(cares []club.Care) []string {
	out := []string{}
	for _, c := range cares {
		out = append(out, c.Head+": "+c.Text)
	}
	return out
}

// stamp is a time in RFC 3339 and UTC, nil for none.
func stamp(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	s := t.UTC().Format(time.RFC3339)
	return &s
}

func round(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	v = math.Round(v*p) / p
	if v == 0 {
		return 0 // not −0
	}
	return v
}

// Figure is a value and the range that holds the truth four times in five.
type Figure struct {
	Mid  float64 `json:"mid"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

func figure(f hydro.Figure, decimals int) *Figure {
	return &Figure{round(f.Mid, decimals), round(f.Low, decimals), round(f.High, decimals)}
}

// Sheet is /venues/{venue}/pegs/{peg}.json.
type Sheet struct {
	Venue    string    `json:"venue"`
	Peg      string    `json:"peg"`
	Code     string    `json:"code"`
	Gauge    Gauge     `json:"gauge"`
	LevelM   *float64  `json:"level_m"`
	Asked    bool      `json:"level_asked"`
	At       *string   `json:"at"`
	Range    *Figure   `json:"level_at_m"`
	Foreseen bool      `json:"level_is_foreseen"`
	WhyNot   string    `json:"no_level_because,omitempty"`
	Stops    []string  `json:"do_not_fish"`
	Cautions []string  `json:"cautions"`
	Doubts   []string  `json:"doubts"`
	Closures []Closure `json:"closures"`
	Runs     []Run     `json:"runs"`
	Chosen   *string   `json:"rigs_for_run"`
	Own      *Own      `json:"own"`
	Wind     *Wind     `json:"wind"`
	Fish     string    `json:"fish,omitempty"`
	Bait     string    `json:"bait,omitempty"`
	NoRig    string    `json:"no_rig_because,omitempty"`
	Tackle   Tackle    `json:"shot"`
	Rigs     []Rig     `json:"rigs"`
	Fuller   *Rig      `json:"with_a_full_box,omitempty"`
	Hang     *Hang     `json:"first_rig_hangs"`
	IfWind   *Change   `json:"if_wind_force_6"`
	IfRise   *Change   `json:"if_river_up_0_30_m"`
	IfFish   []Turned  `json:"if_fish"`
	Rules    []Rule    `json:"rules"`
	Fished   Fished    `json:"fished"`
}

// Fished is how often a peg was fished in the last twelve months, and what the water
// was like at levels near the sheet's. It says nothing of who fished.
type Fished struct {
	Times   int            `json:"times_in_12_months"`
	More    bool           `json:"or_more"`
	LastOn  *string        `json:"last_on"`
	NearM   float64        `json:"near_within_m"`
	Near    int            `json:"times_near_level"`
	Colours map[string]int `json:"colours_near_level"`
	LowC    *float64       `json:"water_from_c"`
	HighC   *float64       `json:"water_to_c"`
}

func fished(f club.Fished, loc *time.Location) Fished {
	out := Fished{Times: f.Times, More: f.More, NearM: f.NearM, Near: f.Near, Colours: map[string]int{}, LowC: f.LowC, HighC: f.HighC}
	if !f.Last.IsZero() {
		out.LastOn = new(f.Last.In(loc).Format(time.DateOnly))
	}
	for _, c := range f.Colours {
		out.Colours[string(c.Colour)] = c.Times
	}
	return out
}

// Tackle is the shot the rigs are worked out for.
type Tackle struct {
	Chart    string `json:"chart"`
	Shot     string `json:"shot"`
	Olivette string `json:"olivette"`
	Kit      string `json:"kit,omitempty"`      // a kit's code
	KitFrom  string `json:"kit_from,omitempty"` // address, member or phone
}

func tackle(t club.Tackle) Tackle {
	t = t.Spelt()
	return Tackle{t.Chart, string(t.Shot), string(t.Olivette), t.Kit, string(t.From)}
}

// Hang is how the first rig hangs, held back as asked or as it is meant to be.
type Hang struct {
	HoldBack float64 `json:"hold_back_share"`
	Asked    bool    `json:"hold_back_asked"`
	Held     bool    `json:"weights_hold_it_down"`
	TiltDeg  float64 `json:"tilt_deg"`
	AheadM   float64 `json:"bait_ahead_m"`
	LiftM    float64 `json:"lift_m"`
	OnBed    bool    `json:"drags_on_bed"`
	Line     []Place `json:"line_from_float"`
}

// Place is a place on the line, from the float.
type Place struct {
	DownstreamM float64 `json:"downstream_m"`
	BelowM      float64 `json:"below_surface_m"`
}

// Change is what to do to the first rig when the water or the wind changes; all
// empty means nothing.
type Change struct {
	Do      []string `json:"do"`
	Instead *Rig     `json:"tie_instead"`
	No      string   `json:"none_because,omitempty"`
}

// Turned is what to do to the first rig when the fish change.
type Turned struct {
	When string   `json:"when"`
	Do   []string `json:"do"`
}

// Run is a run at the sheet's level.
type Run struct {
	Slug          string   `json:"slug"`
	Name          string   `json:"name"`
	DistanceM     float64  `json:"distance_m"`
	Boil          int      `json:"boil"`
	Depth         *Figure  `json:"depth_m"`
	Bed           *Figure  `json:"bed_above_zero_m"`
	Pace          *Figure  `json:"pace_mps"`
	PaceMean      *Figure  `json:"pace_mean_mps"`
	PaceNearBed   *Figure  `json:"pace_near_bed_mps"`
	PaceWord      string   `json:"pace_word,omitempty"`
	PaceIsGuess   bool     `json:"pace_is_a_guess"`
	Soundings     int      `json:"soundings"`
	Timed         int      `json:"timed_soundings"`
	LastSounded   *string  `json:"last_sounded_at"`
	SoundedLowM   *float64 `json:"sounded_from_level_m"`
	SoundedHighM  *float64 `json:"sounded_to_level_m"`
	BeyondSounded bool     `json:"beyond_anything_sounded"`
	BedMayHave    bool     `json:"bed_may_have_moved"`
	BorrowedFrom  int      `json:"borrowed_from_runs"`
}

// Rig is a rig, its weights from the hook upwards.
type Rig struct {
	Pattern      string   `json:"pattern"`
	Name         string   `json:"name"`
	CapacityG    float64  `json:"capacity_g"`
	Marking      string   `json:"marking"`
	Decided      string   `json:"capacity_decided_by"`
	Weights      []Weight `json:"weights_from_hook"`
	OnLineG      float64  `json:"on_line_g"`
	PullG        float64  `json:"pull_as_lead_g"`
	ShortG       float64  `json:"short_of_capacity_g"`
	HookLengthM  float64  `json:"hook_length_m"`
	HookLengthMM float64  `json:"hook_length_mm"`
	HookLengthKg float64  `json:"hook_length_kg"`
	MainLine     string   `json:"main_line"`
	MainLineMM   float64  `json:"main_line_mm"`
	MainLineKg   float64  `json:"main_line_kg"`
	HookSize     int      `json:"hook_size"`
	Barbless     bool     `json:"barbless"`
	Bait         string   `json:"bait"`
	RodLowM      float64  `json:"rod_low_m"`
	RodHighM     float64  `json:"rod_high_m"`
	SetM         float64  `json:"set_m"`
	HoldBack     float64  `json:"hold_back_share"`
	TiltDeg      float64  `json:"tilt_deg"`
	LiftM        float64  `json:"lift_m"`
	AheadM       float64  `json:"bait_ahead_m"`
	SettleS      float64  `json:"settle_s"`
	SettleM      float64  `json:"settle_m"`
	PaceLowMPS   float64  `json:"right_from_pace_mps"`
	PaceHighMPS  float64  `json:"right_to_pace_mps"`
	DepthLowM    float64  `json:"right_from_depth_m"`
	DepthHighM   float64  `json:"right_to_depth_m"`
	Wind         []string `json:"in_this_wind"`
	Wants        []Want   `json:"kit_lacks"`
	Why          []string `json:"why"`
	Findings     []string `json:"findings"`
}

// Want is something the kit lacks for a rig.
type Want struct {
	What string `json:"what"`
	Say  string `json:"say"`
}

// Weight is one kind of weight in one place or spread between two.
type Weight struct {
	Kind     string  `json:"kind"`
	Size     string  `json:"size"`
	Material string  `json:"material"`
	Role     string  `json:"role"`
	Count    int     `json:"count"`
	EachG    float64 `json:"each_g"`
	FromM    float64 `json:"lowest_from_hook_m"`
	ToM      float64 `json:"highest_from_hook_m"`
}

// NewSheet shapes a sheet.
func NewSheet(s *club.Sheet) Sheet {
	out := Sheet{
		Venue: s.Venue.Slug, Peg: s.Peg.Label, Code: s.Peg.Code, Gauge: gauge(s.Standing), Asked: s.Level.Asked,
		Stops: stopTexts(s.Stops), Cautions: cautions(s.Cares), Doubts: orEmpty(s.Doubts()), Closures: closures(s.Closures), Runs: []Run{}, NoRig: s.Answer.No, Rigs: []Rig{}, IfFish: []Turned{},
		Own: own(s.Own), Wind: wind(s.Wind, s.Blows), Fish: s.Aim.Fish, Bait: s.Aim.Bait,
		Rules: rules(s.Rules, s.Standing.Zero.OffsetM), Fished: fished(s.Fished(), s.Loc),
	}
	if s.Level.Known {
		level := round(s.Level.LevelM, 3)
		out.LevelM = &level
	}
	if !s.Level.At.IsZero() && !s.Level.Asked {
		out.At, out.Foreseen, out.WhyNot = stamp(s.Level.At), s.Level.Coming, s.Level.Why
		if s.Level.Known {
			out.Range = figure(s.Level.Range, 3)
		}
	}
	for i := range s.Runs {
		out.Runs = append(out.Runs, run(&s.Runs[i], s.Standing.Zero.OffsetM))
	}
	if s.Chosen >= 0 {
		out.Chosen = &s.Runs[s.Chosen].Slug
	}
	for i := range s.Answer.Rigs {
		out.Rigs = append(out.Rigs, NewRig(&s.Answer.Rigs[i]))
	}
	out.Tackle, out.Hang = tackle(s.Tackle), hang(s.Hang)
	if s.Fuller != nil {
		out.Fuller = new(NewRig(s.Fuller))
	}
	for _, t := range s.Answer.IfFish {
		out.IfFish = append(out.IfFish, Turned{string(t.When), orEmpty(t.Do)})
	}
	if len(out.Rigs) > 0 {
		out.IfWind = change(s.Answer.IfWind)
	}
	if len(out.Rigs) > 0 && s.Answer.Risen {
		out.IfRise = change(s.Answer.IfRise)
	}
	return out
}

func hang(h *club.Hang) *Hang {
	if h == nil {
		return nil
	}
	out := &Hang{
		HoldBack: float64(h.HoldBack) / 100, Asked: h.Asked, Held: !h.Slack, OnBed: h.OnBed,
		TiltDeg: round(h.TiltDeg, 1), AheadM: round(h.AheadM, 3), LiftM: round(h.LiftM, 3), Line: []Place{},
	}
	for _, p := range h.Line {
		out.Line = append(out.Line, Place{round(p.XM, 3), round(p.ZM, 3)})
	}
	return out
}

func change(c club.Change) *Change {
	out := &Change{Do: orEmpty(c.Do), No: c.No}
	if c.Instead != nil {
		instead := NewRig(c.Instead)
		out.Instead = &instead
	}
	return out
}

func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func run(r *club.RunSheet, offsetM float64) Run {
	out := Run{
		Slug: r.Slug, Name: r.Name, DistanceM: r.DistanceM, Boil: r.Boil, PaceWord: r.Word,
		Soundings: r.Basis.Soundings, Timed: r.Basis.Timed, LastSounded: stamp(r.Basis.Last),
		BeyondSounded: r.Above || r.Below, BedMayHave: r.Flooded, BorrowedFrom: r.Basis.Borrowed,
	}
	if r.Basis.Soundings == 0 && r.Basis.Borrowed == 0 {
		return out
	}
	if r.Basis.Soundings > 0 {
		low, high := round(r.Basis.LowestM-offsetM, 3), round(r.Basis.HighestM-offsetM, 3)
		out.SoundedLowM, out.SoundedHighM = &low, &high
	}
	out.Bed = figure(hydro.Figure{Mid: r.Bed.Mid - offsetM, Low: r.Bed.Low - offsetM, High: r.Bed.High - offsetM}, 3)
	if r.Plumbed {
		out.Depth = figure(r.Depth, 3)
	}
	if r.Plumbed && !r.Dry {
		out.Pace, out.PaceIsGuess = figure(r.Pace, 3), !r.Timed
		out.PaceMean, out.PaceNearBed = figure(hydro.Mean(r.Pace), 3), figure(hydro.NearBed(r.Pace), 3)
	}
	return out
}

const metresPerFoot = 0.3048

// NewRig shapes a rig.
func NewRig(r *rig.Rig) Rig {
	out := Rig{
		Pattern: r.Pattern, Name: r.Name, CapacityG: round(r.CapacityG, 3), Marking: r.Marking, Decided: r.Decided, Weights: []Weight{},
		OnLineG: round(r.OnLineG, 3), PullG: round(r.PullG, 3), ShortG: round(r.ShortG, 3),
		HookLengthM: r.HookLengthM, HookLengthMM: r.HookLengthMM, HookLengthKg: round(r.HookLengthKg, 2),
		MainLine: r.MainLine, MainLineMM: r.MainLineMM, MainLineKg: round(r.MainLineKg, 2),
		HookSize: r.HookSize, Barbless: r.Barb == rig.Barbless, Bait: r.Bait, RodLowM: round(r.RodFtLow*metresPerFoot, 2), RodHighM: round(r.RodFtHigh*metresPerFoot, 2),
		SetM: round(r.SetM, 2), HoldBack: r.HoldBack, TiltDeg: round(r.TiltDeg, 1), LiftM: round(r.LiftM, 3),
		SettleS: round(r.SettleS, 1), SettleM: round(r.SettleM, 1),
		AheadM: round(r.AheadM, 3), DepthLowM: round(r.DepthLowM, 2), DepthHighM: round(r.DepthHighM, 2),
		PaceLowMPS: round(r.PaceLowMPS, 2), PaceHighMPS: round(r.PaceHighMPS, 2), Why: orEmpty(r.Why), Findings: []string{}, Wind: orEmpty(r.Wind), Wants: []Want{},
	}
	for _, w := range r.Weights {
		out.Weights = append(out.Weights, Weight{
			Kind: string(w.Kind), Size: w.Size, Material: string(w.Material), Role: string(w.Role), Count: w.Count,
			EachG: round(w.EachG, 4), FromM: round(w.AtM, 2), ToM: round(w.ToM, 2),
		})
	}
	for _, w := range r.Wants {
		out.Wants = append(out.Wants, Want{string(w.What), w.Text})
	}
	for _, f := range r.Findings {
		out.Findings = append(out.Findings, f.Text)
	}
	return out
}
