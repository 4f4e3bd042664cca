package rig

import (
	"cmp"
	"math"
	"slices"
)

// Places are to 5 cm from the hook: nobody ties to the centimetre.
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

// place lays a blend out from the hook up.
func (l Layout) place(b blend) []Weight {
	var out []Weight
	switch l.Style {
	case StrungOut:
		out = l.placeStrung(b)
	case AtFloat:
		out = l.placeAtFloat(b)
	default:
		out = l.placeBulk(b)
	}
	slices.SortStableFunc(out, func(a, b Weight) int { return cmp.Compare(a.AtM, b.AtM) })
	return out
}

// weight is n of an item from atM to toM.
func weight(it *item, n int, role Role, atM, toM float64) Weight {
	if n == 1 {
		toM = atM
	}
	return Weight{
		Kind: it.kind, Size: it.size, Material: it.mat, Count: n, EachG: it.massG,
		PullEachG: float64(it.pull) / perGram, AtM: atM, ToM: toM, Role: role,
	}
}

// placeBulk is droppers below a bulk, with spare small shot waiting above it
// where there are more than the droppers need.
func (l Layout) placeBulk(b blend) []Weight {
	bulk := l.within(l.BulkM)
	small := b.nSmall
	var out []Weight
	stopped := b.main != nil && b.main.kind == Olivette && small > stops
	if stopped {
		small -= stops
	}
	droppers, bulked, spare := share(small, b.main == nil)
	if droppers > 0 {
		to := l.dropperTop(droppers, bulk)
		out = append(out, weight(b.small, droppers, Dropper, l.lowest(), to))
	}
	if stopped {
		out = append(out, weight(b.small, 1, Stop, bulk, bulk))
	}
	if bulked > 0 {
		out = append(out, weight(b.small, bulked, Bulk, bulk, bulk))
	}
	if b.nMain > 0 {
		out = append(out, weight(b.main, b.nMain, Bulk, bulk, bulk))
	}
	if stopped {
		out = append(out, weight(b.small, 1, Stop, bulk, bulk))
	}
	if b.nExtra > 0 {
		out = append(out, weight(b.extra, b.nExtra, Bulk, bulk, bulk))
	}
	if spare > 0 {
		at := min(bulk+placeM, l.highest())
		out = append(out, weight(b.small, spare, Spare, nearest5(at), nearest5(at)))
	}
	return out
}

// share deals small shot out: four droppers or so, two spare, and where they are
// the whole load the rest as the bulk.
func share(n int, alone bool) (droppers, bulked, spare int) {
	if alone {
		droppers = min(n/3, leastDroppers+1)
		return droppers, n - droppers, 0
	}
	spare = min(max(n-leastDroppers-1, 0), 2)
	return n - spare, 0, spare
}

// dropperTop is the place of the highest dropper: in a group, or so that all
// spaces up to the bulk are even.
func (l Layout) dropperTop(n int, bulk float64) float64 {
	low := l.lowest()
	if l.GroupM > 0 {
		return max(low, min(down5(low+l.GroupM), nearest5(bulk-placeM)))
	}
	return max(low, down5(low+(bulk-low)*float64(n-1)/float64(n)))
}

// placeStrung is small shot lowest, then the string up to a little below the
// float, closer together in the lower half where the water asks for it.
func (l Layout) placeStrung(b blend) []Weight {
	low, top := l.lowest(), max(l.lowest(), down5(min(l.SetM-stringGapM, l.SetM*0.85)))
	it, n := b.main, b.nMain
	var out []Weight
	if it == nil {
		it, n = b.small, b.nSmall
	} else {
		gap := l.stringGap(n, low, top)
		to := min(low+gap*float64(b.nSmall-1), top)
		out = append(out, weight(b.small, b.nSmall, Strung, low, nearest5(to)))
		low = min(nearest5(to+gap), top)
	}
	if b.nExtra > 0 {
		out = append(out, weight(b.extra, b.nExtra, Strung, low, low))
		low = min(nearest5(low+placeM), top)
	}
	return append(out, l.strung(it, n, low, top)...)
}

// stringGapM is how far below the float a string ends.
const stringGapM = 0.3

// stringGap is the space between the lightest shot of a string.
func (l Layout) stringGap(n int, low, top float64) float64 {
	return max(placeM, down5((top-low)/float64(n+1)/2))
}

// strung spreads n of an item from low to top, LowShare of them in the lower
// half.
func (l Layout) strung(it *item, n int, low, top float64) []Weight {
	below := int(math.Round(l.LowShare * float64(n)))
	if n < 4 || below <= (n+1)/2 || below >= n || top-low < 4*placeM {
		return []Weight{weight(it, n, Strung, low, top)}
	}
	mid := nearest5((low + top) / 2)
	above := n - below
	from := top
	if above > 1 {
		from = min(nearest5(mid+(top-mid)/float64(above)), top)
	}
	return []Weight{weight(it, below, Strung, low, mid), weight(it, above, Strung, from, top)}
}

// placeAtFloat is the lock at the float and droppers in the bottom quarter.
func (l Layout) placeAtFloat(b blend) []Weight {
	low := l.lowest()
	to := max(low, down5(l.SetM/4))
	at := down5(l.SetM)
	if b.main == nil { // one size for everything: two thirds of it locks
		n := b.nSmall / 3
		lock := weight(b.small, b.nSmall-n, Lock, at, at)
		if n == 0 {
			return []Weight{lock}
		}
		return []Weight{weight(b.small, n, Dropper, low, to), lock}
	}
	lock := weight(b.main, b.nMain, Lock, at, at)
	if b.nExtra == 0 {
		return []Weight{weight(b.small, b.nSmall, Dropper, low, to), lock}
	}
	from := min(low+placeM, to)
	return []Weight{
		weight(b.small, b.nSmall, Dropper, low, low),
		weight(b.extra, b.nExtra, Dropper, nearest5(from), to), lock,
	}
}

// beads are weights as the line feels them, from the hook up, the hook and bait
// first. A lock sits at the float and is not felt.
func beads(ws []Weight, b Bait) []Bead {
	out := []Bead{{SinkN: b.WeightG * gramKg * gravityMPS2, DiameterM: b.DiameterM}}
	for _, w := range ws {
		if w.Role == Lock {
			continue
		}
		each := Bead{SinkN: w.EachG * w.Material.Pull() * gramKg * gravityMPS2, DiameterM: sphereM(w.EachG, w.Material.Density())}
		for _, at := range w.Positions() {
			each.AtM = at
			if last := &out[len(out)-1]; last.AtM == at && last.SinkN == each.SinkN {
				last.Count++
				continue
			}
			each.Count = 1
			out = append(out, each)
		}
	}
	slices.SortStableFunc(out, func(a, b Bead) int { return cmp.Compare(a.AtM, b.AtM) })
	return out
}
