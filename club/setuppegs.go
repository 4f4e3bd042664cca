package club

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// codeLetters has no two signs that are mistaken for one another on a wet post, and no
// vowels, so that no code spells a word.
const codeLetters = "23456789BCDFGHJKMNPQRSTVWXYZ"

// codeLength gives 17 million codes.
const codeLength = 5

// NewCode is a peg's code of draws from 0 to below n.
func NewCode(draw func(n int) int) string {
	code := make([]byte, codeLength)
	for i := range code {
		code[i] = codeLetters[draw(len(codeLetters))]
	}
	return string(code)
}

// labelSigns is what a post may say.
var labelSigns = regexp.MustCompile(`^[0-9A-Za-z]{1,8}$`)

// CheckLabel is what a post says in order, or a fault.
func CheckLabel(text string) (string, error) {
	text = strings.TrimSpace(text)
	if !labelSigns.MatchString(text) {
		return text, bad("A peg's number is up to eight letters and digits, such as 14 or 14A.")
	}
	return text, nil
}

// StretchMost is how many pegs are made at a time.
const StretchMost = 200

// StretchDraft is a whole stretch of pegs at once.
type StretchDraft struct {
	First, Last       int  // numbers on the posts
	Upstream          bool // the numbers rise going upstream, and not downstream
	Bank              Bank
	FirstDeg, LastDeg int      // the flow's bearing at the first number and at the last
	MarkM             *float64 // of the bank, as the board would read it; nil: half a metre over its ordinary top
	Above             bool     // they lie above the pegs there are, and not below
	Was               string
}

// Checked is the draft in order.
func (d StretchDraft) Checked() (StretchDraft, error) {
	switch {
	case d.First < 1 || d.Last < 1 || d.First > 9999 || d.Last > 9999:
		return d, bad("Peg numbers are from 1 to 9999.")
	case d.Last < d.First:
		return d, bad("The last number is below the first. Write the lower one first; which way they count is asked below.")
	case d.Last-d.First >= StretchMost:
		return d, bad("That is %d pegs. Make %d or fewer at a time.", d.Last-d.First+1, StretchMost)
	}
	if d.MarkM != nil && !levelOK(*d.MarkM) {
		return d, bad("No board reads that level: write metres, from %g to %g.", MinLevelM, MaxLevelM)
	}
	if err := checkBearing(d.FirstDeg); err != nil {
		return d, err
	}
	if err := checkBearing(d.LastDeg); err != nil {
		return d, err
	}
	return d, checkBank(d.Bank)
}

// Pegs are the stretch's pegs in order downstream, without codes or the height of their
// marks.
func (d StretchDraft) Pegs() []Peg {
	n := d.Last - d.First + 1
	out := make([]Peg, n)
	for i := range out {
		out[i] = Peg{Label: strconv.Itoa(d.First + i), Bank: d.Bank, Reach: OpenReach, BearingDeg: BearingBetween(d.FirstDeg, d.LastDeg, i, n-1)}
	}
	if d.Upstream {
		slices.Reverse(out)
	}
	return out
}

// BearingBetween turns from bearing a to bearing b by the shorter way, degrees, and is
// step i of n of it: a at 0, b at n. Straight about it turns clockwise. With no steps it
// is a.
func BearingBetween(a, b, i, n int) int {
	if n <= 0 {
		return a
	}
	turn := ((b-a)%360 + 360) % 360
	if turn > 180 {
		turn -= 360
	}
	deg := int(math.Round(float64(a) + float64(turn)*float64(i)/float64(n)))
	return (deg%360 + 360) % 360
}

func checkBearing(deg int) error {
	if deg < 0 || deg > 359 {
		return bad("The water flows towards a bearing from 0 to 359 degrees: 0 is north, 90 east, 180 south, 270 west.")
	}
	return nil
}

func checkBank(b Bank) error {
	if b != LeftBank && b != RightBank {
		return bad("Choose the bank: left or right, looking downstream.")
	}
	return nil
}

// BetweenDraft is a peg to be put in between others. Its bank and bearing are those of
// its neighbours.
type BetweenDraft struct {
	After PegRef // empty: above all the others
	Label string
	Was   string
}

// RenumberDraft gives the pegs of a span new numbers. Their codes stay.
type RenumberDraft struct {
	From, To PegRef
	First    int  // number of the one furthest upstream
	Falling  bool // the numbers fall going downstream
	Was      string
}

// Numbers are the new numbers of n pegs going downstream.
func (d RenumberDraft) Numbers(n int) ([]string, error) {
	last := d.First + n - 1
	if d.Falling {
		last = d.First - n + 1
	}
	if d.First < 1 || last < 1 || d.First > 9999 || last > 9999 {
		return nil, bad("Peg numbers are from 1 to 9999, and these would go from %d to %d.", d.First, last)
	}
	out := make([]string, n)
	for i := range out {
		if d.Falling {
			out[i] = strconv.Itoa(d.First - i)
		} else {
			out[i] = strconv.Itoa(d.First + i)
		}
	}
	return out, nil
}

