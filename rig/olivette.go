package rig

import "slices"

// olivetteSteps are the olivettes sold, dry grams: steps of 0.25 g to 2.5 g, then
// as listed; they go on beyond 12 g ("Numeration and marking of fishing tackle",
// in Russian, 555vip.ru).
var olivetteSteps = []float64{
	0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 3, 4, 5, 6, 7, 8, 10, 12,
}

// OlivetteSteps are the olivettes sold up to 12 g, dry grams, lightest first.
func OlivetteSteps() []float64 { return slices.Clone(olivetteSteps) }
