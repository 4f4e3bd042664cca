package rig

var _ = register(Pattern{
	ID:   "flat",
	Name: "flat float",
	What: "A disc on a stem: held, the water presses its face and it digs in and stands still where another float would lift.",
	Body: "A disc set edge on to the flow: it tilts when it is held and the water holds it down.",
	Stem: "Wire, with the line led along it, so that the disc keeps its angle.",
	Tip:  "Short and thick, since it stands in rough water.",

	DepthM: Span{1, 4}, PaceMPS: Span{0.3, 1.1}, Boil: Span{0, 2}, ReachM: 13,
	// It is made to lie over, so its line may lean more than another's: 60° is where
	// the model gives the sizes anglers take (common practice, no source).
	sizes: inGrams(3, 4, 5, 6, 8, 10, 12, 15, 20), tiltDeg: 60, still: true, windMost: 6,

	// Bulk low, so that the bait stays at the bottom.
	style: OlivetteBulk, bulkShare: 0.1, groupM: 0.1, lowG: 0.05, highG: 0.21,

	hookLengthM: [2]float64{0.15, 0.2}, hookLengthMM: [2]float64{0.12, 0.16},
	mainMM: 0.16, mainLine: "floating",
	// A pole or a long rod; how long is from memory.
	hookFinest: 16, hookLargest: 10, rodFt: Span{16, 36},
	fish: []string{"bream", "barbel", "chub", "roach"}, bait: "maggot bunch", bigBait: true,

	Handling: Handling{
		Fix:     "Put the line through the ring and along the wire. Slide a rubber on each end to hold it there.",
		Rubbers: []string{"at the top, by the disc", "at the end of the wire"},
		Cast:    "Swing it out gently from the rod tip. Never throw it hard: the disc will spin and twist the line.",
		Run:     "Do not let it run. Keep the line tight, and the disc digs in and stands still.",
		Bite:    "The tip nods or goes under. A float that moves up the river is a bite for sure.",
		Strike:  "Lift the rod firmly. The line is tight already, so you need no big sweep.",
		Breaks:  "The thin disc cracks at its edge. Once it is bent it will swing about, so change it.",
		Leaves:  "Let the line go slack first. Then the disc lets go of the water and comes up flat.",
		Resize:  "Change the float and the big weight together.",
	},
})
