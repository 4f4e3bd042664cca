package exchange

import (
	"time"

	"levelpeg/club"
)

// SavedVersion is the version of the file of a saved venue. A program reads its own alone:
// program and file are saved together.
const SavedVersion = 1

// savedFile is a venue saved on a phone. What is in every venue's file has the names it
// has there; times are RFC 3339, and a long row of numbers is a text of each one's difference
// from the one before, since a phone reads that in a tenth of the time.
type savedFile struct {
	Version  int            `json:"levelpeg_saved"`
	At       time.Time      `json:"saved_at"`
	Club     savedClub      `json:"club"`
	Member   *savedMember   `json:"member"`
	PhoneKit string         `json:"phone_kit,omitempty"`
	Level    *savedLevel    `json:"level"` // the latest, for whoever lists what is saved
	Gauge    savedGauge     `json:"gauge"`
	Venue    savedPlace     `json:"venue"`
	Pegs     []savedPeg     `json:"pegs"`
	Hazards  []savedHazard  `json:"hazards"`
	Rules    []savedRule    `json:"rules"`
	Closures []savedClosure `json:"closures"`
	Fixtures []savedFixture `json:"fixtures"`
	Notes    []savedNote    `json:"notes,omitempty"`
	Pictures []savedPicture `json:"photographs,omitempty"`
	// Marked is the HTML of notes with markup in them, by their text.
	Marked map[string]string `json:"marked,omitempty"`
}

type savedLevel struct {
	At     time.Time `json:"at"`
	LevelM float64   `json:"level_m"`
}

type savedClub struct {
	Name     string          `json:"name"`
	TimeZone string          `json:"time_zone"`
	Changes  []club.ZoneSpan `json:"time_zone_changes"`
	Place    string          `json:"place"`
	Demo     bool            `json:"demo,omitempty"`
}

type savedMember struct {
	ID      int64     `json:"id"`
	Name    string    `json:"name"`
	Role    club.Role `json:"role"`
	Kit     string    `json:"kit,omitempty"`
	Welfare string    `json:"welfare,omitempty"`
}

type savedPlace struct {
	ID          int64  `json:"id"`
	Slug        string `json:"slug"`
	Name        string `json:"name"`
	River       string `json:"river"`
	About       string `json:"about"`
	Access      string `json:"access"`
	CloseSeason bool   `json:"close_season"`
}

type savedGauge struct {
	ID       int64          `json:"id"`
	Slug     string         `json:"slug"`
	Name     string         `json:"name"`
	River    string         `json:"river"`
	LowM     float64        `json:"ordinary_low_m"`
	HighM    float64        `json:"ordinary_high_m"`
	FloodM   float64        `json:"flood_m,omitempty"`
	Zeros    []savedZero    `json:"zeros"`
	Floods   []time.Time    `json:"flood_days,omitempty"`
	First    time.Time      `json:"first_day,omitzero"`
	Venues   []savedSaid    `json:"venues"`
	Look     *savedLook     `json:"look,omitempty"`
	Feeds    []savedFeed    `json:"feeds,omitempty"`
	Board    []savedPicture `json:"board,omitempty"`
	Readings savedReadings  `json:"readings"`
	Hours    savedHours     `json:"hours"`
	Days     savedDays      `json:"days"`
}

type savedZero struct {
	ID      int64     `json:"id"`
	From    time.Time `json:"from"`
	OffsetM float64   `json:"above_first_zero_m"`
	Reason  string    `json:"reason"`
}

// savedSaid is a venue that the gauge is read for, and what is said of it.
type savedSaid struct {
	Venue    savedPlace     `json:"venue"`
	Rules    []savedRule    `json:"rules,omitempty"`
	Closures []savedClosure `json:"closures,omitempty"`
}

// savedReadings are levels on the datum. The source is given where it changes.
type savedReadings struct {
	All     bool          `json:"all"`
	At      series        `json:"at_us"`
	MM      series        `json:"mm"`
	Sources []savedSource `json:"sources"`
}

type savedSource struct {
	From   int         `json:"from"`
	Source club.Source `json:"source"`
}

// savedHours are runs of hours that follow each other, each from an hour since 1970 on and
// so many, with their means; and the last of them with the rest.
type savedHours struct {
	Runs  [][2]int64 `json:"runs"`
	Mean  string     `json:"mean"`
	Least series     `json:"least_mm"`
	Most  series     `json:"most_mm"`
	N     series     `json:"readings"`
}

type savedDays struct {
	At    series `json:"day_s"`
	Mean  string `json:"mean"`
	Least series `json:"least_mm"`
	Most  series `json:"most_mm"`
	N     series `json:"readings"`
}

