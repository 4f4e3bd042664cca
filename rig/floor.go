package rig

import (
	"math"
	"sort"
)

// lying is the shape of lengthM of line, more than the depth wants, the first of
// it along the bed. How much lies is found in steps, of which each stretch of
// line between weights is one and each weight another: first the step it ends
// in, from the hook up, then by how much of that step. With none of it lying the
// upper end comes low, which is above the surface.
func (w *climb) lying(lengthM, low float64) (Shape, error) {
	n := sort.Search(len(w.line.Beads), func(i int) bool { return w.line.Beads[i].AtM > lengthM })
	top := func(steps float64) float64 { return w.lift(steps, n, lengthM).z }
	whole := 0
	if n > 0 && w.line.Beads[0].AtM == 0 {
		whole = 1 // no line below the first
	}
	for whole <= 2*n {
		next := w.current.DepthM // with all of it on the bed
		if whole < 2*n {
			next = top(float64(whole + 1))
		}
		if next >= 0 {
			if !root(top, float64(whole), float64(whole+1), low, next) {
				break
			}
			return w.shape(), nil
		}
		low, whole = next, whole+1
	}
	return Shape{}, ErrSlack
}

// lift climbs from the place where line lifts off the bed: so many steps up,
// steps 0 to 1 the line to the first of n beads, 1 to 2 that bead's weight, and
// so on to the line above the last. The steps of the climb do not change in number
// as more or less of a stretch lies, so that where it ends up changes smoothly.
func (w *climb) lift(steps float64, n int, lengthM float64) state {
	w.start(w.current.DepthM)
	whole, part := math.Modf(steps)
	bead := int(whole) / 2
	for _, b := range w.line.Beads[:min(bead, n)] {
		w.lie(b.AtM)
		w.hang(b, 1)
	}
	switch {
	case int(whole)%2 == 0:
		next := lengthM
		if bead < n {
			next = w.line.Beads[bead].AtM
		}
		w.from = w.s
		w.lie(w.s + part*(next-w.s))
	default:
		w.lie(w.line.Beads[bead].AtM)
		w.from = w.s
		w.hang(w.line.Beads[bead], part)
		bead++
	}
	return w.on(min(bead, n), lengthM, false)
}

// lie takes the line along the bed to s metres from the hook, pulled the way the
// water runs past it; where nothing runs past it, downstream.
func (w *climb) lie(s float64) {
	long := s - w.s
	if long <= 0 {
		return
	}
	u := w.current.speed(w.current.DepthM) - w.floatMPS
	if !w.model.NoTangent && !w.model.Projected {
		hook := min(max(w.line.HookLengthM-w.s, 0), long)
		w.at.h += u * (hook*alongNSPM2(0, w.line.HookLengthMM/1000) + (long-hook)*alongNSPM2(0, w.line.MainMM/1000))
	}
	w.at.x -= math.Copysign(long, w.at.h)
	w.s = s
	w.note()
}
