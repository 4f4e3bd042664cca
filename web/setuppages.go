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

var banks = []Choice{{Value: string(club.RightBank), Label: "Right bank, looking downstream"}, {Value: string(club.LeftBank), Label: "Left bank, looking downstream"}}

func bankChoices() []Choice { return append([]Choice{}, banks...) }

// officePegChoices are a water's pegs going downstream, after what choosing none means.
func officePegChoices(w club.OfficeWater, none string) []Choice {
	all := []Choice{{Value: "", Label: none}}
	for _, k := range w.Pegs {
		all = append(all, Choice{Value: PegValue(k.Label, k.Code), Label: "Peg " + k.Label})
	}
	return all
}

// NewPegsSetup shapes the page of a venue's pegs.
func NewPegsSetup(a Assets, w club.OfficeWater, f Fill) SetupPage {
	p := f.water(a, w, "Pegs")
	href, was := setupVenueHref(w.Venue.Slug)+"/pegs", w.PegsStamp()
	var lines []SetupLine
	for _, k := range w.Pegs {
		says := club.Plural(len(k.Runs), "run") + ", " + club.Plural(k.Soundings, "sounding")
		if k.Gone {
			says += ", closed for good"
		}
		lines = append(lines, SetupLine{Name: "Peg " + k.Label, Says: says + ". Code " + k.Code, Href: href + "/" + k.Code})
	}
	bearing := "The compass bearing the water flows towards: 0 is north, 90 east, 180 south, 270 west."
	stretch := SetupPart{ID: "stretch", Fold: "Make a stretch of pegs at once", Unfolded: f.sent(FormStretch) || len(w.Pegs) == 0, Form: &SetupForm{Action: href, Was: was, Buttons: button("Make these pegs"), Fields: []SetupField{
		f.number(FormStretch, "first", "From number", "1", ""),
		f.number(FormStretch, "last", "to number", "", ""),
		f.choice(FormStretch, "count", "The numbers rise", "down", []Choice{{Value: "down", Label: "Going downstream"}, {Value: "up", Label: "Going upstream"}}),
		f.choice(FormStretch, "bank", "They stand on the", string(club.RightBank), bankChoices()),
		f.number(FormStretch, "first_deg", "At the first number the water flows towards, in degrees", "", bearing),
		f.number(FormStretch, "last_deg", "At the last number, in degrees", "", "The pegs between turn evenly from the one to the other."),
		optional(f.signed(FormStretch, "mark", "The bank stands at, in metres on the board", "", ""), "Where the board would read if the water came up to the peg's mark. Empty: half a metre over its ordinary top. It only places the bank in the drawing."),
	}}}
	if len(w.Pegs) > 0 {
		stretch.Form.Fields = append(stretch.Form.Fields, f.choice(FormStretch, "where", "They lie", "below", []Choice{{Value: "below", Label: "Below all the others"}, {Value: "above", Label: "Above all the others"}}))
	}
	p.Parts = []SetupPart{stretch}
	if len(w.Pegs) == 0 {
		return p
	}
	p.Parts = append(p.Parts,
		SetupPart{ID: "between", Fold: "Put one peg in between", Unfolded: f.sent(FormBetween), Form: &SetupForm{Action: href + "/between", Was: was, Buttons: button("Put it in"), Fields: []SetupField{
			f.choice(FormBetween, "after", "Going downstream it comes after", "", officePegChoices(w, "None: it is the first")),
			f.line(FormBetween, "label", "Its number, such as 14A", ""),
		}}},
		SetupPart{ID: "renumber", Fold: "Renumber pegs", Unfolded: f.sent(FormRenumber), Text: []string{"The codes on the posts stay as they are, and so does all that was written of the pegs."}, Form: &SetupForm{Action: href + "/renumber", Was: was, Buttons: button("Renumber them"), Fields: []SetupField{
			f.choice(FormRenumber, "from_peg", "From peg", "", officePegChoices(w, "Choose")),
			f.choice(FormRenumber, "to_peg", "to peg", "", officePegChoices(w, "That one alone")),
			f.number(FormRenumber, "first", "New number of the one furthest upstream", "", ""),
			f.choice(FormRenumber, "count", "Going downstream the numbers", "rise", []Choice{{Value: "rise", Label: "Rise"}, {Value: "fall", Label: "Fall"}}),
		}}},
		SetupPart{ID: "pegs", Heading: "Its pegs, going downstream", Lines: lines})
	return p
}

func degrees(p *club.Position) (lat, lon string) {
	if p == nil {
		return "", ""
	}
	return strconv.FormatFloat(p.LatDeg, 'f', -1, 64), strconv.FormatFloat(p.LonDeg, 'f', -1, 64)
}

