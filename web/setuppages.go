package web

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

const setupHref = "/setup"

func setupVenueHref(slug string) string { return setupHref + "/venues/" + slug }

// plainMetres is a length as a form shows it, for a person to change.
func plainMetres(m float64) string { return strconv.FormatFloat(m, 'f', -1, 64) }

func plainOptional(m *float64) string {
	if m == nil {
		return ""
	}
	return plainMetres(*m)
}

func (f Fill) page(a Assets, c club.Club, m club.Member, heading string) SetupPage {
	return SetupPage{Shell: NewShell(a, c, m, heading), Heading: heading, Said: f.Said, Problem: f.Problem}
}

// NewSetupPage shapes the list of what a club has and what a new one needs next.
func NewSetupPage(a Assets, o club.Office, f Fill) SetupPage {
	p := f.page(a, o.Club, o.Member, "Setting the club up")
	water, steps := o.Steps()
	p.Steps = stepLines(steps)
	switch {
	case club.NextStep(steps) == nil:
		p.Lead, p.Steps = []string{"Every water here has all that its sheets need.",
			"Each one's page below has its hazards, level rules, map and fixtures, and says whether visitors may see it. The club's people join from the members' page."}, nil
	case water == "":
		p.Lead = []string{"Each step is one screen. Do them in this order, and the first peg has its sheet."}
	default:
		p.Lead = []string{"What “" + water + "” needs before its first sheet can be read, in this order:"}
	}
	gauges := SetupPart{ID: "gauges", Heading: "Gauges", Links: []SpanLink{{Label: "Make a gauge", Href: setupHref + "/gauges/new"}}}
	for _, g := range o.Gauges {
		says := g.River + ", not read yet"
		if g.Last != nil {
			says = g.River + ", last read " + metres(g.Last.LevelM)
		}
		gauges.Lines = append(gauges.Lines, SetupLine{Name: g.Name, Says: says, Href: setupHref + "/gauges/" + g.Slug})
	}
	waters := SetupPart{ID: "waters", Heading: "Waters", Links: []SpanLink{{Label: "Make a water", Href: setupHref + "/venues/new"}, {Label: "Bring a water in from a file", Href: setupHref + "/import"}}}
	for i, v := range o.Venues {
		line := SetupLine{Name: v.Name, Href: setupVenueHref(v.Slug), Says: v.River + ", " + club.Plural(v.Pegs, "peg")}
		if i > 0 {
			line.Acts = []SetupAct{{"Move up", setupVenueHref(v.Slug) + "/move", "way", "up"}}
		}
		waters.Lines = append(waters.Lines, line)
	}
	p.Parts = []SetupPart{gauges, waters, {Links: []SpanLink{{Label: "The club's settings", Href: "/settings"}, {Label: "Members", Href: "/members"}}}}
	return p
}

// stepLines are steps as a page shows them.
func stepLines(steps []club.Step) []StepLine {
	var out []StepLine
	next := club.NextStep(steps)
	for i, s := range steps {
		out = append(out, StepLine{Name: s.Name, Href: s.Href, Says: s.Says, Done: s.Done, Next: next == &steps[i]})
	}
	return out
}

// Names of forms.
const (
	FormGauge    = "gauge"
	FormZero     = "zero"
	FormFix      = "fix"
	FormVenue    = "venue"
	FormStretch  = "stretch"
	FormBetween  = "between"
	FormRenumber = "renumber"
	FormPeg      = "peg"
	FormRun      = "run"
	FormRuns     = "runs"
	FormHazard   = "hazard"
	FormPlaces   = "places"
	FormFixture  = "fixture"
	FormCalendar = "calendar"
	FormPoints   = "points"
	FormImport   = "import"
)

func gaugeFields(f Fill, d club.GaugeDraft) []SetupField {
	low, high := "", ""
	if d.Name != "" {
		low, high = plainMetres(d.LowM), plainMetres(d.HighM)
	}
	return []SetupField{
		f.line(FormGauge, "name", "What the gauge is called", d.Name),
		f.line(FormGauge, "river", "The river it stands in", d.River),
		f.signed(FormGauge, "low", "It ordinarily reads from, in metres", low, "As the board reads at ordinary low water, such as 0.30. Below nought is right where the board says so."),
		f.signed(FormGauge, "high", "to, in metres", high, "As it reads when the river is well up and still fishable, such as 1.50."),
		optional(f.signed(FormGauge, "flood", "Beds are known to move above, in metres", plainOptional(d.FloodM), ""), "Empty where nobody knows. After a flood over it, older soundings count for less."),
	}
}

