package club

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"
)

// Writer is who writes in the club's book: a member by their session, or whoever runs
// the program on the club's own machine.
type Writer struct {
	Session   []byte // hash of the token in the cookie
	OnMachine bool
}

// MayClose says whether a role may close pegs and set level rules.
func (r Role) MayClose() bool { return r == Secretary || r == Bailiff }

// ErrMayNotClose is said to everyone else.
func ErrMayNotClose() *Fault {
	return Faultf(Forbidden, "Only a secretary or a bailiff who is signed in may close pegs and set level rules.")
}

// ErrMembersOnly is said to a visitor of what the club has not opened to visitors.
func ErrMembersOnly() *Fault {
	return Faultf(Forbidden, "This water is the club's own: only members who are signed in may see it.")
}

// PegRef names a peg by what its post says. Where the writer knows its lasting code,
// too, a renumbering since they looked is noticed.
type PegRef struct{ Label, Code string }

// reasonMost is how long a reason or a rule's text may be, in signs.
const reasonMost = 500

// longestAhead is how far ahead of now a closure or a rule may begin or end: a year that
// was mistyped is noticed.
const longestAhead = 10 * 366 * 24 * time.Hour

// ClosureDraft is a closure as somebody asks for it.
type ClosureDraft struct {
	From, To PegRef    // empty labels: the whole venue; To empty: From alone
	Starts   time.Time // zero: now
	Ends     time.Time // zero: until lifted
	Reason   string
}

// Checked is the draft with its gaps filled, or a fault whose sentence says what to
// write instead.
func (d ClosureDraft) Checked(now time.Time) (ClosureDraft, error) {
	d.Reason = oneLine(d.Reason)
	if d.Starts.IsZero() {
		d.Starts = now
	}
	var err error
	if d.From, d.To, err = spanOf(d.From, d.To); err != nil {
		return d, err
	}
	if err := checkText(d.Reason, "why it is closed, such as “Tree down”"); err != nil {
		return d, err
	}
	return d, checkTimes(d.Starts, d.Ends, now)
}

// RuleDraft is a level rule as somebody asks for it.
type RuleDraft struct {
	From, To PegRef // as in ClosureDraft
	Below    bool   // it holds below the level, and not above it
	LevelM   float64
	Effect   Effect
	Text     string
	Starts   time.Time // zero: always has
	Ends     time.Time // zero: always will
}

// Checked is the draft in order, or a fault whose sentence says what to write instead.
// LevelM is on the board's zero in force.
func (d RuleDraft) Checked(now time.Time) (RuleDraft, error) {
	d.Text = oneLine(d.Text)
	var err error
	if d.From, d.To, err = spanOf(d.From, d.To); err != nil {
		return d, err
	}
	if math.IsNaN(d.LevelM) || d.LevelM < MinLevelM || d.LevelM > MaxLevelM {
		return d, Faultf(Invalid, "No board reads that level: write metres, from %g to %g.", MinLevelM, MaxLevelM)
	}
	if d.Effect != NoFishing && d.Effect != Caution {
		return d, Faultf(Invalid, "Say whether the rule stops fishing or asks for care.")
	}
	if err := checkText(d.Text, "what happens at that level, such as “The path is under water”"); err != nil {
		return d, err
	}
	return d, checkTimes(d.Starts, d.Ends, now)
}

// spanOf fills in the other end of a single peg.
func spanOf(from, to PegRef) (PegRef, PegRef, error) {
	switch {
	case from.Label == "" && to.Label != "":
		return from, to, Faultf(Invalid, "Say which peg it begins at, or leave both pegs out for the whole water.")
	case to.Label == "":
		to = from
	}
	return from, to, nil
}

func checkText(text, what string) error {
	switch n := utf8.RuneCountInString(text); {
	case n == 0:
		return Faultf(Invalid, "Write %s.", what)
	case n > reasonMost:
		return Faultf(Invalid, "That is %d signs long. Say it in %d or fewer.", n, reasonMost)
	}
	return nil
}

func checkTimes(starts, ends, now time.Time) error {
	switch {
	case !ends.IsZero() && !starts.IsZero() && !ends.After(starts):
		return Faultf(Invalid, "It ends before it begins. Choose a later end, or leave the end empty.")
	case !ends.IsZero() && !ends.After(now):
		return Faultf(Invalid, "It would be over already. Choose an end that is still to come, or leave the end empty.")
	case starts.Sub(now).Abs() > longestAhead && !starts.IsZero(), !ends.IsZero() && ends.Sub(now) > longestAhead:
		return Faultf(Invalid, "That is more than ten years from now. Look at the year again.")
	}
	return nil
}

// oneLine is text without breaks, and without spaces around it or two together.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// Done says what setting the closure did: "Peg 14 is closed from now: Tree down."
func (c Closure) Done(now time.Time, loc *time.Location) string {
	verb := " is closed"
	if c.FromLabel != c.ToLabel {
		verb = " are closed"
	}
	when := " from now"
	switch {
	case c.From.After(now):
		when = " from " + c.From.In(loc).Format(closureTime)
	case c.From.Before(now.Add(-time.Minute)):
		when = " since " + c.From.In(loc).Format(closureTime)
	}
	if !c.To.IsZero() {
		when += " until " + c.To.In(loc).Format(closureTime)
	}
	return upperFirst(SpanWords(c.FromLabel, c.ToLabel)) + verb + when + ": " + strings.TrimSuffix(c.Reason, ".") + "."
}

// Lifted says what lifting it did.
func (c Closure) Lifted() string {
	return fmt.Sprintf("Lifted: the closure of %s for “%s”.", SpanWords(c.FromLabel, c.ToLabel), c.Reason)
}

// upperFirst is our own words, which begin with a plain letter, at the front of a sentence.
func upperFirst(words string) string { return strings.ToUpper(words[:1]) + words[1:] }

// Done says what setting the rule did, as the board of today reads it.
func (r LevelRule) Done(offsetM float64, loc *time.Location) string {
	return "Set for " + SpanWords(r.FromLabel, r.ToLabel) + ": " + r.Says(offsetM, loc)
}

// Dropped says what taking it away did.
func (r LevelRule) Dropped(offsetM float64) string {
	return "Taken away for " + SpanWords(r.FromLabel, r.ToLabel) + ": " + r.Words(offsetM)
}

// CloseReasons are what pegs are mostly closed for, to choose from in one tap.
func CloseReasons() []string {
	return []string{"Tree down", "Bank unsafe", "Pollution", "Works"}
}
