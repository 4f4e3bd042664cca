package rig

var _ = register(Pattern{
	ID:   "balsa",
	Name: "straight balsa",
	What: "A thick stick with more push under it, for steady water too strong for a stick.",
	Body: "A straight stick of balsa, thick enough to carry more shot than a stick of its length.",
	Stem: "It has none: the taper of the body does for it.",
	Tip:  "A domed end that can be held on without going under.",

	DepthM: Span{0.8, 2.5}, PaceMPS: Span{0.4, 1}, Boil: Span{0, 2}, ReachM: 14,
	// From memory.
	sizes:   []floatSize{{n: 4, shot: "BB"}, {n: 5, shot: "BB"}, {n: 3, shot: "AAA"}},
	tiltDeg: 20, windMost: 5,

	style: ShotBulk, bulkShare: 0.25, lowG: 0.03, highG: 0.11,

	hookLengthM: [2]float64{0.15, 0.25}, hookLengthMM: [2]float64{0.10, 0.14},
	mainMM: 0.18, mainLine: "floating",
	hookFinest: 18, hookLargest: 12, rodFt: Span{13, 15},
	fish: []string{"roach", "chub", "dace", "grayling", "perch"}, bait: "double maggot",

	Handling: Handling{
		Fix:     "Slide three rubbers on the line. Push the float through all three of them.",
		Rubbers: []string{"just under the tip", "in the middle", "at the thin end"},
		Cast:    "Swing it out underhand or from the side. Keep it smooth, so that the rig does not tangle.",
		Run:     "Hold it back for a moment, then let it go on a bit. The bait swings up and then drops.",
		Bite:    "The round top goes down with a pop. A tip that stays up when the shot should pull it down is a bite too.",
		Strike:  "Lift the rod sharply up or to the side. The thick body needs a firm pull.",
		Breaks:  "The soft wood dents and then lets water in. A float that has lost its paint gets heavy: leave it at home.",
		Leaves:  "The thick top throws a splash. Lift it gently at the end of the swim.",
		Resize:  "Change the float, then add or take off a shot at the bulk.",
	},
})
