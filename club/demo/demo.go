// Package demo makes an invented club: its rivers, levels, pegs, soundings,
// notes and rules, dated relative to now so that "today" always works. Nothing
// in it is a real place or person. It does no I/O and draws every number from a
// fixed seed, so the same quarter of an hour always gives the same book.
package demo

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"time"

	"levelpeg/club"
)

const (
	// seed fixes every draw of the demo.
	seed uint64 = 0x1a7e51e7e9
	// step is the spacing of an instrument's readings.
	step = 15 * time.Minute
	// leastAge is how old the latest reading is at least: readings come late.
	leastAge = 5 * time.Minute
)

// Make gives the demo's book as it stands at now. It depends only on the quarter
// hour of the latest reading, the last one at least 5 minutes before now; every
// time in the book is in UTC.
func Make(now time.Time) club.Book {
	book, _ := MakeWithTruth(now)
	return book
}

// MakeWithTruth gives the book of Make together with the hidden truth its
// soundings were drawn from, so that an estimate can be judged.
func MakeWithTruth(now time.Time) (club.Book, Truth) {
	cal := newCalendar(now)
	gauges := makeGauges(cal)
	truth := newTruth(cal.floodPeak)
	book := club.Book{
		Club: club.Club{
			Name:     "Lathern Vale Angling Club",
			TimeZone: "Europe/London",
			Place:    "England",
			Demo:     true,
			Welfare:  "Hana V., welfare@lathern-vale.example",
		},
		// Of the numbers kept free for stories.
		Incident: "the rivers hotline, 01632 960 071",
		Members:  members(),
	}
	for _, g := range gauges {
		book.Gauges = append(book.Gauges, g.book())
	}
	codes := newCoder()
	loc := zone(book.Club)
	for _, v := range venueSpecs() {
		m := venueMaker{spec: v, cal: cal, gauge: gaugeOf(gauges, v.gaugeSlug), truth: truth, codes: codes, loc: loc}
		book.Venues = append(book.Venues, m.make())
	}
	return book, truth
}

// zone is where the club's clocks are; UTC on a machine that does not know it.
func zone(c club.Club) *time.Location {
	loc, err := c.Zone()
	if err != nil {
		return time.UTC
	}
	return loc
}

// calendar holds the dates the demo hangs on, all relative to the latest reading.
type calendar struct {
	start     time.Time // of the levels
	latest    time.Time // of the levels, on the quarter hour
	floodPeak time.Time // when the beds moved
	rezero    time.Time // when a board was replaced
}

func newCalendar(now time.Time) calendar {
	latest := now.UTC().Add(-leastAge).Truncate(step)
	return calendar{
		start:     latest.AddDate(-3, 0, 0),
		latest:    latest,
		floodPeak: atHour(latest.AddDate(0, -14, 0), 4),
		rezero:    atHour(latest.AddDate(0, -20, 0), 10),
	}
}

// steps is how many whole steps t lies after the start of the levels.
func (c calendar) steps(t time.Time) int {
	return int(math.Floor(float64(t.Sub(c.start)) / float64(step)))
}

// daysAgo is hour o'clock UTC on the day that many days before the latest reading.
func (c calendar) daysAgo(days, hour int) time.Time {
	return atHour(c.latest.AddDate(0, 0, -days), hour)
}

func atHour(t time.Time, hour int) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, hour, 0, 0, 0, time.UTC)
}

// stream is a source of draws of its own for each name, so that a change in one
// part of the demo leaves the others as they were.
func stream(name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name))
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

// between draws evenly from lo to hi.
func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// centi rounds to 0.01.
func centi(x float64) float64 { return math.Round(x*100) / 100 }

func clamp(x, lo, hi float64) float64 { return math.Min(math.Max(x, lo), hi) }
