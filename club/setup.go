package club

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// What follows is what a secretary sets a club up with: drafts of gauges, venues, pegs,
// runs and hazards, as somebody asks for them. Checked gives a draft in order, or a fault
// whose sentence says what to write instead. Was is the stamp of what the writer saw; a
// write that finds another one there is club.Conflict, and changes nothing.

// Longest texts of the book, in signs.
const (
	bookNameMost = 80
	bookTextMost = 2000
)

// stamp is a short mark of a value, which tells whether it was changed since.
func stamp(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		return "" // of numbers, text and times there is none
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// ErrStale is said to whoever changes what somebody else has changed meanwhile. What
// says what it is now.
func ErrStale(what string) *Fault {
	return Faultf(Conflict, "Somebody changed %s since you opened this page. What you wrote is below as you left it: look at it again, then keep it or leave it.", what)
}

// plainLetters are letters that an address writes without their marks.
var plainLetters = strings.NewReplacer("à", "a", "á", "a", "â", "a", "ã", "a", "ä", "ae", "å", "a", "æ", "ae", "ç", "c", "è", "e", "é", "e", "ê", "e", "ë", "e",
	"ì", "i", "í", "i", "î", "i", "ï", "i", "ð", "d", "ñ", "n", "ò", "o", "ó", "o", "ô", "o", "õ", "o", "ö", "oe", "ø", "o", "ù", "u", "ú", "u", "û", "u", "ü", "ue",
	"ý", "y", "ÿ", "y", "þ", "th", "ß", "ss", "œ", "oe", "ł", "l", "š", "s", "ž", "z", "č", "c", "ć", "c", "ę", "e", "ą", "a", "ń", "n", "ś", "s", "ź", "z", "ż", "z",
	"ř", "r", "ů", "u", "ě", "e", "ŵ", "w", "ŷ", "y", "'", "", "’", "")

// slugMost is how long a place in an address is at most.
const slugMost = 40

// FreeSlug is a name's place in an address: "Mill Bridge" is "mill-bridge". A name without a
// plain letter or digit has the one given instead. taken says which are somebody's.
func FreeSlug(name, instead string, taken func(string) bool) string {
	s := Slug(plainLetters.Replace(strings.ToLower(name)))
	if len(s) > slugMost {
		s = strings.Trim(s[:slugMost], "-")
	}
	if s == "" {
		s = instead
	}
	// "new" is where one is made.
	free := func(s string) bool { return s != "new" && !taken(s) }
	if free(s) {
		return s
	}
	for n := 2; ; n++ {
		if next := s + "-" + strconv.Itoa(n); free(next) {
			return next
		}
	}
}

// named is a name of something in the book in order: one line that can be seen.
func named(text, what string) (string, error) {
	name := oneLine(text)
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return name, bad("Write %s.", what)
	case n > bookNameMost:
		return name, bad("That is %d signs long. Write %s in %d or fewer.", n, what, bookNameMost)
	case strings.ContainsFunc(name, unseen):
		return name, bad("There is a sign in it that nobody can see. Write %s again.", what)
	}
	return name, nil
}

// longText is a text of some sentences in order; it may be empty.
func longText(text, what string) (string, error) {
	text = strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n"))
	hidden := func(r rune) bool { return unseen(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Co, r) }
	switch n := utf8.RuneCountInString(text); {
	case n > bookTextMost:
		return text, bad("%s is %d signs long. Say it in %d or fewer.", what, n, bookTextMost)
	case strings.ContainsFunc(text, hidden):
		return text, bad("There is a sign in it that nobody can see. Write it again: %s.", lowerFirst(what))
	}
	return text, nil
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// levelOK says whether a board can read a level.
func levelOK(m float64) bool { return m >= MinLevelM && m <= MaxLevelM } // never for NaN

// Check wants a place on the earth.
func (p Position) Check() error {
	if !(math.Abs(p.LatDeg) <= 90) || !(math.Abs(p.LonDeg) <= 180) {
		return bad("No place on the earth is at %g, %g. Latitude is from -90 to 90, longitude from -180 to 180.", p.LatDeg, p.LonDeg)
	}
	return nil
}

// GaugeDraft is a gauge as somebody asks for it. Its levels are as the board reads them
// now.
type GaugeDraft struct {
	Name, River string
	LowM, HighM float64   // the board's ordinary range
	FloodM      *float64  // above which beds are known to move; nil: nobody has said
	Since       time.Time `json:"-"` // of a new gauge: when its zero began; zero: always
	Was         string    `json:"-"`
}

// AlwaysHeld is when the zero of a gauge begins that nobody knows another of.
var AlwaysHeld = time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)

// Stamp marks the gauge as the draft has it.
func (d GaugeDraft) Stamp() string { return stamp(d) }

// Checked is the draft in order.
func (d GaugeDraft) Checked(now time.Time) (GaugeDraft, error) {
	var err error
	if d.Name, err = named(d.Name, "a name for the gauge, such as “Mill bridge board”"); err != nil {
		return d, err
	}
	if d.River, err = named(d.River, "the river it stands in"); err != nil {
		return d, err
	}
	if !levelOK(d.LowM) || !levelOK(d.HighM) || d.FloodM != nil && !levelOK(*d.FloodM) {
		return d, bad("No board reads that level: write metres, from %g to %g.", MinLevelM, MaxLevelM)
	}
	if d.HighM-d.LowM < 0.05 {
		return d, bad("The ordinary range goes from low to high: the high level has to be at least 5 cm above the low one.")
	}
	if d.FloodM != nil && *d.FloodM <= d.LowM {
		return d, bad("The level that moves beds has to be above the low end of the ordinary range.")
	}
	if d.Since.IsZero() {
		d.Since = AlwaysHeld
	}
	if d.Since.Before(AlwaysHeld) || d.Since.After(now) {
		return d, bad("The board's zero began between the year 1900 and now. Leave the date empty where nobody knows it.")
	}
	return d, nil
}

