package club

import (
	"fmt"
	"math"
	"time"
	"unicode/utf8"
)

// EntryKind is what an entry writes down.
type EntryKind string

// The kinds of entry.
const (
	LevelEntry    EntryKind = "level"
	SoundingEntry EntryKind = "sounding"
	ClosureEntry  EntryKind = "closure"
	IncidentEntry EntryKind = "incident"
)

// EntryKinds are all of them.
func EntryKinds() []EntryKind {
	return []EntryKind{LevelEntry, SoundingEntry, ClosureEntry, IncidentEntry}
}

// MayWrite says whether a role may write entries of a kind: the board and closures are
// the bailiffs' and the secretary's, a peg may be sounded and an incident told by every
// member.
func (k EntryKind) MayWrite(r Role) bool {
	switch k {
	case LevelEntry, ClosureEntry:
		return r.MayClose()
	case SoundingEntry, IncidentEntry:
		return r != ""
	}
	return false
}

// ErrMayNotWrite is said to everyone else.
func ErrMayNotWrite(k EntryKind) *Fault {
	what := "write levels in the book"
	if k == ClosureEntry {
		what = "close pegs"
	}
	return Faultf(Forbidden, "Only a secretary or a bailiff may %s.", what)
}

// IncidentKind is what an incident is.
type IncidentKind string

// The kinds of incident.
const (
	Pollution    IncidentKind = "pollution"
	FishDistress IncidentKind = "fish in distress"
	Poaching     IncidentKind = "poaching"
	OtherTrouble IncidentKind = "other"
)

// IncidentKinds are all of them.
func IncidentKinds() []IncidentKind {
	return []IncidentKind{Pollution, FishDistress, Poaching, OtherTrouble}
}

// Colours are all of the words for it, from the clearest.
func Colours() []Colour { return []Colour{Clear, Tinged, Coloured, Thick} }

// Entry is something somebody wrote down on the bank, read and not yet judged.
type Entry struct {
	Kind EntryKind
	At   Wall // zero: when it came
	// Sure: its writer was asked about what is odd in it, and says it is right.
	Sure bool
	// Corrects names an entry that was wrong, by its number; Withdraw takes that away and
	// puts nothing in its place.
	Corrects string
	Withdraw bool

	Gauge        string   // its slug
	LevelM       *float64 // on the zero in force at the time; of a sounding, nil: as the gauge says
	Colour       Colour   // empty: nobody said
	TemperatureC *float64 // of the water; nil: nobody measured it

	PegCode string
	Run     string  // as it is named
	DepthM  float64 // plumbed
	PaceMPS float64 // of the surface; 0 where it was not timed
	TimedS  float64 // how long one float was timed for that is as sure as those timed; 0 where it was not
	Boil    *int
	Note    string

	Venue    string // its slug, where all of it is meant and PegCode is empty
	Reason   string
	Ends     Wall // of a closure; zero: until lifted
	Incident IncidentKind
	Text     string
}

// The bounds of what a person measures on the bank.
const (
	TemperatureLeastC, TemperatureMostC = -2.0, 35.0
	noteMost                            = 1000 // signs
	timedMost                           = 9
)

// SoundingPace is the pace by floats that were timed over overM metres, in metres a second,
// and for how long one float would have to be timed to be as sure: n floats of t seconds
// each have n watch errors that are independent, so the mean of them is as sure as one
// float timed for t·√n. Derived.
//
//	pace = overM ÷ mean(secs)
//
// overM is from 0.5 to 200 m and each time from 0.5 to 3600 s, and the pace no more than
// 6 m/s; anything else is club.Invalid.
func SoundingPace(overM float64, secs []float64) (paceMPS, timedS float64, err error) {
	if len(secs) == 0 || len(secs) > timedMost {
		return 0, 0, Faultf(Invalid, "Time one float, or up to %d.", timedMost)
	}
	sum := 0.0
	for _, t := range secs {
		if err := (Own{OverM: overM, TimedS: t}).Check(); err != nil {
			return 0, 0, err
		}
		sum += t
	}
	n := float64(len(secs))
	return overM * n / sum, sum / math.Sqrt(n), nil
}

// Check says what is wrong with an entry whoever wrote it can mend.
func (e Entry) Check() error {
	if e.Withdraw {
		if e.Corrects == "" {
			return Faultf(Invalid, "Say which entry is to be taken away.")
		}
		return nil
	}
	switch e.Kind {
	case LevelEntry:
		return e.checkLevel()
	case SoundingEntry:
		return e.checkSounding()
	case ClosureEntry:
		return e.checkPlace("Choose what to close: a peg, or the whole water.")
	case IncidentEntry:
		return e.checkIncident()
	}
	return Faultf(Invalid, "That is no kind of entry: it may be a level, a sounding, a closure or an incident.")
}

