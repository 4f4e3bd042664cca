package club

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// FeedFormat is a form in which somebody else offers a river's levels.
type FeedFormat string

// The formats.
const (
	EnvironmentAgency FeedFormat = "ea"           // the Environment Agency's open JSON
	WaterML2          FeedFormat = "waterml2"     // OGC 10-126
	SensorThings      FeedFormat = "sensorthings" // OGC 18-088
	CSVFeed           FeedFormat = "csv"
)

// FeedFormats are the formats with what a person calls them.
func FeedFormats() [][2]string {
	return [][2]string{
		{string(EnvironmentAgency), "Environment Agency open data (JSON)"},
		{string(WaterML2), "WaterML 2.0 (XML)"},
		{string(SensorThings), "SensorThings (JSON)"},
		{string(CSVFeed), "A table of values (CSV)"},
	}
}

// EnvironmentAgencySays is the acknowledgement that the Agency's licence asks for.
// Source: Environment Agency real-time flood-monitoring API reference.
const EnvironmentAgencySays = "this uses Environment Agency flood and river level data from the real-time data API (Beta)"

// Unit is what a level is counted in.
type Unit string

// The units.
const (
	Metres      Unit = "m"
	Centimetres Unit = "cm"
	Millimetres Unit = "mm"
	Feet        Unit = "ft" // of 0.3048 m exactly
)

// Units are all of them.
func Units() []Unit { return []Unit{Metres, Centimetres, Millimetres, Feet} }

// Metre is one of the unit in metres; 0 for one that is not known.
func (u Unit) Metre() float64 {
	switch u {
	case Metres:
		return 1
	case Centimetres:
		return 0.01
	case Millimetres:
		return 0.001
	case Feet:
		return 0.3048
	}
	return 0
}

// LevelOf is a value in the unit as metres, to the millimetre. It fails for what is no
// number and for what no board reads: outside MinLevelM to MaxLevelM.
func (u Unit) LevelOf(value, offsetM float64) (float64, bool) {
	m := math.Round((value*u.Metre()+offsetM)*1000) / 1000
	return m, m >= MinLevelM && m <= MaxLevelM // no NaN is
}

// Feed is an address that a gauge's levels are fetched from.
type Feed struct {
	ID          int64
	Gauge       string // slug
	Format      FeedFormat
	Address     string
	Unit        Unit
	OffsetM     float64 // added to what it says, to be above the zero of ZeroFrom
	ZeroFrom    time.Time
	Every       time.Duration
	Plan        CSVPlan
	Acknowledge string
	Active      bool
	ETag        string
	Modified    string
	Due         time.Time
	Tried       time.Time // zero: never
	Good        time.Time // the last fetch that brought what it should; zero: never
	Newest      time.Time // of its levels; zero: none yet
	Failures    int       // in a row
	Why         string    // of the last fetch; empty where all went well
}

// FeedNote is what every reader of a gauge is told of one of its feeds, one that was
// removed and whose levels are there among them. Of the feed Acknowledge, Active, Every,
// Tried and Newest are filled.
type FeedNote struct {
	Feed    Feed
	Removed bool
}

// FeedsSay is what stands wherever a gauge's levels are shown: that they have stopped
// coming, and what their licences ask to be said, each once.
func (v GaugeView) FeedsSay(now time.Time, loc *time.Location) (stale, acknowledge []string) {
	add := func(to *[]string, say string) {
		if say != "" && !slices.Contains(*to, say) {
			*to = append(*to, say)
		}
	}
	for _, n := range v.Feeds {
		if !n.Removed {
			add(&stale, n.Feed.Stale(now, loc))
		}
		if n.Removed || !n.Feed.Newest.IsZero() {
			add(&acknowledge, n.Feed.Acknowledge)
		}
	}
	return stale, acknowledge
}

// The least time without a new level after which a feed is stale: stations send theirs
// in batches, and late.
const (
	staleLeast  = 3 * time.Hour
	staleRounds = 4
)

// StaleAfter is how long a feed may bring no new level.
func (f Feed) StaleAfter() time.Duration { return max(staleLeast, staleRounds*f.Every) }

