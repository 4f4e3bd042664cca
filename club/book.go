// Package club is the domain of an angling club's waters: gauges and their
// levels, venues, pegs, runs and what was sounded on them, and the sheet that
// answers for a peg at a level. It does no I/O: it is filled by the db room, by
// an import or by the demo, and read by pages and programs alike.
//
// Lengths are metres, weights grams, speeds metres a second, and a name that
// holds a quantity ends in its unit. A level is metres above its gauge's zero in
// force at the time; the datum of a gauge is its first zero, and a zero's offset
// is its height above that datum, so a level on the datum is level + offset.
package club

import "time"

// Club is the settings of the one club a database holds.
type Club struct {
	Name     string
	TimeZone string // IANA name; every time a person reads is in it
	Place    string // whose law the pages speak of, for example "England"
	Demo     bool   // made up by the demo, so that it may be replaced by it
	Welfare  string // the welfare contact: name and how to reach them; read where a page needs it
}

// Role is what a member may do.
type Role string

// The roles, from most to least.
const (
	Secretary Role = "secretary"
	Bailiff   Role = "bailiff"
	Coach     Role = "coach"
	Angler    Role = "member"
	Junior    Role = "junior"
)

// Member is a person of the club. ID is zero for a visitor who has not signed in.
type Member struct {
	ID   int64
	Name string
	Role Role
	Kit  string // what they carry, as MyKit.Code gives it; empty where they have not said
	// Welfare is the club's welfare contact, for a junior; empty for everyone else.
	Welfare string
}

// Gauge is a board or station on a river.
type Gauge struct {
	ID    int64
	Slug  string // its place in an address, for example "mill-board"
	Name  string
	River string
	// FloodM is the level on the datum above which beds on this river are known
	// to move; zero where the club has not said.
	FloodM float64
	// LowM and HighM are the ordinary range of the board on the datum: what the
	// stave shows when nothing asks for more.
	LowM, HighM float64
}

// Zero is a gauge's zero from a date until the next one's.
type Zero struct {
	ID      int64
	From    time.Time
	OffsetM float64 // height above the gauge's first zero
	Reason  string
}

// Source says how a level came to be known.
type Source string

// The sources of a level.
const (
	Board   Source = "board"   // read off a board by a person
	Station Source = "station" // written by an instrument
)

// Level is the water above the zero in force at the time.
type Level struct {
	At     time.Time
	LevelM float64
	Source Source
}

// Venue is a stretch of river the club fishes.
type Venue struct {
	ID     int64
	Slug   string
	Name   string
	River  string
	About  string // what the water is like, a sentence or two
	Access string // how to get there, where to park, who may use it
	// CloseSeason says whether the statutory coarse close season on rivers
	// (15 March to 15 June inclusive) holds here.
	CloseSeason bool
	// Open says whether a visitor may see it. Only a book to be loaded has it: who reads a
	// venue may.
	Open bool
}

// Bank is the side a peg stands on, looking downstream.
type Bank string

// The banks.
const (
	LeftBank  Bank = "left"
	RightBank Bank = "right"
)

// Reach says how a peg's water follows its gauge.
type Reach string

// The reaches.
const (
	OpenReach Reach = "open"      // nothing between the gauge and the peg
	PastWeir  Reach = "past weir" // a weir or lock lies between them
)

// Peg is a numbered place on the bank.
type Peg struct {
	ID         int64
	Code       string // short and permanent: it survives renumbering
	Label      string // what the post says, for example "14" or "14A"
	Order      int    // downstream
	Bank       Bank
	BearingDeg int // compass bearing the water flows towards, 0 to 359
	Reach      Reach
	Access     string // anything to know about getting to it
	// MarkHeightM is the height of the peg's fixed mark above the gauge's datum:
	// where the bank stands in the drawing. The mark is what a run's distance is
	// measured from.
	MarkHeightM float64
	At          *Position // nil where nobody has said
}

// Position is a place on the earth in degrees, WGS 84: north and east are above zero.
type Position struct{ LatDeg, LonDeg float64 }

