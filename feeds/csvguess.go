package feeds

import (
	"bytes"
	"cmp"
	"io"
	"slices"
	"strconv"
	"strings"

	"levelpeg/club"
)

// Guess is what the beginning of a table looks like, to be looked at by a person.
type Guess struct {
	Plan    club.CSVPlan // its zone is left empty
	Unit    club.Unit
	Columns []string // how to call each: the heading where there is one
	// BothWays says that days and months could be the other way round.
	BothWays bool
}

const (
	guessBytes = 64 << 10
	guessRows  = 50
	guessCells = 50
)

// GuessCSV looks at the beginning of a table.
func GuessCSV(r io.Reader) (Guess, error) {
	buf := make([]byte, guessBytes)
	n, err := io.ReadFull(r, buf)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return Guess{}, brokenTable(err)
	}
	buf = bytes.TrimPrefix(buf[:n], []byte("\xef\xbb\xbf"))
	if bytes.IndexByte(buf, 0) >= 0 {
		return Guess{}, problem("It is not plain text. Save it as CSV in UTF-8.")
	}
	lines := firstLines(buf, n == guessBytes)
	if len(lines) == 0 {
		return Guess{}, problem("It is empty.")
	}
	comma := guessComma(lines)
	return guessColumns(lines, comma)
}

func firstLines(buf []byte, cut bool) [][]byte {
	var out [][]byte
	for line := range bytes.SplitSeq(buf, []byte("\n")) {
		out = append(out, bytes.TrimRight(line, "\r"))
	}
	if cut {
		out = out[:len(out)-1]
	}
	out = slices.DeleteFunc(out, func(l []byte) bool { return len(bytes.TrimSpace(l)) == 0 || l[0] == '#' })
	return out[:min(len(out), guessRows)]
}

// guessComma is what stands in every line, most often.
func guessComma(lines [][]byte) string {
	best, most := ",", 0
	for _, c := range []string{"tab", ";", ","} {
		least := 1 << 30
		for _, line := range lines {
			least = min(least, len(split(line, commaOf(c), nil))-1)
		}
		if least > most {
			best, most = c, least
		}
	}
	return best
}

// column is what the values of a column look like.
type column struct {
	name                        string
	rows, numbers, commas       int
	iso, dmy, mdy, unix, clocks int
	withClock                   int // days that have a time of day with them
	values                      []float64
}

func guessColumns(lines [][]byte, comma string) (Guess, error) {
	table := make([][][]byte, len(lines))
	width := 0
	for i, line := range lines {
		table[i] = split(line, commaOf(comma), nil)
		width = max(width, len(table[i]))
	}
	width = min(width, guessCells)
	if width < 2 {
		return Guess{}, problem("It has one column only. A table of levels has one of times and one of levels, with a comma, a semicolon or a tab between.")
	}
	headed := len(table) > 1 && heading(table[0])
	cols := make([]column, width)
	for i := range cols {
		cols[i].name = strconv.Itoa(i + 1)
		if headed && i < len(table[0]) {
			cols[i].name = strings.TrimSpace(strings.ToValidUTF8(string(table[0][i]), "?"))
		}
	}
	for i, row := range table {
		if i == 0 && headed {
			continue
		}
		for j := range min(width, len(row)) {
			cols[j].see(bytes.TrimSpace(row[j]), comma != ",")
		}
	}
	return guessed(cols, comma), nil
}

// heading says whether no cell of a row has a digit at its beginning.
func heading(cells [][]byte) bool {
	for _, c := range cells {
		c = bytes.TrimLeft(bytes.TrimSpace(c), "+-.")
		if len(c) > 0 && c[0] >= '0' && c[0] <= '9' {
			return false
		}
	}
	return true
}

func (c *column) see(cell []byte, mayComma bool) {
	if isNone(cell) {
		return
	}
	c.rows++
	if v, ok := plainNumber(cell, '.'); ok {
		c.numbers++
		c.values = append(c.values, v)
		if v > 1e8 && v < 1e13 {
			c.unix++
		}
	} else if v, ok := plainNumber(cell, ','); ok && mayComma {
		c.numbers++
		c.commas++
		c.values = append(c.values, v)
	}
	if _, _, rest, ok := clockOf(cell); ok && len(bytes.TrimSpace(rest)) == 0 && bytes.IndexByte(cell, ':') > 0 {
		c.clocks++
	}
	for layout, n := range map[string]*int{club.TimeISO: &c.iso, club.TimeDMY: &c.dmy, club.TimeMDY: &c.mdy} {
		t := timeReader{layout: layout}
		if _, rest, why := t.day(cell); why == "" {
			*n++
			if layout != club.TimeMDY && len(rest) > 1 {
				c.withClock++
			}
		}
	}
}

// most says whether nearly all rows are so.
func (c *column) most(n int) bool { return c.rows > 0 && n*10 >= c.rows*8 }

func (c *column) layout() (layout string, bothWays bool) {
	switch {
	case c.most(c.iso):
		return club.TimeISO, false
	case c.most(c.dmy) && c.dmy >= c.mdy:
		return club.TimeDMY, c.dmy == c.mdy
	case c.most(c.mdy):
		return club.TimeMDY, false
	case c.most(c.unix):
		return club.TimeUnix, false
	}
	return "", false
}

func guessed(cols []column, comma string) Guess {
	g := Guess{Plan: club.CSVPlan{Comma: comma, Layout: club.TimeISO}, Unit: club.Metres}
	at := -1
	for i := range cols {
		g.Columns = append(g.Columns, cols[i].name)
		if layout, both := cols[i].layout(); at < 0 && layout != "" {
			at, g.Plan.Layout, g.BothWays = i, layout, both
			g.Plan.Time = strconv.Itoa(i + 1)
		}
	}
	if at >= 0 && g.Plan.Layout != club.TimeUnix && !cols[at].most(cols[at].withClock) {
		for i := range cols {
			if i != at && cols[i].most(cols[i].clocks) {
				g.Plan.Clock = strconv.Itoa(i + 1)
				break
			}
		}
	}
	if i := levelColumn(cols, at); i >= 0 {
		g.Plan.Level = strconv.Itoa(i + 1)
		g.Plan.DecimalComma = cols[i].commas > 0
		g.Unit = guessUnit(&cols[i])
	}
	return g
}

// levelColumn is the column that is called a level and has numbers in half of its rows at
// least, or else the first of numbers.
func levelColumn(cols []column, but int) int {
	best := -1
	for i := range cols {
		c := &cols[i]
		if i == but || c.numbers*2 < c.rows || c.rows == 0 || c.most(c.iso+c.dmy+c.clocks) {
			continue
		}
		name := strings.ToLower(c.name)
		for _, word := range []string{"level", "stage", "height", "board", "gauge", "gage"} {
			if strings.Contains(name, word) {
				return i
			}
		}
		if best < 0 && c.most(c.numbers) {
			best = i
		}
	}
	return best
}

// guessUnit goes by the heading, and else by the size of the values.
func guessUnit(c *column) club.Unit {
	words := strings.FieldsFunc(strings.ToLower(c.name), func(r rune) bool { return (r < 'a' || r > 'z') && r != '°' })
	for _, w := range words {
		if u, ok := unitSaid(w); ok {
			return u
		}
	}
	if len(c.values) == 0 {
		return club.Metres
	}
	slices.SortFunc(c.values, cmp.Compare)
	switch mid := c.values[len(c.values)/2]; {
	case mid > 2000:
		return club.Millimetres
	case mid > 20:
		return club.Centimetres
	}
	return club.Metres
}
