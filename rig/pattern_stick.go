package rig

var _ = register(Pattern{
	ID:   "stick",
	Name: "stick",
	What: "Slim and sensitive, for holding back gently and easing through within two rod lengths.",
	Body: "Balsa above, where it must float.",
	Stem: "Cane or wire below, heavier than the body, so that the float cocks early and settles slowly with the shot.",
	Tip:  "Fine, so that takes on the drop show.",

	DepthM: Span{0.6, 2.4}, PaceMPS: Span{0.2, 0.7}, Boil: Span{0, 1}, ReachM: 9,
	// About a No.4 a foot of depth, less if slow, up to two if strong ("Stick
	// float fishing explained", amateurangling.com).
	sizes: []floatSize{
		{n: 3, shot: "4"}, {n: 4, shot: "4"}, {n: 5, shot: "4"},
		{n: 6, shot: "4"}, {n: 7, shot: "4"}, {n: 8, shot: "4"},
	},
	// At 14° the model gives that rule back: 1.0 No.4 a foot at 0.45 m/s, 1.9 at 0.65
	// and half of one at 0.3, from four feet to seven.
	tiltDeg: 14, windMost: 4,

	style: StrungOut, lowG: 0.03, highG: 0.11,

	hookLengthM: [2]float64{0.2, 0.3}, hookLengthMM: [2]float64{0.08, 0.10},
	mainMM: 0.16, mainLine: "floating",
	hookFinest: 22, hookLargest: 16, rodFt: Span{13, 15},
	fish: []string{"roach", "dace", "grayling", "small fish", "perch"}, bait: "single maggot",

	Handling: Handling{
		Fix:     "Slide three rubbers on the line. Push the float through all three of them.",
		Rubbers: []string{"just under the tip", "in the middle", "half over the thin end"},
		Cast:    "Swing it out underhand, with the rod low. Stop it just before it lands, so that the shot lie in a straight line.",
		Run:     "Ease it down the swim and slow it now and then. The bait lifts a bit each time, and the fish see it.",
		Bite:    "The thin tip slips under, or stays up too long while the shot sink. Both are bites.",
		Strike:  "Give a quick, short lift of the wrist. This float is close and light.",
		Breaks:  "The thin end snaps off at the rubber. Push rubbers on with a twist, and never bend the float.",
		Leaves:  "It slips out of the water with hardly a sound.",
		Resize:  "Change the float, then add or take off one shot.",
	},
})
