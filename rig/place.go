package rig

import "math"

// Places are to 5 cm from the hook: nobody ties to the centimetre (common
// practice, no source). Where weights want the same place they are moved apart,
// each above what is below it, and down again where they would come up to the
// float; a bulk longer than 5 cm has the marks it covers to itself (see
// Layout.settle). Two sizes share a place only as a bulk does with its stops.
const placeM = 0.05

// nearest5, up5 and down5 put a length on the 5 cm grid. Working in whole steps
// keeps 0.15 from becoming 0.15000000000000002.
func nearest5(m float64) float64 { return math.Round(m/placeM) / 20 }
func up5(m float64) float64      { return math.Ceil(m/placeM-1e-9) / 20 }
func down5(m float64) float64    { return math.Floor(m/placeM+1e-9) / 20 }

// lowest is the first place above the loop where a weight may sit.
func (l Layout) lowest() float64 { return up5(l.HookLengthM + placeM) }

// highest is the last place below the float.
func (l Layout) highest() float64 { return max(l.lowest(), down5(l.SetM-placeM)) }

// within keeps a place between the lowest and the highest.
func (l Layout) within(m float64) float64 {
	return min(max(nearest5(m), l.lowest()), l.highest())
}

// place lays a blend out from the hook up, and says whether there is line enough
// for it. Where there is not, no shot is kept spare, and at last nothing spread and
// two bulks are one.
func (l Layout) place(b blend) ([]Weight, bool) {
	l.Style = b.style
	for _, try := range []struct{ spare, bunched bool }{{true, false}, {false, false}, {false, true}} {
		if try.bunched && l.Style == DoubleBulk {
			l.Style = ShotBulk
		}
		bs := l.blocks(b, try.spare)
		if try.bunched {
			bunch(bs)
		}
		if l.settle(bs) {
			return weights(bs), true
		}
	}
	return nil, false
}

func (l Layout) blocks(b blend, spare bool) []block {
	switch l.Style {
	case StrungOut:
		return l.strungOut(b)
	case Tapering:
		return l.tapering(b)
	case AtFloat:
		return l.atFloat(b)
	}
	return l.bulked(b, spare)
}

// weight is n of an item.
func weight(it *item, n int, role Role) Weight {
	return Weight{
		Kind: it.kind, Size: it.size, Material: it.mat, Count: n, EachG: it.massG,
		PullEachG: float64(it.pull) / perGram, Role: role, WeighedG: it.weighedG,
	}
}

// bulked is droppers below a bulk or two, with spare small shot waiting above
// where there are more than the droppers need.
func (l Layout) bulked(b blend, mayKeep bool) []block {
	bulk := l.within(l.BulkM)
	small := b.nSmall
	stopped := b.main != nil && b.main.kind == Olivette
	if stopped {
		small -= eachSide
	}
	d := deal(small, b)
	if !mayKeep {
		d.droppers, d.spare = d.droppers+d.spare, 0
	}
	var out []block
	if d.droppers > 0 {
		out = append(out, spread(weight(b.small, d.droppers, Dropper), l.lowest(), l.dropperTop(d.droppers, bulk)))
	}
	out = append(out, l.bulks(b, d.bulked, bulk, stopped)...)
	if d.spare > 0 {
		out = append(out, together(bulk, weight(b.small, d.spare, Spare)))
	}
	return out
}

// bulks is a bulk with its stops and as many small ones as it is dealt, or two: a
// third of the main shot half way up to the rest.
func (l Layout) bulks(b blend, small int, at float64, stopped bool) []block {
	it, n := b.main, b.nMain
	if it == nil {
		it, n, small = b.small, small, 0
	}
	var out []block
	if low := (n + 1) / 3; l.Style == DoubleBulk && low > 0 {
		half := nearest5((l.lowest() + at) / 2)
		out = append(out, together(half, weight(it, low, Bulk)))
		n -= low
	}
	parts := []Weight{weight(it, n, Bulk)}
	if stopped {
		stop := weight(b.small, 1, Stop)
		parts = []Weight{stop, parts[0], stop}
	}
	if b.nExtra > 0 {
		parts = append(parts, weight(b.extra, b.nExtra, Bulk))
	}
	if small > 0 {
		parts = append(parts, weight(b.small, small, Bulk))
	}
	return append(out, together(at, parts...))
}

// dealt is how small shot is shared out.
type dealt struct{ droppers, bulked, spare int }

// deal keeps up to two spare of what the droppers do not need, four or what the
// blend says, and leaves the bulk any beyond 16. Where small shot is most of the
// load, a third of it is droppers, up to four, and the rest is the bulk's.
func deal(n int, b blend) dealt {
	if b.mostlySmall() {
		droppers := min(n/3, leastDroppers+1)
		return dealt{droppers: droppers, bulked: n - droppers}
	}
	bulked := max(n-mostPieces, 0)
	n -= bulked
	spare := min(max(n-max(leastDroppers+1, b.stay), 0), 2)
	return dealt{n - spare, bulked, spare}
}

