package web

import (
	"encoding/json"
	"fmt"
	"strings"

	"levelpeg/club"
)

// MapBox is a map of pegs.
type MapBox struct {
	Label            string
	CSS, Leaflet, JS string // addresses of files
	Tiles, Credit    string
	Edit             bool
	Points           []MapPoint
}

// MapPoint is a peg on a map; without a place it is to be placed.
type MapPoint struct {
	Label string   `json:"label"`
	Code  string   `json:"code"`
	Href  string   `json:"href"`
	Lat   *float64 `json:"lat"`
	Lon   *float64 `json:"lon"`
}

// points are the map's pegs for its script.
func (m MapBox) points() string {
	text, err := json.Marshal(m.Points)
	if err != nil {
		return "[]" // of text and numbers there is none
	}
	return string(text)
}

// MapPage is a map of a venue, for those who may see it.
type MapPage struct {
	Shell         Shell
	Name, GeoJSON string
	Box           MapBox
	Rows          []PlaceRow
	Unplaced      string
	Place         string // where a secretary says where the pegs are
}

func (a Assets) mapBox(label string, t club.Tiles) MapBox {
	return MapBox{Label: label, CSS: a.LeafletCSS, Leaflet: a.Leaflet, JS: a.Map, Tiles: t.Address, Credit: t.Credit}
}

func mapPoint(venue string, k club.Peg) MapPoint {
	m := MapPoint{Label: k.Label, Code: k.Code, Href: "/venues/" + venue + "/pegs/" + k.Label}
	if k.At != nil {
		m.Lat, m.Lon = &k.At.LatDeg, &k.At.LonDeg
	}
	return m
}

// NewMapPage shapes where a venue's pegs are.
func NewMapPage(a Assets, v club.VenueView, t club.Tiles) MapPage {
	p := MapPage{Shell: NewShell(a, v.Club, v.Member, "Map of "+v.Venue.Name).At(v.Venue), Name: v.Venue.Name, GeoJSON: "/venues/" + v.Venue.Slug + "/pegs.geojson"}
	p.Box = a.mapBox("Map of the pegs of "+v.Venue.Name, t)
	if v.Member.Role.MayRunClub() {
		p.Place = setupVenueHref(v.Venue.Slug) + "/positions"
	}
	var not []string
	for _, l := range v.Pegs {
		if l.Peg.At == nil {
			not = append(not, l.Peg.Label)
			continue
		}
		m := mapPoint(v.Venue.Slug, l.Peg)
		lat, lon := degrees(l.Peg.At)
		p.Box.Points = append(p.Box.Points, m)
		p.Rows = append(p.Rows, PlaceRow{Code: l.Peg.Code, Label: l.Peg.Label, Lat: lat, Lon: lon, Href: m.Href})
	}
	if len(p.Rows) > 0 && len(not) > 0 {
		p.Unplaced = fmt.Sprintf("Not on the map yet: %s.", strings.Join(not, ", "))
	}
	return p
}

// NewPlacesSetup shapes the page that says where a venue's pegs are.
func NewPlacesSetup(a Assets, w club.OfficeWater, f Fill) SetupPage {
	p := f.water(a, w, "Where the pegs are")
	href := setupVenueHref(w.Venue.Slug) + "/positions"
	if len(w.Pegs) == 0 {
		p.Lead = []string{"The water has no pegs yet. Make its pegs first."}
		return p
	}
	p.Lead = []string{"Members see these on a map; visitors only where they may see the water."}
	box := a.mapBox("Map to place the pegs on", w.Tiles)
	box.Edit = true
	form := SetupForm{Action: href, Was: w.PlacesStamp(), Buttons: button("Keep these")}
	for _, k := range w.Pegs {
		lat, lon := degrees(k.At)
		box.Points = append(box.Points, mapPoint(w.Venue.Slug, k.Peg))
		form.Places = append(form.Places, PlaceRow{Code: k.Code, Label: k.Label, Lat: f.value(FormPlaces, "lat."+k.Code, lat), Lon: f.value(FormPlaces, "lon."+k.Code, lon)})
	}
	p.Parts = []SetupPart{{Map: &box, Form: &form},
		{ID: "points", Fold: "Read them from a GeoJSON file", Unfolded: f.sent(FormPoints), Form: &SetupForm{Action: href + "/geojson", Upload: true, Buttons: button("Place these"), Fields: []SetupField{
			file(FormPoints, "file", "A GeoJSON file", ".geojson,.json,application/geo+json", "Points, each with a property “code”: the peg's lasting code. Other pegs stay where they are.")}},
			Links: []SpanLink{{Label: "The pegs as GeoJSON", Href: "/venues/" + w.Venue.Slug + "/pegs.geojson"}}}}
	return p
}