// Stale says, in a sentence, that a feed that is on has brought no new level for too long.
func (f Feed) Stale(now time.Time, loc *time.Location) string {
	switch {
	case !f.Active:
		return ""
	case f.Newest.IsZero() && f.Tried.IsZero():
		return ""
	case f.Newest.IsZero():
		return "No level has come from elsewhere yet."
	case now.Sub(f.Newest) > f.StaleAfter():
		return "Levels from elsewhere are stale: the newest is of " + f.Newest.In(loc).Format(momentFormat) + "."
	}
	return ""
}

// State is how a feed stands, in words: "good", "stale", "paused", with why.
func (f Feed) State(now time.Time, loc *time.Location) (word, why string) {
	stale := f.Stale(now, loc)
	switch {
	case !f.Active:
		return "paused", "It is not fetched until somebody lets it go on."
	case f.Tried.IsZero():
		return "new", "It has not been fetched yet."
	case stale != "":
		return "stale", strings.TrimSpace(stale + " " + f.Why)
	case f.Failures > 0:
		return "failing", f.Why
	}
	return "good", f.Why
}

// FeedDraft is a feed as somebody asks for it.
type FeedDraft struct {
	Format      FeedFormat
	Address     string
	Unit        Unit
	OffsetM     float64
	Every       time.Duration
	Plan        CSVPlan
	Acknowledge string
}

// Draft is the feed as somebody would ask for it.
func (f Feed) Draft() FeedDraft {
	return FeedDraft{f.Format, f.Address, f.Unit, f.OffsetM, f.Every, f.Plan, f.Acknowledge}
}

// Stamp marks the feed as the draft has it.
func (d FeedDraft) Stamp() string { return stamp(d) }

// The bounds of a feed.
const (
	FeedEveryLeast = 5 * time.Minute
	FeedEveryMost  = 24 * time.Hour
	addressMost    = 2000
	acknowledgeMax = 500
	offsetMostM    = 20.0
)

// Checked is the draft in order, or a fault whose sentence says what to write instead.
func (d FeedDraft) Checked() (FeedDraft, error) {
	d.Acknowledge = oneLine(d.Acknowledge)
	if !slices.ContainsFunc(FeedFormats(), func(f [2]string) bool { return f[0] == string(d.Format) }) {
		return d, Faultf(Invalid, "Choose the form its levels come in.")
	}
	var err error
	if d.Address, err = feedAddress(d.Address); err != nil {
		return d, err
	}
	switch {
	case d.Unit.Metre() == 0:
		return d, Faultf(Invalid, "Choose what its levels are counted in: m, cm, mm or ft.")
	case math.IsNaN(d.OffsetM) || math.Abs(d.OffsetM) > offsetMostM:
		return d, Faultf(Invalid, "What is added may be from −%g to %g m.", offsetMostM, offsetMostM)
	case d.Every < FeedEveryLeast || d.Every > FeedEveryMost:
		return d, Faultf(Invalid, "It may be fetched every 5 minutes at most and once a day at least.")
	case utf8.RuneCountInString(d.Acknowledge) > acknowledgeMax:
		return d, Faultf(Invalid, "The acknowledgement may be %d signs long.", acknowledgeMax)
	}
	if d.Format == EnvironmentAgency && d.Acknowledge == "" {
		d.Acknowledge = upperFirst(EnvironmentAgencySays) + "."
	}
	if d.Format == CSVFeed {
		d.Plan, err = d.Plan.Checked()
	} else {
		d.Plan = CSVPlan{}
	}
	return d, err
}

func feedAddress(text string) (string, error) {
	text = strings.TrimSpace(text)
	if len(text) > addressMost {
		return text, Faultf(Invalid, "The address may be %d signs long.", addressMost)
	}
	u, err := url.Parse(text)
	switch {
	case err != nil || u.Host == "" || u.Hostname() == "" || u.Scheme != "http" && u.Scheme != "https":
		return text, Faultf(Invalid, "Write the whole address, beginning with https:// or http://.")
	case u.User != nil:
		return text, Faultf(Invalid, "The address has a name or a password in it, which would be shown here. Use one without.")
	}
	u.Fragment, u.RawFragment = "", ""
	return u.String(), nil
}

