package web

import (
	"strconv"

	"levelpeg/club"
)

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
