package rig

var _ = register(Pattern{
	ID:   "avon-slim",
	Name: "slim balsa Avon",
	What: "Balsa on a quill with no shoulder: light and sensitive, it follows the bulk in the cast and leaves the water clean on the strike. It breaks easily.",
	Body: "Balsa without a shoulder, so that little water is moved by a bite and it leaves the water clean on the strike.",
	Stem: "A quill: light and whippy, it follows the bulk through the air.",
	Tip:  "Fine, so that a gentle take shows.",

	DepthM: Span{1.8, 4.3}, PaceMPS: Span{0.15, 0.75}, Boil: Span{0, 1}, ReachM: 15,
	sizes: inGrams(2, 2.5, 3, 4, 5), tiltDeg: 20, windMost: 5,

	// A bulk of shot, so that a change of float is a few shot; droppers of a few
	// No.4 or twice as many No.8.
	style: ShotBulk, bulkShare: 0.3, lowG: 0.05, highG: 0.21, bulkHighG: 0.52,

	hookLengthM: [2]float64{0.2, 0.3}, hookLengthMM: [2]float64{0.10, 0.12},
	mainMM: 0.18, mainLine: "floating",
	hookFinest: 20, hookLargest: 14, rodFt: Span{14, 16},
	fish: []string{"roach", "dace", "bream", "grayling", "perch", "chub", "small fish"}, bait: "caster",

	Handling: Handling{
		Fix:     "Slide two rubbers on the line. Push the float's tip into one and its thin stem into the other.",
		Rubbers: []string{"just under the tip", "at the end of the stem"},
		Cast:    "Swing it out underhand and soft. The light stem follows the shot through the air.",
		Run:     "Let it ease down the swim. Hold it back only a bit, or it will lean over.",
		Bite:    "The thin tip slides under. A lift, or a stop, is a bite as well.",
		Strike:  "Lift the rod quickly, but not far. This float leaves the water clean, so a short lift is enough.",
		Breaks:  "It snaps like a twig where the body meets the stem. Never pull it by the tip, and keep it in a tube.",
		Leaves:  "It has no shoulder, so it slips out of the water clean on the strike.",
		Resize:  "Change the float, then add or take off a few shot at the bulk.",
	},
})
