package web

import (
	"fmt"
	"strconv"
	"time"

	"levelpeg/club"
)

// The forms of where levels come from.
const (
	FormFeed   = "feed"
	FormTable  = "table"
	FormLogger = "logger"
	formFile   = "import"
	formPlan   = "plan"
)

func feedsHref(gauge string) string { return "/gauges/" + gauge + "/feeds" }

func importHref(gauge string) string { return "/gauges/" + gauge + "/import" }

// NewFeedsPage shapes where a gauge's levels come from.
func NewFeedsPage(a Assets, v club.FeedsView, f Fill, now time.Time, loc *time.Location) SetupPage {
	p := f.page(a, v.Club, v.Member, "Where the levels of "+v.Gauge.Name+" come from")
	p.Lead = []string{"Levels that somebody else measures can be fetched, a table of levels can be taken in, and an instrument of the club's own can send its own."}
	d := club.FeedDraft{Unit: club.Metres, Every: 15 * time.Minute}
	p.Parts = []SetupPart{feedList(v, now, loc),
		{ID: "add", Fold: "Add a feed", Unfolded: f.sent(FormFeed), Text: []string{"Use the address of one measurement's values, as a program reads them."},
			Form: &SetupForm{Action: feedsHref(v.Gauge.Slug), Fields: feedFields(f, d), Buttons: button("Add this feed")}},
		{ID: "add-table", Fold: "Add a feed that is a table (CSV)", Unfolded: f.sent(FormTable),
			Form: &SetupForm{Action: feedsHref(v.Gauge.Slug), Fields: tableFields(f, d, v.Club.TimeZone), Buttons: tableButton("Add this table")}},
		{ID: "upload", Heading: "A file of levels", Text: []string{"A table from an instrument or an old notebook, typed in. You see how it is read before anything is kept."},
			Links: []SpanLink{{Label: "Take a file in", Href: importHref(v.Gauge.Slug)}}},
		loggerList(v, now), makeLogger(v, f)}
	p.Back = SpanLink{Label: "Back to " + v.Gauge.Name, Href: "/gauges/" + v.Gauge.Slug}
	return p
}

func feedList(v club.FeedsView, now time.Time, loc *time.Location) SetupPart {
	part := SetupPart{ID: "feeds", Heading: "Feeds"}
	if len(v.Feeds) == 0 {
		part.Text = []string{"None yet."}
	}
	for _, feed := range v.Feeds {
		href := feedHref(v.Gauge.Slug, feed)
		part.Lines = append(part.Lines, SetupLine{Name: feed.Host(), Href: href, Says: feedSays(feed, now, loc), Acts: feedActs(feed, href)})
	}
	return part
}

func feedHref(gauge string, f club.Feed) string {
	return feedsHref(gauge) + "/" + strconv.FormatInt(f.ID, 10)
}

func feedActs(f club.Feed, href string) []SetupAct {
	if !f.Active {
		return []SetupAct{{Label: "Go on", Href: href + "/resume"}}
	}
	return []SetupAct{{Label: "Fetch now", Href: href + "/fetch"}, {Label: "Pause", Href: href + "/pause"}}
}

// feedSays is how a feed stands: "good. Fetched 3 min ago. Its newest level is 12 min old."
func feedSays(f club.Feed, now time.Time, loc *time.Location) string {
	word, why := f.State(now, loc)
	says := capital(word) + "."
	if why != "" {
		says += " " + why
	}
	if !f.Tried.IsZero() {
		says += " Last fetched " + ago(max(0, now.Sub(f.Tried))) + "."
	}
	if !f.Newest.IsZero() {
		says += " Its newest level is of " + f.Newest.In(loc).Format("Mon 2 January, 15:04") + "."
	}
	if f.Active && f.Failures > 0 && f.Due.After(now) {
		says += " It is tried again at " + f.Due.In(loc).Format("15:04") + "."
	}
	return says
}

