package main

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"

	"levelpeg/hydro"
)

// soundingColumns are what a file of soundings may have; the first three it must.
var soundingColumns = []string{"time", "level_m", "depth_m", "pace_mps", "timed_s"}

const neededColumns = 3

// mostSoundings is more than any run was ever sounded.
const mostSoundings = 100_000

// readSoundings reads soundings as CSV with a header, columns in any order, and the line
// each stands on. A byte-order mark, UTF-16, any kind of line ends, semicolons between
// the fields and commas in decimals are taken as they are meant. An error names the line
// and the column.
func readSoundings(in io.Reader) (all []hydro.Sounding, lines []int, err error) {
	text, err := io.ReadAll(in)
	if err != nil {
		return nil, nil, err
	}
	if text, err = plainText(text); err != nil {
		return nil, nil, err
	}
	r := csv.NewReader(bytes.NewReader(text))
	if first, _, _ := bytes.Cut(text, []byte("\n")); bytes.Count(first, []byte(";")) > bytes.Count(first, []byte(",")) {
		r.Comma = ';'
	}
	r.TrimLeadingSpace = true
	header, err := r.Read()
	if errors.Is(err, io.EOF) {
		return nil, nil, errors.New("the file is empty: it begins with a line such as time,level_m,depth_m,pace_mps")
	}
	if err != nil {
		return nil, nil, csvProblem(err)
	}
	column, err := columnsOf(header)
	if err != nil {
		return nil, nil, err
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return all, lines, nil
		}
		if err != nil {
			return nil, nil, csvProblem(err)
		}
		line, _ := r.FieldPos(0)
		s, err := soundingOf(row, column)
		if err != nil {
			return nil, nil, fmt.Errorf("line %d, %w", line, err)
		}
		if all, lines = append(all, s), append(lines, line); len(all) > mostSoundings {
			return nil, nil, fmt.Errorf("line %d: more than %d soundings are not one run's", line, mostSoundings)
		}
	}
}

// plainText is a file's text in UTF-8, each line ended by a line feed.
func plainText(text []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(text, []byte("\xff\xfe")):
		text = fromUTF16(text[2:], binary.LittleEndian)
	case bytes.HasPrefix(text, []byte("\xfe\xff")):
		text = fromUTF16(text[2:], binary.BigEndian)
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	if bytes.IndexByte(text, 0) >= 0 {
		return nil, errors.New("this is not text: save the table as CSV")
	}
	return bytes.ReplaceAll(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")), []byte("\r"), []byte("\n")), nil
}

func fromUTF16(text []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(text)/2)
	for i := range units {
		units[i] = order.Uint16(text[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}

// lineOf puts the line in place of the sums' own number of a sounding that they refuse:
// each is tried alone.
func lineOf(err error, all []hydro.Sounding, lines []int, now time.Time) error {
	for i, s := range all {
		if _, alone := hydro.Fit([]hydro.Sounding{s}, nil, now, hydro.OpenReach()); alone != nil {
			return fmt.Errorf("line %d: %w", lines[i], cause(alone))
		}
	}
	return err
}

// cause is what lies at the bottom of an error.
func cause(err error) error {
	for errors.Unwrap(err) != nil {
		err = errors.Unwrap(err)
	}
	return err
}

func csvProblem(err error) error {
	var p *csv.ParseError
	if !errors.As(err, &p) {
		return err
	}
	if errors.Is(p.Err, csv.ErrFieldCount) {
		return fmt.Errorf("line %d has more or fewer fields than the header: a decimal written with a comma wants quotes, or semicolons between the fields", p.Line)
	}
	return fmt.Errorf("line %d, place %d: %w", p.Line, p.Column, p.Err)
}

// columnsOf finds each column's place; −1 for one that is not there.
func columnsOf(header []string) ([]int, error) {
	at := make([]int, len(soundingColumns))
	for i := range at {
		at[i] = -1
	}
	for place, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		i := slices.Index(soundingColumns, name)
		switch {
		case i < 0:
			return nil, fmt.Errorf("line 1: there is no column %q: there are %s", name, strings.Join(soundingColumns, ", "))
		case at[i] >= 0:
			return nil, fmt.Errorf("line 1: the column %s stands there twice", name)
		}
		at[i] = place
	}
	for i := range neededColumns {
		if at[i] < 0 {
			return nil, fmt.Errorf("line 1: the column %s is missing", soundingColumns[i])
		}
	}
	return at, nil
}

func soundingOf(row []string, column []int) (hydro.Sounding, error) {
	var s hydro.Sounding
	var err error
	if s.At, err = momentOf(strings.TrimSpace(row[column[0]])); err != nil {
		return s, fmt.Errorf("column time: %w", err)
	}
	for i, to := range []*float64{&s.LevelM, &s.DepthM, &s.PaceMPS, &s.TimedS} {
		place, name := column[i+1], soundingColumns[i+1]
		if place < 0 {
			continue
		}
		text := strings.TrimSpace(row[place])
		if text == "" && i+1 >= neededColumns {
			continue
		}
		if *to, err = numberOf(text); err != nil {
			return s, fmt.Errorf("column %s: %w", name, err)
		}
	}
	return s, nil
}

// numberOf reads a number with a point or a comma for its decimals.
func numberOf(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fmt.Errorf("%.30q is not a number such as 1.24", text)
	}
	return v, nil
}

// momentOf reads a day (its noon in UTC) or a time with its zone.
func momentOf(text string) (time.Time, error) {
	if day, err := time.Parse(time.DateOnly, text); err == nil {
		return day.Add(12 * time.Hour), nil
	}
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		return at, nil
	}
	return time.Time{}, fmt.Errorf("%.30q is not a day such as 2026-11-20 or a time such as 2026-11-20T10:30:00Z", text)
}
