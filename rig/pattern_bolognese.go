package rig

var _ = register(Pattern{
	ID:   "bolognese",
	Name: "bolognese",
	What: "A round body on a long stem, for a long line under the rod tip or far out.",
	Body: "Round, so that it rides high far out and the line lifts off the water without dragging it under.",
	Stem: "Long and fine, so that it stands upright with the weight far below it.",
	Tip:  "Long and bright, so that it is seen far out.",

	DepthM: Span{1.5, 6}, PaceMPS: Span{0.3, 1.4}, Boil: Span{0, 2}, ReachM: 45, FarM: 24,
	// Two to eight grams, more in power water (peche-cevennes.com, in French); how
	// much more is from memory.
	sizes: inGrams(2, 3, 4, 5, 6, 8, 10, 12), tiltDeg: 18, windMost: 4,

	style: OlivetteBulk, bulkShare: 0.25, groupM: 0.4, lowG: 0.05, highG: 0.11,

	// Line and rod by the same source: 0.12 to 0.18 mm, hook length 0.10 to 0.14 mm,
	// rod 5 to 8 m.
	hookLengthM: [2]float64{0.2, 0.4}, hookLengthMM: [2]float64{0.10, 0.14},
	mainMM: 0.16, mainLine: "floating",
	hookFinest: 20, hookLargest: 12, rodFt: Span{16, 26},
	fish: []string{"roach", "bream", "chub", "dace", "barbel", "perch", "grayling"}, bait: "double maggot",

	Handling: Handling{
		Fix:     "Put the line through the small ring on the body. Then slide two rubbers on and push the long stem into them.",
		Rubbers: []string{"at the top of the stem", "at the end of the stem"},
		Cast:    "Swing the rod slowly from behind you. The rig is long, so a fast jerk tangles it.",
		Run:     "Keep the rod high and the line off the water. Then the float goes where the water goes.",
		Bite:    "The long tip sinks away. Far out, when you can no longer see it, that is a bite.",
		Strike:  "Make one long sweep up and back. There is much line out, and the sweep must pull it all tight.",
		Breaks:  "The long stem snaps when you step on it or wind it into the rod tip. Carry it in a tube.",
		Leaves:  "It lifts off the top in one go when the line is off the water.",
		Resize:  "Change the float and the big weight together. The small shot can stay.",
	},
})
