package club

import (
	"cmp"
	"slices"
	"time"
)

// View is the venue as its page wants it.
func (s *SavedVenue) View(now time.Time) (VenueView, bool) {
	st, ok := s.River.Standing(now)
	v := VenueView{Club: s.Club, Member: s.Member, Venue: s.Venue, Standing: st}
	for _, p := range s.Pegs {
		v.Pegs = append(v.Pegs, p.line())
	}
	v.Hazards, v.Look = s.Hazards, s.River.Seen(now)
	v.Notes, v.Pictures = s.Notes, s.Pictures
	v.Rules = slices.DeleteFunc(slices.Clone(s.Rules), func(r LevelRule) bool { return over(r.To, now) })
	slices.SortStableFunc(v.Rules, func(a, b LevelRule) int { return cmp.Or(a.From.Compare(b.From), cmp.Compare(a.ID, b.ID)) })
	v.Closures = slices.DeleteFunc(slices.Clone(s.Closures), func(c Closure) bool { return over(c.To, now) })
	v.Fixtures = slices.DeleteFunc(slices.Clone(s.Fixtures), func(f Fixture) bool { return !f.Ends.After(now) })
	v.Fixtures = v.Fixtures[:min(len(v.Fixtures), FixturesShown)]
	v.Mark(now)
	return v, ok
}

// over says whether what lasts to a moment, or for good where that is zero, is over.
func over(to, now time.Time) bool { return !to.IsZero() && !to.After(now) }

func (p *SavedPeg) line() PegLine {
	l := PegLine{Peg: p.Peg, Runs: len(p.Runs), Soundings: p.Soundings}
	for _, r := range p.Runs {
		if n := len(r.Soundings); n > 0 && r.Soundings[n-1].At.After(l.Last) {
			l.Last = r.Soundings[n-1].At
		}
	}
	return l
}

// PegViews are the pegs with what every reader of the venue sees of them; what goes with
// time, and the gauge, are for SeenAt to put in.
func (s *SavedVenue) PegViews() []PegView {
	labels := make([]string, len(s.Pegs))
	for i, p := range s.Pegs {
		labels[i] = p.Label
	}
	out := make([]PegView, len(s.Pegs))
	for i, p := range s.Pegs {
		v := PegView{Club: s.Club, Member: s.Member, Venue: s.Venue, Peg: p.Peg, Runs: p.Runs, Fixtures: s.Fixtures, Notes: p.Notes, Pictures: p.Pictures, Outings: p.Outings}
		if i > 0 {
			v.Upstream = labels[i-1]
		}
		if i+1 < len(labels) {
			v.Down = labels[i+1]
		}
		for _, b := range p.Beside {
			v.Beside = append(v.Beside, s.beside(p, b))
		}
		for _, h := range s.Hazards {
			if h.PegLabel == "" || h.PegLabel == p.Label {
				v.Hazards = append(v.Hazards, h)
			}
		}
		s.addAround(&v, labels, i)
		out[i] = v
	}
	return out
}

// beside is a neighbour's run as a peg borrows from it.
func (s *SavedVenue) beside(p SavedPeg, b SavedBeside) BesideRun {
	n := s.Pegs[b.Peg]
	r := n.Runs[b.Run]
	return BesideRun{Pegs: n.Order - p.Order, Reach: n.Reach,
		RunBook: RunBook{Run: Run{Name: r.Name, DistanceM: r.DistanceM, SteepSide: r.SteepSide}, Soundings: r.Soundings[len(r.Soundings)-b.Soundings:]}}
}

// addAround puts in the rules and closures that cover a peg, each as the peg's own sheet
// calls it.
func (s *SavedVenue) addAround(v *PegView, labels []string, peg int) {
	own := func(from string) string {
		if from == "" {
			return ""
		}
		return v.Peg.Label
	}
	for _, r := range s.Rules {
		if RuleCovers(r, labels, peg) {
			r.ID, r.FromLabel, r.ToLabel = 0, own(r.FromLabel), own(r.FromLabel)
			v.Rules = append(v.Rules, r)
		}
	}
	for _, c := range s.Closures {
		if ClosureCovers(c, labels, peg) {
			c.ID, c.FromLabel, c.ToLabel, c.SetBy = 0, own(c.FromLabel), own(c.FromLabel), ""
			v.Closures = append(v.Closures, c)
		}
	}
}

// SeenAt is what the book holds of a peg as a reader sees it at a moment: with how the
// gauge stands, without what others keep for themselves or is over.
func (v PegView) SeenAt(m Member, st Standing, now time.Time) PegView {
	v.Member, v.Standing = m, st
	v.Notes, v.Pictures = PostedFor(m, v.Notes, v.Pictures)
	// What is remembered was read a while ago, and what ends with time may have since.
	v.Closures = without(v.Closures, func(c Closure) bool { return over(c.To, now) })
	v.Rules = without(v.Rules, func(r LevelRule) bool { return over(r.To, now) })
	v.Fixtures = without(v.Fixtures, func(f Fixture) bool { return !f.Ends.After(now) })
	since := now.AddDate(-1, 0, 0)
	v.Outings = without(v.Outings, func(o Outing) bool { return !o.At.After(since) })
	return v
}
