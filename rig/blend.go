package rig

import (
	"math"
	"slices"
)

// Shotting is a search over small whole numbers: at most three kinds of weight
// and a count of each. Pulls are whole millionths of a gram of lead, so that
// sums are exact.

// perGram is the units of pull in a gram.
const perGram = 1e6

// item is one kind of weight a kit holds.
type item struct {
	kind  Kind
	size  string
	massG float64
	mat   Material
	pull  int64 // units, as lead
	held  int   // how many, at least one

	weighedG float64 // on the angler's own scales; 0: by its label
}

func pullUnits(m Material, massG float64) int64 {
	return int64(math.Round(m.LeadGrams(massG) * perGram))
}

// blend is a choice: counts of up to three kinds. A nil item has a count of 0.
type blend struct {
	small, main, extra    *item
	nSmall, nMain, nExtra int
	pull                  int64
	stay                  int // small ones that have to be droppers
	style                 Style
}

func (b blend) kinds() int {
	n := 0
	for _, it := range []*item{b.small, b.main, b.extra} {
		if it != nil {
			n++
		}
	}
	return n
}

func (b blend) pieces() int { return b.nSmall + b.nMain + b.nExtra }

// overUnits is how far over its capacity a float may be loaded: 0.01 g.
const overUnits = perGram / 100

// tolerance is how far under the capacity a load may be and still be right: 2 %
// or 0.05 g, whichever is more.
func tolerance(capacity int64) int64 { return max(capacity/50, perGram/20) }

// key orders blends for a capacity, smallest first: how far beyond the
// tolerance; then kinds; then pieces; then how far from the capacity.
type key [4]int64

func (b blend) key(capacity int64) key {
	short := capacity - b.pull
	return key{max(short-tolerance(capacity), 0), int64(b.kinds()), int64(b.pieces()), max(short, -short)}
}

func (k key) compare(other key) int { return slices.Compare(k[:], other[:]) }

// search is a recipe being looked through.
type search struct {
	recipe
	best    blend
	bestKey key
	found   bool
}

// find is the best blend of a recipe, and whether there is any that is not over.
// It is exact: every choice of kinds and every count of the heavier ones is
// looked at, and the count of the lightest follows from them.
func (r recipe) find() (blend, bool) {
	s := &search{recipe: r}
	for i := range r.alone {
		s.fill(blend{small: &r.alone[i]}, 0, r.aloneLeast)
	}
	if r.kinds < 2 {
		return s.best, s.found
	}
	for i := range r.small {
		for j := range r.main {
			s.pair(&r.small[i], &r.main[j], nil, 0)
		}
	}
	if r.kinds < mostKinds || s.found && s.bestKey[0] == 0 && s.best.kinds() < mostKinds {
		return s.best, true // a third kind only ever makes it worse
	}
	for i := range r.small {
		s.threes(&r.small[i])
	}
	return s.best, s.found
}

// threes tries every extra size between a small one and a main one.
func (s *search) threes(small *item) {
	for j := range s.main {
		main := &s.main[j]
		for k := range s.extra {
			extra := &s.extra[k]
			if extra.pull <= small.pull || extra.pull >= main.pull {
				continue
			}
			for n := s.extraLeast; n <= min(s.extraMost, extra.held); n++ {
				s.pair(small, main, extra, n)
			}
		}
	}
}

// pair tries every count of main with the count of small that is best for it.
func (s *search) pair(small, main, extra *item, nExtra int) {
	if main.pull <= small.pull {
		return
	}
	b := blend{small: small, main: main, extra: extra, nExtra: nExtra}
	least := s.least(b)
	for b.nMain = s.first(b); b.nMain <= min(s.mainMost, main.held); b.nMain++ {
		together, heavy := s.heavy(b)
		if together > s.mainHigh {
			return
		}
		if together >= s.mainLow {
			s.fill(b, heavy, least)
		}
	}
}

// first is the fewest main ones with which a blend can still be no further
// beyond the tolerance than the best there is.
func (s *search) first(b blend) int {
	if !s.found {
		return s.mainLeast
	}
	reach := int64(min(b.small.held, s.most)) * b.small.pull
	if b.extra != nil {
		reach += int64(b.nExtra) * b.extra.pull
	}
	lacks := s.capacity - tolerance(s.capacity) - s.bestKey[0] - reach
	return max(s.mainLeast, int(up(lacks, b.main.pull)))
}

// least is the fewest small ones that go with a blend.
func (r recipe) least(b blend) int {
	if r.extraLow && b.extra != nil {
		return 1
	}
	return r.stops + max(r.smallLeast, int(up(r.smallPull, b.small.pull)))
}

// heavy is the pull of the main with what hangs with it, and of all but the
// small.
func (r recipe) heavy(b blend) (together, all int64) {
	main := int64(b.nMain) * b.main.pull
	if b.extra == nil {
		return main, main
	}
	all = main + int64(b.nExtra)*b.extra.pull
	if r.extraLow {
		return main, all
	}
	return all, all
}

// fill offers the one count of the small size that can be best: the fewest
// within the tolerance, or the most there may be where none is or where it is to
// be topped up.
func (s *search) fill(b blend, heavy int64, least int) {
	room := s.capacity + overUnits - heavy
	if room < 0 {
		return
	}
	most := min(int(room/b.small.pull), s.most-b.nMain-b.nExtra, b.small.held)
	if most < least {
		return
	}
	b.nSmall, b.stay, b.style = most, least-s.stops, s.style
	if !s.topUp {
		b.nSmall = min(max(int(up(s.capacity-tolerance(s.capacity)-heavy, b.small.pull)), least), most)
	}
	b.pull = heavy + int64(b.nSmall)*b.small.pull
	if k := b.key(s.capacity); !s.found || k.compare(s.bestKey) < 0 {
		s.best, s.bestKey, s.found = b, k, true
	}
}

// up is a/b rounded up, and 0 where a is not above 0.
func up(a, b int64) int64 {
	if a <= 0 {
		return 0
	}
	return (a + b - 1) / b
}
