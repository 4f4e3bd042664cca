package rig

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Lead weights are lawful in England and Wales only at 0.06 g or less, or above
// 28.35 g: The Control of Pollution (Anglers' Lead Weights) Regulations 1986, SI
// 1986/1992, and the freshwater rod fishing rules, gov.uk. Shot sold as No.8 or
// smaller is sold as lawful, and is taken by its label.
const (
	lawfulLowG  = 0.06
	lawfulHighG = 28.35
	lawfulNo    = 8
)

// Unlawful says whether a weight is lead of a mass that may not be fished with
// in England and Wales.
func (w Weight) Unlawful() bool {
	if no, ok := strings.CutPrefix(w.Size, "No."); ok && w.Kind == ShotKind {
		if n, err := strconv.Atoi(no); err == nil && n >= lawfulNo {
			return false
		}
	}
	return w.Material == Lead && w.EachG > lawfulLowG && w.EachG <= lawfulHighG
}

// findings are what to know before the rig is used, what matters most first.
func (o offer) findings(r Rig) []Finding {
	var out []Finding
	out = append(out, lawFindings(r.Weights)...)
	for _, f := range []Finding{o.outsideFinding(), balanceFinding(r), sliderFinding(r), o.snagFinding(r),
		o.depthFinding(r), o.paceFinding(r)} {
		if f.Text != "" {
			out = append(out, f)
		}
	}
	rank := map[Level]int{StopLevel: 0, CareLevel: 1, NoteLevel: 2}
	slices.SortStableFunc(out, func(a, b Finding) int { return rank[a.Level] - rank[b.Level] })
	return out
}

func lawFindings(ws []Weight) []Finding {
	var out []Finding
	named := map[string]bool{}
	for _, w := range ws {
		if w.Unlawful() && !named[w.Size] {
			named[w.Size] = true
			out = append(out, Finding{StopLevel,
				fmt.Sprintf("The %s is lead of %s: lead weights from 0.06 g to 28.35 g are not lawful in England and Wales.", w.Size, gramWords(w.EachG)),
				"Use tin or tungsten of that size."})
		}
	}
	return out
}

func (o offer) outsideFinding() Finding {
	if o.outside == "" {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("No float here is made for this water. For the %s, the nearest, %s.", o.Name, o.outside),
		"Expect it to need nursing, or look for easier water."}
}

// balanceFinding is for a kit that cannot load the float.
func balanceFinding(r Rig) Finding {
	if r.ShortG <= max(0.02*r.CapacityG, 0.05)+1e-9 {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("The kit leaves this float %s short, so it will ride high.", gramWords(math.Round(r.ShortG*100)/100)),
		"Add putty by the bulk, or hold a size of shot between those in the kit."}
}

const (
	footM   = 0.3048
	spareM  = 0.4 // of rod for casting and netting (common practice: 0.3 to 0.5)
	perCent = 100
)

// sliderFinding is for water deeper than a float fixed on the line can be set.
func sliderFinding(r Rig) Finding {
	most := r.RodFtHigh*footM - spareM
	if r.SetM <= most {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("A float fixed on the line can be set no deeper than %s on a %.0f ft rod, and this is set at %s.",
		metreWords(most), r.RodFtHigh, metreWords(r.SetM)),
		"Use a longer rod, or a float that slides to a stop knot."}
}

func (o offer) snagFinding(r Rig) Finding {
	if !o.water.Snaggy || !o.fishes.snags {
		return Finding{}
	}
	return Finding{NoteLevel, fmt.Sprintf("Snags and %s: the hook length is %s and not the usual %s, so that a lost fish does not trail line.",
		o.fishes.name, mmWords(r.HookLengthMM), mmWords(o.hookLengthMM[0])),
		"Keep it at least this stout, and the main line stouter still."}
}

// depthFinding is for a depth known only roughly, or that may be more than the
// float is right for.
func (o offer) depthFinding(r Rig) Finding {
	w := o.water
	if w.DepthHighM > r.DepthHighM {
		return Finding{NoteLevel, fmt.Sprintf("The depth may be up to %s and this float is right to %s.", metreWords(w.DepthHighM), metreWords(r.DepthHighM)),
			"Plumb it before you set the float."}
	}
	const rough = 0.2
	if w.DepthHighM-w.DepthLowM < rough {
		return Finding{}
	}
	return Finding{NoteLevel, fmt.Sprintf("The depth is between %s and %s.", metreWords(w.DepthLowM), metreWords(w.DepthHighM)),
		"Plumb it before you set the float."}
}

// paceFinding is for a pace that may be more than the float is right for.
func (o offer) paceFinding(r Rig) Finding {
	if o.water.PaceHighMPS <= r.PaceHighMPS {
		return Finding{}
	}
	f := Finding{NoteLevel, fmt.Sprintf("The pace may be up to %.2f m/s and this float is right to %.2f.", o.water.PaceHighMPS, r.PaceHighMPS),
		"Time the surface first, and hold back less if it is faster."}
	if o.at+1 < len(o.sizes) {
		f.Remedy = fmt.Sprintf("Time the surface first; if it is faster go up to %s.", o.sizes[o.at+1].marking)
	}
	return f
}
