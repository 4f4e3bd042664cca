package exchange

import (
	"encoding/json"
	"slices"
	"time"

	"levelpeg/club"
)

// zoneAhead is how far ahead a saved venue knows the club's clocks: further than a moment
// can be asked for.
const zoneAhead = 5 * 366 * 24 * time.Hour

// WriteSaved gives a saved venue as its file.
func WriteSaved(v club.SavedVenue) ([]byte, error) {
	loc, err := v.Club.Zone()
	if err != nil {
		return nil, err
	}
	gauge, err := riverFile(v.River)
	if err != nil {
		return nil, err
	}
	f := savedFile{Version: SavedVersion, At: v.At.UTC(), PhoneKit: v.PhoneKit, Venue: placeFile(v.Venue), Gauge: gauge,
		Club:  savedClub{v.Club.Name, v.Club.TimeZone, club.ZoneChanges(loc, v.At.Add(zoneAhead)), v.Club.Place, v.Club.Demo},
		Rules: ruleFiles(v.Rules), Closures: closureFiles(v.Closures), Notes: savedNotes(v.Notes), Pictures: savedPictures(v.Pictures), Marked: v.Marked}
	if m := v.Member; m.ID != 0 {
		f.Member = &savedMember{m.ID, m.Name, m.Role, m.Kit, m.Welfare}
	}
	if st, ok := v.River.Standing(v.At); ok && st.Latest != nil {
		f.Level = &savedLevel{st.Latest.At.UTC(), st.Latest.LevelM}
	}
	for _, p := range v.Pegs {
		f.Pegs = append(f.Pegs, savedPegFile(p, v.River.Zeros))
	}
	for _, h := range v.Hazards {
		f.Hazards = append(f.Hazards, savedHazard{h.Kind, h.PegLabel, h.DistanceM, h.Text})
	}
	for _, x := range v.Fixtures {
		f.Fixtures = append(f.Fixtures, savedFixture{x.Name, x.Starts.UTC(), x.Ends.UTC()})
	}
	return json.Marshal(f)
}

func placeFile(v club.Venue) savedPlace {
	return savedPlace{v.ID, v.Slug, v.Name, v.River, v.About, v.Access, v.CloseSeason}
}

func ruleFiles(all []club.LevelRule) []savedRule {
	var out []savedRule
	for _, r := range all {
		out = append(out, savedRule{r.ID, r.FromLabel, r.ToLabel, r.AboveM, r.BelowM, r.Effect, r.Text, utc(r.From), utc(r.To)})
	}
	return out
}

func closureFiles(all []club.Closure) []savedClosure {
	var out []savedClosure
	for _, c := range all {
		out = append(out, savedClosure{c.ID, c.FromLabel, c.ToLabel, utc(c.From), utc(c.To), c.Reason, c.SetBy})
	}
	return out
}

// utc is a time in UTC; the zero one stays zero.
func utc(t time.Time) time.Time {
	if t.IsZero() {
		return time.Time{}
	}
	return t.UTC()
}

func riverFile(r club.SavedRiver) (savedGauge, error) {
	g := r.Gauge
	f := savedGauge{ID: g.ID, Slug: g.Slug, Name: g.Name, River: g.River, LowM: g.LowM, HighM: g.HighM, FloodM: g.FloodM, First: utc(r.First)}
	for _, z := range r.Zeros {
		f.Zeros = append(f.Zeros, savedZero{z.ID, z.From.UTC(), z.OffsetM, z.Reason})
	}
	for _, day := range r.Floods {
		f.Floods = append(f.Floods, day.UTC())
	}
	for _, v := range r.Venues {
		f.Venues = append(f.Venues, savedSaid{placeFile(v.Venue), ruleFiles(v.Rules), closureFiles(v.Closures)})
	}
	f.Look, f.Feeds, f.Board = lookFile(r.Look), feedFiles(r.Feeds), savedPictures(r.Board)
	hours, err := r.Hours()
	f.Readings, f.Hours, f.Days = readingsFile(r), hoursFile(hours), daysFile(r)
	return f, err
}

