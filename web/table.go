package web

import (
	"fmt"
	"net/url"
	"strconv"
	"time"

	"levelpeg/club"
)

// TableFile is a file of levels that waits, and how it is read.
type TableFile struct {
	ID, Name string
	Plan     club.CSVPlan
	Unit     club.Unit
	Columns  []string // as its first row calls them
	BothWays bool     // days and months could be the other way round
	Problem  string
	Look     TableLook
	Form     url.Values // as it was sent
}

// TableLook is what is in it.
type TableLook struct {
	Good, None, Bad int
	BadRows         []TableBad
	Rows            []TableRow // the first ones
	Last            TableRow
	From, To        time.Time
	LeastM, MostM   float64
}

// TableBad is a row that cannot be kept.
type TableBad struct {
	N         int
	Why, Line string
}

// TableRow is a row that can.
type TableRow struct {
	N      int
	At     time.Time
	LevelM float64
}

// Take notes a good row, and shows it where it is one of the first.
func (l *TableLook) Take(n int, at time.Time, levelM float64, shown int) {
	row := TableRow{n, at, levelM}
	if l.Good++; l.Good == 1 {
		l.From, l.To, l.LeastM, l.MostM = at, at, levelM, levelM
	}
	if l.Good <= shown {
		l.Rows = append(l.Rows, row)
	}
	l.Last = row
	if at.Before(l.From) {
		l.From = at
	}
	if at.After(l.To) {
		l.To = at
	}
	l.LeastM, l.MostM = min(l.LeastM, levelM), max(l.MostM, levelM)
}

// NewTableForm shapes the page that asks for a file of levels.
func NewTableForm(a Assets, v club.FeedsView, problem string) SetupPage {
	f := Fill{Problem: problem}
	p := f.page(a, v.Club, v.Member, "A file of levels for "+v.Gauge.Name)
	p.Lead = []string{"A table with a time and a level in each row, saved as CSV. Nothing is kept until you have seen how it is read."}
	p.Parts = []SetupPart{{Form: &SetupForm{Action: importHref(v.Gauge.Slug), Upload: true, Buttons: button("Look at it"),
		Fields: []SetupField{file(formFile, "file", "The file", ".csv,.txt,.tsv,text/csv,text/plain", "Up to 256 MB. Heights are those the board read at the time, above the zero it had then.")}}}}
	p.Back = SpanLink{Label: "Where its levels come from", Href: feedsHref(v.Gauge.Slug)}
	return p
}

// TablePage shows how a file is read, and asks what to keep of it.
type TablePage struct {
	Shell                   Shell
	Heading, Name           string
	Problem, Doubt          string
	Sums                    []string
	Rows                    []TableCells
	Bad                     []TableBad
	BadMore                 string // that there are more, and
	BadHref                 string // where all are listed
	Href, Again             string
	Unfolded                bool // how it is read is to be looked at
	Fields                  []SetupField
	Hidden                  []Pair
	Keep                    []SetupField
	MayKeep                 bool
	BackHref, BackLabel, At string
}

// TableCells is a row as it is read.
type TableCells struct{ N, When, Level string }

// NewTablePage shapes the preview of a file.
func NewTablePage(a Assets, v club.FeedsView, t TableFile, loc *time.Location) TablePage {
	href := importHref(v.Gauge.Slug) + "/" + t.ID
	p := TablePage{
		Shell: NewShell(a, v.Club, v.Member, "A file of levels for "+v.Gauge.Name), Heading: "A file of levels for " + v.Gauge.Name,
		Name: t.Name, Problem: t.Problem, Href: href, Again: importHref(v.Gauge.Slug), Sums: tableSums(t.Look, loc),
		Bad: t.Look.BadRows, Fields: tableColumns(t), MayKeep: t.Look.Good > 0,
		Unfolded: t.Problem != "" || t.Look.Good == 0 || t.BothWays, BackHref: feedsHref(v.Gauge.Slug), BackLabel: "Where its levels come from",
		At: "By the club's clock",
	}
	if t.BothWays {
		p.Doubt = "Its days and months could be the other way round. See whether the times below are right."
	}
	if more := t.Look.Bad - len(t.Look.BadRows); more > 0 {
		p.BadMore = fmt.Sprintf("And %s more.", thousands(more))
	}
	p.BadHref = href + "/bad.txt?" + planQuery(t).Encode()
	for _, r := range t.Look.Rows {
		p.Rows = append(p.Rows, tableCells(r, loc))
	}
	if t.Look.Good > len(t.Look.Rows) {
		p.Rows = append(p.Rows, tableCells(t.Look.Last, loc))
	}
	for name, values := range planQuery(t) {
		p.Hidden = append(p.Hidden, Pair{name, values[0]})
	}
	p.Keep = keepFields(t)
	return p
}

