package rig

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Place is a jurisdiction, by name.
type Place string

// EnglandAndWales is the one whose law is known here.
const EnglandAndWales Place = "England and Wales"

// leadLaw is a jurisdiction's rule on lead weights: lawful up to LowG and above
// HighG.
type leadLaw struct {
	lowG, highG float64
	labelNo     int    // shot sold by this number or a higher one is sold as lawful
	source      string // what it was written from
	written     string // and when
}

// leadLaws by place. In England and Wales supply is prohibited by regulation 4 of
// The Control of Pollution (Anglers' Lead Weights) Regulations 1986, SI 1986/1992,
// and use by fishery byelaws. Shot sold as No.8 or smaller is sold as lawful
// (sizes 14 to 8), nominally 0.06 g, and is taken by its label.
var leadLaws = map[Place]leadLaw{
	EnglandAndWales: {
		lowG: 0.06, highG: 28.35, labelNo: 8, written: "November 2026",
		source: "SI 1986/1992 and the freshwater rod fishing rules, gov.uk",
	},
}

// VenueRules are what a venue allows. The zero value forbids nothing.
type VenueRules struct {
	BarblessOnly bool
	LargestHook  int // the lowest number allowed; 0: any
	SmallestHook int // the highest number allowed; 0: any
	NoLead       bool
	NoBraid      bool
	BannedBaits  []string
}

// deferTo ends every finding of the law: what is here is a reminder.
const deferTo = " Local byelaws and the club's own rules go first."

// Law is what the law on lead of a place, and a venue's rules, have against a
// rig. The law of lead is held for England and Wales alone, as it was written
// down in November 2026 from SI 1986/1992 and the rod fishing rules of gov.uk: a
// lead weight is lawful at 0.06 g or less and above 28.35 g. For another place it
// says that it knows nothing. Shot sold as No.8 or smaller is taken by its label
// unless its WeighedG says more than 0.06 g. It is no legal advice, and every
// text defers to local byelaws and the club.
func Law(r Rig, p Place, v VenueRules) []Finding {
	out := append(leadFindings(r.Weights, p, v), said(v.barb(r), v.hook(r), v.braid(r), v.bait(r))...)
	for i := range out {
		out[i].Remedy += deferTo
	}
	return ranked(out)
}

func leadFindings(ws []Weight, p Place, v VenueRules) []Finding {
	law, known := leadLaws[p]
	var out []Finding
	if !known {
		out = append(out, unknownPlace(p, ws))
	}
	named := map[string]bool{}
	for _, w := range ws {
		switch {
		case w.Material != Lead || w.Count < 1 || named[w.Size]:
			continue
		case v.NoLead:
			out = append(out, Finding{StopLevel, fmt.Sprintf("The %s is lead: no lead is used on this water.", w.Size), "Use tin or tungsten of that size."})
		case known && law.forbids(w):
			out = append(out, law.finding(w, p))
		default:
			continue
		}
		named[w.Size] = true
	}
	return out
}

// unknownPlace says that nothing is known, and minds it only where there is lead.
func unknownPlace(p Place, ws []Weight) Finding {
	name := "here: no place was named"
	if p != "" {
		name = "for " + string(p)
	}
	f := Finding{NoteLevel, "The law on lead weights is not known " + name + ".", "Ask what the local rules are."}
	if slices.ContainsFunc(ws, func(w Weight) bool { return w.Material == Lead && w.Count > 0 }) {
		f.Level = CareLevel
		f.Remedy = "Ask what the local rules are, or use tin or tungsten."
	}
	return f
}

// massG is what a weight is judged by: the member's own weighing, or its size's.
func (w Weight) massG() float64 {
	if w.WeighedG > 0 {
		return w.WeighedG
	}
	return w.EachG
}

func (l leadLaw) forbids(w Weight) bool {
	if w.Material != Lead || w.WeighedG <= 0 && w.labelled(l.labelNo) {
		return false
	}
	return w.massG() > l.lowG && w.massG() <= l.highG
}

// labelled says whether a shot is sold by a number, and by that or a smaller size.
func (w Weight) labelled(least int) bool {
	no, ok := strings.CutPrefix(w.Size, "No.")
	if !ok || w.Kind != ShotKind {
		return false
	}
	n, err := strconv.Atoi(no)
	return err == nil && n >= least
}

func (l leadLaw) finding(w Weight, p Place) Finding {
	by := ""
	if w.WeighedG > 0 {
		by = ", by your own weighing"
	}
	return Finding{StopLevel, fmt.Sprintf("The %s is lead of %s%s: lead weights over %s and up to %s are not lawful in %s (%s, as of %s).",
		w.Size, gramWords(w.massG()), by, gramWords(l.lowG), gramWords(l.highG), p, l.source, l.written),
		"Use tin or tungsten of that size."}
}

// Unlawful says whether a weight is lead of a mass that may not be fished with
// in England and Wales. See Law.
func (w Weight) Unlawful() bool { return leadLaws[EnglandAndWales].forbids(w) }

func (v VenueRules) barb(r Rig) Finding {
	if !v.BarblessOnly || r.Barb == Barbless {
		return Finding{}
	}
	if r.Barb == Barbed {
		return Finding{StopLevel, "The hook is barbed: this water allows barbless hooks only.", "Tie on a barbless hook, or press the barb flat with pliers if the club takes that."}
	}
	return Finding{NoteLevel, "This water allows barbless hooks only.", "Check that the hook has no barb."}
}

func (v VenueRules) hook(r Rig) Finding {
	switch n := r.HookSize; {
	case n == 0:
	case v.LargestHook > 0 && n < v.LargestHook:
		return Finding{StopLevel, fmt.Sprintf("A size %d hook is larger than this water allows, %d.", n, v.LargestHook), fmt.Sprintf("Tie on a %d or smaller.", v.LargestHook)}
	case v.SmallestHook > 0 && n > v.SmallestHook:
		return Finding{StopLevel, fmt.Sprintf("A size %d hook is smaller than this water allows, %d.", n, v.SmallestHook), fmt.Sprintf("Tie on a %d or larger.", v.SmallestHook)}
	}
	return Finding{}
}

func (v VenueRules) braid(r Rig) Finding {
	if !v.NoBraid || r.MainLineOf != Braid && r.HookLengthOf != Braid {
		return Finding{}
	}
	return Finding{StopLevel, "The line is braid, which this water does not allow.", "Use nylon."}
}

func (v VenueRules) bait(r Rig) Finding {
	if r.Bait == "" || !slices.Contains(v.BannedBaits, r.Bait) {
		return Finding{}
	}
	return Finding{StopLevel, fmt.Sprintf("This water does not allow %s.", r.Bait), "Choose another bait."}
}