// NewFeedPage shapes the page that changes one feed.
func NewFeedPage(a Assets, v club.FeedsView, feed club.Feed, f Fill, now time.Time, loc *time.Location) SetupPage {
	p := f.page(a, v.Club, v.Member, "A feed of "+v.Gauge.Name)
	p.Lead = []string{feedSays(feed, now, loc)}
	href, d := feedHref(v.Gauge.Slug, feed), feed.Draft()
	change := &SetupForm{Action: href, Was: d.Stamp(), Fields: feedFields(f, d), Buttons: button("Keep this")}
	if feed.Format == club.CSVFeed {
		change.Fields, change.Buttons = tableFields(f, d, v.Club.TimeZone), tableButton("Keep this")
	}
	acts := append(feedActs(feed, href), SetupAct{Label: "Remove", Href: href + "/remove"})
	p.Parts = []SetupPart{{Form: change}, {Heading: "This feed", Lines: []SetupLine{{Name: feed.Host(), Says: "Removing it keeps the levels it brought.", Acts: acts}}}}
	p.Back = SpanLink{Label: "Where its levels come from", Href: feedsHref(v.Gauge.Slug)}
	return p
}

// listed is a list to choose from.
func listed(all [][2]string, but string) []Choice {
	var out []Choice
	for _, c := range all {
		if c[0] != but {
			out = append(out, Choice{Value: c[0], Label: c[1]})
		}
	}
	return out
}

func feedFields(f Fill, d club.FeedDraft) []SetupField {
	format := f.choice(FormFeed, "format", "The form its levels come in", string(d.Format), listed(club.FeedFormats(), string(club.CSVFeed)))
	return append([]SetupField{format}, feedBasics(f, FormFeed, d)...)
}

func feedBasics(f Fill, form string, d club.FeedDraft) []SetupField {
	address := f.line(form, "address", "Its address", d.Address)
	address.Most = 2000
	thanks := f.area(form, "acknowledge", "What its licence asks to be said (shown with the levels)", d.Acknowledge)
	thanks.Most = 500
	thanks.Help = "Empty for the Environment Agency: its own words are used then."
	if form == FormTable {
		thanks.Help = "Empty where it asks for nothing."
	}
	return []SetupField{address, unitField(f, form, d.Unit),
		optional(f.signed(form, "offset", "Add to each level, in metres", nothing(d.OffsetM), ""), "The height of the station's zero above this board's zero, as it is now. Empty: none."),
		f.choice(form, "every", "Fetch it", strconv.Itoa(int(d.Every.Minutes())), everies(d.Every)), thanks}
}

func nothing(m float64) string {
	if m == 0 {
		return ""
	}
	return plainMetres(m)
}

func unitField(f Fill, form string, u club.Unit) SetupField {
	return f.choice(form, "unit", "Its levels are in", string(u), []Choice{
		{Value: string(club.Metres), Label: "metres"}, {Value: string(club.Centimetres), Label: "centimetres"},
		{Value: string(club.Millimetres), Label: "millimetres"}, {Value: string(club.Feet), Label: "feet"}})
}

// everies are how often a feed may be fetched; what it is set to is among them.
func everies(set time.Duration) []Choice {
	var out []Choice
	there := false
	for _, m := range []int{5, 15, 30, 60, 180, 720, 1440} {
		there = there || time.Duration(m)*time.Minute == set
		out = append(out, Choice{Value: strconv.Itoa(m), Label: everyWords(m)})
	}
	if m := int(set.Minutes()); !there {
		out = append(out, Choice{Value: strconv.Itoa(m), Label: everyWords(m)})
	}
	return out
}

func everyWords(minutes int) string {
	switch {
	case minutes == 1440:
		return "once a day"
	case minutes == 60:
		return "every hour"
	case minutes%60 == 0:
		return fmt.Sprintf("every %d hours", minutes/60)
	}
	return fmt.Sprintf("every %d minutes", minutes)
}

func tableFields(f Fill, d club.FeedDraft, zone string) []SetupField {
	return append(feedBasics(f, FormTable, d), planFields(f, FormTable, d.Plan, zone)...)
}

// tableButton sends a form as that of a table.
func tableButton(label string) []SetupButton {
	return []SetupButton{{Label: label, Name: "format", Value: string(club.CSVFeed)}}
}

