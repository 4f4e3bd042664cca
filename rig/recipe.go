package rig

// recipe is what a blend has to keep to.
type recipe struct {
	style    Style
	capacity int64
	most     int // pieces
	kinds    int // at most

	small      []item // droppers, and an olivette's stops
	smallLeast int    // not counting the stops
	smallPull  int64  // the least they pull together, without the stops
	stops      int    // small ones that stop an olivette
	topUp      bool   // as many small ones as there is room for

	main                []item // the bulk, the string or the lock
	mainLeast, mainMost int
	mainLow, mainHigh   int64 // what main and extra pull together

	extra                 []item // a second size, between the small and the main
	extraLeast, extraMost int
	extraLow              bool // it hangs with the small and not with the main

	alone      []item // sizes that may do for everything
	aloneLeast int    // the fewest of them
}

const (
	mostKinds     = 3
	leastDroppers = 3
	leastSpread   = 4
	eachSide      = 2
	mostPieces    = 16
	mostExtra     = 2
)

// attempts are the recipes to try in turn until one is within the tolerance:
// the style's own, with shot for a bulk that cannot be an olivette, and the same
// of whatever the kit has.
func attempts(capacity int64, l Layout, k Kit) []recipe {
	p := pantry{all: shotItems(k), olivettes: olivetteItems(k)}
	var out []recipe
	if l.Style.olivettes() && len(p.olivettes) > 0 {
		out = append(out, p.olivetteBulk(capacity, l))
	}
	out = append(out, p.ofShot(capacity, l))
	for _, r := range out {
		out = append(out, p.anyhow(r))
	}
	return out
}

// pantry is what a kit holds.
type pantry struct{ all, olivettes []item }

// between are the shot from lowG to highG on the chart.
func (p pantry) between(lowG, highG float64) []item {
	out := make([]item, 0, len(p.all))
	for _, it := range p.all {
		if it.massG >= lowG-1e-9 && it.massG <= highG+1e-9 {
			out = append(out, it)
		}
	}
	return out
}

// droppers is the range of a layout's droppers on the chart.
func (l Layout) droppers() (lowG, highG float64) {
	switch {
	case l.DropperHighG > 0:
		return l.DropperLowG, l.DropperHighG
	case l.Style == BulkSpread:
		return 0.03, 0.07
	}
	return 0.03, 0.11
}

// bulk is a bulk of shot with droppers below it. A bulk is at least half of the
// load. Droppers are at least three and at least 5 % of the load, or they would
// not take the bait down ahead of it (common practice, no source).
func (p pantry) bulk(capacity int64, l Layout) recipe {
	high := l.BulkHighG
	if high == 0 {
		high = weightHighG
	}
	all := p.between(0, high)
	r := recipe{
		style: l.Style, capacity: capacity, most: mostPieces,
		small: p.between(l.droppers()), smallLeast: leastDroppers, smallPull: capacity / 20,
		main: all, mainLeast: 1, mainMost: mostPieces, mainLow: capacity / 2, mainHigh: capacity,
		extra: all, extraLeast: 1, extraMost: mostExtra,
	}
	if l.Style == BulkSpread {
		r.smallLeast = leastSpread
	}
	return r
}

// olivetteBulk has an olivette for a bulk.
func (p pantry) olivetteBulk(capacity int64, l Layout) recipe {
	r := p.bulk(capacity, l)
	r.main, r.mainMost, r.stops, r.topUp = p.olivettes, 1, eachSide, true
	return r
}

// strungHighG is the heaviest shot strung up a line: a No.4 on every chart, and
// not a BB.
const strungHighG = 0.21

// ofShot is what a style may be made of where it is of shot alone. A lock is
// half to three quarters of the load (soartackle.co.uk).
func (p pantry) ofShot(capacity int64, l Layout) recipe {
	r := p.bulk(capacity, l)
	low, _ := l.droppers()
	switch l.Style {
	case OlivetteBulk:
		r.style = ShotBulk
		r.alone, r.aloneLeast = r.small, 2*leastDroppers
	case ShotBulk:
		r.alone, r.aloneLeast = r.small, 2*leastDroppers
	case DoubleBulk:
		r.mainLeast = 2
		r.alone, r.aloneLeast = r.small, 2*leastDroppers
	case StrungOut:
		r.main = p.between(low, strungHighG)
		r.mainLeast, r.smallLeast, r.smallPull = 2, 1, 0
		r.alone, r.aloneLeast = r.main, leastDroppers
	case Tapering:
		strung := p.between(low, strungHighG)
		r.small, r.main, r.extra = strung, strung, strung
		r.mainLeast, r.smallLeast, r.smallPull = 2, 2, 0
		r.extraLeast, r.extraMost = 2, 4
	case AtFloat:
		r.mainLeast, r.smallLeast = 2, 2
		r.extra, r.extraMost, r.extraLow = r.small, 6, true
		r.mainHigh = capacity * 3 / 4
	}
	return r
}

// anyhow is a recipe of whatever the kit has, for when no style will do.
func (p pantry) anyhow(of recipe) recipe {
	r := recipe{
		style: of.style, capacity: of.capacity, most: 2 * mostPieces, stops: of.stops, topUp: of.topUp,
		small: p.all, main: p.all, mainLeast: 1, mainMost: mostPieces, mainHigh: of.capacity + overUnits,
		extra: p.all, extraLeast: 1, extraMost: mostExtra + 1,
	}
	if of.stops > 0 {
		r.main, r.mainMost = p.olivettes, 1
		return r
	}
	r.smallLeast = 1
	r.alone, r.aloneLeast = p.all, 1
	return r
}

// shotItems are the shot held, heaviest first.
func shotItems(k Kit) []item {
	shots, _ := k.shots() // checked before
	held, weighed := k.held(), k.weighed()
	out := make([]item, 0, len(shots))
	for _, s := range shots {
		it := item{
			kind: ShotKind, size: s.Label(), massG: s.MassG, mat: k.ShotMaterial,
			pull: pullUnits(k.ShotMaterial, s.MassG),
		}
		it.held, it.weighedG = held.of(it.size), weighed[it.size]
		if it.held > 0 {
			out = append(out, it)
		}
	}
	return out
}

func olivetteItems(k Kit) []item {
	held := k.held()
	out := make([]item, 0, len(k.OlivettesG))
	for _, g := range k.OlivettesG {
		it := item{
			kind: Olivette, size: gramWords(g), massG: g, mat: k.OlivetteMaterial,
			pull: pullUnits(k.OlivetteMaterial, g),
		}
		it.held = held.of(it.size)
		if it.held > 0 {
			out = append(out, it)
		}
	}
	return out
}
