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

	Handling: Handling{
		Fix:     "Slide two rubbers on the line. Push the float's tip into one and its wire stem into the other.",
		Rubbers: []string{"just under the tip", "at the end of the wire"},
		Cast:    "Swing it out underhand. The weights go first and the float comes after.",
		Run:     "The wide shoulder takes hold of the water. So you can hold it back hard and it stays down.",
		Bite:    "The bold tip dips, then goes down. In rough water, wait until it stays down.",
		Strike:  "Sweep the rod up and back in one firm pull. The wide shoulder holds the water, so a small flick is not enough.",
		Breaks:  "The wire bends where it meets the body. Bend it straight, and throw the float away if the body is cracked.",
		Leaves:  "The shoulder drags when you wind in fast. Lift the rod first, so that the float skims on the top.",
		Resize:  "Change the float and the big weight together. The small shot can stay.",
	},
})