// mostlySmall says whether the main and extra shot are less than half of the
// load, as they never are by a layout's own rule.
func (b blend) mostlySmall() bool {
	return b.main == nil || 2*(b.pull-int64(b.nSmall)*b.small.pull) < b.pull-2*overUnits
}

// dropperTop is the place of the highest dropper: in a group, or so that all
// spaces up to the bulk are even. A spread is always even; with two bulks the
// droppers keep below the lower.
func (l Layout) dropperTop(n int, bulk float64) float64 {
	low := l.lowest()
	if l.Style == DoubleBulk {
		bulk = nearest5((low + bulk) / 2)
	}
	if l.GroupM > 0 && l.Style != BulkSpread {
		return max(low, min(down5(low+l.GroupM), nearest5(bulk-placeM)))
	}
	return max(low, down5(low+(bulk-low)*float64(n-1)/float64(n)))
}

// stringTop is the highest place of a string: 30 cm or 15 % below the float, but
// in the shallowest water 15 cm above the lowest where that is under the float.
func (l Layout) stringTop() float64 {
	return max(down5(min(l.SetM-stringGapM, l.SetM*0.85)), min(l.highest(), nearest5(l.lowest()+3*placeM)))
}

// strungOut is small shot lowest, then the string up to a little below the
// float, closer together in the lower half where the water asks for it.
func (l Layout) strungOut(b blend) []block {
	low, top := l.lowest(), l.stringTop()
	if b.main == nil {
		return l.strung(b.small, b.nSmall, low, top)
	}
	gap := l.stringGap(b.nMain, low, top)
	to := min(low+gap*float64(b.nSmall-1), top)
	out := []block{spread(weight(b.small, b.nSmall, Strung), low, to)}
	low = min(nearest5(to+gap), top)
	if b.nExtra > 0 {
		out = append(out, together(low, weight(b.extra, b.nExtra, Strung)))
		low = min(nearest5(low+placeM), top)
	}
	return append(out, l.strung(b.main, b.nMain, low, top)...)
}

// stringGapM is how far below the float a string ends.
const stringGapM = 0.3

// stringGap is the space between the lightest shot of a string.
func (l Layout) stringGap(n int, low, top float64) float64 {
	return max(placeM, down5((top-low)/float64(n+1)/2))
}

// strung spreads n of an item from low to top, LowShare of them in the lower
// half.
func (l Layout) strung(it *item, n int, low, top float64) []block {
	below := int(math.Round(l.LowShare * float64(n)))
	if n < 4 || below <= (n+1)/2 || below >= n || top-low < 4*placeM {
		return []block{spread(weight(it, n, Strung), low, top)}
	}
	mid := nearest5((low + top) / 2)
	above := n - below
	from := top
	if above > 1 {
		from = min(nearest5(mid+(top-mid)/float64(above)), top)
	}
	return []block{spread(weight(it, below, Strung), low, mid), spread(weight(it, above, Strung), from, top)}
}

// tapering is the whole load evenly up the line, the heaviest highest.
func (l Layout) tapering(b blend) []block {
	low, top := l.lowest(), l.stringTop()
	gap := (top - low) / float64(max(b.pieces()-1, 1))
	var out []block
	next := low
	for _, of := range []struct {
		it *item
		n  int
	}{{b.small, b.nSmall}, {b.extra, b.nExtra}, {b.main, b.nMain}} {
		if of.n > 0 {
			out = append(out, spread(weight(of.it, of.n, Strung), nearest5(next), nearest5(next+gap*float64(of.n-1))))
			next += gap * float64(of.n)
		}
	}
	return out
}

// atFloat is the lock at the float and droppers in the bottom quarter.
func (l Layout) atFloat(b blend) []block {
	low := l.lowest()
	to := max(low, down5(l.SetM/4))
	if b.main == nil { // one size for everything: two thirds of it locks
		n := b.nSmall / 3
		lock := l.locked(b.small, b.nSmall-n)
		if n == 0 {
			return []block{lock}
		}
		return []block{spread(weight(b.small, n, Dropper), low, to), lock}
	}
	lock := l.locked(b.main, b.nMain)
	if b.nExtra == 0 {
		return []block{spread(weight(b.small, b.nSmall, Dropper), low, to), lock}
	}
	return []block{
		together(low, weight(b.small, b.nSmall, Dropper)),
		spread(weight(b.extra, b.nExtra, Dropper), min(low+placeM, to), to), lock,
	}
}

func (l Layout) locked(it *item, n int) block {
	b := together(l.SetM, weight(it, n, Lock))
	b.lock = true
	return b
}
