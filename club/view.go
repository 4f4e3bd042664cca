package club

import (
	"slices"
	"time"
)

// Standing is how a gauge stands. Its levels are on the zero in force now; a level
// on the datum is level + Zero.OffsetM.
type Standing struct {
	Gauge   Gauge
	Zero    Zero
	Latest  *Level      // nil where nothing has been read yet
	Earlier *Level      // about three hours before the latest, for the trend; nil where there is none
	Floods  []time.Time // when beds may have moved, oldest first
	// Past goes up when levels of hours ago come, or are put right: what is remembered of
	// how the gauge went on before holds as long as it stays.
	Past int64
}

// PegView is everything a peg's sheet is made of.
type PegView struct {
	Club     Club
	Member   Member
	Venue    Venue
	Standing Standing
	Peg      Peg
	Upstream string // label of the next peg upstream; empty at the end
	Down     string // label of the next peg downstream; empty at the end
	// Runs from the bank outwards. The soundings' levels are on the datum, and
	// what was superseded or withdrawn is not among them.
	Runs     []RunBook
	Beside   []BesideRun // runs of the pegs beside, where one of this peg's has few soundings
	Hazards  []Hazard    // of the peg and of its venue
	Rules    []LevelRule // that cover the peg, those whose time is over left out
	Closures []Closure   // that cover the peg, past and lifted ones left out
	Fixtures []Fixture   // of the venue, those that are over left out, the next one first
	Notes    []Note      // what the member may see; newest first
	Pictures []Picture   // likewise
	Outings  []Outing    // of the last year, the newest OutingsMost, newest first
}

// VenueCard is a venue on the list of venues.
type VenueCard struct {
	Venue    Venue
	Standing Standing
	Pegs     []PegTag
	Closures []Closure   // past and lifted ones left out
	Rules    []LevelRule // those whose time is over left out
	Next     *Fixture    // the next one that is not over; nil where none is to come
}

// PegTag is a peg in a list.
type PegTag struct {
	Label, Code string
	Closed      bool // a closure covers it now
	NoFishing   bool // a level rule of its own, or of a span it is in, forbids it now
}

// Mark fills each peg's Closed and NoFishing from the venue's closures and rules.
func (v *VenueCard) Mark(now time.Time) {
	labels := make([]string, len(v.Pegs))
	for i, p := range v.Pegs {
		labels[i] = p.Label
	}
	parts := partRules(v.Rules, v.Standing, now)
	for i := range v.Pegs {
		p := &v.Pegs[i]
		p.Closed = slices.ContainsFunc(v.Closures, func(c Closure) bool { return c.In(now) && ClosureCovers(c, labels, i) })
		p.NoFishing = slices.ContainsFunc(parts, func(r LevelRule) bool { return RuleCovers(r, labels, i) })
	}
}

// Home is the list of venues.
type Home struct {
	Club   Club
	Member Member
	Venues []VenueCard
}

// PegLine is a peg in its venue's list.
type PegLine struct {
	Peg       Peg
	Runs      int
	Soundings int
	Last      time.Time // of the newest sounding; zero where there is none
	Closed    bool      // one of the venue's closures covers it now
	Closes    time.Time // when the next closure that covers it begins; zero where none is to come
	NoFishing bool      // a level rule of its own, or of a span it is in, forbids it now
	Hazard    bool      // one of the venue's hazards is the peg's own
}

// VenueView is everything a venue's page is made of.
type VenueView struct {
	Club     Club
	Member   Member
	Venue    Venue
	Standing Standing
	Pegs     []PegLine // in order downstream
	Hazards  []Hazard
	Rules    []LevelRule // those whose time is over left out
	Closures []Closure   // past and lifted ones left out
	Fixtures []Fixture   // those that are over left out, the next one first
	Notes    []Note      // of the venue itself, what the member may see; newest first
	Pictures []Picture   // likewise
	Look     *Look       // at the water, by its gauge; nil: nobody lately
}

// GaugeVenue is a venue that is read by a gauge, with what the club has said of it.
type GaugeVenue struct {
	Venue
	Rules    []LevelRule // those whose time is over left out
	Closures []Closure   // past and lifted ones left out
}

// Stops lists what forbids fishing all along the venue now; st is its gauge's.
func (v GaugeVenue) Stops(st Standing, now time.Time, loc *time.Location) []Stop {
	return VenueStops(v.Venue, st, v.Closures, v.Rules, now, loc)
}

// PartStops lists what forbids fishing some of its pegs now.
func (v GaugeVenue) PartStops(st Standing, now time.Time, loc *time.Location) []PartStop {
	return PartStops(st, v.Closures, v.Rules, now, loc)
}

