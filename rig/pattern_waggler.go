package rig

var _ = register(Pattern{
	ID:   "waggler",
	Name: "waggler",
	// That it runs at the pace of the surface ahead of the bait, its capacities and
	// its line: fishingstuff.net.
	What: "Fixed by its bottom with the line sunk out of the wind, it runs at the pace of the surface ahead of the bait.",
	Body: "Straight or with a little body at the bottom, where the lock shot carries it through the cast.",
	Stem: "A long one sinks the line deep, out of the wind.",
	Tip:  "It need only show, for nothing pulls on it from above.",

	DepthM: Span{0.4, 3}, PaceMPS: Span{0, 0.6}, Boil: Span{0, 1}, ReachM: 30, FarM: 14,
	sizes: []floatSize{
		{n: 2, shot: "BB"}, {n: 3, shot: "BB"}, {n: 4, shot: "BB"}, {n: 3, shot: "AAA"},
		{n: 2, shot: "SSG"}, {n: 3, shot: "SSG"},
	},
	tiltDeg: 20, runs: true, windMost: 8,

	// Half to three quarters at the float, droppers in the bottom quarter
	// (soartackle.co.uk).
	style: AtFloat, lowG: 0.03, highG: 0.21,

	hookLengthM: [2]float64{0.2, 0.3}, hookLengthMM: [2]float64{0.09, 0.12},
	mainMM: 0.18, mainLine: "sinking",
	hookFinest: 20, hookLargest: 14, rodFt: Span{13, 14},
	fish: []string{"roach", "bream", "dace", "perch", "chub", "small fish"}, bait: "caster",

	Handling: Handling{
		Fix:    "Put the line through the ring at the thick end. Then squeeze shot on each side of it, close by.",
		Cast:   "Throw it out overhead and past your swim. Then dip the rod tip in the water and wind a few turns, and the line sinks.",
		Run:    "Let it go as it likes. The line is under the water, so do not hold it back.",
		Bite:   "The tip goes under and away. A tip that comes up is a bite as well.",
		Strike: "Sweep the rod low and to the side. The line lies under the water, and a sideways sweep pulls it straight.",
		Breaks: "The ring at the foot pulls out when the float is stuck in a tree. Pull by the line slowly, with your face turned away.",
		Leaves: "It dives when you wind in. Keep the rod low and wind at a steady pace.",
		Resize: "Change the float, then change the shot beside it. The small shot can stay.",
	},
})
