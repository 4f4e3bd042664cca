package hydro

// Prior is what is known of a run before it is sounded. SDs are standard
// deviations.
type Prior struct {
	SlopeMean  float64 // metres of depth a metre of level
	SlopeSD    float64
	ReadingSDM float64 // error of one plumbed depth, m
	DriftSDM   float64 // how far a bed drifts in a year, m per √year
	FloodSDM   float64 // how far a flood moves a bed, m

	UnseenPerYear float64 // moves like a flood's that nobody recorded, a year
	WildShare     float64 // of soundings that are wild: a snag, a slip of the hand
	WildSDM       float64 // error of a wild one, m

	PaceExponent   float64 // β in pace ∝ depth^β
	PaceExponentSD float64
	PaceScatter    float64 // about the power law, natural logs
	PaceGuessMPS   float64 // median pace at 1.5 m deep, rivers in general, m/s
	PaceGuessSD    float64 // of that guess, natural logs

	PaceFree   float64 // how likely pace does not follow depth: backwater, weed
	PaceFreeSD float64 // of β about 0 where it does not
	PaceWeed   float64 // how likely summer weed slows the run
	PaceEven   float64 // how likely the scatter of one that follows depth is a third of the usual
	PaceWild   float64 // share of timings that are wild

	bed borrowed // from neighbours; see Borrow
}

// OpenReach is the prior for a run with nothing between its gauge and its peg.
func OpenReach() Prior {
	return Prior{
		SlopeMean: 1, SlopeSD: 0.1, ReadingSDM: 0.05, // design figures
		DriftSDM: 0.05, FloodSDM: 0.15, // from memory
		UnseenPerYear: 0.1, WildShare: 0.03, WildSDM: 2, // from memory
		PaceExponent: 0.7, PaceExponentSD: 0.3, PaceScatter: 0.3, // design figures
		PaceGuessMPS: 0.45, PaceGuessSD: 0.6, // from memory
		PaceFree: 0.1, PaceFreeSD: 1, PaceWeed: 0.25, PaceEven: 0.1, PaceWild: 0.05, // from memory
	}
}

// PastWeir is the prior for a run with a weir or a lock between its gauge and its
// peg, where the two levels follow each other loosely, and where what the weir holds
// up is likelier to be deep without being fast.
func PastWeir() Prior {
	p := OpenReach()
	p.SlopeSD, p.PaceFree = 0.3, 0.3 // from memory
	return p
}

// Steep returns p for a run whose bed slopes hard across the stream, where a
// plummet a little nearer or farther reads another depth.
func (p Prior) Steep() Prior {
	p.ReadingSDM *= 2
	return p
}

// check returns an error naming the first value a prior cannot have.
func (p *Prior) check() error {
	for _, v := range [...]struct {
		what           string
		v              float64
		unit           string
		least, highest float64
	}{
		{"mean slope", p.SlopeMean, "", 0, 10},
		{"slope SD", p.SlopeSD, "", 0, 10},
		{"reading SD", p.ReadingSDM, "m", 0.001, 10},
		{"drift SD", p.DriftSDM, "m/√year", 0, 10},
		{"flood SD", p.FloodSDM, "m", 0, 10},
		{"unseen moves", p.UnseenPerYear, "a year", 0, 10},
		{"wild share", p.WildShare, "", 0, 0.5},
		{"wild SD", p.WildSDM, "m", 0.001, 100},
		{"pace exponent", p.PaceExponent, "", -5, 5},
		{"pace exponent SD", p.PaceExponentSD, "", 0, 5},
		{"pace scatter", p.PaceScatter, "", 0.001, 5},
		{"pace guess", p.PaceGuessMPS, "m/s", minPace, maxPace},
		{"pace guess SD", p.PaceGuessSD, "", 0, 5},
		{"share of free pace", p.PaceFree, "", 0, 1},
		{"free pace SD", p.PaceFreeSD, "", 0, 5},
		{"share of weed", p.PaceWeed, "", 0, 1},
		{"share of even pace", p.PaceEven, "", 0, 1},
		{"share of wild timings", p.PaceWild, "", 0, 0.5},
	} {
		if !within(v.v, v.least, v.highest) {
			return rangeError("prior's "+v.what, v.v, v.unit, v.least, v.highest)
		}
	}
	return nil
}
