package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"levelpeg/hydro"
)

// soundingColumns are what a file of soundings may have; the first three it must.
var soundingColumns = []string{"time", "level_m", "depth_m", "pace_mps", "timed_s"}

const neededColumns = 3

// mostSoundings is more than any run was ever sounded.
const mostSoundings = 100_000

// readSoundings reads soundings as CSV with a header, columns in any order. A byte-order
// mark, semicolons between the fields and commas in decimals are taken as they are
// meant. An error names the line and the column.
func readSoundings(in io.Reader) ([]hydro.Sounding, error) {
	text, err := io.ReadAll(in)
	if err != nil {
		return nil, err
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	r := csv.NewReader(bytes.NewReader(text))
	if first, _, _ := bytes.Cut(text, []byte("\n")); bytes.Count(first, []byte(";")) > bytes.Count(first, []byte(",")) {
		r.Comma = ';'
	}
	r.TrimLeadingSpace = true
	header, err := r.Read()
	if errors.Is(err, io.EOF) {
		return nil, errors.New("the file is empty: it begins with a line such as time,level_m,depth_m,pace_mps")
	}
	if err != nil {
		return nil, csvProblem(err)
	}
	column, err := columnsOf(header)
	if err != nil {
		return nil, err
	}
	var out []hydro.Sounding
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, csvProblem(err)
		}
		line, _ := r.FieldPos(0)
		s, err := soundingOf(row, column)
		if err != nil {
			return nil, fmt.Errorf("line %d, %w", line, err)
		}
		if out = append(out, s); len(out) > mostSoundings {
			return nil, fmt.Errorf("line %d: more than %d soundings are not one run's", line, mostSoundings)
		}
	}
}

func csvProblem(err error) error {
	var p *csv.ParseError
	if !errors.As(err, &p) {
		return err
	}
	if errors.Is(p.Err, csv.ErrFieldCount) {
		return fmt.Errorf("line %d has more or fewer fields than the header", p.Line)
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
