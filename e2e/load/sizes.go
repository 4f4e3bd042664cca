package main

import "time"

// How the book is shared out.
const (
	pegsAVenue     = 100
	membersAll     = 2000
	secretaries    = 3
	bailiffs       = 60 // of the members, after the secretaries
	coaches        = 40
	juniors        = 100
	readingsApart  = 15 * time.Minute
	mostGauges     = 100
	monthsOfLevels = 1 // how much is written by one statement
	soundingsBack  = 3 * 365 * 24 * time.Hour
	outingsAPeg    = 10
	fixturesAVenue = 60
	sessionsLast   = "10 years"
	fillingSeed    = "the filling of a book"
)

// venues is how many there are, the last of which may have fewer pegs.
func (s size) venues() int { return (s.Pegs + pegsAVenue - 1) / pegsAVenue }

// gauges is how many there are: every second venue has one of its own.
func (s size) gauges() int { return min(mostGauges, (s.venues()+1)/2) }

// runs is how many there are: every second peg has four, the others three.
func (s size) runs() int { return 3*s.Pegs + s.Pegs/2 }

// rounds is how many times all gauges are read; the last round may be of some of them.
func (s size) rounds() int { return (s.Levels + s.gauges() - 1) / s.gauges() }

// since is when the first reading was taken, where the last one is at or just before now.
func (s size) since(now time.Time) time.Time {
	last := now.UTC().Truncate(readingsApart)
	return last.Add(-time.Duration(s.rounds()-1) * readingsApart)
}