func tableCells(r TableRow, loc *time.Location) TableCells {
	return TableCells{strconv.Itoa(r.N), r.At.In(loc).Format("Mon 2 Jan 2006, 15:04"), fmt.Sprintf("%.3f", r.LevelM)}
}

// tableSums say what is in the file as it is read.
func tableSums(l TableLook, loc *time.Location) []string {
	var out []string
	if l.Good > 0 {
		out = append(out, fmt.Sprintf("%s can be kept, from %s to %s, %s to %s.", rowsOf(l.Good, "row", "rows"),
			l.From.In(loc).Format("2 January 2006, 15:04"), l.To.In(loc).Format("2 January 2006, 15:04"), metres(l.LeastM), metres(l.MostM)))
	} else {
		out = append(out, "No row can be kept as it is read now.")
	}
	if l.Bad > 0 {
		out = append(out, rowsOf(l.Bad, "row is bad", "rows are bad")+".")
	}
	if l.None > 0 {
		out = append(out, rowsOf(l.None, "row has", "rows have")+" no level, and is passed over.")
	}
	if l.None > 1 {
		out[len(out)-1] = rowsOf(l.None, "row has", "rows have") + " no level, and are passed over."
	}
	return out
}

func rowsOf(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return thousands(n) + " " + many
}

// thousands is a number with a narrow space before each three digits.
func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u202f" + s[i:]
	}
	return s
}

// planQuery is how a file is read, as its forms send it.
func planQuery(t TableFile) url.Values {
	decimal := "point"
	if t.Plan.DecimalComma {
		decimal = "comma"
	}
	return url.Values{"time": {t.Plan.Time}, "clock": {t.Plan.Clock}, "level": {t.Plan.Level}, "comma": {t.Plan.Comma},
		"layout": {t.Plan.Layout}, "zone": {t.Plan.Zone}, "decimal": {decimal}, "unit": {string(t.Unit)}}
}

func tableColumns(t TableFile) []SetupField {
	var f Fill
	columns := func(none string) []Choice {
		out := []Choice{{Value: "", Label: none}}
		for i, name := range t.Columns {
			label := "column " + strconv.Itoa(i+1)
			if name != strconv.Itoa(i+1) && name != "" {
				label += ": " + name
			}
			out = append(out, Choice{Value: strconv.Itoa(i + 1), Label: label})
		}
		return out
	}
	return []SetupField{
		f.choice(formPlan, "time", "The time is in", t.Plan.Time, columns("choose")),
		f.choice(formPlan, "clock", "The time of day, where it stands apart, is in", t.Plan.Clock, columns("the same column")),
		f.choice(formPlan, "level", "The level is in", t.Plan.Level, columns("choose")),
		unitField(f, formPlan, t.Unit), layoutField(f, formPlan, t.Plan), zoneField(f, formPlan, t.Plan.Zone),
		commaField(f, formPlan, t.Plan), decimalField(f, formPlan, t.Plan)}
}

func keepFields(t TableFile) []SetupField {
	f := Fill{Form: FormTable, Values: t.Form}
	out := []SetupField{f.choice(FormTable, "source", "Who read these levels", "", []Choice{{Value: "", Label: "choose"},
		{Value: string(club.Board), Label: "people, at the board"}, {Value: string(club.Station), Label: "an instrument"}})}
	if t.Look.Bad > 0 {
		out = append(out, f.choice(FormTable, "bad", "Where a row is bad", "", []Choice{{Value: "", Label: "choose"},
			{Value: "leave", Label: "leave the bad rows out and keep the rest"}, {Value: "nothing", Label: "keep nothing while a row is bad"}}))
	}
	return out
}