// Run is a path the float takes past a peg.
type Run struct {
	ID        int64
	Name      string  // inside, rod length, two rods, middle
	DistanceM float64 // from the peg's fixed mark
	Boil      int     // 0 smooth to 3 boily
	SteepSide bool    // the bed slopes hard here, so a plummet reads less surely
	Bottom    string  // gravel, clay, silt …
	Snaggy    bool    // roots, boulders or weed that a hooked fish can reach
}

// Sounding is a depth plumbed on a run, and where it was timed the surface pace.
type Sounding struct {
	At      time.Time
	LevelM  float64 // on the zero in force at the time
	DepthM  float64
	PaceMPS float64 // 0 where the surface was not timed
	TimedS  float64 // how long the float was timed for; 0 where it was not
	By      string  // who wrote it down; empty once they have been removed
}

// HazardKind is the kind of a hazard.
type HazardKind string

// The kinds of hazard a page has words of its own for.
const (
	PowerLine HazardKind = "power line"
	DeepEdge  HazardKind = "deep edge"
	SlipBank  HazardKind = "slippery bank"
	Wading    HazardKind = "wading"
	OtherRisk HazardKind = "other"
)

// Hazard is something that can hurt someone at a peg, or all along a venue.
type Hazard struct {
	Kind      HazardKind
	PegLabel  string  // empty: the whole venue
	DistanceM float64 // how far from the peg; 0 where it is at the peg or unknown
	Text      string
}

// Effect is what a level rule does.
type Effect string

// The effects.
const (
	NoFishing Effect = "no fishing"
	Caution   Effect = "caution"
)

// LevelRule is the club's own word on a level: above it, or below it.
type LevelRule struct {
	ID                 int64
	FromLabel, ToLabel string   // both empty: the whole venue; equal: one peg; else a span in order downstream
	AboveM             *float64 // on the datum
	BelowM             *float64 // on the datum
	Effect             Effect
	Text               string
	From, To           time.Time // it speaks from then until then; zero: always has, always will
}

// Closure is a peg, a span of pegs or a venue that nobody fishes for now.
type Closure struct {
	ID                 int64
	FromLabel, ToLabel string // both empty: the whole venue; equal: one peg
	From               time.Time
	To                 time.Time // zero: until lifted
	Reason             string
	SetBy              string // name of the member who set it; empty where that is not known
}

// Fixture is a match on the club's calendar, all along a venue.
type Fixture struct {
	ID     int64  // read where a fixture is changed
	UID    string // what the calendar it came from calls it; empty: it began here
	Name   string
	Starts time.Time
	Ends   time.Time // after Starts
}

// Colour is what the water looked like, in the words of anglers.
type Colour string

// The colours, from the clearest.
const (
	Clear    Colour = "clear"
	Tinged   Colour = "a tinge"
	Coloured Colour = "coloured"
	Thick    Colour = "thick"
)

// Outing is a time a peg was fished. Who by is nobody's business.
type Outing struct {
	At           time.Time
	Colour       Colour   // empty where nobody said
	TemperatureC *float64 // of the water; nil where nobody measured it
	LevelM       *float64 // on the datum; nil where nobody read the board in that hour
}

// Book is everything a club has written down: what the demo makes and what an
// export carries.
type Book struct {
	Club Club
	// Incident is the public body's number for pollution, fish in distress and poaching.
	Incident string
	Members  []Member
	Gauges   []GaugeBook
	Venues   []VenueBook
}

// GaugeBook is a gauge with its zeros, oldest first, and its levels in time order.
type GaugeBook struct {
	Gauge
	Zeros  []Zero
	Levels []Level
}

// VenueBook is a venue with all that belongs to it. GaugeSlug names the gauge
// whose levels its pegs are read by.
type VenueBook struct {
	Venue
	GaugeSlug string
	Pegs      []PegBook // in order downstream
	Hazards   []Hazard
	Rules     []LevelRule
	Closures  []Closure
	Fixtures  []Fixture // in time order
}

// PegBook is a peg with its runs from the bank outwards, its notes, and when it was
// fished, in time order.
type PegBook struct {
	Peg
	Runs    []RunBook
	Notes   []Note
	Outings []Outing
}

// RunBook is a run with its soundings in time order.
type RunBook struct {
	Run
	Soundings []Sounding
}
