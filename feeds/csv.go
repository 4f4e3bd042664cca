package feeds

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"levelpeg/club"
)

// Row is a line of a table.
type Row struct {
	N     int // of the line in the file, from 1
	At    time.Time
	Value float64
	None  bool   // it says itself that it has no value
	Why   string // it makes no sense: why, without its own words; empty where it does
	Line  []byte // as it stands, until the next row is read
}

// longestLine is more than a row of levels needs; what is longer is a bad row.
const longestLine = 64 << 10

// ScanCSV reads a table (RFC 4180, without line breaks inside a value) row by row, in
// memory that does not grow with it. Empty lines and lines that begin with # are passed
// over, and so is a first row whose time and level make no sense, which is a heading. It
// fails for a file that is no table, for a column that is not there, and with what take
// fails with.
func ScanCSV(r io.Reader, plan club.CSVPlan, maxBytes int64, take func(Row) error) error {
	s, err := newScanner(plan)
	if err != nil {
		return err
	}
	in := bufio.NewReaderSize(source(r, Limits{Bytes: maxBytes}), longestLine)
	for n := 1; ; n++ {
		line, err := in.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) {
			if err = skipLine(in); err != nil && err != io.EOF {
				return brokenTable(err)
			}
			s.begun = true
			if failed := take(Row{N: n, Why: "the row is too long", Line: []byte("…")}); failed != nil {
				return failed
			}
			continue
		}
		if err != nil && err != io.EOF {
			return brokenTable(err)
		}
		if failed := s.line(n, bytes.TrimRight(line, "\r\n"), take); failed != nil {
			return failed
		}
		if err == io.EOF {
			return s.end()
		}
	}
}

// brokenTable is the sentence for a table that could not be read to its end.
func brokenTable(err error) error { return unreadable(err, "a table of values") }

func skipLine(in *bufio.Reader) error {
	for {
		if _, err := in.ReadSlice('\n'); !errors.Is(err, bufio.ErrBufferFull) {
			return err
		}
	}
}

type csvScanner struct {
	plan               club.CSVPlan
	comma              byte
	time, clock, level int // columns from 0; clock -1 for none
	resolved, begun    bool
	cells              [][]byte
	times              timeReader
}

func newScanner(plan club.CSVPlan) (*csvScanner, error) {
	plan, err := plan.Checked()
	if err != nil {
		return nil, err
	}
	loc, err := plan.Location()
	if err != nil {
		return nil, err
	}
	s := &csvScanner{plan: plan, comma: commaOf(plan.Comma), times: timeReader{layout: plan.Layout, loc: loc}}
	var named [3]bool
	s.time, named[0] = columnNumber(plan.Time)
	s.clock, named[1] = columnNumber(plan.Clock)
	s.level, named[2] = columnNumber(plan.Level)
	s.resolved = !named[0] && !named[1] && !named[2]
	return s, nil
}

func commaOf(name string) byte {
	if name == "tab" {
		return '\t'
	}
	return name[0]
}