// ZeroDraft is a board moved or replaced: from then on, where the old one reads OldM the
// new one reads NewM. No bed moves for it.
type ZeroDraft struct {
	From       time.Time
	OldM, NewM float64
	Reason     string
}

// zeroAhead is how far ahead a zero may begin: the day the board is to be moved.
const zeroAhead = 60 * 24 * time.Hour

// Checked is the draft in order.
func (d ZeroDraft) Checked(now time.Time) (ZeroDraft, error) {
	d.Reason = oneLine(d.Reason)
	if d.From.IsZero() {
		return d, bad("Say when the board was moved or replaced.")
	}
	if d.From.Before(AlwaysHeld) || d.From.After(now.Add(zeroAhead)) {
		return d, bad("A board is moved between the year 1900 and two months from now. Look at the date again.")
	}
	if !levelOK(d.OldM) || !levelOK(d.NewM) {
		return d, bad("No board reads that level: write metres, from %g to %g.", MinLevelM, MaxLevelM)
	}
	return d, checkText(d.Reason, "what was done, such as “Board replaced after the flood”")
}

// ZeroFix puts a zero right that was written down wrong.
type ZeroFix struct {
	OffsetM float64 // height above the first zero
	Reason  string
	Was     string `json:"-"`
}

// Stamp marks the zero as the draft has it.
func (d ZeroFix) Stamp() string { return stamp(d) }

// Checked is the draft in order.
func (d ZeroFix) Checked() (ZeroFix, error) {
	d.Reason = oneLine(d.Reason)
	if !(math.Abs(d.OffsetM) <= -MinLevelM) {
		return d, bad("A zero lies within %g m of the first one.", -MinLevelM)
	}
	return d, checkText(d.Reason, "what was done, such as “Board replaced after the flood”")
}

// VenueDraft is a venue as somebody asks for it.
type VenueDraft struct {
	Name, River       string
	Gauge             string // its slug
	About, Access     string
	CloseSeason, Open bool
	Was               string `json:"-"`
}

// Stamp marks the venue as the draft has it.
func (d VenueDraft) Stamp() string { return stamp(d) }

// Checked is the draft in order.
func (d VenueDraft) Checked() (VenueDraft, error) {
	var err error
	if d.Name, err = named(d.Name, "a name for the water, such as “Mill Reach”"); err != nil {
		return d, err
	}
	if d.River, err = named(d.River, "the river it is on"); err != nil {
		return d, err
	}
	if d.Gauge == "" {
		return d, bad("Choose the gauge whose levels the water is read by.")
	}
	if d.About, err = longText(d.About, "What the water is like"); err != nil {
		return d, err
	}
	d.Access, err = longText(d.Access, "How to get there")
	return d, err
}

// HazardDraft is a hazard as somebody asks for it.
type HazardDraft struct {
	Kind      HazardKind
	Peg       PegRef // empty: all along the venue
	DistanceM float64
	Text      string
	Was       string `json:"-"`
}

// HazardKinds are the kinds of hazard there are.
func HazardKinds() []HazardKind {
	return []HazardKind{PowerLine, DeepEdge, SlipBank, Wading, OtherRisk}
}

// Stamp marks the hazard as the draft has it; a peg by its code, which stays.
func (d HazardDraft) Stamp() string {
	if d.Peg.Code != "" {
		d.Peg.Label = ""
	}
	return stamp(d)
}

// hazardFarM is how far from a peg a hazard may be, in metres.
const hazardFarM = 1000

// Checked is the draft in order.
func (d HazardDraft) Checked() (HazardDraft, error) {
	known := false
	for _, k := range HazardKinds() {
		known = known || k == d.Kind
	}
	if !known {
		return d, bad("Choose what kind of hazard it is.")
	}
	if !(d.DistanceM >= 0 && d.DistanceM <= hazardFarM) {
		return d, bad("A hazard is from 0 to %d m from the peg. Leave it empty where nobody measured it.", hazardFarM)
	}
	d.Text = oneLine(d.Text)
	return d, checkText(d.Text, "what can hurt somebody, such as “11 kV line over the path”")
}

// FixtureDraft is a match as somebody asks for it.
type FixtureDraft struct {
	Name         string
	Starts, Ends time.Time
}

// longestFixture is how long a match may be.
const longestFixture = 14 * 24 * time.Hour

// Checked is the draft in order.
func (d FixtureDraft) Checked() (FixtureDraft, error) {
	var err error
	if d.Name, err = named(d.Name, "the match's name, such as “Winter league 2”"); err != nil {
		return d, err
	}
	switch {
	case d.Starts.IsZero() || d.Ends.IsZero():
		return d, bad("Say when the match begins and when it ends.")
	case d.Starts.Year() < 1900 || d.Starts.Year() > 2200:
		return d, bad("A match in the year %d is not on this club's calendar. Look at the year again.", d.Starts.Year())
	case !d.Ends.After(d.Starts):
		return d, bad("It ends before it begins. Choose a later end.")
	case d.Ends.Sub(d.Starts) > longestFixture:
		return d, bad("That is longer than fourteen days, which no match is.")
	}
	return d, nil
}
