package rig

var _ = register(Pattern{
	ID:   "avon-short",
	Name: "short-bodied Avon",
	What: "A pronounced shoulder to hold back against, a wire stem that stands in broken water, and a buoyant tip seen at range.",
	Body: "A pronounced shoulder, so that the float stays down and square when it is held back.",
	Stem: "Wire: its weight low down keeps the float upright in broken water.",
	Tip:  "Buoyant and bold, so that it is seen at range and not drawn under by the current.",

	DepthM: Span{0.5, 3}, PaceMPS: Span{0.55, 1.6}, Boil: Span{0, 3}, ReachM: 20,
	sizes: inGrams(2, 2.5, 3, 4, 5, 6), tiltDeg: 18, windMost: 6,

	// A positive rig: the droppers in a group and nothing spread between.
	style: OlivetteBulk, bulkShare: 0.2, groupM: 0.1, lowG: 0.05, highG: 0.11,

	hookLengthM: [2]float64{0.15, 0.2}, hookLengthMM: [2]float64{0.12, 0.18},
	mainMM: 0.20, mainLine: "floating",
	hookFinest: 16, hookLargest: 10, rodFt: Span{13, 15},
	fish: []string{"chub", "barbel", "grayling", "roach", "dace"}, bait: "maggot bunch", bigBait: true,
})
