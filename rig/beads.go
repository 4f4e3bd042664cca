package rig

import (
	"cmp"
	"slices"
)

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
