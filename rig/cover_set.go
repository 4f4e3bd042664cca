package rig

import mathbits "math/bits"

// waterSet is which of the waters.
type waterSet []uint64

func newWaterSet(n int) waterSet { return make(waterSet, (n+63)/64) }

func (s waterSet) has(i int) bool { return s[i/64]>>(i%64)&1 == 1 }
func (s waterSet) add(i int)      { s[i/64] |= 1 << (i % 64) }
func (s waterSet) remove(i int)   { s[i/64] &^= 1 << (i % 64) }

func (s waterSet) count() int {
	n := 0
	for _, x := range s {
		n += mathbits.OnesCount64(x)
	}
	return n
}

func (s waterSet) empty() bool { return s.count() == 0 }

// within says whether another set holds all of this one.
func (s waterSet) within(t waterSet) bool { return s.without(t).empty() }

func (s waterSet) without(t waterSet) waterSet {
	out := make(waterSet, len(s))
	for i := range s {
		out[i] = s[i] &^ t[i]
	}
	return out
}

// each are the waters in the set, in order.
func (s waterSet) each() []int {
	var out []int
	for i, x := range s {
		for ; x != 0; x &= x - 1 {
			out = append(out, 64*i+mathbits.TrailingZeros64(x))
		}
	}
	return out
}
