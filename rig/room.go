package rig

import (
	"math"
	"slices"
)

// block is weights that sit together at one mark, or one kind of weight spread
// over several. A mark is 5 cm from the hook.
type block struct {
	parts    []Weight // in order from the hook
	from, to int      // marks: wanted, and after settle given
	spreads  bool
	lock     bool // both sides of the float's eye
}

func mark(m float64) int { return int(math.Round(m / placeM)) }

// together is weights at one place.
func together(at float64, parts ...Weight) block {
	return block{parts: parts, from: mark(at), to: mark(at)}
}

// spread is one kind of weight from a place to a place.
func spread(w Weight, from, to float64) block {
	if w.Count == 1 {
		return together(from, w)
	}
	return block{parts: []Weight{w}, from: mark(from), to: max(mark(from), mark(to)), spreads: true}
}

// bunch has every spread together at its lowest mark.
func bunch(bs []block) {
	for i := range bs {
		bs[i].to, bs[i].spreads = bs[i].from, false
	}
}

// lengthM is how much line the weights of a block take where they touch.
func (b block) lengthM() float64 {
	sum := 0.0
	for _, w := range b.parts {
		sum += float64(w.Count) * w.lengthM()
	}
	return sum
}

// lengthM is how much line one of a weight takes: a shot its diameter, an
// olivette that of an ellipsoid three times as long as it is thick (ours).
func (w Weight) lengthM() float64 {
	d := sphereM(w.EachG, w.Material.Density())
	if w.Kind == Olivette {
		return d * math.Cbrt(9)
	}
	return d
}

// marks is how many 5 cm a length takes, one at least.
func marks(m float64) int { return max(1, int(math.Ceil(m/placeM-1e-9))) }

// span is the fewest marks from the lowest to the highest of a spread, so that
// the shot at each take no more than the 5 cm up to the next. A mark between has
// at most (Count−1)/span and one.
func (b block) span() int {
	if !b.spreads {
		return 0
	}
	w := b.parts[0]
	each := max(1, int(placeM/w.lengthM()))
	if w.Count <= each {
		return 0
	}
	return (w.Count-1)/each + 1
}

// above is how far above its highest mark a block leaves free.
func (b block) above() int {
	if b.spreads {
		return 1
	}
	return marks(b.lengthM())
}

// endM is at most how much line hangs at a block's highest mark.
func (b block) endM() float64 {
	span := b.span()
	if span == 0 {
		return b.lengthM()
	}
	w := b.parts[0]
	return float64((w.Count-1)/(2*span)+1) * w.lengthM()
}

// settle moves blocks apart, those higher up first upward and then all down from
// the float, until each has the room its weights take. It says whether they fit.
func (l Layout) settle(bs []block) bool {
	low := mark(l.lowest())
	at := low
	for i := range bs {
		b := &bs[i]
		b.from = max(b.from, at)
		b.to = max(b.to, b.from+b.span())
		at = b.to + b.above()
	}
	if last := &bs[len(bs)-1]; last.lock {
		last.from, last.to = mark(down5(l.SetM)), mark(down5(l.SetM))
	}
	for i, b := range slices.Backward(bs) {
		if b.lock {
			continue
		}
		to := min(b.to, l.highestOf(bs, i))
		bs[i].to, bs[i].from = to, min(b.from, to-b.span())
	}
	return bs[0].from >= low
}

// highestOf is the highest mark a block may have under the one above it, or
// under the float.
func (l Layout) highestOf(bs []block, i int) int {
	b := bs[i]
	if i == len(bs)-1 {
		return min(mark(l.highest()), int((l.SetM-b.endM())/placeM+1e-9))
	}
	above := bs[i+1]
	if above.lock { // half of it is under the float
		return above.from - marks(b.endM()+above.lengthM()/2)
	}
	return above.from - b.above()
}

// weights are the blocks' weights in their places.
func weights(bs []block) []Weight {
	var out []Weight
	for _, b := range bs {
		for _, w := range b.parts {
			w.AtM, w.ToM = float64(b.from)/20, float64(b.to)/20
			out = append(out, w)
		}
	}
	return out
}
