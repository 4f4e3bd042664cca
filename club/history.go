package club

import "time"

// Span is how far back a gauge's page looks.
type Span struct {
	Slug  string // in an address
	Words string // on the page: "6 weeks"
	Back  string // as PostgreSQL writes an interval; empty for everything there is
	By    Grain  // what is drawn; empty where it depends on how much there is
}

// Grain is the length of time that one point of a gauge's history stands for.
type Grain string

// The grains. A month's pieces begin anew with each month, so that months and years
// are made of whole ones: the last of five or ten days takes what is left.
const (
	ByReading  Grain = "reading"
	ByHour     Grain = "hour"
	ByTwoHours Grain = "2 hours"
	ByDay      Grain = "day"
	ByFiveDays Grain = "5 days"
	ByTenDays  Grain = "10 days"
	ByMonth    Grain = "month"
	ByYear     Grain = "year"
)

// readingsApart is how far apart two readings may be for the level between them to
// be drawn: an instrument that is read hourly has no gaps.
const readingsApart = time.Hour

// Length is about how long the grain is. A reading has none.
func (g Grain) Length() time.Duration {
	const day = 24 * time.Hour
	return map[Grain]time.Duration{ByHour: time.Hour, ByTwoHours: 2 * time.Hour, ByDay: day, ByFiveDays: 5 * day,
		ByTenDays: 10 * day, ByMonth: 30 * day, ByYear: 365 * day}[g]
}

// Gap is the distance of two points' beginnings above which something is missing
// between them.
func (g Grain) Gap() time.Duration {
	each := g.Length()
	if each == 0 {
		each = readingsApart
	}
	return each + each/2
}

// Spans are those a page offers. The grains keep every one of them under 800 points:
// 6 weeks by two hours are 504, a year by days 366, 20 years by ten days 723.
func Spans() []Span {
	return []Span{
		{"6h", "6 hours", "6 hours", ByReading},
		{"2d", "2 days", "2 days", ByReading},
		{"10d", "10 days", "10 days", ByHour},
		{"6w", "6 weeks", "42 days", ByTwoHours},
		{"1y", "a year", "1 year", ByDay},
		{"5y", "5 years", "5 years", ByFiveDays},
		{"20y", "20 years", "20 years", ByTenDays},
		{"all", "everything", "", ""},
	}
}

// UsualSpan is what a page shows where nothing is asked.
func UsualSpan() Span { return Spans()[1] }

// LookBack is what is asked of a gauge's history. At most one of To and ToClock is
// set; neither is up to now.
type LookBack struct {
	Span    Span
	To      time.Time
	ToClock time.Time // as the club's clock shows it, written as if it were UTC
}

// LevelSpan is the least, most and mean of a gauge over a piece of its history, on
// the datum. Of a single reading they are the same, and From is when it was read.
type LevelSpan struct {
	From               time.Time
	LeastM, MostM, Mid float64
	Readings           int
}

// FanPoint is a level to come, on the datum: the range holds it four times in five.
type FanPoint struct {
	At                time.Time
	MidM, LowM, HighM float64
}

// Reading is a level on the datum.
type Reading struct {
	At     time.Time
	DatumM float64
	Source Source
}

// HourMean is the mean level of an hour (of UTC), on the datum.
type HourMean struct {
	Hour   time.Time // its beginning
	DatumM float64
}

// HourMeans is of a gauge's hours that have a reading, oldest first.
type HourMeans struct {
	Hours []HourMean
	Past  int64 // as of Standing, at the moment the hours were read
}
