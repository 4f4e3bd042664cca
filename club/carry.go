package club

import (
	"fmt"
	"strings"
)

// Carried is a venue as it is carried from one club to another: with its gauge, whose
// levels may be left out, without members, and of notes the club's own alone.
type Carried struct {
	Gauge GaugeBook
	Venue VenueBook
}

// Imported is what bringing a carried venue in made, or would make.
type Imported struct {
	Venue    Venue
	Gauge    Gauge
	GaugeNew bool // it was made; otherwise the club has the very same one
	Pegs     int
	Runs     int
	Sounded  int
	Levels   int
	Hazards  int
	Rules    int
	Closures int
	Fixtures int
	Notes    int
	Recoded  []PegRef // pegs whose code is another's here: their new ones
}

// Says is what was made, or would be, in sentences.
func (m Imported) Says() []string {
	out := []string{fmt.Sprintf("The water “%s” with %s, %s and %s.", m.Venue.Name, Plural(m.Pegs, "peg"), Plural(m.Runs, "run"), Plural(m.Sounded, "sounding"))}
	if m.GaugeNew {
		out = append(out, fmt.Sprintf("The gauge “%s” with %s.", m.Gauge.Name, Plural(m.Levels, "level")))
	} else {
		out = append(out, fmt.Sprintf("It is read by the club's own gauge “%s”, whose levels stay as they are.", m.Gauge.Name))
	}
	var more []string
	for _, part := range []struct {
		n   int
		one string
	}{{m.Hazards, "hazard"}, {m.Rules, "level rule"}, {m.Closures, "closure"}, {m.Fixtures, "fixture"}, {m.Notes, "note"}} {
		if part.n > 0 {
			more = append(more, Plural(part.n, part.one))
		}
	}
	if len(more) > 0 {
		out = append(out, upperFirst(strings.Join(more, ", "))+".")
	}
	if n := len(m.Recoded); n > 0 {
		labels := make([]string, n)
		for i, r := range m.Recoded {
			labels[i] = r.Label
		}
		out = append(out, fmt.Sprintf("%s get a new code, since theirs is or was another's here: %s. Put the new ones on their posts.", Plural(n, "peg"), strings.Join(labels, ", ")))
	}
	return append(out, "It begins closed to visitors.")
}
