package club

import "time"

// Incident is something wrong on the water that a member has told of.
type Incident struct {
	ID                   int64
	VenueSlug, VenueName string
	PegLabel             string // empty: of the whole water
	Kind                 IncidentKind
	Text                 string
	At                   time.Time
	By                   string    // empty once they have been removed
	Closed               time.Time // zero: it stands
	ClosedBy             string
}

// IncidentsView is everything that the page of incidents is made of.
type IncidentsView struct {
	Club     Club
	Member   Member
	Standing []Incident // newest first
	Closed   []Incident // the last ones, newest first
}

// IncidentsShown is how many closed incidents the page lists.
const IncidentsShown = 50

// Look is what the water was like at a gauge.
type Look struct {
	At       time.Time
	Colour   string   // empty: nobody said
	WaterDeg *float64 // nil: nobody measured
}

// LookLasts is how long a look says something about the water of now: a shower passes
// through in a day or two.
const LookLasts = 48 * time.Hour
