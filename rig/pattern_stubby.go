package rig

var _ = register(Pattern{
	ID:   "stubby",
	Name: "stubby trotter",
	What: "Short and thick, it carries a big bait down shallow, fast, broken water.",
	Body: "Short and thick: shallow water leaves no room for length, and a big bait needs the lift.",
	Stem: "Short, so that it clears the bed.",
	Tip:  "Broad, so that rough water does not drown it.",

	DepthM: Span{0.4, 1.5}, PaceMPS: Span{0.75, 1.6}, Boil: Span{0, 3}, ReachM: 20,
	// From memory.
	sizes: []floatSize{
		{n: 3, shot: "AAA"}, {n: 4, shot: "AAA"}, {n: 3, shot: "SSG"}, {n: 4, shot: "SSG"},
	},
	tiltDeg: 18, windMost: 6,

	style: ShotBulk, bulkShare: 0.12, groupM: 0.1, lowG: 0.05, highG: 0.21,

	hookLengthM: [2]float64{0.15, 0.2}, hookLengthMM: [2]float64{0.14, 0.20},
	mainMM: 0.22, mainLine: "floating",
	hookFinest: 12, hookLargest: 6, rodFt: Span{13, 15},
	fish: []string{"chub", "barbel"}, bait: "bread flake", bigBait: true,

	Handling: Handling{
		Fix:     "Slide two big rubbers on the line. Push the short float through both of them.",
		Rubbers: []string{"just under the tip", "at the end of the stem"},
		Cast:    "Drop it in close and let the river take it. It need not be thrown far.",
		Run:     "Let the river take it. Hold it back a bit before each stone, so that the bait swings up over it.",
		Bite:    "The broad tip is dragged down hard. Often you feel the fish at the same time.",
		Strike:  "Just tighten up: stop the line and lift. In fast water the fish has hooked itself.",
		Breaks:  "It is hard to break. It gets lost instead, so look at the rubbers after every fish.",
		Leaves:  "It bounces over the top when you wind in. Wind slowly up the side, by the bank.",
		Resize:  "Change the float, then add or take off one big shot of the bulk.",
	},
})
