package club

import (
	"fmt"
	"strings"
	"time"
)

// Stop is a reason not to fish. While one stands no rig is offered.
type Stop struct {
	Kind StopKind
	Text string
}

// StopKind is what a stop comes from.
type StopKind string

// The kinds of stop.
const (
	StopClosed      StopKind = "closed"
	StopPowerLine   StopKind = "power line"
	StopLevelRule   StopKind = "level rule"
	StopCloseSeason StopKind = "close season"
)

// Care is something that can hurt someone, or a doubt about the answer.
type Care struct {
	Head string
	Text string
}

// powerLineClearM is how far to keep from overhead power lines when fishing.
// Source: networks' safety guidance to anglers, "30 metres".
const powerLineClearM = 30

// stops lists what forbids fishing the peg, the surest first.
func (v *PegView) stops(levelM *float64, now time.Time, loc *time.Location) []Stop {
	var out []Stop
	for _, c := range v.Closures {
		if c.In(now) {
			out = append(out, Stop{StopClosed, c.Words(now, loc)})
		}
	}
	for _, h := range v.Hazards {
		if h.stops() {
			out = append(out, Stop{StopPowerLine, "A power line is within 30 m of this peg. Do not fish here. " + h.Text})
		}
	}
	if levelM != nil {
		out = append(out, ruleStops(v.Rules, now, *levelM+v.Standing.Zero.OffsetM, v.Standing.Zero.OffsetM)...)
	}
	if v.Venue.CloseSeason && InCloseSeason(now, loc) {
		out = append(out, Stop{StopCloseSeason,
			"Close season: no coarse fishing on rivers from 15 March to 15 June. Check the byelaws of the water before you go."})
	}
	return out
}

// stops says whether a hazard alone forbids fishing: a power line nearer to the peg
// than the distance to keep. One whose distance nobody gave counts as near.
func (h Hazard) stops() bool {
	return h.Kind == PowerLine && h.PegLabel != "" && h.DistanceM < powerLineClearM
}

func ruleStops(rules []LevelRule, at time.Time, datumM, offsetM float64) []Stop {
	var out []Stop
	for _, r := range rules {
		if r.Effect == NoFishing && r.Holds(at, datumM) {
			out = append(out, Stop{StopLevelRule, r.Words(offsetM)})
		}
	}
	return out
}

// In says whether the rule speaks at a time.
func (r LevelRule) In(at time.Time) bool { return within(at, r.From, r.To) }

// Holds says whether the rule speaks at a time and a level on the datum.
func (r LevelRule) Holds(at time.Time, datumM float64) bool {
	return r.In(at) && r.reaches(datumM)
}

// reaches says whether a level on the datum is one that the rule is about.
func (r LevelRule) reaches(datumM float64) bool {
	return (r.AboveM != nil && datumM > *r.AboveM) || (r.BelowM != nil && datumM < *r.BelowM)
}

// Words gives the level the rule starts at, on the zero in force, what it does, and
// its own text.
func (r LevelRule) Words(offsetM float64) string {
	where := ""
	switch {
	case r.AboveM != nil:
		where = fmt.Sprintf("Above %.2f m", *r.AboveM-offsetM)
	case r.BelowM != nil:
		where = fmt.Sprintf("Below %.2f m", *r.BelowM-offsetM)
	}
	if r.Effect == NoFishing {
		where += " no fishing"
	}
	return where + ": " + r.Text
}

// Words says how long the closure stands, and why.
func (c Closure) Words(now time.Time, loc *time.Location) string {
	reason := strings.TrimSuffix(c.Reason, ".")
	when := "Closed until the club opens it again"
	switch {
	case c.From.After(now) && c.To.IsZero():
		when = "Closed from " + c.From.In(loc).Format(closureTime)
	case c.From.After(now):
		when = "Closed from " + c.From.In(loc).Format(closureTime) + " to " + c.To.In(loc).Format(closureTime)
	case !c.To.IsZero():
		when = "Closed until " + c.To.In(loc).Format(closureTime)
	}
	return when + ": " + reason + "."
}

const closureTime = "Mon 2 January 15:04"

// Says is the rule with its time, as the board of today reads.
func (r LevelRule) Says(offsetM float64, loc *time.Location) string {
	words := strings.TrimSuffix(r.Words(offsetM), ".") + "."
	if when := r.timeWords(loc); when != "" {
		words += " " + when
	}
	return words
}

// timeWords says when a rule that does not always speak does; empty for one that does.
func (r LevelRule) timeWords(loc *time.Location) string {
	switch {
	case r.From.IsZero() && r.To.IsZero():
		return ""
	case r.To.IsZero():
		return "From " + r.From.In(loc).Format(closureTime) + "."
	case r.From.IsZero():
		return "Until " + r.To.In(loc).Format(closureTime) + "."
	}
	return "From " + r.From.In(loc).Format(closureTime) + " to " + r.To.In(loc).Format(closureTime) + "."
}

// PartStop is a reason not to fish some of a venue's pegs.
type PartStop struct {
	FromLabel, ToLabel string // equal: one peg; else a span in order downstream
	Stop
}

// Pegs names them: "peg 14" or "pegs 14 to 16".
func (p PartStop) Pegs() string { return SpanWords(p.FromLabel, p.ToLabel) }

// SpanWords is "peg 14" or "pegs 14 to 16", and "the whole water" where no peg is named.
func SpanWords(from, to string) string {
	switch from {
	case "":
		return "the whole water"
	case to:
		return "peg " + from
	}
	return "pegs " + from + " to " + to
}

// PartStops lists what forbids fishing some of a venue's pegs now, and not all of them.
func PartStops(st Standing, closures []Closure, rules []LevelRule, now time.Time, loc *time.Location) []PartStop {
	var out []PartStop
	for _, c := range closures {
		if c.FromLabel != "" && c.In(now) {
			out = append(out, PartStop{c.FromLabel, c.ToLabel, Stop{StopClosed, c.Words(now, loc)}})
		}
	}
	for _, r := range partRules(rules, st, now) {
		out = append(out, PartStop{r.FromLabel, r.ToLabel, Stop{StopLevelRule, r.Words(st.Zero.OffsetM)}})
	}
	return out
}

// partRules are the rules of single pegs and spans that forbid fishing now.
func partRules(rules []LevelRule, st Standing, now time.Time) []LevelRule {
	if st.Latest == nil {
		return nil
	}
	var out []LevelRule
	for _, r := range rules {
		if r.FromLabel != "" && r.Effect == NoFishing && r.Holds(now, st.Latest.LevelM+st.Zero.OffsetM) {
			out = append(out, r)
		}
	}
	return out
}

// VenueStops lists what forbids fishing all along a venue now.
func VenueStops(v Venue, st Standing, closures []Closure, rules []LevelRule, now time.Time, loc *time.Location) []Stop {
	whole := PegView{Venue: v, Standing: st}
	for _, c := range closures {
		if c.FromLabel == "" {
			whole.Closures = append(whole.Closures, c)
		}
	}
	for _, r := range rules {
		if r.FromLabel == "" {
			whole.Rules = append(whole.Rules, r)
		}
	}
	var level *float64
	if st.Latest != nil {
		level = &st.Latest.LevelM
	}
	return whole.stops(level, now, loc)
}