type savedPeg struct {
	ID        int64          `json:"id"`
	Code      string         `json:"code"`
	Label     string         `json:"label"`
	Order     int            `json:"order"`
	Bank      club.Bank      `json:"bank"`
	Flow      int            `json:"flow_towards_deg"`
	PastWeir  bool           `json:"past_weir,omitempty"`
	Access    string         `json:"access"`
	MarkM     float64        `json:"mark_m"`
	LatDeg    *float64       `json:"lat_deg,omitempty"`
	LonDeg    *float64       `json:"lon_deg,omitempty"`
	Soundings int            `json:"soundings"`
	Runs      []savedRun     `json:"runs"`
	Beside    [][3]int       `json:"beside,omitempty"` // a peg's and its run's places, and how many soundings count
	Notes     []savedNote    `json:"notes,omitempty"`
	Pictures  []savedPicture `json:"photographs,omitempty"`
	Outings   []savedOuting  `json:"outings,omitempty"`
}

type savedRun struct {
	ID        int64           `json:"id"`
	Name      string          `json:"name"`
	DistanceM float64         `json:"distance_m"`
	Boil      int             `json:"boil,omitempty"`
	SteepSide bool            `json:"steep_side,omitempty"`
	Snaggy    bool            `json:"snaggy,omitempty"`
	Bottom    string          `json:"bottom,omitempty"`
	Soundings []savedSounding `json:"soundings"`
}

// savedSounding has its level on the zero in force then, as every venue's file.
type savedSounding struct {
	At      time.Time `json:"at"`
	LevelM  float64   `json:"level_m"`
	DepthM  float64   `json:"depth_m"`
	PaceMPS float64   `json:"pace_mps,omitempty"`
	TimedS  float64   `json:"timed_s,omitempty"`
}

type savedHazard struct {
	Kind      club.HazardKind `json:"kind"`
	Peg       string          `json:"peg"`
	DistanceM float64         `json:"distance_m"`
	Text      string          `json:"text"`
}

type savedRule struct {
	ID      int64       `json:"id"`
	FromPeg string      `json:"from_peg"`
	ToPeg   string      `json:"to_peg"`
	AboveM  *float64    `json:"above_m"`
	BelowM  *float64    `json:"below_m"`
	Effect  club.Effect `json:"effect"`
	Text    string      `json:"text"`
	From    time.Time   `json:"from,omitzero"`
	To      time.Time   `json:"to,omitzero"`
}

type savedClosure struct {
	ID      int64     `json:"id"`
	FromPeg string    `json:"from_peg"`
	ToPeg   string    `json:"to_peg"`
	From    time.Time `json:"from"`
	To      time.Time `json:"to,omitzero"`
	Reason  string    `json:"reason"`
	SetBy   string    `json:"set_by,omitempty"`
}

type savedFixture struct {
	Name   string    `json:"name"`
	Starts time.Time `json:"starts_at"`
	Ends   time.Time `json:"ends_at"`
}

// savedPosted is what notes and photographs have in common.
type savedPosted struct {
	ID     int64     `json:"id"`
	At     time.Time `json:"at"`
	By     string    `json:"by,omitempty"`
	ByID   int64     `json:"by_id,omitempty"`
	Junior bool      `json:"junior,omitempty"`
	Waits  bool      `json:"waits,omitempty"`
	Hidden bool      `json:"hidden,omitempty"`
	Why    string    `json:"why,omitempty"`
}

type savedNote struct {
	savedPosted
	Text    string   `json:"text"`
	LowM    *float64 `json:"low_m,omitempty"`
	HighM   *float64 `json:"high_m,omitempty"`
	Private bool     `json:"private,omitempty"`
}

// savedPicture says what a photograph shows; the photograph itself stays on the server.
type savedPicture struct {
	savedPosted
	Caption string `json:"caption"`
	Hash    string `json:"hash"`
	Small   string `json:"small"`
	Width   int    `json:"width"`
	Height  int    `json:"height"`
	Open    bool   `json:"open,omitempty"`
	Board   bool   `json:"board,omitempty"`
}

type savedLook struct {
	At           time.Time `json:"at"`
	Colour       string    `json:"colour,omitempty"`
	TemperatureC *float64  `json:"temperature_c,omitempty"`
}

// savedFeed is what a reader is told of a feed.
type savedFeed struct {
	Acknowledge string    `json:"acknowledge,omitempty"`
	Active      bool      `json:"active,omitempty"`
	EveryS      float64   `json:"every_s"`
	Tried       time.Time `json:"tried,omitzero"`
	Newest      time.Time `json:"newest,omitzero"`
	Removed     bool      `json:"removed,omitempty"`
}

type savedOuting struct {
	At           time.Time   `json:"at"`
	Colour       club.Colour `json:"colour,omitempty"`
	TemperatureC *float64    `json:"temperature_c,omitempty"`
	LevelM       *float64    `json:"datum_m,omitempty"`
}