// NewGaugeForm shapes the page that makes a gauge.
func NewGaugeForm(a Assets, o club.Office, f Fill) SetupPage {
	p := f.page(a, o.Club, o.Member, "A new gauge")
	p.Lead = []string{"A board or a station whose level says how high the river is. Levels are metres above the board's own zero."}
	since := f.time(FormGauge, "since", "Its zero has stood there since (empty: always)", "Leave it empty where nobody knows. Nothing can be written down for a time before it.")
	since.Required = false
	p.Parts = []SetupPart{{Form: &SetupForm{Action: setupHref + "/gauges", Fields: append(gaugeFields(f, club.GaugeDraft{}), since), Buttons: button("Make this gauge")}}}
	p.Back = SpanLink{Label: "Back to setting up", Href: setupHref}
	return p
}

// NewGaugeSetup shapes the page that changes a gauge.
func NewGaugeSetup(a Assets, o club.Office, g club.OfficeGauge, f Fill, loc *time.Location) SetupPage {
	href := setupHref + "/gauges/" + g.Slug
	p := f.page(a, o.Club, o.Member, g.Name)
	p.Lead = []string{"Levels here are as the board reads them now."}
	d := g.Draft()
	zeros := SetupPart{ID: "zeros", Heading: "Its zeros", Text: []string{"A board that is moved or replaced starts a new zero. No bed moves for it: depths stay what they are."}}
	for i, z := range g.Zeros {
		line := SetupLine{Name: "Since " + z.From.In(loc).Format("2 January 2006, 15:04"), Says: zeroWords(i, z)}
		if z.From.Equal(club.AlwaysHeld) {
			line.Name = "Always"
		}
		zeros.Lines = append(zeros.Lines, line)
	}
	parts := []SetupPart{{Form: &SetupForm{Action: href, Was: d.Stamp(), Fields: gaugeFields(f, d), Buttons: button("Keep this")}}, zeros,
		{ID: "zero", Fold: "The board was moved or replaced", Unfolded: f.sent(FormZero), Form: &SetupForm{Action: href + "/zeros", Buttons: button("Start this zero"), Fields: []SetupField{
			f.time(FormZero, "from", "When", "By the club's clock. What was read since then is taken as read on the new board."),
			f.signed(FormZero, "old", "For the same water the old board read, in metres", "", ""),
			f.signed(FormZero, "new", "and the new one reads, in metres", "", ""),
			f.line(FormZero, "reason", "What was done", ""),
		}}}}
	for i, z := range g.Zeros {
		if i == 0 {
			continue
		}
		form := FormFix + strconv.FormatInt(z.ID, 10)
		parts = append(parts, SetupPart{ID: form, Fold: "Put right: " + zeros.Lines[i].Name, Unfolded: f.sent(form), Form: &SetupForm{
			Action: href + "/zeros/" + strconv.FormatInt(z.ID, 10), Was: z.Fix().Stamp(), Buttons: button("Put it right"), Fields: []SetupField{
				f.signed(form, "offset", "This zero is above the first one by, in metres", plainMetres(z.OffsetM), "Below nought where the board was put lower."),
				f.line(form, "reason", "What was done", z.Reason),
			}}})
	}
	p.Parts = append(parts, SetupPart{Links: []SpanLink{{Label: "Its levels", Href: "/gauges/" + g.Slug}, {Label: "Its levels as CSV", Href: "/gauges/" + g.Slug + "/levels.csv"}}})
	p.Back = SpanLink{Label: "Back to setting up", Href: setupHref}
	return p
}

func zeroWords(i int, z club.Zero) string {
	if i == 0 {
		return "the first zero"
	}
	return strings.TrimSuffix(fmt.Sprintf("%+.2f m from the first zero. %s", z.OffsetM, z.Reason), " ")
}

