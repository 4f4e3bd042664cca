package club

import (
	"math"
	"slices"
	"sort"
	"time"
)

// SavedVenue is a venue as one reader may see it, with all that its pages are made of
// from the moment it was saved on: where nothing new comes, a page made of it is the page
// made of the book.
type SavedVenue struct {
	At       time.Time
	Club     Club
	Member   Member // the zero one for a visitor
	PhoneKit string // the kit that the phone kept, for whoever has none with their name
	Venue    Venue
	Pegs     []SavedPeg // in order downstream
	Hazards  []Hazard
	Rules    []LevelRule // in the order they were made
	Closures []Closure   // in the order they begin
	Fixtures []Fixture   // those to come, the next one first
	Notes    []Note      // of the venue itself, that the reader may read
	Pictures []Picture   // likewise; not what they show
	River    SavedRiver
	// Marked is the HTML of notes with markup in them, by their text: a phone makes none.
	Marked map[string]string
}

// SavedPeg is a peg with what its own sheet is made of. What the venue's lists say of it
// is not said twice.
type SavedPeg struct {
	Peg
	Runs      []RunBook // as PegView has them
	Beside    []SavedBeside
	Notes     []Note    // that the reader may read
	Pictures  []Picture // that the reader may see; not what they show
	Outings   []Outing
	Soundings int // how many hold in all: the runs have the newest
}

// SavedBeside is a run of another peg of the venue, and how many of its newest soundings
// count.
type SavedBeside struct{ Peg, Run, Soundings int }

// SavedRiver is what was saved of a venue's gauge.
type SavedRiver struct {
	Gauge  Gauge
	Zeros  []Zero
	Floods []time.Time  // the days over the flood level, oldest first
	First  time.Time    // the day of the first reading; zero where there is none
	Venues []GaugeVenue // that it is read for, as far as the reader may see them
	Look   *Look        // the newest at its water; nil: nobody lately
	Feeds  []FeedNote   // where its levels come from, too
	Board  []Picture    // photographs of it, newest first; not what they show
	// Readings are the newest, oldest first; where All is false there are older ones.
	Readings []Reading
	All      bool
	Days     []DayLevels // of the last year
	// Hours gives those of HistoryBack, those of the last weeks with their least and most.
	// A phone reads them when a page wants them: most do not.
	Hours func() ([]HourLevels, error)
}

// HourLevels is an hour of a gauge. Of one long past only the mean is kept: Readings is 0.
type HourLevels struct {
	HourMean
	MeanMM   float32 // the same mean, as the book keeps it
	LeastMM  int32
	MostMM   int32
	Readings int32
}

// DayLevels is a day of a gauge.
type DayLevels struct {
	Day             time.Time
	MeanMM          float32
	LeastMM, MostMM int32
	Readings        int32
}

// How much of a gauge is saved: so many readings, the newest; the least and most of the
// hours of so many days; and so many days. The rest is the server's to say.
const (
	SavedReadings = 2000
	SavedHourDays = 43
	SavedDays     = 367
)

// FixturesShown is how many coming fixtures a venue's page lists.
const FixturesShown = 12

// SavedNote says what was saved of a venue, and when.
type SavedNote struct {
	At    time.Time // zero where nothing is saved
	Loc   *time.Location
	Level *Level // the latest then; nil where none was read
}

// zeroAt is the zero in force at a time, as a place in Zeros; -1 for none yet.
func (r *SavedRiver) zeroAt(at time.Time) int {
	return sort.Search(len(r.Zeros), func(i int) bool { return r.Zeros[i].From.After(at) }) - 1
}

// Standing is how the gauge stands, as far as was saved. It is not there where no zero
// has begun.
func (r *SavedRiver) Standing(now time.Time) (Standing, bool) {
	z := r.zeroAt(now)
	if z < 0 {
		return Standing{}, false
	}
	st := Standing{Gauge: r.Gauge, Zero: r.Zeros[z], Floods: FloodEvents(r.Floods, now)}
	last := sort.Search(len(r.Readings), func(i int) bool { return r.Readings[i].At.After(now) }) - 1
	if last < 0 {
		return st, true
	}
	st.Latest = r.level(last, st.Zero)
	from, to := st.Latest.At.Add(-trendLeast), st.Latest.At.Add(-trendMost)
	for i := last; i >= 0 && r.Readings[i].At.After(to); i-- {
		if !r.Readings[i].At.After(from) {
			st.Earlier = r.level(i, st.Zero)
			break
		}
	}
	return st, true
}

// Seen is the newest look at the water that still says something of it; nil: nobody lately.
func (r *SavedRiver) Seen(now time.Time) *Look {
	if r.Look == nil || !r.Look.At.After(now.Add(-LookLasts)) {
		return nil
	}
	return r.Look
}

// The reading that a trend begins at is this much older than the latest.
const trendLeast, trendMost = 3 * time.Hour, 8 * time.Hour

func (r *SavedRiver) level(i int, z Zero) *Level {
	x := r.Readings[i]
	return &Level{At: x.At, LevelM: float64(wholeMM(x.DatumM)-wholeMM(z.OffsetM)) / 1000, Source: x.Source}
}

// wholeMM is a length in millimetres, as the book keeps it.
func wholeMM(m float64) int64 { return int64(math.Round(m * 1000)) }

// WholeMM is a length in millimetres, as the book keeps it.
func WholeMM(m float64) int64 { return wholeMM(m) }

// What is read about a moment: from three days before it to a day after, since it is
// known to half a day only; and three readings more on either side, however far.
const (
	aboutBefore = 3 * 24 * time.Hour
	aboutAfter  = 24 * time.Hour
	aboutMore   = 3
)

// About is the readings about a moment, or before now where it is to come, oldest first.
// It is not there where they are older than what was saved.
func (r *SavedRiver) About(at, now time.Time) ([]Reading, bool) {
	if at.After(now) {
		at = now
	}
	from, to := at.Add(-aboutBefore), at.Add(aboutAfter)
	if to.After(now) {
		to = now
	}
	first := sort.Search(len(r.Readings), func(i int) bool { return !r.Readings[i].At.Before(from) })
	end := sort.Search(len(r.Readings), func(i int) bool { return r.Readings[i].At.After(to) })
	if first < aboutMore && !r.All {
		return nil, false
	}
	first = max(0, first-aboutMore)
	for more := 0; more < aboutMore && end < len(r.Readings) && !r.Readings[end].At.After(now); more++ {
		end++
	}
	if first >= end {
		return nil, true
	}
	return slices.Clone(r.Readings[first:end]), true
}
