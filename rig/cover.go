package rig

import (
	"cmp"
	"math"
	"slices"
)

// Cover is the few rigs that between them serve many waters.
type Cover struct {
	Rigs   []Tied // those that serve most first
	Left   []Left // the waters none of them serves, in the order they were given
	Fewest int    // how many rigs serve every water that can be served
	// Exact: it is proven that none fewer would do, that no other so many serve more
	// and that of those no others fit better. False where the search came to its end
	// first; Fewest is then the fewest found.
	Exact bool
	// Close: every water is served by a float near the best for it. False where
	// so few rigs could serve all only by looking less closely.
	Close bool
}

// Tied is a rig to tie.
type Tied struct {
	Rig    Rig
	For    int      // the water it is tied for, one of those it serves where that can be
	Serves []Served // in the order the waters were given
}

// Served is a water and what is done to a rig for it.
type Served struct {
	Water int // its place among those given
	To    Rig // what the rig becomes
	Moves Moves
	How   Fit
	// Better names the float of the best rig for this water where it is clearly better
	// than this one: "4 g short-bodied Avon"; empty where it is not.
	Better string
}

// Left is a water that no rig tied serves.
type Left struct {
	Water int
	Why   string // a sentence; where a rig would serve it, which
}

// The most rigs that may be asked for, and the most waters.
const (
	MostTied   = 12
	MostWaters = 1000
)

// CoverWaters is what to tie the night before, when any of the waters may be drawn: the
// fewest rigs that between them serve every one that can be served and, of as few, those
// that fit best. Where that is more than most, 1 to 12, it is so many rigs that serve the
// most of the waters, and the rest are left.
//
// A rig tied for one water serves another when
//
//   - its pattern suits that water, with nothing outside what the pattern is for;
//   - its float carries at least 97 % of what that water asks of the pattern, and not
//     more than one of the lighter sizes the pattern is made in would do, or it is the
//     lightest in the kit that will: the range of pace that a [Rig] gives has the same
//     rule for too heavy a float (common practice, no source);
//   - it becomes the pattern's rig for that water, with the float it has, on the same
//     main line with the same olivettes and in fewer hand movements than tying it anew,
//     as [Diff] counts them. See [TurnTo].
//
// and where it is near the best that the kit loads for that water: a quarter of the
// penalty behind it that Suggest ranks by. Where that takes more than most rigs, half
// will do, and then any float that suits, and Close is false.
//
// Every rig is tied for one of the waters. How well one fits is how far its penalty for
// pattern and size is behind the best that [Suggest] has for that water and the kit has
// the weights for, to a thousandth: 0 for the best and for any that is as good. The total
// is the sum over the waters. Each water goes to the rig that fits it best, and a rig is
// tied for that water of those it serves from which the others are the fewest hand
// movements.
//
// Equal waters are one for the fit, so that one more of the same changes nothing; but
// where most binds, each counts, for each may be drawn. The answer does not depend on
// the order of the waters.
//
// Both searches, for the fewest and for the best, are exact, by branch and bound, up to
// 5000 nodes each. No venue tried, of up to 250 different waters, has taken 256. Beyond
// that Exact is false.
//
// A water out of range, too shallow or not a number, is left, and Why names the value
// and the range; so is one that no float is made for. An aim or a kit out of range, most
// outside 1 to 12 and over 1000 waters are errors.
func CoverWaters(ws []Water, a Aim, k Kit, most int) (Cover, error) {
	err := firstError(a.check(), k.check(), inRange("rigs to tie", float64(most), 1, MostTied, ""),
		inRange("number of waters", float64(len(ws)), 0, MostWaters, ""))
	if err != nil {
		return Cover{}, err
	}
	v := newVenue(ws, a, k)
	c, tied := v.closest(most)
	for _, t := range tied {
		c.Rigs = append(c.Rigs, v.tied(t))
	}
	slices.SortStableFunc(c.Rigs, func(a, b Tied) int { return cmp.Compare(len(b.Serves), len(a.Serves)) })
	c.Left = v.left(c.Rigs, most)
	return c, nil
}

// slacks are how far behind the best float for a water one that serves it may be, in
// thousandths of the penalty that [Suggest] ranks by, the nearest first; at the last any
// that suits will do. A quarter is the least, to a twentieth, at which one float covers
// a steady reach of even depth, as anglers have it do (common practice, no source).
var slacks = []int{250, 500, math.MaxInt}

// closest is the cover with the least slack that takes no more than most rigs.
func (v *venue) closest(most int) (Cover, []tying) {
	for i, slack := range slacks {
		c, tied := v.within(slack).cover(most)
		if c.Fewest <= most || i == len(slacks)-1 {
			c.Close = i == 0
			return c, tied
		}
	}
	return Cover{}, nil // not reached: the last slack always answers
}

// cover solves, and ties what the answer is made of, until all of it holds: what a rig
// reaches is taken on trust until it is needed. What is found not to hold can only make
// for more rigs and a worse fit, so the first answer that holds is the best.
func (v *venue) cover(most int) (Cover, []tying) {
	for {
		cs := v.candidates()
		p := v.problem(cs)
		all := p.fewest()
		best, fewest := all, len(all.chosen)
		if fewest > 0 {
			best = p.best(all, min(most, fewest))
		}
		if fewest > most {
			if _, holds := v.tie(cs, p, all.chosen); !holds {
				continue
			}
		}
		if tied, holds := v.tie(cs, p, best.chosen); holds {
			return Cover{Fewest: fewest, Exact: all.proven && best.proven}, tied
		}
	}
}