func planFields(f Fill, form string, p club.CSVPlan, zone string) []SetupField {
	if p.Zone != "" {
		zone = p.Zone
	}
	column := func(name, label, kept string) SetupField {
		x := f.line(form, name, label, kept)
		x.Most = 100
		return x
	}
	return []SetupField{
		column("time", "Column of the time, by its number or its name", p.Time),
		optional(column("clock", "Column of the time of day", p.Clock), "Only where the day and the time stand apart."),
		column("level", "Column of the level, by its number or its name", p.Level),
		commaField(f, form, p), layoutField(f, form, p), decimalField(f, form, p), zoneField(f, form, zone)}
}

func commaField(f Fill, form string, p club.CSVPlan) SetupField {
	return f.choice(form, "comma", "Between two values stands a", p.Comma, listed(club.Commas(), ""))
}

func layoutField(f Fill, form string, p club.CSVPlan) SetupField {
	return f.choice(form, "layout", "Times are written", p.Layout, listed(club.TimeLayouts(), ""))
}

func decimalField(f Fill, form string, p club.CSVPlan) SetupField {
	sign := "point"
	if p.DecimalComma {
		sign = "comma"
	}
	return f.choice(form, "decimal", "Numbers are written", sign, []Choice{{Value: "point", Label: "1.24"}, {Value: "comma", Label: "1,24"}})
}

func zoneField(f Fill, form, zone string) SetupField {
	x := f.line(form, "zone", "Time zone of times that name none", zone)
	x.Most = 60
	return optional(x, "Such as Europe/London, or UTC. Most stations use UTC all year.")
}

func loggerList(v club.FeedsView, now time.Time) SetupPart {
	part := SetupPart{ID: "loggers", Heading: "The club's own loggers"}
	if len(v.Loggers) == 0 {
		part.Text = []string{"None yet."}
	}
	for _, l := range v.Loggers {
		line := SetupLine{Name: l.Name, Says: "has sent nothing yet."}
		if !l.UsedAt.IsZero() {
			line.Says = "sent levels " + ago(max(0, now.Sub(l.UsedAt))) + "."
		}
		if l.Revoked {
			line.Says = capital(line.Says) + " Its token was withdrawn."
		} else {
			line.Acts = []SetupAct{{Label: "Withdraw its token", Href: "/gauges/" + v.Gauge.Slug + "/loggers/" + l.ID + "/end"}}
		}
		part.Lines = append(part.Lines, line)
	}
	return part
}

func makeLogger(v club.FeedsView, f Fill) SetupPart {
	name := f.line(FormLogger, "name", "What to call it, such as where it hangs", "")
	name.Most = 60
	return SetupPart{ID: "make-logger", Fold: "Let a logger send levels", Unfolded: f.sent(FormLogger),
		Text: []string{"It gets a token of its own, which is shown once. Whoever has the token can write levels for this gauge."},
		Form: &SetupForm{Action: "/gauges/" + v.Gauge.Slug + "/loggers", Fields: []SetupField{name}, Buttons: button("Make its token")}}
}

// NewLoggerPage shows a logger's token, once. origin is where people reach the server.
func NewLoggerPage(a Assets, v club.FeedsView, token, origin string) SetupPage {
	f := Fill{Said: "The logger may send levels now."}
	p := f.page(a, v.Club, v.Member, "The logger's token")
	p.Lead = []string{"Write it into the logger now: it is not shown again, and nobody can look it up. Where it is lost, withdraw it and make another."}
	p.Parts = []SetupPart{
		{Heading: "Token", Code: token},
		{Heading: "How it sends", Text: []string{"Levels are in metres above the board's zero, times with their zone. The same sent again changes nothing."},
			Code: "curl " + origin + "/api/1/levels \\\n  -H 'Authorization: Bearer TOKEN' \\\n  -H 'Content-Type: application/json' \\\n  -d '{\"levels\": [{\"at\": \"2026-11-05T14:15:00Z\", \"level_m\": 1.24}]}'"}}
	p.Back = SpanLink{Label: "Where its levels come from", Href: feedsHref(v.Gauge.Slug)}
	return p
}