// GaugeView is everything a gauge's page is made of.
type GaugeView struct {
	Club     Club
	Member   Member
	Standing Standing
	Zeros    []Zero
	Venues   []GaugeVenue
	Span     Span
	From, To time.Time // what the history is of
	First    time.Time // the day of the gauge's first reading; zero where there is none
	By       Grain
	Spans    []LevelSpan
	Recent   []Reading  // of the last days, oldest first, for what is to come
	Look     *Look      // at the water; nil: nobody lately
	Feeds    []FeedNote // where its levels come from, too
	Board    []Picture  // photographs of it, newest first; members only
	Expected []FanPoint // from the latest reading on, soonest first; empty where nothing is foretold
}

// VenuePegs is a venue with everything that its pegs' sheets are made of.
type VenuePegs struct {
	Club     Club
	Member   Member
	Venue    Venue
	Standing Standing
	Pegs     []PegView // in order downstream
}

// floodGap is how far apart two days over the flood level must be for two floods.
const floodGap = 4 * 24 * time.Hour

// FloodEvents makes floods of days (each its UTC midnight, oldest first) on which
// the flood level was passed: days that follow each other are one flood, and it is
// over at the end of the last, but never later than now.
func FloodEvents(days []time.Time, now time.Time) []time.Time {
	var ends []time.Time
	for i, day := range days {
		end := day.Add(24 * time.Hour)
		if end.After(now) {
			end = now
		}
		if i > 0 && day.Sub(days[i-1]) < floodGap {
			ends[len(ends)-1] = end
			continue
		}
		ends = append(ends, end)
	}
	return ends
}

// covers says whether what reaches from one peg to another, in either order, or all
// along the venue where they have no names, takes in the peg at an index among the
// venue's pegs in order downstream.
func covers(from, to string, labels []string, peg int) bool {
	if from == "" {
		return true
	}
	a, b := slices.Index(labels, from), slices.Index(labels, to)
	if a < 0 || b < 0 {
		return false
	}
	return peg >= min(a, b) && peg <= max(a, b)
}

// ClosureCovers says whether a closure covers the peg at an index among the
// venue's pegs in order downstream.
func ClosureCovers(c Closure, labels []string, peg int) bool {
	return covers(c.FromLabel, c.ToLabel, labels, peg)
}

// RuleCovers says the same of a level rule.
func RuleCovers(r LevelRule, labels []string, peg int) bool {
	return covers(r.FromLabel, r.ToLabel, labels, peg)
}

// within says whether a time is from one moment on and before another; a zero moment
// sets no end.
func within(at, from, to time.Time) bool {
	return !at.Before(from) && (to.IsZero() || at.Before(to))
}

// In says whether a closure stands at a time.
func (c Closure) In(at time.Time) bool { return within(at, c.From, c.To) }

// Mark fills each peg's Closed, Closes, NoFishing and Hazard from the venue's closures,
// rules and hazards.
func (v *VenueView) Mark(now time.Time) {
	labels := make([]string, len(v.Pegs))
	for i, p := range v.Pegs {
		labels[i] = p.Peg.Label
	}
	parts := partRules(v.Rules, v.Standing, now)
	for i := range v.Pegs {
		for _, c := range v.Closures {
			if ClosureCovers(c, labels, i) {
				v.Pegs[i].close(c, now)
			}
		}
		v.Pegs[i].NoFishing = slices.ContainsFunc(parts, func(r LevelRule) bool { return RuleCovers(r, labels, i) })
		for _, h := range v.Hazards {
			v.Pegs[i].Hazard = v.Pegs[i].Hazard || h.PegLabel == labels[i]
		}
	}
}

// On is the venue as it is on another moment: what is closed then, and no level rule
// where the moment is still to come, since the level then is each sheet's to foresee.
func (v VenueView) On(at, now time.Time) VenueView {
	v.Pegs = slices.Clone(v.Pegs)
	if at.After(now) {
		v.Standing.Latest, v.Standing.Earlier = nil, nil
	}
	for i := range v.Pegs {
		p := &v.Pegs[i]
		p.Closed, p.Closes, p.NoFishing = false, time.Time{}, false
	}
	v.Mark(at)
	return v
}

// HoldsAt says whether a note speaks of a level on the datum.
func (n Note) HoldsAt(datumM float64) bool {
	return (n.LowM == nil || datumM >= *n.LowM) && (n.HighM == nil || datumM <= *n.HighM)
}

func (l *PegLine) close(c Closure, now time.Time) {
	switch {
	case c.In(now):
		l.Closed = true
	case c.From.After(now) && (l.Closes.IsZero() || c.From.Before(l.Closes)):
		l.Closes = c.From
	}
}
