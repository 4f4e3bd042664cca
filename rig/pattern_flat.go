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
})
