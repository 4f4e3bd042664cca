package exchange

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"levelpeg/club"
)

// Sizes of a venue's file.
const (
	filePegsMost   = 2000
	fileTextMost   = 20000 // signs
	farthestPastIs = 1700  // a year
)

// ReadVenue reads the file of a venue. What makes no sense is a fault whose sentence
// names the place in the file: nothing of such a file is taken.
func ReadVenue(file []byte, now time.Time) (club.Carried, error) {
	var out club.Carried
	var f venueFile
	if bytes.Contains(file, []byte(`\u0000`)) {
		return out, club.Faultf(club.Invalid, "Line %d of the file holds a sign that is no text.", lineAt(file, int64(bytes.Index(file, []byte(`\u0000`)))))
	}
	if err := json.Unmarshal(file, &f); err != nil {
		return out, jsonFault(file, err)
	}
	switch {
	case f.Version == nil:
		return out, club.Faultf(club.Invalid, "This is not a water's file: it has no “levelpeg_venue”.")
	case *f.Version != venueFileVersion:
		return out, at("levelpeg_venue", "this program reads version %d, and the file is of version %d", venueFileVersion, *f.Version)
	case f.Gauge == nil:
		return out, at("gauge", "it is missing")
	case f.Venue == nil:
		return out, at("venue", "it is missing")
	}
	r := &fileReader{now: now}
	out.Gauge = r.gauge(*f.Gauge)
	out.Venue = r.venue(*f.Venue, out.Gauge)
	r.pegs(f.Pegs, &out.Venue)
	for i, h := range f.Hazards {
		out.Venue.Hazards = append(out.Venue.Hazards, r.hazard(fmt.Sprintf("hazards[%d]", i), h))
	}
	for i, x := range f.Rules {
		out.Venue.Rules = append(out.Venue.Rules, r.rule(fmt.Sprintf("rules[%d]", i), x))
	}
	for i, x := range f.Closures {
		out.Venue.Closures = append(out.Venue.Closures, r.closure(fmt.Sprintf("closures[%d]", i), x))
	}
	for i, x := range f.Fixtures {
		out.Venue.Fixtures = append(out.Venue.Fixtures, r.fixture(fmt.Sprintf("fixtures[%d]", i), x))
	}
	return out, r.err
}

// fileReader turns the parts of a file into those of a book. It keeps the first thing
// that makes no sense; what it gives after that is of no use.
type fileReader struct {
	now    time.Time
	err    error
	zero   time.Time         // when the gauge's first zero begins
	labels map[string]string // of the pegs, by what they are in small letters
}

func (r *fileReader) fault(path, format string, args ...any) {
	if r.err == nil {
		r.err = at(path, format, args...)
	}
}

// checked keeps what a draft's own check says.
func (r *fileReader) checked(path string, err error) {
	if err != nil {
		r.fault(path, "%s", lowerFirst(trimmed(err)))
	}
}

func lowerFirst(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 || first == '“' {
		return s
	}
	return strings.ToLower(s[:size]) + s[size:]
}

// number is one that has to be there, within a range.
func (r *fileReader) number(path string, v *float64, least, most float64) float64 {
	switch {
	case v == nil:
		r.fault(path, "it is missing")
		return 0
	case !(*v >= least && *v <= most):
		r.fault(path, "%g is not from %g to %g", *v, least, most)
	}
	return *v
}

func (r *fileReader) level(path string, v *float64) float64 {
	return r.number(path, v, club.MinLevelM, club.MaxLevelM)
}

func (r *fileReader) optionalLevel(path string, v *float64) *float64 {
	if v == nil {
		return nil
	}
	level := r.level(path, v)
	return &level
}

// time is one with its zone, RFC 3339.
func (r *fileReader) time(path, text string) time.Time {
	t, err := time.Parse(time.RFC3339Nano, text)
	switch {
	case text == "":
		r.fault(path, "it is missing")
	case err != nil:
		r.fault(path, "“%s” is not a time such as 2026-11-20T18:30:00Z", clipped(text))
	case t.Year() < farthestPastIs || t.After(r.now.AddDate(100, 0, 0)):
		r.fault(path, "%s is not a time of this book", clipped(text))
	}
	return t.UTC().Truncate(time.Microsecond) // as the book keeps times
}