// NewPegSetup shapes the page of one peg.
func NewPegSetup(a Assets, w club.OfficeWater, k club.OfficePeg, f Fill) SetupPage {
	p := f.water(a, w, "Peg "+k.Label)
	href := setupVenueHref(w.Venue.Slug) + "/pegs/" + k.Code
	d := k.Draft(w.Gauge.Zero)
	lat, lon := degrees(d.At)
	p.Lead = []string{"Its code is " + k.Code + ", which never changes."}
	form := SetupForm{Action: href, Was: d.Stamp(), Buttons: button("Keep this"), Fields: []SetupField{
		f.line(FormPeg, "label", "What the post says", d.Label),
		f.choice(FormPeg, "bank", "It stands on the", string(d.Bank), bankChoices()),
		f.number(FormPeg, "bearing", "The water flows towards, in degrees", strconv.Itoa(d.BearingDeg), "0 is north, 90 east, 180 south, 270 west."),
		f.signed(FormPeg, "mark", "The bank stands at, in metres on the board", plainMetres(d.MarkM), "Where the board would read if the water came up to the peg's mark."),
		f.check(FormPeg, "weir", "A weir or a lock lies between the gauge and this peg", d.Reach == club.PastWeir),
		f.area(FormPeg, "access", "Getting to it", d.Access),
		optional(f.signed(FormPeg, "lat", "Latitude in degrees", lat, ""), "Such as 52.1234. Empty where nobody knows."),
		optional(f.signed(FormPeg, "lon", "Longitude in degrees", lon, ""), "Such as -1.5678: west is below nought."),
	}}
	var lines []SetupLine
	for _, r := range k.Runs {
		line := SetupLine{Name: capital(r.Name), Says: metres(r.DistanceM) + " out, " + club.Plural(r.Soundings, "sounding"), Href: href + "/runs/" + strconv.FormatInt(r.ID, 10)}
		if r.Soundings == 0 {
			line.Acts = []SetupAct{{"Take away", href + "/runs/" + strconv.FormatInt(r.ID, 10) + "/drop", "sure", "1"}}
		}
		lines = append(lines, line)
	}
	drop := SetupPart{ID: "drop", Fold: "Take this peg away", Text: []string{"Nothing was ever sounded here, so it goes. Its code is never given to another peg."}, Form: &SetupForm{Action: href + "/drop", Buttons: button("Take it away")}}
	if k.Soundings > 0 {
		drop.Fold, drop.Text = "Close this peg for good", []string{"It was sounded, so it stays in the book, closed. The closure can be lifted like any other."}
		drop.Form.Buttons = button("Close it for good")
	}
	p.Parts = []SetupPart{{Form: &form}, {ID: "runs", Heading: "Its runs, from the bank outwards", Lines: lines},
		{ID: "run", Fold: "Make a run", Unfolded: f.sent(FormRun), Form: &SetupForm{Action: href + "/runs", Fields: runFields(f, club.RunDraft{}), Buttons: button("Make this run")}}}
	if !k.Gone {
		p.Parts = append(p.Parts, drop)
	}
	p.Back = SpanLink{Label: "Back to the pegs", Href: setupVenueHref(w.Venue.Slug) + "/pegs"}
	return p
}

func runFields(f Fill, d club.RunDraft) []SetupField {
	out := ""
	if d.Name != "" {
		out = plainMetres(d.DistanceM)
	}
	return []SetupField{
		f.line(FormRun, "name", "What the run is called, such as two rods", d.Name),
		f.number(FormRun, "distance", "How far out from the peg's mark, in metres", out, ""),
		f.choice(FormRun, "boil", "How broken the water is", strconv.Itoa(d.Boil), []Choice{{Value: "0", Label: "Smooth"}, {Value: "1", Label: "A little broken"}, {Value: "2", Label: "Broken"}, {Value: "3", Label: "Boily"}}),
		f.check(FormRun, "steep", "The bed slopes hard here", d.SteepSide),
		f.check(FormRun, "snaggy", "A hooked fish can reach snags", d.Snaggy),
		optional(f.line(FormRun, "bottom", "What the bottom is, such as gravel", d.Bottom), ""),
	}
}

// NewRunSetup shapes the page of one run.
func NewRunSetup(a Assets, w club.OfficeWater, k club.OfficePeg, r club.OfficeRun, f Fill) SetupPage {
	p := f.water(a, w, "Peg "+k.Label+", "+r.Name)
	href := setupVenueHref(w.Venue.Slug) + "/pegs/" + k.Code
	d := r.Draft()
	p.Parts = []SetupPart{{Form: &SetupForm{Action: href + "/runs/" + strconv.FormatInt(r.ID, 10), Was: d.Stamp(), Fields: runFields(f, d), Buttons: button("Keep this")}}}
	if r.Soundings > 0 {
		p.Lead = []string{"It has " + club.Plural(r.Soundings, "sounding") + ". Change how far out it is only where that was written down wrong: another path past the peg is another run."}
	}
	p.Back = SpanLink{Label: "Back to peg " + k.Label, Href: href}
	return p
}

