package exchange

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// guarded is text that a spreadsheet takes for text: what begins like a formula gets an
// apostrophe before it. Numbers are not guarded: those below zero stay numbers.
func guarded(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// table writes CSV as RFC 4180 has it: a header, CRLF after every line.
func table(w io.Writer, header ...string) (*csv.Writer, error) {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c, c.Write(header)
}

// number is a length or a speed to the millimetre, without noughts that say nothing.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	if s = strings.TrimRight(strings.TrimRight(s, "0"), "."); s == "-0" {
		return "0"
	}
	return s
}

// numberOrNone is empty for zero, which stands for what was not measured.
func numberOrNone(v float64) string {
	if v == 0 {
		return ""
	}
	return number(v)
}

// WriteSoundings gives all that was sounded at a venue as CSV, without names, a line a
// sounding: levels are on the zero in force at the time.
func WriteSoundings(w io.Writer, pegs []club.PegBook) error {
	c, err := table(w, "peg", "code", "run", "distance_m", "time", "level_m", "depth_m", "pace_mps", "timed_s")
	if err != nil {
		return err
	}
	for _, p := range pegs {
		for _, r := range p.Runs {
			for _, s := range r.Soundings {
				if err := c.Write([]string{p.Label, p.Code, guarded(r.Name), number(r.DistanceM), s.At.UTC().Format(time.RFC3339),
					number(s.LevelM), number(s.DepthM), numberOrNone(s.PaceMPS), numberOrNone(s.TimedS)}); err != nil {
					return err
				}
			}
		}
	}
	c.Flush()
	return c.Error()
}

// LevelTable writes levels as CSV, one at a time.
type LevelTable struct{ c *csv.Writer }

// NewLevelTable writes the header.
func NewLevelTable(w io.Writer) (LevelTable, error) {
	c, err := table(w, "time", "level_m", "above_first_zero_m", "source")
	return LevelTable{c}, err
}

// Add writes a level: as the board showed it, and on the gauge's datum.
func (l LevelTable) Add(v club.Level, datumM float64) error {
	return l.c.Write([]string{v.At.UTC().Format(time.RFC3339), number(v.LevelM), number(datumM), string(v.Source)})
}

// Close writes what is left.
func (l LevelTable) Close() error {
	l.c.Flush()
	return l.c.Error()
}