func (e Entry) checkLevel() error {
	switch {
	case e.Gauge == "" && e.Corrects == "":
		return Faultf(Invalid, "Choose the gauge whose board you read.")
	case e.LevelM == nil:
		return Faultf(Invalid, "Write the level in metres as the board shows it, such as 1.24.")
	case e.TemperatureC != nil && !between(*e.TemperatureC, TemperatureLeastC, TemperatureMostC):
		return Faultf(Invalid, "The water's temperature is from %g to %g °C.", TemperatureLeastC, TemperatureMostC)
	}
	return nil
}

func (e Entry) checkSounding() error {
	switch {
	case e.Corrects == "" && e.PegCode == "":
		return Faultf(Invalid, "Choose the peg you plumbed.")
	case e.Corrects == "" && e.Run == "":
		return Faultf(Invalid, "Choose the run you plumbed, such as inside.")
	case !between(e.DepthM, OwnDepthLeastM, OwnDepthMostM):
		return Faultf(Invalid, "Write the depth you plumbed, from %g to %g m.", OwnDepthLeastM, OwnDepthMostM)
	case e.PaceMPS != 0 && !between(e.PaceMPS, 0.001, OwnPaceMostMPS):
		return Faultf(Invalid, "A pace is up to %g metres a second. Leave it empty where the water stands still.", OwnPaceMostMPS)
	case utf8.RuneCountInString(e.Note) > noteMost:
		return Faultf(Invalid, "The note is longer than %d signs.", noteMost)
	}
	return (Own{Boil: e.Boil}).Check()
}

func (e Entry) checkPlace(say string) error {
	if e.PegCode == "" && e.Venue == "" {
		return Faultf(Invalid, "%s", say)
	}
	return nil
}

func (e Entry) checkIncident() error {
	if err := e.checkPlace("Choose where it is: a peg, or somewhere on the water."); err != nil {
		return err
	}
	if e.Incident == "" {
		return Faultf(Invalid, "Say what it is: pollution, fish in distress, poaching or other.")
	}
	if utf8.RuneCountInString(e.Text) > noteMost {
		return Faultf(Invalid, "That is longer than %d signs. Say the rest to whoever you ring.", noteMost)
	}
	return nil
}

// How far a time that an entry claims may be from when it came before something is said.
const (
	clockOff    = 5 * time.Minute
	toCome      = 10 * time.Minute
	longOnPhone = 24 * time.Hour
	entryOldest = 30 * 366 * 24 * time.Hour
)

// Moment is when an entry is of, as the book keeps it, and what is said where that is not
// what it claims or claims oddly. ahead is how far the phone's clock was ahead of ours when
// it sent, 0 where it did not say: a clock that is wrong was as wrong when the entry was
// written. A time to come that somebody typed is club.Invalid.
func (e Entry) Moment(received time.Time, ahead time.Duration, loc *time.Location) (time.Time, string, error) {
	at, said := e.At.In(loc), ""
	switch {
	case e.At.IsZero():
		return received, "", nil
	case e.At.Zoned && ahead.Abs() > clockOff:
		at = at.Add(-ahead)
		said = "The phone's clock is " + offWords(ahead) + ", so it is kept as of " + at.In(loc).Format(closureTime) + ". The phone said " + e.At.In(loc).Format(closureTime) + "."
	}
	switch {
	case received.Sub(at) > entryOldest:
		return at, "", Faultf(Invalid, "That is more than thirty years ago. Look at the year again.")
	case at.Sub(received) > toCome && !e.At.Zoned:
		return at, "", Faultf(Invalid, "That time is still to come. Write when it was, or leave the time empty for now.")
	case at.Sub(received) > toCome:
		return received, "It came with a time that is still to come, " + at.In(loc).Format(closureTime) + ", so it is kept as of when it came.", nil
	case at.After(received):
		return received, said, nil
	case received.Sub(at) > longOnPhone && said == "":
		said = "It is of " + at.In(loc).Format(closureTime) + ", and came " + received.In(loc).Format(closureTime) + "."
	}
	return at, said, nil
}

func offWords(ahead time.Duration) string {
	how := " ahead"
	if ahead < 0 {
		ahead, how = -ahead, " behind"
	}
	return spanOfTime(ahead) + how
}

// spanOfTime is "3 minutes", "5 hours", "2 days".
func spanOfTime(d time.Duration) string {
	switch {
	case d < 90*time.Minute:
		return numberOf(int(math.Round(d.Minutes())), "minute")
	case d < 23*time.Hour+30*time.Minute:
		return numberOf(int(math.Round(d.Hours())), "hour")
	}
	return numberOf(int(math.Round(d.Hours()/24)), "day")
}

func numberOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
