// Package feeds reads levels from elsewhere: one file a format, and the fetching, which
// reaches nothing inside the club's own network unless that is allowed.
//
// What is fetched comes from strangers. It is bounded in bytes and in points, bad points
// are counted and the rest kept, and no part of it is ever said back.
package feeds

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// Point is a level as its source gives it: in the source's unit, above its zero.
type Point struct {
	At    time.Time
	Value float64
}

// Series is one measurement of one place.
type Series struct {
	Name   string // as the document names it; never shown
	Unit   string // as the document says it; empty where it does not
	Other  bool   // the document says that it is no level
	Points []Point
}

// Batch is what a document holds.
type Batch struct {
	Series []Series
	None   int    // points that say themselves that they have no value
	Bad    int    // points that make no sense
	Why    string // of the first bad one, and which it is
	Next   string // address of more; empty at the end
}

// Limits bound one document.
type Limits struct {
	Bytes  int64
	Points int
}

// DefaultLimits are more than a feed of one gauge needs: four years of quarter hours.
func DefaultLimits() Limits { return Limits{Bytes: 32 << 20, Points: 150_000} }

// Parse reads a document of a format. It fails with a *club.Fault whose sentence says
// what is the matter with the document as a whole.
func Parse(format club.FeedFormat, r io.Reader, plan club.CSVPlan, lim Limits) (Batch, error) {
	switch format {
	case club.EnvironmentAgency:
		return ParseEA(r, lim)
	case club.WaterML2:
		return ParseWaterML2(r, lim)
	case club.SensorThings:
		return ParseSensorThings(r, lim)
	case club.CSVFeed:
		return ParseCSV(r, plan, lim)
	}
	return Batch{}, problem("Its form is not known here.")
}

func problem(format string, args ...any) *club.Fault {
	return club.Faultf(club.Invalid, format, args...)
}

// collector gathers points within the limits.
type collector struct {
	batch Batch
	lim   Limits
	seen  int // points so far, good or not
	index map[string]int
}

func newCollector(lim Limits) *collector { return &collector{lim: lim, index: map[string]int{}} }

// seriesMost is how many measurements a document of one gauge may hold.
const seriesMost = 200

// series is the one of a name, made where it is new.
func (c *collector) series(name, unit string, other bool) (*Series, error) {
	i, ok := c.index[name]
	if !ok {
		if len(c.batch.Series) >= seriesMost {
			return nil, problem("It holds more than %d measurements. Use the address of the one you need.", seriesMost)
		}
		i = len(c.batch.Series)
		c.index[name] = i
		c.batch.Series = append(c.batch.Series, Series{Name: name})
	}
	s := &c.batch.Series[i]
	if s.Unit == "" {
		s.Unit = unit
	}
	s.Other = s.Other || other
	return s, nil
}

// count takes one more point, of whatever worth.
func (c *collector) count() error {
	if c.seen++; c.seen > c.lim.Points {
		return problem("It holds more than %d values. Ask it for fewer days.", c.lim.Points)
	}
	return nil
}

func (c *collector) bad(why string) {
	if c.batch.Bad++; c.batch.Bad == 1 {
		c.batch.Why = fmt.Sprintf("value %d: %s", c.seen, why)
	}
}

// fills are numbers that stand for "no value". Sources: −999999 is the US Geological
// Survey's; the others common practice.
var fills = map[float64]bool{-999: true, -9999: true, -99999: true, -999999: true, -999.9: true, -999.99: true, -9999.9: true, -9999.99: true, -32768: true, 9999: true, 99999: true, 999999: true, 9999.9: true, 9999.99: true}

// isFill says whether a number stands for "no value".
func isFill(v float64) bool { return fills[v] || math.IsNaN(v) }

// Levels picks the one series of levels and turns it into levels in metres above the
// feed's zero. left says what was left out, a sentence or empty.
func Levels(b Batch, f club.Feed, now time.Time) (levels []club.Level, left string, err error) {
	s, err := theLevels(b)
	if err != nil {
		return nil, "", err
	}
	if said, known := unitSaid(s.Unit); s.Unit != "" && (!known || said != f.Unit) {
		if known {
			return nil, "", problem("It says that its levels are in %s, and this feed is set to %s.", said, f.Unit)
		}
		return nil, "", problem("It says that its values are in a unit that is no unit of a level here. They may be a flow, and not a level.")
	}
	bad, why := b.Bad, b.Why
	note := func(reason string) {
		if bad++; bad == 1 {
			why = reason
		}
	}
	for _, p := range s.Points {
		m, ok := f.Unit.LevelOf(p.Value, f.OffsetM)
		late := club.LevelTime(p.At, now)
		switch {
		case !ok:
			note(fmt.Sprintf("one is no level that a board reads, %g to %g m", club.MinLevelM, club.MaxLevelM))
		case late != "":
			note("of one, " + late)
		default:
			levels = append(levels, club.Level{At: p.At, LevelM: m, Source: club.Station})
		}
	}
	return levels, leftOut(bad, why), nil
}

