package rig

import "math"

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
	top := mark(l.highest()) + 1 // the first mark that is taken
	for i := len(bs) - 1; i >= 0; i-- {
		b := &bs[i]
		if b.lock {
			b.from, b.to = mark(down5(l.SetM)), mark(down5(l.SetM))
			top = b.from - marks(b.lengthM()/2) + 1
			continue
		}
		high := top - b.above()
		if i == len(bs)-1 && !b.spreads { // up to the float itself
			high = min(mark(l.highest()), int((l.SetM-b.lengthM())/placeM+1e-9))
		}
		span := b.span()
		b.to = min(b.to, high)
		b.from = min(b.from, b.to-span)
		top = b.from
	}
	return bs[0].from >= low
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