// Fetched is what became of fetching a feed.
type Fetched struct {
	Levels         []Level // above the feed's zero; oldest first or not
	NotChanged     bool    // it said so itself
	Problem        string  // why nothing came of it, a sentence; empty for none
	Remark         string  // what was left out, a sentence; empty for nothing
	ETag, Modified string
	RetryAfter     time.Duration // as its server asks; 0 where it does not
}

// The bounds of waiting for a feed that fails.
const (
	backOffLeast = 5 * time.Minute
	backOffMost  = 12 * time.Hour
)

// NextFetch is how long to wait: as long as is set after a fetch that went well, and
// longer and longer after each that failed, but at least what the server asked for. roll,
// from 0 to 1, spreads feeds out so that they do not all come at once.
func NextFetch(every time.Duration, failures int, retryAfter time.Duration, roll float64) time.Duration {
	wait, spread := every, 0.05
	if failures > 0 {
		wait, spread = min(backOffMost, backOffLeast<<min(failures-1, 10)), 0.25
	}
	wait = max(wait, min(retryAfter, FeedEveryMost))
	return wait + time.Duration(spread*roll*float64(wait))
}

// Merged says what became of levels that came from elsewhere.
type Merged struct {
	New       int // were not there
	Corrected int // were there with another value
	Same      int // were there already
	Kept      int // stayed as a person had read or withdrawn them
	Newest    time.Time
}

// Says is the sentence of it.
func (m Merged) Says() string {
	var parts []string
	add := func(n int, words string) {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, words))
		}
	}
	add(m.New, "new")
	add(m.Corrected, "corrected")
	add(m.Same, "there already")
	add(m.Kept, "left as somebody had read or withdrawn them at the board")
	if len(parts) == 0 {
		return "No levels came."
	}
	return "Levels: " + strings.Join(parts, ", ") + "."
}

// FeedRoles are those who may set where levels come from.
func FeedRoles() []Role { return []Role{Secretary, Bailiff} }

// MayFeed says whether a role may set where levels come from.
func (r Role) MayFeed() bool { return slices.Contains(FeedRoles(), r) }

// ErrMayNotFeed is said to everyone else.
func ErrMayNotFeed() *Fault { return ErrOnly(FeedRoles()...) }

// soonest is how far ahead of now a level's time may be: clocks differ a little.
const soonest = 10 * time.Minute

// LevelTime says what is wrong with the time of a level from elsewhere; empty for nothing.
func LevelTime(at, now time.Time) string {
	switch {
	case at.After(now.Add(soonest)):
		return "its time has not come yet"
	case at.Before(now.Add(-momentsBack)):
		return "its time is more than two hundred years ago"
	}
	return ""
}

// Logger is an instrument of the club's own, which posts its levels with a token.
type Logger struct {
	ID      string // of its token's hash, for the page
	Name    string
	MadeAt  time.Time
	UsedAt  time.Time // zero: never
	Revoked bool
}

// loggerMost is how long a logger's name may be.
const loggerMost = 60

// LoggerName is the name in order, or a fault.
func LoggerName(name string) (string, error) {
	name = oneLine(name)
	if n := utf8.RuneCountInString(name); n == 0 || n > loggerMost {
		return name, Faultf(Invalid, "Give the logger a name of 1 to %d signs, such as where it hangs.", loggerMost)
	}
	return name, nil
}

// FeedsView is where a gauge's levels come from, for the secretary.
type FeedsView struct {
	Club    Club
	Member  Member
	Gauge   Gauge
	Zero    Zero // in force
	Feeds   []Feed
	Loggers []Logger
}

// Host is the name of the server in a feed's address.
func (f Feed) Host() string {
	u, err := url.Parse(f.Address)
	if err != nil || u.Host == "" {
		return f.Address
	}
	return u.Host
}
