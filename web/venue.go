package web

import (
	"time"

	"levelpeg/club"
)

// VenuePage is a venue as a page.
type VenuePage struct {
	Shell                    Shell
	Name, River, About       string
	Access, Gauge, GaugeHref string
	Level                    LevelLine
	Look                     string // at the water, lately
	Stops                    StopBox
	Parts                    []PartLine
	ClosuresHref             string
	Notes                    []NoteLine
	Photos                   []PhotoLine
	NoteLinks                NotesLinks
	Cares                    []club.Care
	Pegs                     []PegRow
	Rules, Closures          []string
	Fixtures                 []FixtureLine
	At                       string // what the pegs' links ask, in words; empty where they ask for the latest
	TieHref                  string // what to tie, at the hour the pegs' links ask for
	JSON                     string
	Sheet                    string // address of all pegs on paper
	Labels                   string // of labels for the posts; empty for a visitor
	Problem                  string
	MapHref                  string // empty where no peg is on the map
	SetupHref                string // of those who may set it up
	Saving                   Saving
}

// PegRow is a peg in its venue's list.
type PegRow struct{ Label, Href, Bank, Known, Mark string }

// FixtureLine is a fixture, and the addresses of its venue and of what to tie at the hour
// it begins.
type FixtureLine struct{ Name, When, Href, Tie string }

func fixtureLine(venueSlug string, f club.Fixture, now time.Time, loc *time.Location) FixtureLine {
	return FixtureLine{Name: f.Name, When: f.Words(now, loc), Href: atHref("/venues/"+venueSlug, f.Starts, loc) + "#pegs",
		Tie: atHref("/venues/"+venueSlug+"/tonight", f.Starts, loc)}
}

// NewVenuePage shapes a venue for the page. at is the moment that the pegs' sheets are to
// answer for; zero is now.
func NewVenuePage(a Assets, v club.VenueView, at, now time.Time, loc *time.Location) VenuePage {
	off := v.Standing.Zero.OffsetM
	when, then, said := now, v, "now"
	if !at.IsZero() {
		when, then, said = at, v.On(at, now), "at that hour"
	}
	p := VenuePage{
		Shell: NewShell(a, v.Club, v.Member, v.Venue.Name).At(v.Venue),
		Name:  v.Venue.Name, River: v.Venue.River, About: v.Venue.About, Access: v.Venue.Access,
		Gauge: v.Standing.Gauge.Name, GaugeHref: "/gauges/" + v.Standing.Gauge.Slug,
		Level:        levelLine(v.Standing, now),
		Look:         lookWords(v.Look, now),
		Stops:        stopBox(club.VenueStops(v.Venue, then.Standing, v.Closures, v.Rules, when, loc)),
		Parts:        partLines(club.PartStops(then.Standing, v.Closures, v.Rules, when, loc), said),
		Cares:        club.VenueCares(then, when),
		ClosuresHref: closuresHref(v.Venue.Slug),
		Saving:       venueSaving(a, v),
		JSON:         "/venues/" + v.Venue.Slug + ".json",
	}
	if p.Stops.Head != "" && when != now {
		p.Stops.Head = "Do not fish here at that hour."
	}
	if v.Member.Role.MayRunClub() {
		p.SetupHref = setupVenueHref(v.Venue.Slug)
	}
	p.NoteLinks, p.Photos = notesLinks(v.Member, v.Venue.Slug, ""), sheetPhotoLines(v.Pictures, v.Member, loc)
	for _, n := range v.Notes {
		if !n.Hidden {
			p.Notes = append(p.Notes, noteLine(n, v.Member, levelOnDatum(v.Standing), off, loc))
		}
	}
	for _, l := range then.Pegs {
		if l.Peg.At != nil {
			p.MapHref = "/venues/" + v.Venue.Slug + "/map"
		}
		p.Pegs = append(p.Pegs, pegRow(v.Venue.Slug, l, at, now, loc))
	}
	for _, r := range v.Rules {
		p.Rules = append(p.Rules, ruleWords(r, off, loc))
	}
	for _, c := range v.Closures {
		if c.From.After(when) { // those that stand are said above
			p.Closures = append(p.Closures, atPegs(c.FromLabel, c.ToLabel)+c.Words(when, loc))
		}
	}
	for _, f := range v.Fixtures {
		p.Fixtures = append(p.Fixtures, fixtureLine(v.Venue.Slug, f, now, loc))
	}
	p.TieHref, p.Sheet = "/venues/"+v.Venue.Slug+"/tonight", "/venues/"+v.Venue.Slug+".pdf"
	if v.Member.ID != 0 {
		p.Labels = "/venues/" + v.Venue.Slug + "/labels.pdf"
	}
	if !at.IsZero() {
		p.Sheet = atHref(p.Sheet, at, loc)
		p.TieHref = atHref(p.TieHref, at, loc)
		p.At = at.In(loc).Format("Mon 2 January 2006, 15:04")
	}
	return p
}

func pegRow(slug string, l club.PegLine, at, now time.Time, loc *time.Location) PegRow {
	r := PegRow{Label: l.Peg.Label, Href: "/venues/" + slug + "/pegs/" + l.Peg.Label, Bank: string(l.Peg.Bank), Known: "not plumbed yet"}
	if !at.IsZero() {
		r.Href = atHref(r.Href, at, loc)
	}
	if l.Soundings > 0 {
		r.Known = count(l.Soundings, "sounding") + " on " + count(l.Runs, "run") + ", last " + ago(max(0, now.Sub(l.Last)))
	}
	switch {
	case l.Closed:
		r.Mark = "Closed"
	case !l.Closes.IsZero():
		r.Mark = "Closed from " + l.Closes.In(loc).Format("2 Jan")
	case l.NoFishing:
		r.Mark = "No fishing now"
	case l.Hazard:
		r.Mark = "Take care"
	}
	return r
}

// atPegs names pegs before what is said of them; nothing for the whole water.
func atPegs(from, to string) string {
	if from == "" {
		return ""
	}
	return capital(club.SpanWords(from, to)) + ". "
}

// ruleWords is a level rule with its pegs and its time, as the board of today reads.
func ruleWords(r club.LevelRule, offsetM float64, loc *time.Location) string {
	return atPegs(r.FromLabel, r.ToLabel) + r.Says(offsetM, loc)
}
