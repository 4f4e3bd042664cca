package web

import (
	"levelpeg/club"
	"levelpeg/rig"
	"levelpeg/web/draw"
)

// section is the sheet's drawing, with the first rig as it hangs.
func section(s *club.Sheet) draw.Section {
	off := s.Standing.Zero.OffsetM
	d := draw.Section{
		Title: "Peg " + s.Peg.Label + " in section",
		MarkM: s.Peg.MarkHeightM - off,
		LowM:  s.Standing.Gauge.LowM - off, HighM: s.Standing.Gauge.HighM - off,
	}
	d.Desc = "The gauge board, and the bed through the runs. The same figures stand in the list of runs."
	if s.Level.Known {
		d.Title += " at level " + metres(s.Level.LevelM)
		d.Level = &s.Level.LevelM
	}
	for i := range s.Runs {
		d.Runs = append(d.Runs, runDepth(&s.Runs[i], off, i == s.Chosen))
	}
	if s.Hang != nil {
		d.Float = floatOn(s, off)
		d.Desc += " " + hangDesc(s.Hang)
	}
	return d
}

func runDepth(r *club.RunSheet, off float64, chosen bool) draw.RunDepth {
	d := draw.RunDepth{DistanceM: r.DistanceM, Chosen: chosen, Known: r.Basis.Soundings > 0 || r.Basis.Borrowed > 0,
		BedM: r.Bed.Mid - off, BedLowM: r.Bed.Low - off, BedHM: r.Bed.High - off}
	if r.Plumbed && !r.Dry {
		d.Depth = fixed(r.Depth.Mid, 2)
	}
	return d
}

// floatOn is the first rig as it hangs in the chosen run.
func floatOn(s *club.Sheet, off float64) *draw.Float {
	run := &s.Runs[s.Chosen]
	return floatHung(&s.Answer.Rigs[0], s.Hang, run.DistanceM, run.Bed.Mid-off)
}

func floatHung(r *rig.Rig, h *club.Hang, distanceM, bedM float64) *draw.Float {
	f := &draw.Float{DistanceM: distanceM, SetM: r.SetM, BedM: bedM, Weights: drawnWeights(r)}
	for _, p := range h.Line {
		f.Line = append(f.Line, draw.Hung{DownstreamM: p.XM, DeepM: p.ZM})
	}
	return f
}
