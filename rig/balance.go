package rig

import (
	"fmt"
	"slices"
)

// Tackle is what an angler has put together, to be looked over. What is left
// empty or 0 is not known and is not judged.
type Tackle struct {
	Main, HookLength Spool
	MainLine         string // "floating" or "sinking"
	Hook             Hook
	Bait             string  // one of Baits
	BaitMM           float64 // how thick; 0: as baits of that name are
	Fish             string  // one of Fish
	Pattern          string  // the float's, by id
	CapacityG        float64 // of the float
	RodM             float64 // how long
	RodCastG         float64 // the most it is made to cast
	SetM             float64 // float to hook
	Slides           bool    // the float slides to a stop knot
	Snaggy           bool    // roots, boulders or weed that a hooked fish can reach
}

// Tackle is a rig's, with the longest rod it is fished on. Its strengths are those
// of the labels where they were read and the chart's otherwise. What fish it is for,
// and whether the water has snags, a rig does not say.
func (r Rig) Tackle() Tackle {
	t := Tackle{
		Main:       Spool{Kind: r.MainLineOf.or(ReelNylon), DiameterMM: r.MainLineMM},
		HookLength: Spool{Kind: r.HookLengthOf.or(HookNylon), DiameterMM: r.HookLengthMM},
		MainLine:   r.MainLine, Hook: Hook{r.HookSize, r.Barb}, Bait: r.Bait,
		Pattern: r.Pattern, CapacityG: r.CapacityG, RodM: r.RodFtHigh * footM, SetM: r.SetM,
	}
	if r.MainLineBy == ByLabel {
		t.Main.LabelKg = r.MainLineKg
	}
	if r.HookLengthBy == ByLabel {
		t.HookLength.LabelKg = r.HookLengthKg
	}
	return t
}

func (k LineKind) or(other LineKind) LineKind {
	if k == "" {
		return other
	}
	return k
}

// Balance is where a rig's parts do not go together: hook length to main line,
// hook to bait, line to fish, snags and float, main line to the float's method,
// rod to float and depth. Each is a finding with its reason and a remedy, what
// matters most first, and none is a refusal. All of it is common practice with no
// source unless marked. A figure that makes no sense is itself a finding and is
// not judged.
func Balance(t Tackle) []Finding {
	t, out := t.sensible()
	return ranked(append(out, said(
		t.weakestLink(), t.hookToBait(), t.gapeToBait(), t.lineToFish(), t.lineToSnags(), t.lineToFloat(),
		t.rodToFloat(), t.floats(), t.rodToDepth(),
	)...))
}

// ranked puts what matters most first.
func ranked(fs []Finding) []Finding {
	rank := map[Level]int{StopLevel: 0, CareLevel: 1, NoteLevel: 2}
	slices.SortStableFunc(fs, func(a, b Finding) int { return rank[a.Level] - rank[b.Level] })
	return fs
}

// Bounds of a rod.
const (
	rodLowM, rodHighM         = 1, 20
	rodCastLowG, rodCastHighG = 1, 500
)

// sensible drops what cannot be, with a finding for each.
func (t Tackle) sensible() (Tackle, []Finding) {
	var out []Finding
	for _, q := range []struct {
		v         *float64
		what      string
		low, high float64
		unit      string
	}{
		{&t.Main.DiameterMM, "The main line's diameter", lineLowMM, lineHighMM, "mm"},
		{&t.Main.LabelKg, "The main line's label", lineLowKg, lineHighKg, "kg"},
		{&t.HookLength.DiameterMM, "The hook length's diameter", lineLowMM, lineHighMM, "mm"},
		{&t.HookLength.LabelKg, "The hook length's label", lineLowKg, lineHighKg, "kg"},
		{&t.BaitMM, "The bait's thickness", 1, 100, "mm"},
		{&t.CapacityG, "The float's capacity", capacityLowG, capacityHighG, "g"},
		{&t.RodM, "The rod's length", rodLowM, rodHighM, "m"},
		{&t.RodCastG, "The rod's casting weight", rodCastLowG, rodCastHighG, "g"},
		{&t.SetM, "The depth set", 0.1, placeMostM, "m"},
	} {
		if *q.v != 0 && inRange("", *q.v, q.low, q.high, "") != nil {
			*q.v = 0
			out = append(out, Finding{NoteLevel, fmt.Sprintf("%s is not from %g to %g %s, so it was not judged.", q.what, q.low, q.high, q.unit),
				"Measure it or read it again."})
		}
	}
	return t, out
}

