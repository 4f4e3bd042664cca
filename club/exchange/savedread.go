package exchange

import (
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"levelpeg/club"
)

// ReadSaved reads the file of a saved venue. One that is none, or of another version, is
// an error: it is to be saved anew.
func ReadSaved(file []byte) (club.SavedVenue, error) {
	var f savedFile
	if err := json.Unmarshal(file, &f); err != nil {
		return club.SavedVenue{}, fmt.Errorf("exchange: a saved venue: %w", err)
	}
	if f.Version != SavedVersion {
		return club.SavedVenue{}, fmt.Errorf("exchange: a saved venue of version %d, and not of %d", f.Version, SavedVersion)
	}
	v := club.SavedVenue{At: f.At, PhoneKit: f.PhoneKit, Venue: f.Venue.venue(), Rules: rulesOf(f.Rules), Closures: closuresOf(f.Closures),
		Notes: notesOf(f.Notes), Pictures: picturesOf(f.Pictures), Marked: f.Marked,
		Club: club.Club{Name: f.Club.Name, TimeZone: f.Club.TimeZone, Place: f.Club.Place, Demo: f.Club.Demo}}
	if m := f.Member; m != nil {
		v.Member = club.Member{ID: m.ID, Name: m.Name, Role: m.Role, Kit: m.Kit, Welfare: m.Welfare}
	}
	for _, h := range f.Hazards {
		v.Hazards = append(v.Hazards, club.Hazard{Kind: h.Kind, PegLabel: h.Peg, DistanceM: h.DistanceM, Text: h.Text})
	}
	for _, x := range f.Fixtures {
		v.Fixtures = append(v.Fixtures, club.Fixture{Name: x.Name, Starts: x.Starts, Ends: x.Ends})
	}
	if err := v.Club.LearnZone(f.Club.Changes); err != nil {
		return v, err
	}
	var err error
	if v.River, err = f.Gauge.river(); err != nil {
		return v, err
	}
	for _, p := range f.Pegs {
		v.Pegs = append(v.Pegs, p.peg(v.River.Zeros))
	}
	return v, checkBeside(v.Pegs)
}

// checkBeside sees that what a peg borrows from is there.
func checkBeside(pegs []club.SavedPeg) error {
	for _, p := range pegs {
		for _, b := range p.Beside {
			if b.Peg < 0 || b.Peg >= len(pegs) || b.Run < 0 || b.Run >= len(pegs[b.Peg].Runs) || b.Soundings < 0 || b.Soundings > len(pegs[b.Peg].Runs[b.Run].Soundings) {
				return fmt.Errorf("exchange: a saved venue: peg %s borrows from what is not there", p.Label)
			}
		}
	}
	return nil
}

func (p savedPlace) venue() club.Venue {
	return club.Venue{ID: p.ID, Slug: p.Slug, Name: p.Name, River: p.River, About: p.About, Access: p.Access, CloseSeason: p.CloseSeason}
}

func rulesOf(all []savedRule) []club.LevelRule {
	var out []club.LevelRule
	for _, r := range all {
		out = append(out, club.LevelRule{ID: r.ID, FromLabel: r.FromPeg, ToLabel: r.ToPeg, AboveM: r.AboveM, BelowM: r.BelowM, Effect: r.Effect, Text: r.Text, From: r.From, To: r.To})
	}
	return out
}

func closuresOf(all []savedClosure) []club.Closure {
	var out []club.Closure
	for _, c := range all {
		out = append(out, club.Closure{ID: c.ID, FromLabel: c.FromPeg, ToLabel: c.ToPeg, From: c.From, To: c.To, Reason: c.Reason, SetBy: c.SetBy})
	}
	return out
}

func (g savedGauge) river() (club.SavedRiver, error) {
	r := club.SavedRiver{Gauge: club.Gauge{ID: g.ID, Slug: g.Slug, Name: g.Name, River: g.River, FloodM: g.FloodM, LowM: g.LowM, HighM: g.HighM}, Floods: g.Floods, First: g.First}
	for _, z := range g.Zeros {
		r.Zeros = append(r.Zeros, club.Zero{ID: z.ID, From: z.From, OffsetM: z.OffsetM, Reason: z.Reason})
	}
	for _, v := range g.Venues {
		r.Venues = append(r.Venues, club.GaugeVenue{Venue: v.Venue.venue(), Rules: rulesOf(v.Rules), Closures: closuresOf(v.Closures)})
	}
	r.Look, r.Feeds, r.Board = g.Look.look(), feedsOf(g.Feeds), picturesOf(g.Board)
	var err error
	if r.Readings, err = g.Readings.readings(); err != nil {
		return r, err
	}
	r.All = g.Readings.All
	r.Hours = sync.OnceValues(g.Hours.hours)
	r.Days, err = g.Days.days()
	return r, err
}

