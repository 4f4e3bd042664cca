package rig

var _ = register(Pattern{
	ID:   "avon-long",
	Name: "long-bodied Avon",
	What: "The Avon on wire made longer and slimmer, so that it rides steadier in deep turbulence.",
	Body: "Longer and slimmer, so that a boil passes along it and does not throw it.",
	Stem: "Wire: its weight low down keeps the float upright in turbulence.",
	Tip:  "Buoyant and bold, so that it is seen in broken light.",

	DepthM: Span{2.3, 5}, PaceMPS: Span{0.45, 1.5}, Boil: Span{0, 3}, ReachM: 25,
	sizes: inGrams(3, 4, 5, 6), tiltDeg: 18, windMost: 6,

	style: OlivetteBulk, bulkShare: 0.25, groupM: 0.2, lowG: 0.05, highG: 0.11,

	hookLengthM: [2]float64{0.15, 0.25}, hookLengthMM: [2]float64{0.12, 0.18},
	mainMM: 0.20, mainLine: "floating",
	hookFinest: 16, hookLargest: 10, rodFt: Span{13, 15},
	fish: []string{"chub", "barbel", "bream", "roach"}, bait: "maggot bunch", bigBait: true,

	Handling: Handling{
		Fix:     "Slide two rubbers on the line. Push the float's tip into one and its wire stem into the other.",
		Rubbers: []string{"just under the tip", "at the end of the wire"},
		Cast:    "Swing it out underhand and smooth. The long stem swings on behind the weights.",
		Run:     "Its long body rides deep boils well, so let it go down the swim at one steady pace.",
		Bite:    "The bold tip goes down and stays down. It may also stop, or lean over.",
		Strike:  "Sweep the rod up and back in one long pull. The float lies deep, so a short flick will not move the line.",
		Breaks:  "The wire bends if you pull the float off by its tip. Bend it straight with your fingers before you fish.",
		Leaves:  "It comes out of deep water slowly. Lift the rod first, then wind in.",
		Resize:  "Change the float and the big weight together. The small shot can stay.",
	},
})