func venueFields(f Fill, d club.VenueDraft, gauges []club.OfficeGauge) []SetupField {
	all := []Choice{}
	if len(gauges) != 1 && d.Gauge == "" {
		all = append(all, Choice{Value: "", Label: "Choose"})
	}
	for _, g := range gauges {
		all = append(all, Choice{Value: g.Slug, Label: g.Name + ", " + g.River})
	}
	return []SetupField{
		f.line(FormVenue, "name", "What the water is called", d.Name),
		f.line(FormVenue, "river", "The river it is on", d.River),
		f.choice(FormVenue, "gauge", "The gauge it is read by", d.Gauge, all),
		f.area(FormVenue, "about", "What the water is like, in a sentence or two", d.About),
		f.area(FormVenue, "access", "How to get there, where to park", d.Access),
		f.check(FormVenue, "season", "The close season on rivers, 15 March to 15 June, holds here", d.CloseSeason),
		f.check(FormVenue, "open", "Visitors may see it", d.Open),
	}
}

// NewVenueForm shapes the page that makes a venue.
func NewVenueForm(a Assets, o club.Office, f Fill) SetupPage {
	p := f.page(a, o.Club, o.Member, "A new water")
	p.Back = SpanLink{Label: "Back to setting up", Href: setupHref}
	if len(o.Gauges) == 0 {
		p.Lead = []string{"A water is read by a gauge, and the club has none yet. Make the gauge first."}
		p.Back = SpanLink{Label: "Make a gauge", Href: setupHref + "/gauges/new"}
		return p
	}
	p.Lead = []string{"A stretch of river the club fishes."}
	p.Parts = []SetupPart{{Form: &SetupForm{Action: setupHref + "/venues", Fields: venueFields(f, club.VenueDraft{CloseSeason: true}, o.Gauges), Buttons: button("Make this water")}}}
	return p
}

func (f Fill) water(a Assets, w club.OfficeWater, heading string) SetupPage {
	p := f.page(a, w.Club, w.Member, heading+", "+w.Venue.Name)
	p.Heading = heading
	p.Shell = p.Shell.At(w.Venue.Venue)
	p.Back = SpanLink{Label: "Back to setting up " + w.Venue.Name, Href: setupVenueHref(w.Venue.Slug)}
	if next := club.NextStep(w.Steps()); next != nil && w.Member.Role.MayRunClub() {
		p.Next = &SpanLink{Label: "Next: " + strings.ToLower(next.Name[:1]) + next.Name[1:], Href: next.Href}
	}
	return p
}

// waterLines lead to all that is set up of a water.
func waterLines(w club.OfficeWater) []SetupLine {
	v, href := w.Venue, setupVenueHref(w.Venue.Slug)
	hazards := club.Plural(v.Hazards, "hazard")
	if v.Hazards == 0 {
		hazards = "none written down yet. Look along the bank for power lines first"
	}
	return []SetupLine{
		{Name: "Pegs", Href: href + "/pegs", Says: club.Plural(v.Pegs, "peg")},
		{Name: "Runs", Href: href + "/runs", Says: club.Plural(v.PegsWithRuns, "peg") + " with runs"},
		{Name: "Hazards", Href: href + "/hazards", Says: hazards},
		{Name: "Closures and level rules", Href: "/venues/" + v.Slug + "/closures", Says: club.Plural(v.Closures, "closure") + ", " + club.Plural(v.Rules, "rule")},
		{Name: "Where the pegs are", Href: href + "/positions", Says: fmt.Sprintf("%d of %d on the map", v.Placed, v.Pegs)},
		{Name: "Fixtures", Href: href + "/fixtures", Says: strconv.Itoa(v.Next) + " to come"},
	}
}