func (r *fileReader) optionalTime(path string, text *string) time.Time {
	if text == nil {
		return time.Time{}
	}
	return r.time(path, *text)
}

// past is a time of something that was read.
func (r *fileReader) past(path, text string) time.Time {
	t := r.time(path, text)
	if t.After(r.now.Add(24 * time.Hour)) {
		r.fault(path, "%s is still to come", text)
	}
	if t.Before(r.zero) {
		r.fault(path, "%s is before the gauge's first zero begins", text)
	}
	return t
}

func (r *fileReader) gauge(f fileGauge) club.GaugeBook {
	g := club.GaugeBook{Gauge: club.Gauge{Slug: f.Slug, Name: f.Name, River: f.River}}
	g.LowM, g.HighM = r.level("gauge.ordinary_low_m", f.LowM), r.level("gauge.ordinary_high_m", f.HighM)
	if f.FloodM != nil {
		g.FloodM = r.level("gauge.flood_m", f.FloodM)
	}
	d := club.GaugeDraft{Name: g.Name, River: g.River, LowM: g.LowM, HighM: g.HighM, FloodM: f.FloodM}
	d, err := d.Checked(r.now)
	r.checked("gauge", err)
	g.Name, g.River = d.Name, d.River
	for i, z := range f.Zeros {
		g.Zeros = append(g.Zeros, r.zeroOf(fmt.Sprintf("gauge.zeros[%d]", i), i, z, g.Zeros))
	}
	if len(g.Zeros) == 0 {
		r.fault("gauge.zeros", "a gauge has at least one zero")
	} else {
		r.zero = g.Zeros[0].From
	}
	for i, l := range f.Levels {
		path := fmt.Sprintf("gauge.levels[%d]", i)
		v := club.Level{At: r.past(path+".at", l.At), LevelM: r.level(path+".level_m", l.LevelM), Source: club.Source(l.Source)}
		if v.Source != club.Board && v.Source != club.Station {
			r.fault(path+".source", "“%s” is neither board nor station", clipped(l.Source))
		}
		if i > 0 && !v.At.After(g.Levels[i-1].At) {
			r.fault(path+".at", "levels stand in order of time, each time once")
		}
		g.Levels = append(g.Levels, v)
	}
	return g
}

func (r *fileReader) zeroOf(path string, i int, f fileZero, before []club.Zero) club.Zero {
	z := club.Zero{From: r.time(path+".from", f.From), OffsetM: r.number(path+".above_first_zero_m", f.OffsetM, club.MinLevelM, -club.MinLevelM), Reason: f.Reason}
	if i == 0 && z.OffsetM != 0 {
		r.fault(path+".above_first_zero_m", "the first zero is 0 above itself")
	}
	if i > 0 && !z.From.After(before[i-1].From) {
		r.fault(path+".from", "zeros stand in order of time")
	}
	r.text(path+".reason", f.Reason, true)
	return z
}

// text is one of the book's, which may be empty where that is said.
func (r *fileReader) text(path, s string, maybe bool) {
	switch n := utf8.RuneCountInString(s); {
	case n > fileTextMost:
		r.fault(path, "that is %d signs long, and %d is the most", n, fileTextMost)
	case !maybe && strings.TrimSpace(s) == "":
		r.fault(path, "it is empty")
	case strings.ContainsRune(s, 0):
		r.fault(path, "there is a sign in it that is no text")
	}
}

func (r *fileReader) venue(f fileVenue, g club.GaugeBook) club.VenueBook {
	d := club.VenueDraft{Name: f.Name, River: f.River, Gauge: "there", About: f.About, Access: f.Access}
	d, err := d.Checked()
	r.checked("venue", err)
	if f.CloseSeason == nil {
		r.fault("venue.close_season", "it is missing")
		f.CloseSeason = new(bool)
	}
	return club.VenueBook{Venue: club.Venue{Slug: f.Slug, Name: d.Name, River: d.River, About: d.About, Access: d.Access, CloseSeason: *f.CloseSeason}, GaugeSlug: g.Slug}
}

var codeShape = regexp.MustCompile(`^[2-9A-HJKMNP-Z]{4,8}$`)

