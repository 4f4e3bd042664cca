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
})