// RunsMost is how many runs the form of a usual set has room for.
const RunsMost = 6

// NewRunsSetup shapes the page that gives every peg of a venue the usual runs.
func NewRunsSetup(a Assets, w club.OfficeWater, f Fill) SetupPage {
	p := f.water(a, w, "The usual runs")
	p.Lead = []string{"A run is a path the float takes past a peg. These are made at every peg that has none so named or so far out; what is there stays. Then put each peg's right on its own page."}
	if len(w.Pegs) == 0 {
		p.Parts = []SetupPart{{Text: []string{"The water has no pegs yet. Make its pegs first."}}}
		return p
	}
	usual := club.UsualRuns()
	var fields []SetupField
	for i := range RunsMost {
		n, name, out := strconv.Itoa(i+1), "", ""
		if i < len(usual) {
			name, out = usual[i].Name, plainMetres(usual[i].DistanceM)
		}
		fields = append(fields, optional(f.line(FormRuns, "name"+n, "Run "+n, name), ""), optional(f.number(FormRuns, "out"+n, "How far out, in metres", out, ""), ""))
	}
	p.Parts = []SetupPart{{Text: []string{club.Plural(w.Venue.PegsWithRuns, "peg") + " of " + strconv.Itoa(w.Venue.Pegs) + " have runs. Empty a line that is not wanted."},
		Form: &SetupForm{Action: setupVenueHref(w.Venue.Slug) + "/runs", Fields: fields, Buttons: button("Make these runs")}}}
	return p
}

func hazardFields(f Fill, w club.OfficeWater, d club.HazardDraft) []SetupField {
	var kinds []Choice
	for _, k := range club.HazardKinds() {
		kinds = append(kinds, Choice{Value: string(k), Label: capital(string(k))})
	}
	peg, far := "", ""
	if d.Peg.Label != "" {
		peg = PegValue(d.Peg.Label, d.Peg.Code)
	}
	if d.DistanceM != 0 {
		far = plainMetres(d.DistanceM)
	}
	kind := string(d.Kind)
	if kind == "" {
		kind = string(club.PowerLine)
	}
	return []SetupField{
		f.choice(FormHazard, "kind", "What kind it is", kind, kinds),
		f.choice(FormHazard, "peg", "Where", peg, officePegChoices(w, "All along the water")),
		optional(f.number(FormHazard, "distance", "How far from the peg, in metres", far, ""), "Empty where it is at the peg, or nobody measured it. Fish nowhere within 30 m of a power line."),
		f.line(FormHazard, "text", "What can hurt somebody, in a sentence", d.Text),
	}
}

// NewHazardsSetup shapes the page of a venue's hazards.
func NewHazardsSetup(a Assets, w club.OfficeWater, f Fill) SetupPage {
	p := f.water(a, w, "Hazards")
	href := setupVenueHref(w.Venue.Slug) + "/hazards"
	p.Lead = []string{"They stand first on the sheet of every peg they are at."}
	var lines []SetupLine
	for _, h := range w.Hazards {
		at := "all along the water"
		if h.PegLabel != "" {
			at = "peg " + h.PegLabel
		}
		id := href + "/" + strconv.FormatInt(h.ID, 10)
		lines = append(lines, SetupLine{Name: capital(string(h.Kind)) + ", " + at, Says: h.Text, Href: id})
	}
	form := SetupForm{Action: href, Fields: hazardFields(f, w, club.HazardDraft{}), Buttons: button("Write this hazard down")}
	form.Fields[3].Most = 500
	p.Parts = []SetupPart{{Lines: lines}, {ID: "hazard", Heading: "A new hazard", Form: &form}}
	if !w.Member.Role.MayRunClub() {
		p.Back = SpanLink{Label: "Back to " + w.Venue.Name, Href: "/venues/" + w.Venue.Slug}
	}
	return p
}

// NewHazardSetup shapes the page of one hazard.
func NewHazardSetup(a Assets, w club.OfficeWater, h club.OfficeHazard, f Fill) SetupPage {
	p := f.water(a, w, "A hazard")
	href := setupVenueHref(w.Venue.Slug) + "/hazards"
	d := h.Draft()
	form := SetupForm{Action: href + "/" + strconv.FormatInt(h.ID, 10), Was: d.Stamp(), Fields: hazardFields(f, w, d), Buttons: button("Keep this")}
	form.Fields[3].Most = 500
	p.Parts = []SetupPart{{Form: &form}, {ID: "drop", Fold: "Take this hazard away", Text: []string{"Only where it is gone: no sheet warns of it after that. Whoever took it away stands in the log."},
		Form: &SetupForm{Action: form.Action + "/drop", Buttons: button("Take it away")}}}
	p.Back = SpanLink{Label: "Back to the hazards", Href: href}
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
