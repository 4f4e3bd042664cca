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
}

func pullUnits(m Material, massG float64) int64 {
	return int64(math.Round(m.LeadGrams(massG) * perGram))
}

// recipe is what a blend has to keep to.
type recipe struct {
	style    Style
	capacity int64
	most     int // pieces

	small      []item // droppers, and an olivette's stops
	smallLeast int
	smallPull  int64 // the least they pull together

	main                []item // the bulk, the string or the lock
	mainLeast, mainMost int
	mainLow, mainHigh   int64 // what main and extra pull together

	extra     []item // a second size, between the small and the main
	extraMost int
	extraLow  bool // it hangs with the small and not with the main

	alone      []item // sizes that may do for everything
	aloneLeast int    // the fewest of them
}

// blend is a choice: counts of up to three kinds. A nil item has a count of 0.
type blend struct {
	small, main, extra    *item
	nSmall, nMain, nExtra int
	pull                  int64
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
// tolerance; then kinds; then whether there is still room for one more of the
// smallest shot on the line, since that one costs nothing; then pieces; then how
// close.
func (b blend) key(capacity int64) [5]int64 {
	short := capacity - b.pull
	k := [5]int64{max(short-tolerance(capacity), 0), int64(b.kinds()), 0, int64(b.pieces()), max(short, -short)}
	if b.small != nil && short+overUnits >= b.small.pull {
		k[2] = 1
	}
	return k
}

func before(a, b [5]int64) bool { return slices.Compare(a[:], b[:]) < 0 }

// search is a recipe being looked through.
type search struct {
	recipe
	best    blend
	bestKey [5]int64
	found   bool
}

// find is the best blend of a recipe, and whether there is any that is not over.
// It is exact: every choice of kinds and every count of the heavier ones is
// looked at, and the count of the lightest follows from them.
func (r recipe) find() (blend, bool) {
	s := &search{recipe: r}
	for i := range r.alone {
		s.single(&r.alone[i])
	}
	for i := range r.small {
		for j := range r.main {
			s.pair(&r.small[i], &r.main[j], nil, 0)
		}
	}
	if s.found && s.bestKey[0] == 0 && s.best.kinds() < 3 {
		return s.best, true // a third kind only ever makes it worse
	}
	for i := range r.small {
		s.threes(&r.small[i])
	}
	return s.best, s.found
}

// single tries one size for everything.
func (s *search) single(small *item) {
	for n := s.aloneLeast; n <= s.most; n++ {
		s.offer(blend{small: small, nSmall: n, pull: int64(n) * small.pull})
	}
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
			for n := 1; n <= s.extraMost; n++ {
				s.pair(small, main, extra, n)
			}
		}
	}
}

// pair tries every count of main with the counts of small that matter.
func (s *search) pair(small, main, extra *item, nExtra int) {
	if main.kind == ShotKind && main.pull <= small.pull {
		return
	}
	b := blend{small: small, main: main, extra: extra, nExtra: nExtra}
	for b.nMain = s.mainLeast; b.nMain <= s.mainMost; b.nMain++ {
		together, heavy := s.heavy(b)
		if together > s.mainHigh {
			return
		}
		if together >= s.mainLow {
			s.fill(b, heavy)
		}
	}
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

// fill tries the two counts of the small size that can be best: the most that
// fit and, where there are too many pieces for that, the fewest within the
// tolerance.
func (s *search) fill(b blend, heavy int64) {
	room := s.capacity + overUnits - heavy
	if room < 0 {
		return
	}
	least := max(s.smallLeast, int(up(s.smallPull, b.small.pull)))
	if s.extraLow && b.extra != nil {
		least = 1
	}
	most := min(int(room/b.small.pull), s.most-b.nMain-b.nExtra)
	for _, tol := range [2]int64{tolerance(s.capacity), -overUnits} {
		n := min(max(int(up(s.capacity-tol-heavy, b.small.pull)), least), most)
		if n < least || n < 1 {
			return
		}
		b.nSmall, b.pull = n, heavy+int64(n)*b.small.pull
		s.offer(b)
	}
}

// offer keeps a blend that is not over and is better than what there was.
func (s *search) offer(b blend) {
	if b.pull > s.capacity+overUnits {
		return
	}
	if k := b.key(s.capacity); !s.found || before(k, s.bestKey) {
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
