package parse

import (
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// fields reads the fields of a form one after the other, and keeps the first fault.
type fields struct {
	q   url.Values
	loc *time.Location
	err error
}

func (f *fields) fault(format string, args ...any) {
	if f.err == nil {
		f.err = club.Faultf(club.Invalid, format, args...)
	}
}

func (f *fields) text(name string) string { return strings.TrimSpace(f.q.Get(name)) }

func (f *fields) tick(name string) bool { return f.q.Get(name) != "" }

// metres reads a length or a level that has to be there. What is what it is of.
func (f *fields) metres(name, what string) float64 {
	m := f.optionalMetres(name, what)
	if m == nil {
		f.fault("Write %s in metres, such as 1.24.", what)
		return 0
	}
	return *m
}

// optionalMetres is nil for nothing. Lengths are kept to the millimetre.
func (f *fields) optionalMetres(name, what string) *float64 {
	text := strings.TrimSpace(strings.TrimSuffix(strings.ReplaceAll(f.text(name), "−", "-"), "m"))
	if text == "" {
		return nil
	}
	if !decimal.MatchString(text) {
		f.fault("“%s” is not a number for %s. Write metres, such as 1.24.", short(text), what)
		return nil
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		f.fault("“%s” is not a number for %s. Write metres, such as 1.24.", short(text), what)
		return nil
	}
	v = math.Round(v*1000) / 1000
	return &v
}

// whole reads a whole number that has to be there.
func (f *fields) whole(name, what string) int {
	text := f.text(name)
	n, err := strconv.Atoi(text)
	switch {
	case text == "":
		f.fault("Write %s as a whole number.", what)
	case err != nil || n < -99999 || n > 99999:
		f.fault("“%s” is not a whole number for %s.", short(text), what)
	}
	return n
}

func (f *fields) time(name string) time.Time {
	t, err := optional(f.q.Get(name), f.loc)
	if err != nil && f.err == nil {
		f.err = err
	}
	return t
}

// peg reads the choice of a peg; none is the empty one.
func (f *fields) peg(name string) club.PegRef { return pegRef(f.q.Get(name)) }

// Gauge reads a form of a gauge: "name", "river", the levels "low", "high" and "flood",
// and of a new one "since".
func Gauge(q url.Values, loc *time.Location) (club.GaugeDraft, error) {
	f := fields{q: q, loc: loc}
	d := club.GaugeDraft{Name: q.Get("name"), River: q.Get("river"), Was: q.Get("was")}
	d.LowM, d.HighM = f.metres("low", "the low end of the ordinary range"), f.metres("high", "the high end of the ordinary range")
	d.FloodM, d.Since = f.optionalMetres("flood", "the level that moves beds"), f.time("since")
	return d, f.err
}

// Zero reads a form of a board that was moved: "from", "old", "new", "reason".
func Zero(q url.Values, loc *time.Location) (club.ZeroDraft, error) {
	f := fields{q: q, loc: loc}
	d := club.ZeroDraft{From: f.time("from"), Reason: q.Get("reason")}
	d.OldM, d.NewM = f.metres("old", "what the old board read"), f.metres("new", "what the new board reads")
	return d, f.err
}

// ZeroFix reads a form that puts a zero right: "offset", "reason".
func ZeroFix(q url.Values) (club.ZeroFix, error) {
	f := fields{q: q}
	d := club.ZeroFix{OffsetM: f.metres("offset", "how far the zero is above the first one"), Reason: q.Get("reason"), Was: q.Get("was")}
	return d, f.err
}

// Venue reads a form of a venue: "name", "river", "gauge", "about", "access", "season",
// "open".
func Venue(q url.Values) club.VenueDraft {
	return club.VenueDraft{Name: q.Get("name"), River: q.Get("river"), Gauge: q.Get("gauge"), About: q.Get("about"), Access: q.Get("access"),
		CloseSeason: q.Get("season") != "", Open: q.Get("open") != "", Was: q.Get("was")}
}

// Stretch reads a form of a whole stretch of pegs: "first", "last", "count" (up: the
// numbers rise going upstream), "bank", "first_deg", "last_deg", "mark", "where" (above).
func Stretch(q url.Values) (club.StretchDraft, error) {
	f := fields{q: q}
	d := club.StretchDraft{First: f.whole("first", "the first number"), Last: f.whole("last", "the last number"),
		Upstream: q.Get("count") == "up", Bank: club.Bank(q.Get("bank")), Above: q.Get("where") == "above", Was: q.Get("was")}
	d.FirstDeg, d.LastDeg = f.whole("first_deg", "the bearing at the first number"), f.whole("last_deg", "the bearing at the last number")
	d.MarkM = f.optionalMetres("mark", "how high the bank stands")
	return d, f.err
}

// Between reads a form of a peg to be put in: "after", "label".
func Between(q url.Values) club.BetweenDraft {
	f := fields{q: q}
	return club.BetweenDraft{After: f.peg("after"), Label: q.Get("label"), Was: q.Get("was")}
}

// Renumber reads a form that renumbers pegs: "from_peg", "to_peg", "first", "count" (fall).
func Renumber(q url.Values) (club.RenumberDraft, error) {
	f := fields{q: q}
	d := club.RenumberDraft{From: f.peg("from_peg"), To: f.peg("to_peg"), First: f.whole("first", "the new number"), Falling: q.Get("count") == "fall", Was: q.Get("was")}
	if d.From.Label == "" {
		f.err = club.Faultf(club.Invalid, "Choose the peg that the new numbers begin at.")
	}
	return d, f.err
}

// Peg reads a form of one peg: "label", "bank", "bearing", "mark", "weir", "access",
// "lat", "lon".
func Peg(q url.Values) (club.PegDraft, error) {
	f := fields{q: q}
	d := club.PegDraft{Label: q.Get("label"), Bank: club.Bank(q.Get("bank")), Reach: club.OpenReach, Access: q.Get("access"), Was: q.Get("was")}
	d.BearingDeg, d.MarkM = f.whole("bearing", "the bearing the water flows towards"), f.metres("mark", "how high the bank stands")
	if f.tick("weir") {
		d.Reach = club.PastWeir
	}
	at, err := place(q.Get("lat"), q.Get("lon"))
	if err != nil && f.err == nil {
		f.err = err
	}
	d.At = at
	return d, f.err
}

// place reads a position; nil for nothing.
func place(lat, lon string) (*club.Position, error) {
	lat, lon = strings.TrimSpace(lat), strings.TrimSpace(lon)
	switch {
	case lat == "" && lon == "":
		return nil, nil
	case lat == "" || lon == "":
		return nil, club.Faultf(club.Invalid, "Write both the latitude and the longitude, or neither.")
	}
	var p club.Position
	var err error
	if p.LatDeg, err = angle(lat); err == nil {
		p.LonDeg, err = angle(lon)
	}
	if err != nil {
		return nil, err
	}
	return &p, p.Check()
}

// angle reads degrees with decimals.
func angle(text string) (float64, error) {
	plain := strings.TrimSuffix(strings.Replace(strings.ReplaceAll(text, "−", "-"), ",", ".", 1), "°")
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(plain, "xXpP_") {
		return 0, club.Faultf(club.Invalid, "“%s” is not degrees with decimals, such as 52.1234 or -1.5678.", short(text))
	}
	return v, nil
}

// Places reads a form of where pegs are: "lat." and "lon." with each peg's code.
func Places(q url.Values) ([]club.PegPlace, error) {
	var out []club.PegPlace
	for name := range q {
		code, is := strings.CutPrefix(name, "lat.")
		if !is {
			continue
		}
		at, err := place(q.Get(name), q.Get("lon."+code))
		if err != nil {
			return nil, err
		}
		out = append(out, club.PegPlace{Code: code, At: at})
	}
	slices.SortFunc(out, func(a, b club.PegPlace) int { return strings.Compare(a.Code, b.Code) })
	return out, nil
}

// Run reads a form of one run: "name", "distance", "boil", "steep", "snaggy", "bottom".
func Run(q url.Values) (club.RunDraft, error) {
	f := fields{q: q}
	d := club.RunDraft{Name: q.Get("name"), DistanceM: f.metres("distance", "how far out the run is"), Boil: f.whole("boil", "how broken the water is"),
		SteepSide: f.tick("steep"), Snaggy: f.tick("snaggy"), Bottom: q.Get("bottom"), Was: q.Get("was")}
	return d, f.err
}

// RunSet reads a form of a usual set of runs: "name1", "out1" and on. A line without a
// distance, or without a name, is none.
func RunSet(q url.Values, most int) (club.RunSetDraft, error) {
	f := fields{q: q}
	var d club.RunSetDraft
	for i := 1; i <= most; i++ {
		n := strconv.Itoa(i)
		out := f.optionalMetres("out"+n, "how far out run "+n+" is")
		if name := f.text("name" + n); name != "" && out != nil {
			d.Runs = append(d.Runs, club.Run{Name: name, DistanceM: *out})
		}
	}
	return d, f.err
}

// Hazard reads a form of a hazard: "kind", "peg", "distance", "text".
func Hazard(q url.Values) (club.HazardDraft, error) {
	f := fields{q: q}
	d := club.HazardDraft{Kind: club.HazardKind(q.Get("kind")), Peg: f.peg("peg"), Text: q.Get("text"), Was: q.Get("was")}
	if far := f.optionalMetres("distance", "how far the hazard is"); far != nil {
		d.DistanceM = *far
	}
	return d, f.err
}

// Fixture reads a form of a match: "name", "from", "to".
func Fixture(q url.Values, loc *time.Location) (club.FixtureDraft, error) {
	f := fields{q: q, loc: loc}
	return club.FixtureDraft{Name: q.Get("name"), Starts: f.time("from"), Ends: f.time("to")}, f.err
}
