package rig

// Barb is whether a hook has one.
type Barb string

// The barbs; empty: not said.
const (
	Barbed   Barb = "barbed"
	Barbless Barb = "barbless"
)

// Hook is a hook by its number: the higher, the smaller.
type Hook struct {
	Size int
	Barb Barb
}

// gapes are hook gapes by size: "Numeration and marking of fishing tackle" (in
// Russian), 555vip.ru. Hook sizes are no standard.
var gapes = []struct {
	size int
	mm   float64
}{{6, 7}, {8, 6}, {10, 5}, {11, 4.5}, {13, 4}, {15, 3.5}, {17, 3}, {18, 2.5}}

// Bounds of a hook's number, and how the table is carried on past its ends, mm a
// number: above 6 by its own slope there, below 18 by its slope from 10 to 18,
// since its last step would leave a 22 with next to none (ours).
const (
	hookLargest, hookFinest = 4, 22
	largeSlope, fineSlope   = 0.5, 0.3125
)

// Standings of a gape.
const (
	gapePublished    = "Numeration and marking of fishing tackle (in Russian), 555vip.ru"
	gapeInterpolated = "straight between the entries of " + gapePublished
	gapeCarriedOn    = "carried on past the end of " + gapePublished
)

// GapeMM is the width of the hook from point to shank in mm, and what that rests
// on: the table's own figure (6, 8, 10, 11, 13, 15, 17, 18), straight between two
// of them, or carried on past its ends to 4 and 22. Another size is a RangeError.
func (h Hook) GapeMM() (mm float64, standing string, err error) {
	if err := inRange("hook size", float64(h.Size), hookLargest, hookFinest, ""); err != nil {
		return 0, "", err
	}
	first, last := gapes[0], gapes[len(gapes)-1]
	if h.Size < first.size {
		return first.mm + largeSlope*float64(first.size-h.Size), gapeCarriedOn, nil
	}
	if h.Size > last.size {
		return last.mm - fineSlope*float64(h.Size-last.size), gapeCarriedOn, nil
	}
	i := 0
	for gapes[i].size < h.Size {
		i++
	}
	b := gapes[i]
	if b.size == h.Size {
		return b.mm, gapePublished, nil
	}
	a := gapes[i-1]
	return a.mm + (b.mm-a.mm)*float64(h.Size-a.size)/float64(b.size-a.size), gapeInterpolated, nil
}