// PegDraft is a peg as somebody asks for it.
type PegDraft struct {
	Label      string
	Bank       Bank
	BearingDeg int
	Reach      Reach
	Access     string
	MarkM      float64 // as the board would read it now
	At         *Position
	Was        string `json:"-"`
}

// Stamp marks the peg as the draft has it.
func (d PegDraft) Stamp() string { return stamp(d) }

// Checked is the draft in order.
func (d PegDraft) Checked() (PegDraft, error) {
	var err error
	if d.Label, err = CheckLabel(d.Label); err != nil {
		return d, err
	}
	if err := checkBank(d.Bank); err != nil {
		return d, err
	}
	if err := checkBearing(d.BearingDeg); err != nil {
		return d, err
	}
	if d.Reach != OpenReach && d.Reach != PastWeir {
		return d, bad("Say whether a weir or a lock lies between the gauge and the peg.")
	}
	if !levelOK(d.MarkM) {
		return d, bad("No board reads that level: write metres, from %g to %g.", MinLevelM, MaxLevelM)
	}
	if d.At != nil {
		if err := d.At.Check(); err != nil {
			return d, err
		}
	}
	d.Access, err = longText(d.Access, "How to get to the peg")
	return d, err
}

// PegPlace is where a peg is, by its code; nil for nowhere.
type PegPlace struct {
	Code string
	At   *Position
}

// UsualRuns are the runs most pegs have, with common distances from the mark: common
// practice, no source. A secretary puts the distances right.
func UsualRuns() []Run {
	return []Run{{Name: "inside", DistanceM: 2}, {Name: "rod length", DistanceM: 4}, {Name: "two rods", DistanceM: 8}, {Name: "middle", DistanceM: 13}}
}

// RunSetDraft gives every peg of a venue the same runs, where it has none so named or so
// far out.
type RunSetDraft struct{ Runs []Run }

// RunsMost is how many runs a peg has at most.
const RunsMost = 12

// ErrRunsMost is said of one more.
func ErrRunsMost() *Fault { return bad("A peg has at most %d runs.", RunsMost) }

// Checked is the draft in order, from the bank outwards.
func (d RunSetDraft) Checked() (RunSetDraft, error) {
	if len(d.Runs) == 0 {
		return d, bad("Write how far out at least one run is.")
	}
	if len(d.Runs) > RunsMost {
		return d, ErrRunsMost()
	}
	d.Runs = slices.Clone(d.Runs)
	for i, r := range d.Runs {
		c, err := RunDraft{Name: r.Name, DistanceM: r.DistanceM}.Checked()
		if err != nil {
			return d, err
		}
		d.Runs[i].Name, d.Runs[i].DistanceM = c.Name, c.DistanceM
	}
	slices.SortStableFunc(d.Runs, func(a, b Run) int { return int(math.Round((a.DistanceM - b.DistanceM) * 1000)) })
	for i := 1; i < len(d.Runs); i++ {
		if d.Runs[i].DistanceM-d.Runs[i-1].DistanceM < leastBetweenM-1e-9 {
			return d, bad("The runs “%s” and “%s” are the same distance out.", d.Runs[i-1].Name, d.Runs[i].Name)
		}
	}
	return d, nil
}

// RunDraft is a run as somebody asks for it.
type RunDraft struct {
	Name      string
	DistanceM float64
	Boil      int
	SteepSide bool
	Snaggy    bool
	Bottom    string
	Was       string `json:"-"`
}

// Distances of runs, in metres.
const (
	runFarM       = 200
	leastBetweenM = 0.1
)

// Stamp marks the run as the draft has it.
func (d RunDraft) Stamp() string { return stamp(d) }

// Checked is the draft in order.
func (d RunDraft) Checked() (RunDraft, error) {
	var err error
	if d.Name, err = named(d.Name, "the run's name, such as “two rods”"); err != nil {
		return d, err
	}
	if !(d.DistanceM >= 0 && d.DistanceM <= runFarM) {
		return d, bad("A run is from 0 to %d m out from the peg's mark.", runFarM)
	}
	if d.Boil < 0 || d.Boil > 3 {
		return d, bad("How broken the water is goes from 0, smooth, to 3, boily.")
	}
	d.Bottom = oneLine(d.Bottom)
	if d.Bottom != "" {
		d.Bottom, err = named(d.Bottom, "what the bottom is")
	}
	return d, err
}

// ClosedForGood is the reason of a closure of a peg that stays in the book for what was
// sounded there.
const ClosedForGood = "Closed for good"

// Plural is "1 peg" or "3 pegs".
func Plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
