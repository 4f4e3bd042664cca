package exchange

import (
	"encoding/json"
	"math"
	"time"

	"levelpeg/club"
)

// venueFileVersion is the version of the file of a venue that is written.
const venueFileVersion = 1

// venueFile is a venue as one file. Numbers that have to be there are pointers, so that
// one which is missing is told from nought.
type venueFile struct {
	Version  *int          `json:"levelpeg_venue"`
	At       string        `json:"exported_at,omitempty"`
	Gauge    *fileGauge    `json:"gauge"`
	Venue    *fileVenue    `json:"venue"`
	Pegs     []filePeg     `json:"pegs"`
	Hazards  []fileHazard  `json:"hazards"`
	Rules    []fileRule    `json:"rules"`
	Closures []fileClosure `json:"closures"`
	Fixtures []fileFixture `json:"fixtures"`
}

type fileGauge struct {
	Slug   string      `json:"slug"`
	Name   string      `json:"name"`
	River  string      `json:"river"`
	LowM   *float64    `json:"ordinary_low_m"`
	HighM  *float64    `json:"ordinary_high_m"`
	FloodM *float64    `json:"flood_m"`
	Zeros  []fileZero  `json:"zeros"`
	Levels []fileLevel `json:"levels,omitempty"`
}

type fileZero struct {
	From    string   `json:"from"`
	OffsetM *float64 `json:"above_first_zero_m"`
	Reason  string   `json:"reason"`
}

type fileLevel struct {
	At     string   `json:"at"`
	LevelM *float64 `json:"level_m"`
	Source string   `json:"source"`
}

type fileVenue struct {
	Slug        string `json:"slug"`
	Name        string `json:"name"`
	River       string `json:"river"`
	About       string `json:"about"`
	Access      string `json:"access"`
	CloseSeason *bool  `json:"close_season"`
}

type filePeg struct {
	Code     string     `json:"code"`
	Label    string     `json:"label"`
	Bank     string     `json:"bank"`
	Flow     *int       `json:"flow_towards_deg"`
	PastWeir bool       `json:"past_weir"`
	Access   string     `json:"access"`
	MarkM    *float64   `json:"mark_m"`
	Lat      *float64   `json:"lat"`
	Lon      *float64   `json:"lon"`
	Runs     []fileRun  `json:"runs"`
	Notes    []fileNote `json:"notes,omitempty"`
}

type fileRun struct {
	Name      string         `json:"name"`
	DistanceM *float64       `json:"distance_m"`
	Boil      int            `json:"boil"`
	SteepSide bool           `json:"steep_side"`
	Snaggy    bool           `json:"snaggy"`
	Bottom    string         `json:"bottom"`
	Soundings []fileSounding `json:"soundings"`
}

type fileSounding struct {
	At      string   `json:"at"`
	LevelM  *float64 `json:"level_m"`
	DepthM  *float64 `json:"depth_m"`
	PaceMPS float64  `json:"pace_mps,omitempty"`
	TimedS  float64  `json:"timed_s,omitempty"`
	By      string   `json:"by,omitempty"`
}

type fileHazard struct {
	Kind      string  `json:"kind"`
	Peg       string  `json:"peg"`
	DistanceM float64 `json:"distance_m"`
	Text      string  `json:"text"`
}

type fileRule struct {
	FromPeg string   `json:"from_peg"`
	ToPeg   string   `json:"to_peg"`
	AboveM  *float64 `json:"above_m"`
	BelowM  *float64 `json:"below_m"`
	Effect  string   `json:"effect"`
	Text    string   `json:"text"`
	From    *string  `json:"from"`
	To      *string  `json:"to"`
}

type fileClosure struct {
	FromPeg string  `json:"from_peg"`
	ToPeg   string  `json:"to_peg"`
	From    string  `json:"from"`
	To      *string `json:"to"`
	Reason  string  `json:"reason"`
}

type fileFixture struct {
	UID    string `json:"uid"`
	Name   string `json:"name"`
	Starts string `json:"starts_at"`
	Ends   string `json:"ends_at"`
}

type fileNote struct {
	At    string   `json:"at"`
	Text  string   `json:"text"`
	LowM  *float64 `json:"low_m"`
	HighM *float64 `json:"high_m"`
}

// Carrying says what of a venue its file holds beside all that always is.
type Carrying struct {
	Levels bool // of its gauge
	Names  bool // of those who sounded
}