func leftOut(bad int, why string) string {
	switch bad {
	case 0:
		return ""
	case 1:
		return "1 value was left out: " + why + "."
	}
	return fmt.Sprintf("%d values were left out; the first: %s.", bad, why)
}

// theLevels is the one series that may be levels.
func theLevels(b Batch) (Series, error) {
	var found []Series
	others := 0
	for _, s := range b.Series {
		_, known := unitSaid(s.Unit)
		switch {
		case s.Other || s.Unit != "" && !known:
			others++
		default:
			found = append(found, s)
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return Series{}, problem("It holds %d measurements that may be levels. Use the address of the one you need.", len(found))
	case others > 0:
		return Series{}, problem("It holds no level, only other measurements, such as a flow.")
	}
	return Series{}, nil
}

// unitSaid reads a unit as documents write it.
func unitSaid(text string) (club.Unit, bool) {
	text = strings.ToLower(strings.TrimSpace(text))
	if i := strings.LastIndexAny(text, "/#:"); i >= 0 && strings.Contains(text, "://") {
		text = text[i+1:]
	}
	switch text {
	case "m", "metre", "metres", "meter", "meters", "masd", "maod", "mbdat", "metre above stage datum":
		return club.Metres, true
	case "cm", "centimetre", "centimetres", "centimeter", "centimeters":
		return club.Centimetres, true
	case "mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return club.Millimetres, true
	case "ft", "foot", "feet", "[ft_i]", "ft_us", "ft us":
		return club.Feet, true
	}
	return "", false
}

// moment reads a time with its zone, ISO 8601 as RFC 3339 has it, and also an offset
// without a colon.
func moment(text string) (time.Time, string) {
	text = strings.TrimSpace(text)
	if len(text) > 40 {
		return time.Time{}, "its time cannot be read"
	}
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04:05Z0700", "2006-01-02T15:04Z07:00"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t.UTC(), ""
		}
	}
	if _, err := time.Parse(time.DateOnly, text); err == nil {
		return time.Time{}, "it has a day and no time"
	}
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04"} {
		if _, err := time.Parse(layout, text); err == nil {
			return time.Time{}, "its time has no zone"
		}
	}
	return time.Time{}, "its time cannot be read"
}

// number reads a decimal number; names of numbers and hexadecimal are none.
func number(text string) (float64, bool) {
	text = strings.TrimSpace(strings.ReplaceAll(text, "−", "-"))
	if text == "" || len(text) > 40 || strings.Trim(text, "+-.0123456789eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// tooLong is what reading past the limit gives.
var errTooLong = errors.New("feeds: longer than allowed")

// bounded gives errTooLong after a number of bytes.
type bounded struct {
	r    io.Reader
	left int64
}

func (b *bounded) Read(p []byte) (int, error) {
	if b.left <= 0 {
		var one [1]byte
		if n, err := b.r.Read(one[:]); n == 0 {
			return 0, err
		}
		return 0, errTooLong
	}
	if int64(len(p)) > b.left {
		p = p[:b.left]
	}
	n, err := b.r.Read(p)
	b.left -= int64(n)
	return n, err
}

// source is a document within its bounds, without the mark some programs put before text.
func source(r io.Reader, lim Limits) io.Reader {
	b := &bounded{r, lim.Bytes}
	var head [3]byte
	n, err := io.ReadFull(b, head[:])
	if n == 3 && bytes.Equal(head[:], []byte("\xef\xbb\xbf")) {
		n = 0
	}
	start := bytes.NewReader(head[:n])
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return start
	}
	if err != nil {
		return io.MultiReader(start, failing{err})
	}
	return io.MultiReader(start, b)
}

// failing gives an error where a document broke off.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// unreadable is the sentence for a document that could not be read to its end.
func unreadable(err error, what string) error {
	var f *club.Fault
	switch {
	case errors.As(err, &f):
		return f
	case errors.Is(err, errTooLong):
		return problem("It is too long. Ask it for fewer days.")
	case isNetwork(err):
		return club.Faultf(club.Unavailable, "It broke off in the middle.").Because(err)
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || cutShort(err):
		return problem("It ends in the middle.")
	}
	return problem("It is not %s, or is broken.", what)
}

// cutShort says whether XML ended before its elements did; its package tells that apart
// from other faults by words alone.
func cutShort(err error) bool {
	var x *xml.SyntaxError
	return errors.As(err, &x) && x.Msg == "unexpected EOF"
}
