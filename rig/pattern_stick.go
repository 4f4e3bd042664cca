package rig

var _ = register(Pattern{
	ID:   "stick",
	Name: "stick",
	What: "Slim and sensitive, for holding back gently and easing through within two rod lengths.",

	DepthM: Span{0.6, 2.4}, PaceMPS: Span{0.2, 0.7}, Boil: Span{0, 1}, ReachM: 9,
	// About a No.4 a foot of depth, less if slow, up to two if strong ("Stick
	// float fishing explained", amateurangling.com).
	sizes: []floatSize{
		{n: 3, shot: "4"}, {n: 4, shot: "4"}, {n: 5, shot: "4"},
		{n: 6, shot: "4"}, {n: 7, shot: "4"}, {n: 8, shot: "4"},
	},
	tiltDeg: 20, windMost: 4,

	style: StrungOut, lowG: 0.03, highG: 0.11,

	hookLengthM: [2]float64{0.2, 0.3}, hookLengthMM: [2]float64{0.08, 0.10},
	mainMM: 0.16, mainLine: "floating",
	hookFinest: 22, hookLargest: 16, rodFt: Span{13, 15},
	fish: []string{"roach", "dace", "grayling", "small fish", "perch"}, bait: "single maggot",
})