func (r *fileReader) pegs(all []filePeg, v *club.VenueBook) {
	if len(all) > filePegsMost {
		r.fault("pegs", "a water has at most %d pegs, and these are %d", filePegsMost, len(all))
	}
	r.labels = map[string]string{}
	codes := map[string]bool{}
	for i, f := range all {
		if r.err != nil {
			return
		}
		path := fmt.Sprintf("pegs[%d]", i)
		p := r.peg(path, f)
		p.Order = i + 1
		if _, twice := r.labels[strings.ToLower(p.Label)]; twice {
			r.fault(path+".label", "another peg has the number %s", p.Label)
		}
		if p.Code != "" && (codes[p.Code] || !codeShape.MatchString(p.Code)) {
			r.fault(path+".code", "“%s” is not a peg's code, or another peg of the file has it", clipped(p.Code))
		}
		r.labels[strings.ToLower(p.Label)], codes[p.Code] = p.Label, true
		v.Pegs = append(v.Pegs, p)
	}
}

func (r *fileReader) peg(path string, f filePeg) club.PegBook {
	p := club.PegBook{Peg: club.Peg{Code: f.Code, Label: f.Label, Bank: club.Bank(f.Bank), Reach: club.OpenReach, Access: f.Access}}
	p.MarkHeightM = r.level(path+".mark_m", f.MarkM)
	if f.PastWeir {
		p.Reach = club.PastWeir
	}
	if f.Flow == nil {
		r.fault(path+".flow_towards_deg", "it is missing")
	} else {
		p.BearingDeg = *f.Flow
	}
	switch {
	case f.Lat != nil && f.Lon != nil:
		p.At = &club.Position{LatDeg: *f.Lat, LonDeg: *f.Lon}
	case f.Lat != nil || f.Lon != nil:
		r.fault(path, "one of lat and lon is missing")
	}
	d, err := club.PegDraft{Label: p.Label, Bank: p.Bank, BearingDeg: p.BearingDeg, Reach: p.Reach, Access: p.Access, MarkM: p.MarkHeightM, At: p.At}.Checked()
	r.checked(path, err)
	p.Label, p.Access = d.Label, d.Access
	names, distances := map[string]bool{}, map[float64]bool{}
	for i, x := range f.Runs {
		where := fmt.Sprintf("%s.runs[%d]", path, i)
		run := r.run(where, x)
		if names[run.Name] || distances[run.DistanceM] {
			r.fault(where, "another run of the peg has its name or its distance")
		}
		names[run.Name], distances[run.DistanceM] = true, true
		p.Runs = append(p.Runs, run)
	}
	for i, n := range f.Notes {
		p.Notes = append(p.Notes, r.note(fmt.Sprintf("%s.notes[%d]", path, i), n))
	}
	return p
}

func (r *fileReader) run(path string, f fileRun) club.RunBook {
	d := club.RunDraft{Name: f.Name, DistanceM: mmOf(r.number(path+".distance_m", f.DistanceM, 0, 200)), Boil: f.Boil, SteepSide: f.SteepSide, Snaggy: f.Snaggy, Bottom: f.Bottom}
	d, err := d.Checked()
	r.checked(path, err)
	out := club.RunBook{Run: club.Run{Name: d.Name, DistanceM: d.DistanceM, Boil: d.Boil, SteepSide: d.SteepSide, Snaggy: d.Snaggy, Bottom: d.Bottom}}
	for i, s := range f.Soundings {
		out.Soundings = append(out.Soundings, r.sounding(fmt.Sprintf("%s.soundings[%d]", path, i), s))
	}
	return out
}

// What a sounding may be, as the book's own constraints have it.
const (
	leastDepthM, mostDepthM = 0.01, 30
	leastPace, mostPace     = 0.001, 6
	mostTimedS              = 3600
)

func (r *fileReader) sounding(path string, f fileSounding) club.Sounding {
	s := club.Sounding{At: r.past(path+".at", f.At), LevelM: r.level(path+".level_m", f.LevelM), DepthM: r.number(path+".depth_m", f.DepthM, leastDepthM, mostDepthM), By: f.By}
	if f.PaceMPS != 0 {
		s.PaceMPS = r.number(path+".pace_mps", &f.PaceMPS, leastPace, mostPace)
	}
	if f.TimedS != 0 {
		s.TimedS = r.number(path+".timed_s", &f.TimedS, 0.001, mostTimedS)
	}
	if s.TimedS > 0 && s.PaceMPS == 0 {
		r.fault(path+".timed_s", "it was timed, and its pace is missing")
	}
	return s
}

