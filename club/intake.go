package club

import "time"

// EntryForm is the version of the form that phones and pages write entries by. Old ones
// stay accepted.
const EntryForm = 1

// EntryMost is the most bytes one entry may have, and EntriesMost how many may come at once.
const (
	EntryMost   = 64 << 10
	EntriesMost = 100
)

// EntryState is where an entry stands.
type EntryState string

// The states of an entry. The first three are the database's; NotTaken is said of one that
// was not taken in and waits where it is.
const (
	EntryReceived EntryState = "received"
	InTheBook     EntryState = "in the book"
	NeedsMending  EntryState = "needs mending"
	NotTaken      EntryState = "not taken"
)

// RawEntry is an entry as it came.
type RawEntry struct {
	ID      string // a UUID, made where it was written
	Form    int
	Body    []byte
	Claimed time.Time     // when it says it is of; zero where it does not or that cannot be read
	Ahead   time.Duration // how far the sender's clock was ahead of ours
}

// EntryAnswer is what is said of an entry.
type EntryAnswer struct {
	ID    string
	State EntryState
	Why   string // it needs mending, or was not taken
	Says  string // what it changed
	Ask   bool   // it is only odd: the same with sure is kept
	Odd   bool   // it was kept for all that
}

// Received is an entry that has been taken in, with where it stands.
type Received struct {
	RawEntry
	At     time.Time // it came
	Answer EntryAnswer
	Mine   bool // the sender's own; of anybody else's nothing more is told
	Came   Came
}

// Came is whether an entry was sent before.
type Came int

const (
	CameNew    Came = iota
	CameAgain       // as it was sent before
	CameMended      // it needed mending, and is changed
	CameNot         // it was not sent now, but lay here unjudged
)

// Intake is what a sender's entries have been taken into.
type Intake struct {
	Club    ClubKey
	Zone    Club // for its time zone
	Member  Member
	Entries []Received // those that were sent, and any of the sender's that nobody has judged yet
}

// ClubKey is whose a phone's entries are.
type ClubKey struct {
	ID    string // stays through a restore
	Epoch string // changes with one
}

// Settling is what becomes of an entry.
type Settling struct {
	Entry   Entry
	At      time.Time // when it is of
	DatumM  float64   // of a level or a sounding: the water on the gauge's datum
	Odd     bool
	Says    []string
	Mending string // why it cannot go in the book; empty: it goes in
	Ask     bool   // Mending only asks whether it is right
}

// BoardView is a gauge about a moment, to hold a reading against.
type BoardView struct {
	Gauge    Gauge
	Zero     Zero      // in force at the moment
	Readings []Reading // on the datum, about the moment, oldest first
	Past     int64     // as of Standing
}

// RecordView is what the page of recording is made of.
type RecordView struct {
	Club     Club
	Key      ClubKey
	Member   Member
	Incident string // the public body's number
	Gauges   []Standing
	Venues   []RecordVenue
	Mine     []WroteLine // what the member wrote last, newest first
}

// GaugeAt is about where a gauge is: the middle of the waters that are read by it; nil
// where nobody has said where any of them is.
func (v RecordView) GaugeAt(slug string) *Position {
	var sum Position
	n := 0.0
	for _, venue := range v.Venues {
		if venue.Gauge == slug && venue.At != nil {
			sum.LatDeg, sum.LonDeg, n = sum.LatDeg+venue.At.LatDeg, sum.LonDeg+venue.At.LonDeg, n+1
		}
	}
	if n == 0 {
		return nil
	}
	return &Position{LatDeg: sum.LatDeg / n, LonDeg: sum.LonDeg / n}
}

// WroteLine is a level or a sounding in the book, to be put right.
type WroteLine struct {
	ID    string // of its entry
	Kind  EntryKind
	At    time.Time
	Words string // "Teasel Bridge 1.24 m"
}

// RecordVenue is a venue with its pegs and the names of their runs.
type RecordVenue struct {
	Venue Venue
	At    *Position // the middle of its pegs; nil where nobody has said where they are
	Gauge string    // slug
	Pegs  []RecordPeg
}

// RecordPeg is a peg to choose.
type RecordPeg struct {
	Label, Code string
	Runs        []string // from the bank outwards
}

// Corrected is a level or a sounding that an entry put in the book.
type Corrected struct {
	Kind              EntryKind
	Gauge             string // slug
	Venue, Label, Run string // of a sounding
	Code              string // of its peg
	At                time.Time
	DatumM            float64 // the water on the gauge's datum
	DepthM, PaceMPS   float64
	By                int64 // who wrote it; 0 where they have been removed
}
