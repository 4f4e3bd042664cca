package rig

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// leastForMM is the finest hook-length nylon that is not light for a fish, mm: the
// finest of the Avon's range for chub, and a size up for barbel (common practice,
// no source).
var leastForMM = map[string]float64{"chub": 0.12, "barbel": 0.14}

// asStrong says whether a hook length holds as much, by chart, as hook-length
// nylon of a diameter; known is false where no chart can say.
func (s Spool) asStrong(mm float64) (yes, known bool) {
	s.LabelKg = 0
	got, err := s.Strength()
	return got.Kg >= nylonKg(mm)-1e-9, err == nil
}

// words are a hook length's thickness, and what it is of where that is not nylon.
func (s Spool) words() string {
	if s.Kind == HookNylon {
		return mmWords(s.DiameterMM)
	}
	return mmWords(s.DiameterMM) + " " + string(s.Kind)
}

func (t Tackle) lineToFish() Finding {
	least, ok := leastForMM[t.Fish]
	if !ok {
		return Finding{}
	}
	if strong, known := t.HookLength.asStrong(least); strong || !known {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("A hook length of %s is light for %s.", t.HookLength.words(), t.Fish),
		fmt.Sprintf("Tie one as strong as %s nylon or stouter, and the main line stouter still.", mmWords(least))}
}

// lineToSnags: light hook lengths near snags with barbel or big chub about leave
// fish trailing line.
func (t Tackle) lineToSnags() Finding {
	f, ok := findFish(t.Fish)
	if !ok || !f.snags || !t.Snaggy {
		return Finding{}
	}
	strong, known := t.HookLength.asStrong(snagMM)
	if !known {
		return Finding{NoteLevel, fmt.Sprintf("Snags and %s: a light hook length leaves a lost fish trailing line.", f.name),
			fmt.Sprintf("Use one at least as strong as %s nylon, and the main line stouter still.", mmWords(snagMM))}
	}
	if !strong {
		return Finding{CareLevel, fmt.Sprintf("Snags and %s: a hook length of %s is light for them, and a lost fish would trail line.", f.name, t.HookLength.words()),
			fmt.Sprintf("Use one at least as strong as %s nylon and the main line stouter still, or fish away from the snags.", mmWords(snagMM))}
	}
	return Finding{NoteLevel, fmt.Sprintf("Snags and %s: the hook length is %s%s, so that a lost fish does not trail line.", f.name, mmWords(t.HookLength.DiameterMM), t.usual()),
		"Keep it at least this stout, and the main line stouter still."}
}

// usual says what the pattern's hook length starts from, where that is finer.
func (t Tackle) usual() string {
	p, ok := findPattern(t.Pattern)
	if !ok || t.HookLength.DiameterMM <= p.hookLengthMM[0] {
		return ""
	}
	return " and not the usual " + mmWords(p.hookLengthMM[0])
}

func findPattern(id string) (Pattern, bool) {
	i := slices.IndexFunc(registered, func(p Pattern) bool { return p.ID == id })
	if i < 0 {
		return Pattern{}, false
	}
	return registered[i], true
}

// castKgPerG is the strength a main line wants for each gram of the float it
// casts (ours, from memory: a cast pulls many times the weight, and a line that
// has seen a season holds less than its label).
const castKgPerG = 0.2

func (t Tackle) lineToFloat() Finding {
	main, err := t.Main.Strength()
	if err != nil || t.CapacityG == 0 || main.Kg >= castKgPerG*t.CapacityG {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("A main line of %.2f kg (by %s) is light to cast a float of %s: the rule of thumb is a fifth of a kilogram a gram.",
		main.Kg, main.By, gramWords(t.CapacityG)),
		fmt.Sprintf("Use a main line of %.1f kg or more, or a lighter float.", castKgPerG*t.CapacityG)}
}

func (t Tackle) rodToFloat() Finding {
	if t.RodCastG == 0 || t.CapacityG <= t.RodCastG {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("The rod is made to cast %s and the float takes %s: it can break in the cast.", gramWords(t.RodCastG), gramWords(t.CapacityG)),
		"Use a stouter rod, or a lighter float."}
}

// floats: river float fishing wants a line that floats, to be lifted and mended;
// a waggler wants it sunk out of the wind.
func (t Tackle) floats() Finding {
	p, ok := findPattern(t.Pattern)
	line := t.lies()
	if !ok || line == "" || p.mainLine == "" || line == p.mainLine {
		return Finding{}
	}
	if p.mainLine == "sinking" {
		return Finding{CareLevel, fmt.Sprintf("The main line floats, and a %s wants it sunk out of the wind, or it drags the float across.", strings.ToLower(p.Name)),
			"Use a sinking line, or one cleaned of grease, and dip the rod tip."}
	}
	return Finding{CareLevel, fmt.Sprintf("The main line sinks, and a %s wants one that floats, so that it can be lifted off the water and mended.", p.Name),
		"Use a floating line, or grease the last of it."}
}

// lies is whether the main line floats or sinks: as it is sold, or by what it is
// made of where that leaves no doubt.
func (t Tackle) lies() string {
	if t.MainLine != "" {
		return t.MainLine
	}
	return t.Main.Kind.lies()
}

// What a rod needs beyond the depth set, to cast and to net: 0.3 to 0.5 m (common
// practice, no source).
const rodSpareLeastM, rodSpareMostM = 0.3, 0.5

func (t Tackle) rodToDepth() Finding {
	if t.RodM == 0 || t.SetM == 0 || t.Slides || t.SetM <= t.RodM-rodSpareMostM {
		return Finding{}
	}
	rod := fmt.Sprintf("%g ft", math.Round(2*t.RodM/footM)/2)
	if t.SetM <= t.RodM-rodSpareLeastM {
		return Finding{NoteLevel, fmt.Sprintf("Set at %s, a %s rod has %s left to cast and to net with.", metreWords(t.SetM), rod, lengthWords(t.RodM-t.SetM)),
			"It will do with care; a longer rod, or a float that slides to a stop knot, is easier."}
	}
	return Finding{CareLevel, fmt.Sprintf("A float fixed on the line can be set no deeper than %s on %s rod, and this is set at %s.",
		metreWords(t.RodM-rodSpareLeastM), article(rod), metreWords(t.SetM)),
		"Use a longer rod, or a slider: a float that slides to a stop knot."}
}