// WriteVenue gives a venue as one JSON file; docs/exchange.md describes it.
func WriteVenue(c club.Carried, with Carrying, now time.Time) ([]byte, error) {
	version := venueFileVersion
	f := venueFile{Version: &version, At: *moment(now), Gauge: gaugeFile(c.Gauge, with.Levels), Venue: &fileVenue{
		Slug: c.Venue.Slug, Name: c.Venue.Name, River: c.Venue.River, About: c.Venue.About, Access: c.Venue.Access, CloseSeason: &c.Venue.CloseSeason}}
	f.Pegs, f.Hazards, f.Rules, f.Closures, f.Fixtures = []filePeg{}, []fileHazard{}, []fileRule{}, []fileClosure{}, []fileFixture{}
	for _, p := range c.Venue.Pegs {
		f.Pegs = append(f.Pegs, pegFile(p, with.Names))
	}
	for _, h := range c.Venue.Hazards {
		f.Hazards = append(f.Hazards, fileHazard{Kind: string(h.Kind), Peg: h.PegLabel, DistanceM: mmOf(h.DistanceM), Text: h.Text})
	}
	for _, r := range c.Venue.Rules {
		f.Rules = append(f.Rules, fileRule{r.FromLabel, r.ToLabel, mmPtr(r.AboveM), mmPtr(r.BelowM), string(r.Effect), r.Text, moment(r.From), moment(r.To)})
	}
	for _, k := range c.Venue.Closures {
		f.Closures = append(f.Closures, fileClosure{k.FromLabel, k.ToLabel, *moment(k.From), moment(k.To), k.Reason})
	}
	for _, x := range c.Venue.Fixtures {
		f.Fixtures = append(f.Fixtures, fileFixture{x.UID, x.Name, *moment(x.Starts), *moment(x.Ends)})
	}
	body, err := json.MarshalIndent(f, "", " ")
	return append(body, '\n'), err
}

func gaugeFile(g club.GaugeBook, levels bool) *fileGauge {
	low, high := mmOf(g.LowM), mmOf(g.HighM)
	f := &fileGauge{Slug: g.Slug, Name: g.Name, River: g.River, LowM: &low, HighM: &high, Zeros: []fileZero{}}
	if g.FloodM != 0 {
		flood := mmOf(g.FloodM)
		f.FloodM = &flood
	}
	for _, z := range g.Zeros {
		offset := mmOf(z.OffsetM)
		f.Zeros = append(f.Zeros, fileZero{*moment(z.From), &offset, z.Reason})
	}
	if levels {
		for _, l := range g.Levels {
			m := mmOf(l.LevelM)
			f.Levels = append(f.Levels, fileLevel{*moment(l.At), &m, string(l.Source)})
		}
	}
	return f
}

func pegFile(p club.PegBook, names bool) filePeg {
	mark, flow := mmOf(p.MarkHeightM), p.BearingDeg
	f := filePeg{Code: p.Code, Label: p.Label, Bank: string(p.Bank), Flow: &flow, PastWeir: p.Reach == club.PastWeir, Access: p.Access, MarkM: &mark, Runs: []fileRun{}, Notes: noteFiles(p.Notes)}
	if p.At != nil {
		lat, lon := p.At.LatDeg, p.At.LonDeg
		f.Lat, f.Lon = &lat, &lon
	}
	for _, r := range p.Runs {
		distance := mmOf(r.DistanceM)
		fr := fileRun{Name: r.Name, DistanceM: &distance, Boil: r.Boil, SteepSide: r.SteepSide, Snaggy: r.Snaggy, Bottom: r.Bottom, Soundings: []fileSounding{}}
		for _, s := range r.Soundings {
			level, depth := mmOf(s.LevelM), mmOf(s.DepthM)
			fs := fileSounding{At: *moment(s.At), LevelM: &level, DepthM: &depth, PaceMPS: mmOf(s.PaceMPS), TimedS: mmOf(s.TimedS)}
			if names {
				fs.By = s.By
			}
			fr.Soundings = append(fr.Soundings, fs)
		}
		f.Runs = append(f.Runs, fr)
	}
	return f
}

func noteFiles(notes []club.Note) []fileNote {
	var out []fileNote
	for _, n := range notes {
		if !n.Private {
			out = append(out, fileNote{*moment(n.At), n.Text, mmPtr(n.LowM), mmPtr(n.HighM)})
		}
	}
	return out
}

// moment is a time as the file has it; nil for none.
func moment(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	s := t.UTC().Format(time.RFC3339Nano)
	return &s
}

// mmOf is to the millimetre, as the book keeps lengths.
func mmOf(m float64) float64 { return math.Round(m*1000) / 1000 }

func mmPtr(m *float64) *float64 {
	if m == nil {
		return nil
	}
	v := mmOf(*m)
	return &v
}
