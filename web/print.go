package web

import (
	"time"
	"unicode/utf8"

	"levelpeg/club"
)

// Print is what stands on every printed page.
type Print struct {
	Title   string // of the document
	Club    string
	Printed string // "Printed 26 November 2026"
	Known   string // "as known on 24 November 2026"
	At      time.Time
}

const paperDay = "2 January 2006"

// newPrint is for a page printed now of what was last added to at known. The document
// carries that time, so that the same book prints the same bytes.
func newPrint(c club.Club, title string, known, now time.Time, loc *time.Location) Print {
	p := Print{Title: title, Club: Shell{Club: c.Name}.name(), Printed: "Printed " + now.In(loc).Format(paperDay), Known: "as known on " + known.In(loc).Format(paperDay), At: known.UTC()}
	if known.IsZero() {
		p.Known, p.At = "nothing was written down yet", time.Unix(0, 0).UTC()
	}
	return p
}

// printedRead says when the board was read: paper does not age by the minute.
func printedRead(st club.Standing, loc *time.Location) string {
	if st.Latest == nil {
		return "Nobody has read the board yet."
	}
	return "Level " + metres(st.Latest.LevelM) + " at " + st.Gauge.Name + ", read " + st.Latest.At.In(loc).Format("Mon 2 January 2006, 15:04") + "."
}

// printedLevel is the level that a printed page answers for, in a sentence.
func printedLevel(l club.LevelShown, st club.Standing, loc *time.Location) string {
	switch {
	case l.Asked:
		return "At level " + metres(l.LevelM) + " on the board at " + st.Gauge.Name + "."
	case l.At.IsZero():
		return printedRead(st, loc)
	case !l.Known:
		return l.Why
	}
	say := "Level " + metres(l.LevelM) + " at " + st.Gauge.Name + " on " + l.At.In(loc).Format(whenFormat) + ", four times in five from " + fixed(l.Range.Low, 2) + " to " + fixed(l.Range.High, 2) + " m"
	if l.Coming {
		return say + ", foreseen."
	}
	return say + "."
}

// standingRules are what holds here at any time: the club's level rules, closures to come,
// and the close season.
func standingRules(v club.Venue, rules []club.LevelRule, closures []club.Closure, off float64, now time.Time, loc *time.Location) []string {
	var out []string
	for _, r := range rules {
		out = append(out, ruleWords(r, off, loc))
	}
	for _, c := range closures {
		if c.From.After(now) {
			out = append(out, atPegs(c.FromLabel, c.ToLabel)+c.Words(now, loc))
		}
	}
	if v.CloseSeason {
		out = append(out, "Close season: no coarse fishing here from 15 March to 15 June.")
	}
	return out
}

// Permanent is an address that survives renumbering, as text and as a QR code.
type Permanent struct {
	Code, Address string
}

func permanent(origin, code string) Permanent { return Permanent{code, origin + "/p/" + code} }

// longestAddress is more than any address of ours, and less than a code that a phone
// cannot read from a label.
const longestAddress = 200

// NewLabels are the labels of a venue's pegs, in order downstream.
func NewLabels(v *club.VenuePegs, origin string, per int, now time.Time, loc *time.Location) (Labels, error) {
	l := Labels{Print: newPrint(v.Club, "Labels for "+v.Venue.Name, v.Known(), now, loc), Venue: v.Venue.Name, Origin: origin, Per: per}
	for i := range v.Pegs {
		p := permanent(origin, v.Pegs[i].Peg.Code)
		if utf8.RuneCountInString(p.Address) > longestAddress {
			return Labels{}, club.Faultf(club.Invalid, "The server's address is too long for a label.")
		}
		l.Pegs = append(l.Pegs, Label{Peg: v.Pegs[i].Peg.Label, Permanent: p})
	}
	return l, nil
}

// Labels are for the posts of a venue's pegs.
type Labels struct {
	Print
	Venue  string
	Origin string // where their codes lead
	Per    int    // on a page
	Pegs   []Label
}

// Label is one peg's.
type Label struct {
	Peg string
	Permanent
}
