package web

import (
	"strconv"
	"time"

	"github.com/a-h/templ"

	"levelpeg/club"
	"levelpeg/web/draw"
)

// HomePage is the list of venues as a page.
type HomePage struct {
	Shell   Shell
	Heading string
	Problem string
	Venues  []VenueTile
}

// VenueTile is one venue on the list.
type VenueTile struct {
	Name, River, Href, About string
	Level                    LevelLine
	Stave                    templ.Component
	Stops                    StopBox
	Parts                    []PartLine
	Next                     *FixtureLine // the next fixture; nil where none is to come
	Pegs                     []PegTagLine
}

// PegTagLine is a peg one can tap.
type PegTagLine struct {
	Label, Says, Href string
	Mark              string // "closed"; empty where it may be fished
}

// pegsOnHome is how many pegs the list of venues shows in all; a bigger club's
// pegs are on their venues' pages, and the box finds any.
const pegsOnHome = 400

// NewHomePage shapes the list of venues for the page.
func NewHomePage(a Assets, h club.Home, now time.Time, loc *time.Location) HomePage {
	p := HomePage{Shell: NewShell(a, h.Club, h.Member, "Waters"), Heading: h.Club.Name}
	if p.Heading == "" {
		p.Heading = "No club yet"
	}
	pegs := 0
	for _, v := range h.Venues {
		pegs += len(v.Pegs)
	}
	for i, v := range h.Venues {
		t := VenueTile{
			Stave: miniStave("cm"+strconv.Itoa(i), v.Standing),
			Name:  v.Venue.Name, River: v.Venue.River, Href: "/venues/" + v.Venue.Slug, About: v.Venue.About,
			Level: levelLine(v.Standing, now), Stops: stopBox(club.VenueStops(v.Venue, v.Standing, v.Closures, v.Rules, now, loc)),
		}
		t.Parts = partLines(club.PartStops(v.Standing, v.Closures, v.Rules, now, loc), "now")
		if v.Next != nil {
			next := fixtureLine(v.Venue.Slug, *v.Next, now, loc)
			t.Next = &next
		}
		if pegs <= pegsOnHome {
			t.Pegs = pegTagLines(v.Venue.Slug, v.Pegs)
		}
		p.Venues = append(p.Venues, t)
	}
	return p
}

func pegTagLines(slug string, tags []club.PegTag) []PegTagLine {
	out := make([]PegTagLine, len(tags))
	for i, t := range tags {
		out[i] = PegTagLine{Label: t.Label, Says: "Peg " + t.Label, Href: "/venues/" + slug + "/pegs/" + t.Label}
		if t.Closed {
			out[i].Mark = "closed"
		} else if t.NoFishing {
			out[i].Mark = "no fishing"
		}
		if out[i].Mark != "" {
			out[i].Says += ", " + out[i].Mark
		}
	}
	return out
}

// StopBox says not to fish, and why. Empty: nothing forbids it.
type StopBox struct {
	Head string
	Why  []string
}

func stopBox(stops []club.Stop) StopBox {
	if len(stops) == 0 {
		return StopBox{}
	}
	b := StopBox{Head: "Do not fish here now."}
	for _, s := range stops {
		b.Why = append(b.Why, s.Text)
	}
	return b
}

// PartLine says not to fish some of a venue's pegs, and why.
type PartLine struct{ Head, Why string }

func partLines(all []club.PartStop, when string) []PartLine {
	var out []PartLine
	for _, p := range all {
		out = append(out, PartLine{"Do not fish " + p.Pegs() + " " + when + ".", p.Text})
	}
	return out
}

// miniStave shows the level on the zero in force, within the board's ordinary range.
func miniStave(id string, st club.Standing) templ.Component {
	var level *float64
	if st.Latest != nil {
		level = &st.Latest.LevelM
	}
	return draw.MiniStave(id, st.Gauge.LowM-st.Zero.OffsetM, st.Gauge.HighM-st.Zero.OffsetM, level)
}