// NewVenueSetup shapes the page that changes a venue and leads to all of it.
func NewVenueSetup(a Assets, w club.OfficeWater, f Fill) SetupPage {
	p := f.water(a, w, "Setting up "+w.Venue.Name)
	p.Shell.Title = p.Heading
	v, href, page := w.Venue, setupVenueHref(w.Venue.Slug), "/venues/"+w.Venue.Slug
	d := v.Draft()
	lines := waterLines(w)
	if steps := w.Steps(); club.NextStep(steps) != nil {
		p.Lead, p.Steps = []string{"What it needs before its first sheet can be read, in this order:"}, stepLines(steps)
		lines, p.Next = lines[2:], nil // pegs and runs are among the steps
	}
	p.Parts = []SetupPart{
		{Lines: lines},
		{ID: "water", Heading: "The water itself", Form: &SetupForm{Action: href, Was: d.Stamp(), Fields: venueFields(f, d, w.Gauges), Buttons: button("Keep this")}},
		{ID: "carry", Heading: "Take it elsewhere", Links: []SpanLink{
			{Label: "The whole water as one JSON file, without names", Href: href + "/export.json"},
			{Label: "The same, with all levels of its gauge", Href: href + "/export.json?levels=1"},
			{Label: "Its pegs as GeoJSON", Href: page + "/pegs.geojson"},
			{Label: "Its soundings as CSV", Href: page + "/soundings.csv"},
			{Label: "Its fixtures as a calendar", Href: page + "/fixtures.ics"},
		}},
	}
	p.Back = SpanLink{Label: "Back to setting up", Href: setupHref}
	return p
}

// NewFixturesSetup shapes the page of a venue's fixtures.
func NewFixturesSetup(a Assets, w club.OfficeWater, f Fill, loc *time.Location) SetupPage {
	p := f.water(a, w, "Fixtures")
	href := setupVenueHref(w.Venue.Slug) + "/fixtures"
	var lines []SetupLine
	for _, x := range w.Fixtures {
		lines = append(lines, SetupLine{Name: x.Name, Says: x.Starts.In(loc).Format("Mon 2 January 2006, 15:04") + " to " + x.Ends.In(loc).Format("15:04"),
			Acts: []SetupAct{{"Take away", href + "/" + strconv.FormatInt(x.ID, 10) + "/drop", "sure", "1"}}})
	}
	p.Parts = []SetupPart{
		{ID: "fixture", Heading: "A new match", Form: &SetupForm{Action: href, Buttons: button("Put it on the calendar"), Fields: []SetupField{
			f.line(FormFixture, "name", "What it is called", ""), f.time(FormFixture, "from", "It begins", ""), f.time(FormFixture, "to", "It ends", "")}}},
		{ID: "calendar", Fold: "Bring matches in from a calendar", Unfolded: f.sent(FormCalendar), Form: &SetupForm{Action: href + "/calendar", Upload: true, Buttons: button("Bring them in"), Fields: []SetupField{
			file(FormCalendar, "file", "A calendar file", ".ics,text/calendar", "iCalendar. The same file twice makes no match twice; a match that was moved in it is moved here.")}}},
		{ID: "matches", Heading: "On the calendar", Lines: lines, Links: []SpanLink{{Label: "These as a calendar file", Href: "/venues/" + w.Venue.Slug + "/fixtures.ics"}}},
	}
	return p
}

// NewImportPage shapes the page that brings a venue in. made is what it would make, and
// carried the file; both empty before there is one.
func NewImportPage(a Assets, o club.Office, f Fill, made []string, carried string) SetupPage {
	p := f.page(a, o.Club, o.Member, "Bring a water in")
	p.Lead = []string{"From a file that another Levelpeg made, or this one. First you see what it would make."}
	choose := SetupPart{Form: &SetupForm{Action: setupHref + "/import", Upload: true, Buttons: button("See what it would make"), Fields: []SetupField{
		file(FormImport, "file", "The file of a water", ".json,application/json", "JSON. A larger one than 4 MB is brought in on the server: levelpeg import FILE.")}}}
	if carried != "" {
		p.Parts = []SetupPart{{ID: "made", Heading: "It would make", Text: made, Form: &SetupForm{Action: setupHref + "/import", Upload: true, Carried: carried, Buttons: []SetupButton{{"Bring it in", "sure", "1"}}}}}
		choose.Fold = "Another file"
	}
	p.Parts = append(p.Parts, choose)
	p.Back = SpanLink{Label: "Back to setting up", Href: setupHref}
	return p
}