// uneven is said of rows that ought to be as long as each other.
func uneven(what string) error {
	return fmt.Errorf("exchange: a saved venue: its %s are not all there", what)
}

// rows reads series that have to be as long as each other.
func rows(what string, all ...series) ([][]int64, error) {
	out := make([][]int64, len(all))
	for i, s := range all {
		var err error
		if out[i], err = s.numbers(); err != nil {
			return nil, err
		}
		if len(out[i]) != len(out[0]) {
			return nil, uneven(what)
		}
	}
	return out, nil
}

func (f savedReadings) readings() ([]club.Reading, error) {
	r, err := rows("readings", f.At, f.MM)
	if err != nil {
		return nil, err
	}
	at, mm := r[0], r[1]
	out := make([]club.Reading, len(at))
	source, next := club.Source(""), 0
	for i := range at {
		if next < len(f.Sources) && f.Sources[next].From <= i {
			source, next = f.Sources[next].Source, next+1
		}
		out[i] = club.Reading{At: time.UnixMicro(at[i]).UTC(), DatumM: float64(mm[i]) / 1000, Source: source}
	}
	return out, nil
}

func (f savedHours) hours() ([]club.HourLevels, error) {
	mean, err := meansIn(f.Mean)
	if err != nil {
		return nil, err
	}
	r, err := rows("hours", f.Least, f.Most, f.N)
	if err != nil {
		return nil, err
	}
	n, whole := len(mean), len(r[0])
	if whole > n {
		return nil, uneven("hours")
	}
	out := make([]club.HourLevels, 0, n)
	for _, run := range f.Runs {
		if run[1] < 0 || run[1] > int64(n-len(out)) {
			return nil, uneven("hours")
		}
		for k := range run[1] {
			i := len(out)
			h := club.HourLevels{HourMean: club.HourMean{Hour: time.Unix((run[0]+k)*3600, 0).UTC(), DatumM: float64(mean[i]) / 1000}, MeanMM: mean[i]}
			if k := i - (n - whole); k >= 0 {
				h.LeastMM, h.MostMM, h.Readings = int32(r[0][k]), int32(r[1][k]), int32(r[2][k])
			}
			out = append(out, h)
		}
	}
	if len(out) != n {
		return nil, uneven("hours")
	}
	return out, nil
}

func (f savedDays) days() ([]club.DayLevels, error) {
	mean, err := meansIn(f.Mean)
	if err != nil {
		return nil, err
	}
	r, err := rows("days", f.At, f.Least, f.Most, f.N)
	if err != nil {
		return nil, err
	}
	if len(mean) != len(r[0]) {
		return nil, uneven("days")
	}
	out := make([]club.DayLevels, len(mean))
	for i := range out {
		out[i] = club.DayLevels{Day: time.Unix(r[0][i], 0).UTC(), MeanMM: mean[i], LeastMM: int32(r[1][i]), MostMM: int32(r[2][i]), Readings: int32(r[3][i])}
	}
	return out, nil
}

func (f savedPeg) peg(zeros []club.Zero) club.SavedPeg {
	p := club.SavedPeg{Soundings: f.Soundings, Peg: club.Peg{ID: f.ID, Code: f.Code, Label: f.Label, Order: f.Order, Bank: f.Bank, BearingDeg: f.Flow, Reach: club.OpenReach, Access: f.Access, MarkHeightM: f.MarkM}}
	if f.PastWeir {
		p.Reach = club.PastWeir
	}
	for _, r := range f.Runs {
		run := club.RunBook{Run: club.Run{ID: r.ID, Name: r.Name, DistanceM: r.DistanceM, Boil: r.Boil, SteepSide: r.SteepSide, Snaggy: r.Snaggy, Bottom: r.Bottom}}
		for _, s := range r.Soundings {
			run.Soundings = append(run.Soundings, club.Sounding{At: s.At, LevelM: moreMM(s.LevelM, onDatumM(zeros, s.At)), DepthM: s.DepthM, PaceMPS: s.PaceMPS, TimedS: s.TimedS})
		}
		p.Runs = append(p.Runs, run)
	}
	for _, b := range f.Beside {
		p.Beside = append(p.Beside, club.SavedBeside{Peg: b[0], Run: b[1], Soundings: b[2]})
	}
	if f.LatDeg != nil && f.LonDeg != nil {
		p.At = &club.Position{LatDeg: *f.LatDeg, LonDeg: *f.LonDeg}
	}
	p.Notes, p.Pictures = notesOf(f.Notes), picturesOf(f.Pictures)
	for _, o := range f.Outings {
		p.Outings = append(p.Outings, club.Outing{At: o.At, Colour: o.Colour, TemperatureC: o.TemperatureC, LevelM: o.LevelM})
	}
	return p
}