// strengths are main line's and hook length's; ok is false where either is not
// known.
func (t Tackle) strengths() (main, hook Strength, ok bool) {
	main, e1 := t.Main.Strength()
	hook, e2 := t.HookLength.Strength()
	return main, hook, e1 == nil && e2 == nil
}

// weakestLink: the hook length is the weakest part of the line. Label goes with
// label; where only one was read, both charts are compared and the finding says
// so.
func (t Tackle) weakestLink() Finding {
	main, hook, ok := t.strengths()
	if !ok {
		return t.cannotTell()
	}
	share, like := hook.Ratio(main)
	by := "by their " + string(hook.By) + "s"
	if !like {
		t.Main.LabelKg, t.HookLength.LabelKg = 0, 0
		if main, hook, ok = t.strengths(); !ok {
			return t.cannotTell()
		}
		share, _ = hook.Ratio(main)
		by = "by chart, since only one label was read"
	}
	if share < 1 {
		if !like {
			return t.cannotTell()
		}
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("The hook length holds %.2f kg and the main line %.2f kg, %s: the hook length has to be the weakest part, or a break leaves float, shot and line on the fish.",
		hook.Kg, main.Kg, by), "Tie a finer hook length, or put on a stronger main line."}
}

// cannotTell is for one label and one chart, or a line of which nothing is known.
func (t Tackle) cannotTell() Finding {
	if t.Main == (Spool{}) || t.HookLength == (Spool{}) {
		return Finding{}
	}
	return Finding{NoteLevel, "Whether the hook length is weaker than the main line cannot be told: a label beside a chart says nothing, and charts differ by a factor of two.",
		"Read the labels of both spools, and keep the hook length the weaker."}
}

func (t Tackle) hookToBait() Finding {
	b, ok := findBait(t.Bait)
	if !ok || t.Hook.Size == 0 || t.Hook.Size >= b.HookLargest && t.Hook.Size <= b.HookFinest {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("A size %d hook is outside what %s is fished on, %d to %d, though hook sizes are no standard.",
		t.Hook.Size, b.Name, b.HookLargest, b.HookFinest),
		fmt.Sprintf("Tie on a hook of %d to %d.", b.HookLargest, b.HookFinest)}
}

// Gape to bait: under a fifth of the bait's thickness it hides the point, and over
// 1.2 times it the hook is more than the bait covers. The two are ours, set just
// outside what the bait table's own ranges come to.
const gapeLeast, gapeMost = 0.2, 1.2

func (t Tackle) gapeToBait() Finding {
	mm := t.BaitMM
	if b, ok := findBait(t.Bait); mm == 0 && ok {
		mm = b.DiameterM * 1000
	}
	gape, standing, err := t.Hook.GapeMM()
	if mm == 0 || err != nil || gape >= gapeLeast*mm && gape <= gapeMost*mm {
		return Finding{}
	}
	what := fmt.Sprintf("%s has a gape of about %.1f mm (%s) and the bait is about %.0f mm thick", "A size "+fmt.Sprint(t.Hook.Size)+" hook", gape, standing, mm)
	if gape < gapeLeast*mm {
		return Finding{CareLevel, what + ": the bait hides the point.", "Use a larger hook, or a smaller bait."}
	}
	return Finding{CareLevel, what + ": the hook shows and weighs the bait down.", "Use a smaller hook, or more bait."}
}
