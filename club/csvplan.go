package club

import (
	"slices"
	"time"
	"unicode/utf8"
)

// CSVPlan says how a table of levels is read.
type CSVPlan struct {
	Comma        string `json:"comma"`   // one of Commas
	Time         string `json:"time"`    // column, by its number from 1 or its name in the first row
	Clock        string `json:"clock"`   // column of the time of day where that stands apart; empty for none
	Level        string `json:"level"`   // column
	Layout       string `json:"layout"`  // one of TimeLayouts
	Zone         string `json:"zone"`    // by which times without one are read: an IANA name
	DecimalComma bool   `json:"decimal"` // 1,24 and not 1.24
}

// Commas are what may stand between two values.
func Commas() [][2]string {
	return [][2]string{{",", "comma ,"}, {";", "semicolon ;"}, {"tab", "tab"}}
}

// The ways to write times.
const (
	TimeISO  = "iso"
	TimeDMY  = "dmy"
	TimeMDY  = "mdy"
	TimeUnix = "unix"
)

// TimeLayouts are the ways to write times, with an example of each.
func TimeLayouts() [][2]string {
	return [][2]string{
		{TimeISO, "year first: 2026-11-05 14:15"},
		{TimeDMY, "day first: 05/11/2026 14:15"},
		{TimeMDY, "month first: 11/05/2026 14:15"},
		{TimeUnix, "seconds since 1970: 1793888100"},
	}
}

const columnMost = 100

// Checked is the plan in order, or a fault whose sentence says what to choose.
func (p CSVPlan) Checked() (CSVPlan, error) {
	named := func(all [][2]string, value string) bool {
		return slices.ContainsFunc(all, func(c [2]string) bool { return c[0] == value })
	}
	if p.Comma == "" {
		p.Comma = ","
	}
	if p.Layout == "" {
		p.Layout = TimeISO
	}
	for _, c := range []*string{&p.Time, &p.Clock, &p.Level} {
		if *c = oneLine(*c); utf8.RuneCountInString(*c) > columnMost {
			return p, Faultf(Invalid, "The name of a column may be %d signs long.", columnMost)
		}
	}
	switch {
	case !named(Commas(), p.Comma):
		return p, Faultf(Invalid, "Choose what stands between two values: a comma, a semicolon or a tab.")
	case !named(TimeLayouts(), p.Layout):
		return p, Faultf(Invalid, "Choose how its times are written.")
	case p.Time == "" || p.Level == "":
		return p, Faultf(Invalid, "Say which column is the time and which the level, by number or by name.")
	case p.Time == p.Level || p.Clock != "" && (p.Clock == p.Level || p.Clock == p.Time):
		return p, Faultf(Invalid, "The time and the level must be in different columns.")
	case p.DecimalComma && p.Comma == ",":
		return p, Faultf(Invalid, "A comma cannot stand both between values and in a number.")
	}
	if _, err := p.Location(); err != nil {
		return p, Faultf(Invalid, "There is no time zone of that name. Write one such as Europe/London, or UTC.")
	}
	return p, nil
}

// Location is the plan's time zone; UTC where it names none.
func (p CSVPlan) Location() (*time.Location, error) {
	if p.Zone == "Local" {
		return nil, Faultf(Invalid, "There is no time zone of that name.")
	}
	return Club{TimeZone: p.Zone}.Zone()
}