func (r *fileReader) note(path string, f fileNote) club.Note {
	n := club.Note{Posted: club.Posted{At: r.time(path+".at", f.At)}, Text: strings.TrimSpace(f.Text), LowM: r.optionalLevel(path+".low_m", f.LowM), HighM: r.optionalLevel(path+".high_m", f.HighM)}
	r.text(path+".text", f.Text, false)
	if n.LowM != nil && n.HighM != nil && *n.LowM > *n.HighM {
		r.fault(path+".low_m", "it is above high_m")
	}
	return n
}

// knownPeg is a label of a peg of the file, or none.
func (r *fileReader) knownPeg(path, label string) string {
	is, found := r.labels[strings.ToLower(label)]
	if label != "" && !found {
		r.fault(path, "the file has no peg “%s”", clipped(label))
	}
	return is
}

// span is pegs from one to another, or none.
func (r *fileReader) span(path, from, to string) (string, string) {
	from, to = r.knownPeg(path+".from_peg", from), r.knownPeg(path+".to_peg", to)
	if (from == "") != (to == "") {
		r.fault(path, "one of from_peg and to_peg is missing: the same twice is one peg, neither the whole water")
	}
	return from, to
}

func (r *fileReader) hazard(path string, f fileHazard) club.Hazard {
	d, err := club.HazardDraft{Kind: club.HazardKind(f.Kind), Peg: club.PegRef{Label: r.knownPeg(path+".peg", f.Peg)}, DistanceM: mmOf(f.DistanceM), Text: f.Text}.Checked()
	r.checked(path, err)
	return club.Hazard{Kind: d.Kind, PegLabel: d.Peg.Label, DistanceM: d.DistanceM, Text: d.Text}
}

func (r *fileReader) rule(path string, f fileRule) club.LevelRule {
	x := club.LevelRule{Effect: club.Effect(f.Effect), Text: strings.TrimSpace(f.Text), From: r.optionalTime(path+".from", f.From), To: r.optionalTime(path+".to", f.To),
		AboveM: r.optionalLevel(path+".above_m", f.AboveM), BelowM: r.optionalLevel(path+".below_m", f.BelowM)}
	x.FromLabel, x.ToLabel = r.span(path, f.FromPeg, f.ToPeg)
	r.text(path+".text", f.Text, false)
	switch {
	case (f.AboveM == nil) == (f.BelowM == nil):
		r.fault(path, "a rule has either above_m or below_m")
	case x.Effect != club.NoFishing && x.Effect != club.Caution:
		r.fault(path+".effect", "“%s” is neither %s nor %s", clipped(f.Effect), club.NoFishing, club.Caution)
	case !x.From.IsZero() && !x.To.IsZero() && !x.To.After(x.From):
		r.fault(path+".to", "it ends before it begins")
	}
	return x
}

func (r *fileReader) closure(path string, f fileClosure) club.Closure {
	k := club.Closure{From: r.time(path+".from", f.From), To: r.optionalTime(path+".to", f.To), Reason: strings.TrimSpace(f.Reason)}
	k.FromLabel, k.ToLabel = r.span(path, f.FromPeg, f.ToPeg)
	r.text(path+".reason", f.Reason, false)
	if !k.To.IsZero() && !k.To.After(k.From) {
		r.fault(path+".to", "it ends before it begins")
	}
	return k
}

func (r *fileReader) fixture(path string, f fileFixture) club.Fixture {
	x := club.Fixture{UID: f.UID, Name: f.Name, Starts: r.time(path+".starts_at", f.Starts), Ends: r.time(path+".ends_at", f.Ends)}
	d, err := club.FixtureDraft{Name: f.Name, Starts: x.Starts, Ends: x.Ends}.Checked()
	r.checked(path, err)
	x.Name = d.Name
	if len(f.UID) > uidMost || strings.ContainsRune(f.UID, 0) {
		r.fault(path+".uid", "a UID is at most %d octets long", uidMost)
	}
	return x
}