// columnNumber is a column from 0, or -1, and whether it is given by name.
func columnNumber(text string) (n int, named bool) {
	if text == "" {
		return -1, false
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > 1000 {
		return -1, true
	}
	return n - 1, false
}

func (s *csvScanner) line(n int, line []byte, take func(Row) error) error {
	if len(bytes.TrimSpace(line)) == 0 || line[0] == '#' {
		return nil
	}
	if !s.begun && bytes.IndexByte(line, 0) >= 0 {
		return problem("It is not plain text. Save it as CSV in UTF-8.")
	}
	s.cells = split(line, s.comma, s.cells[:0])
	first := !s.begun
	s.begun = true
	if !s.resolved {
		return s.resolve()
	}
	row := Row{N: n, Line: line}
	s.read(&row)
	if first && row.Why != "" && !row.None && s.heading() {
		return nil
	}
	return take(row)
}

// heading says whether neither the time nor the level of the row is one.
func (s *csvScanner) heading() bool {
	if s.level >= len(s.cells) || s.time >= len(s.cells) {
		return false
	}
	_, _, ok := s.number(s.cells[s.level])
	digits := bytes.ContainsAny(s.cells[s.time], "0123456789")
	return !ok && !digits
}

// resolve finds columns by their names.
func (s *csvScanner) resolve() error {
	for _, c := range []struct {
		name string
		at   *int
	}{{s.plan.Time, &s.time}, {s.plan.Clock, &s.clock}, {s.plan.Level, &s.level}} {
		if _, named := columnNumber(c.name); !named {
			continue
		}
		*c.at = -1
		for i, cell := range s.cells {
			if strings.EqualFold(strings.TrimSpace(string(cell)), c.name) {
				*c.at = i
				break
			}
		}
		if *c.at < 0 {
			return problem("Its first row has no column of the name that was set.")
		}
	}
	s.resolved = true
	return nil
}

// end is for a file that had no row at all.
func (s *csvScanner) end() error {
	if !s.begun {
		return problem("It is empty.")
	}
	return nil
}

func (s *csvScanner) read(row *Row) {
	if last := max(s.time, s.clock, s.level); last >= len(s.cells) {
		row.Why = "it has no column " + strconv.Itoa(last+1)
		return
	}
	v, none, ok := s.number(s.cells[s.level])
	if !none && !ok {
		row.Why = "its level is not a number"
		return
	}
	var clock []byte
	if s.clock >= 0 {
		clock = bytes.TrimSpace(s.cells[s.clock])
	}
	at, why := s.times.read(bytes.TrimSpace(s.cells[s.time]), clock)
	if row.Why = why; why != "" {
		return
	}
	row.At, row.Value, row.None = at, v, none || isFill(v)
}

// number reads a decimal number; none says that the cell says it has no value.
func (s *csvScanner) number(cell []byte) (v float64, none, ok bool) {
	cell = bytes.TrimSpace(cell)
	if isNone(cell) {
		return 0, true, false
	}
	point := byte('.')
	if s.plan.DecimalComma {
		point = ','
	}
	v, ok = plainNumber(cell, point)
	return v, false, ok
}

func isNone(cell []byte) bool {
	if len(cell) > 7 {
		return false
	}
	switch strings.ToLower(string(cell)) {
	case "", "-", "--", "---", "na", "n/a", "nan", "null", "none", "missing":
		return true
	}
	return false
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// plainNumber reads 1.24, -0.3, .5 and, by the slow way, 1.2e-1.
func plainNumber(cell []byte, point byte) (float64, bool) {
	var whole uint64
	digits, after, seen, negative := 0, 0, false, false
	for i, c := range cell {
		switch {
		case c >= '0' && c <= '9':
			whole = whole*10 + uint64(c-'0')
			if digits++; seen {
				after++
			}
		case c == point && !seen:
			seen = true
		case i == 0 && (c == '-' || c == '+'):
			negative = c == '-'
		default:
			return slowNumber(cell, point)
		}
		if digits >= len(tens)-1 {
			return slowNumber(cell, point)
		}
	}
	v := float64(whole) / tens[after]
	if negative {
		v = -v
	}
	return v, digits > 0
}

func slowNumber(cell []byte, point byte) (float64, bool) {
	text := string(cell)
	if point == ',' {
		if strings.Contains(text, ".") {
			return 0, false
		}
		text = strings.Replace(text, ",", ".", 1)
	}
	v, ok := number(text)
	return v, ok && !math.IsNaN(v)
}

// split takes a row apart. A value in quotes may hold the comma, and a quote as two.
func split(line []byte, comma byte, into [][]byte) [][]byte {
	for {
		if len(line) > 0 && line[0] == '"' {
			cell, rest := quoted(line)
			into = append(into, cell)
			i := bytes.IndexByte(rest, comma)
			if i < 0 {
				return into
			}
			line = rest[i+1:]
			continue
		}
		i := bytes.IndexByte(line, comma)
		if i < 0 {
			return append(into, line)
		}
		into = append(into, line[:i])
		line = line[i+1:]
	}
}

func quoted(line []byte) (cell, rest []byte) {
	for i := 1; i < len(line); i++ {
		if line[i] != '"' {
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			i++
			continue
		}
		cell = line[1:i]
		if bytes.IndexByte(cell, '"') >= 0 {
			cell = bytes.ReplaceAll(cell, []byte(`""`), []byte(`"`))
		}
		return cell, line[i+1:]
	}
	return line[1:], nil
}

// ParseCSV reads a table as a feed.
func ParseCSV(r io.Reader, plan club.CSVPlan, lim Limits) (Batch, error) {
	c := newCollector(lim)
	s, err := c.series("", "", false)
	if err != nil {
		return Batch{}, err
	}
	var points []Point
	err = ScanCSV(r, plan, lim.Bytes, func(row Row) error {
		if row.Why != "" && bytes.HasPrefix(bytes.TrimSpace(row.Line), []byte("<")) && c.seen == 0 {
			return problem("It is a web page, and not a table of values.")
		}
		if err := c.count(); err != nil {
			return err
		}
		switch {
		case row.Why != "":
			c.bad(row.Why)
		case row.None:
			c.batch.None++
		default:
			points = append(points, Point{row.At, row.Value})
		}
		return nil
	})
	if err != nil {
		return Batch{}, err
	}
	s.Points = points
	if len(points) == 0 && c.batch.Bad > 0 && c.batch.None == 0 {
		return Batch{}, problem("None of its %d rows could be read; the first: %s.", c.batch.Bad, c.batch.Why)
	}
	return c.batch, nil
}

// LevelRow is a row as a level in metres.
type LevelRow struct {
	Row
	LevelM float64
}

// ScanLevels is ScanCSV for levels in a unit: a level that no board reads, or whose time
// has not come, is a bad row.
func ScanLevels(r io.Reader, plan club.CSVPlan, unit club.Unit, maxBytes int64, now time.Time, take func(LevelRow) error) error {
	return ScanCSV(r, plan, maxBytes, func(row Row) error {
		out := LevelRow{Row: row}
		if row.Why == "" && !row.None {
			var ok bool
			if out.LevelM, ok = unit.LevelOf(row.Value, 0); !ok {
				out.Why = "that is no level a board reads"
			} else {
				out.Why = club.LevelTime(row.At, now)
			}
		}
		return take(out)
	})
}
