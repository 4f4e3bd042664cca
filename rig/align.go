package rig

import (
	"math"
	"slices"
)

// pair is a weight that stays on the line, by its place in each rig's order.
type pair struct{ was, now int }

// keptOlivettes is how many olivettes from the top stay on the line: the first
// that differs has to go, and with it all below.
func keptOlivettes(was, now []piece) int {
	only := func(ps []piece) (out []piece) {
		for _, p := range slices.Backward(ps) {
			if p.Kind == Olivette {
				out = append(out, p)
			}
		}
		return out
	}
	a, b := only(was), only(now)
	n := 0
	for n < len(a) && n < len(b) && a[n].alike(b[n]) {
		n++
	}
	return n
}

// mayStay says whether a weight may stay on the line, where it is or slid, with so
// many olivettes kept.
func mayStay(p, q piece, kept int) bool {
	if !p.alike(q) {
		return false
	}
	if p.Kind == Olivette {
		return p.above == q.above && p.above < kept
	}
	const far = slideMostM / placeM
	return p.above == q.above && p.above <= kept && math.Abs(float64(q.step-p.step)) < far+0.5
}

// olivetteStays outweighs all shot: an olivette that can stay does, for it costs
// at most one slide and going off and on costs two.
const olivetteStays = 1 << 20

// aligner finds which weights stay. Every weight lifted costs one movement for the
// pair of it and where one like it is set, so the movements are the larger of the
// two counts of each size, less a movement for each shot that stays, and one more
// for each group that slides. It is exact: the best of all orders-preserving
// choices, by the last slide they end with.
type aligner struct {
	was, now []piece
	kept     int
	slides   []int // the distances a weight may slide, in steps; 0 among them
	best     []int // by was, now and last slide
}

// never is a value below any that can be reached.
const never = math.MinInt / 2

func stays(was, now []piece) []pair {
	al := aligner{was: was, now: now, kept: keptOlivettes(was, now)}
	al.distances()
	al.fill()
	return al.trace()
}

func (al *aligner) distances() {
	al.slides = []int{0}
	for _, p := range al.was {
		for _, q := range al.now {
			if d := q.step - p.step; mayStay(p, q, al.kept) && !slices.Contains(al.slides, d) {
				al.slides = append(al.slides, d)
			}
		}
	}
}

func (al *aligner) at(i, j, s int) *int {
	return &al.best[(i*(len(al.now)+1)+j)*len(al.slides)+s]
}

// worth is what a pair adds.
func (al *aligner) worth(i int) int {
	if al.was[i].Kind == Olivette {
		return olivetteStays
	}
	return 1
}

// fill works out the best of the first i and j weights, the last that stayed
// having slid by slides[s]. Nothing having stayed is as having stayed in place.
func (al *aligner) fill() {
	al.best = make([]int, (len(al.was)+1)*(len(al.now)+1)*len(al.slides))
	for i := range len(al.was) + 1 {
		for j := range len(al.now) + 1 {
			for s := range al.slides {
				*al.at(i, j, s) = al.value(i, j, s)
			}
		}
	}
}

func (al *aligner) value(i, j, s int) int {
	v := never
	if s == 0 && (i == 0 || j == 0) {
		v = 0
	}
	if i > 0 {
		v = max(v, *al.at(i-1, j, s))
	}
	if j > 0 {
		v = max(v, *al.at(i, j-1, s))
	}
	if al.fits(i, j, s) {
		v = max(v, al.worth(i-1)+al.before(i-1, j-1, s))
	}
	return v
}

// fits says whether the last of i and j may be a pair that slides by slides[s].
func (al *aligner) fits(i, j, s int) bool {
	return i > 0 && j > 0 && al.now[j-1].step-al.was[i-1].step == al.slides[s] &&
		mayStay(al.was[i-1], al.now[j-1], al.kept)
}

// before is the best to go before a pair that slides by slides[s], less the slide
// where it starts one.
func (al *aligner) before(i, j, s int) int {
	v, _ := al.beforeFrom(i, j, s)
	return v
}

func (al *aligner) beforeFrom(i, j, s int) (best, from int) {
	best = never
	for t := range al.slides {
		v := *al.at(i, j, t)
		if al.slides[s] != 0 && t != s {
			v--
		}
		if v > best {
			best, from = v, t
		}
	}
	return best, from
}

// trace reads the best choice back, from the loop up. A shot that slides alone is
// left out: to open it and set it again is one movement too.
func (al *aligner) trace() []pair {
	i, j := len(al.was), len(al.now)
	_, s := al.beforeFrom(i, j, 0)
	var out []pair
	for i > 0 && j > 0 {
		switch v := *al.at(i, j, s); {
		case v == *al.at(i-1, j, s):
			i--
		case v == *al.at(i, j-1, s):
			j--
		default:
			i, j = i-1, j-1
			out = append(out, pair{i, j})
			_, s = al.beforeFrom(i, j, s)
		}
	}
	slices.Reverse(out)
	return al.withoutLoners(out)
}

func (al *aligner) withoutLoners(ps []pair) []pair {
	var out []pair
	for _, run := range al.runs(ps) {
		if len(run) > 1 || al.was[run[0].was].Kind == Olivette || al.by(run[0]) == 0 {
			out = append(out, run...)
		}
	}
	return out
}

func (al *aligner) by(p pair) int { return al.now[p.now].step - al.was[p.was].step }

// runs are the pairs in groups that slide together.
func (al *aligner) runs(ps []pair) [][]pair {
	var out [][]pair
	for i, p := range ps {
		if i == 0 || al.by(p) != al.by(ps[i-1]) {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], p)
	}
	return out
}
