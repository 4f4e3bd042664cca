package rig

// HangAt is how a rig hangs in a water held back by another share of the pace than
// its own: 0 running free to 1 held still. The rig's line, weights, hook length and
// bait are as they are; the water's middle figures count. Its arguments are those of
// Suggest, and the same errors; a hold-back outside 0 to 1 is a RangeError, and
// ErrSlack where no such shape is found.
func HangAt(r Rig, w Water, holdBack float64) (Shape, error) {
	b, ok := findBait(r.Bait)
	if err := firstError(w.check(), inRange("hold-back", holdBack, 0, 1, "of the pace")); err != nil {
		return Shape{}, err
	}
	if !ok {
		return Shape{}, Aim{Bait: r.Bait}.check()
	}
	l := Line{
		HookLengthM: r.HookLengthM, HookLengthMM: r.HookLengthMM, MainMM: r.MainLineMM,
		SinkNPM: r.MainLineOf.sinkNPM(r.MainLineMM), Beads: beads(r.Weights, b),
	}
	s, err := Steady(River(w.DepthM, w.PaceMPS), w.PaceMPS*(1-holdBack), r.SetM, l, Model{})
	s.Points = thin(s.Points, hangPoints)
	return s, err
}