func readingsFile(r club.SavedRiver) savedReadings {
	all := r.Readings
	f := savedReadings{All: r.All,
		At: seriesOf(len(all), func(i int) int64 { return all[i].At.UnixMicro() }),
		MM: seriesOf(len(all), func(i int) int64 { return club.WholeMM(all[i].DatumM) })}
	for i, x := range all {
		if i == 0 || x.Source != all[i-1].Source {
			f.Sources = append(f.Sources, savedSource{i, x.Source})
		}
	}
	return f
}

// hoursFile keeps the least and most of the last hours alone.
func hoursFile(all []club.HourLevels) savedHours {
	f := savedHours{Mean: meansOf(len(all), func(i int) float32 { return all[i].MeanMM })}
	for _, h := range all {
		hour, n := h.Hour.Unix()/3600, len(f.Runs)
		if n == 0 || f.Runs[n-1][0]+f.Runs[n-1][1] != hour {
			f.Runs, n = append(f.Runs, [2]int64{hour, 0}), n+1
		}
		f.Runs[n-1][1]++
	}
	last := all
	if n := len(all); n > 0 {
		from := all[n-1].Hour.AddDate(0, 0, -club.SavedHourDays)
		last = all[slices.IndexFunc(all, func(h club.HourLevels) bool { return !h.Hour.Before(from) }):]
	}
	f.Least = seriesOf(len(last), func(i int) int64 { return int64(last[i].LeastMM) })
	f.Most = seriesOf(len(last), func(i int) int64 { return int64(last[i].MostMM) })
	f.N = seriesOf(len(last), func(i int) int64 { return int64(last[i].Readings) })
	return f
}

func daysFile(r club.SavedRiver) savedDays {
	all := r.Days
	return savedDays{At: seriesOf(len(all), func(i int) int64 { return all[i].Day.Unix() }),
		Mean:  meansOf(len(all), func(i int) float32 { return all[i].MeanMM }),
		Least: seriesOf(len(all), func(i int) int64 { return int64(all[i].LeastMM) }),
		Most:  seriesOf(len(all), func(i int) int64 { return int64(all[i].MostMM) }),
		N:     seriesOf(len(all), func(i int) int64 { return int64(all[i].Readings) })}
}

// onDatumM is how high the zero in force at a time lies; that of the first before it.
func onDatumM(zeros []club.Zero, at time.Time) float64 {
	m := 0.0
	for i, z := range zeros {
		if i == 0 || !z.From.After(at) {
			m = z.OffsetM
		}
	}
	return m
}

// lessMM and moreMM turn a level in whole millimetres from one zero to another.
func lessMM(m, offsetM float64) float64 { return float64(club.WholeMM(m)-club.WholeMM(offsetM)) / 1000 }
func moreMM(m, offsetM float64) float64 { return float64(club.WholeMM(m)+club.WholeMM(offsetM)) / 1000 }

func savedPegFile(p club.SavedPeg, zeros []club.Zero) savedPeg {
	f := savedPeg{ID: p.ID, Code: p.Code, Label: p.Label, Order: p.Order, Bank: p.Bank, Flow: p.BearingDeg, PastWeir: p.Reach == club.PastWeir,
		Access: p.Access, MarkM: p.MarkHeightM, Soundings: p.Soundings}
	for _, r := range p.Runs {
		run := savedRun{ID: r.ID, Name: r.Name, DistanceM: r.DistanceM, Boil: r.Boil, SteepSide: r.SteepSide, Snaggy: r.Snaggy, Bottom: r.Bottom}
		for _, s := range r.Soundings {
			run.Soundings = append(run.Soundings, savedSounding{s.At.UTC(), lessMM(s.LevelM, onDatumM(zeros, s.At)), s.DepthM, s.PaceMPS, s.TimedS})
		}
		f.Runs = append(f.Runs, run)
	}
	for _, b := range p.Beside {
		f.Beside = append(f.Beside, [3]int{b.Peg, b.Run, b.Soundings})
	}
	if p.At != nil {
		f.LatDeg, f.LonDeg = &p.At.LatDeg, &p.At.LonDeg
	}
	f.Notes, f.Pictures = savedNotes(p.Notes), savedPictures(p.Pictures)
	for _, o := range p.Outings {
		f.Outings = append(f.Outings, savedOuting{o.At.UTC(), o.Colour, o.TemperatureC, o.LevelM})
	}
	return f
}
