package rig

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// findings are what to know before the rig is used, what matters most first.
func (o offer) findings(r Rig) []Finding {
	t := r.Tackle()
	t.Fish, t.Snaggy = o.fishes.name, o.water.Snaggy
	return ranked(slices.Concat(Law(r, EnglandAndWales, VenueRules{}), said(o.outsideFinding(), shortFinding(r, o.lack)),
		Balance(t), said(o.windFinding(), o.depthFinding(r), o.paceFinding(r))))
}

// said are the findings that have anything to say.
func said(fs ...Finding) []Finding {
	return slices.DeleteFunc(fs, func(f Finding) bool { return f.Text == "" })
}

func (o offer) outsideFinding() Finding {
	if o.outside == "" {
		return Finding{}
	}
	return Finding{CareLevel, fmt.Sprintf("No float here is made for this water. For the %s, the nearest, %s.", o.Name, o.outside),
		"Expect it to need nursing, or look for easier water."}
}

// shortFinding is for a kit that cannot load the float.
func shortFinding(r Rig, lack Lack) Finding {
	if !short(r) {
		return Finding{}
	}
	remedy := "Add putty by the bulk"
	if lack.Count > 0 {
		remedy = strings.ToUpper(lack.String()[:1]) + lack.String()[1:] + "; or add putty by the bulk"
	}
	return Finding{CareLevel, fmt.Sprintf("The kit leaves this float %s short, so it will ride high.", gramWords(math.Round(r.ShortG*100)/100)),
		remedy + "."}
}

// short says whether a float is loaded further under its capacity than dotting down
// makes up.
func short(r Rig) bool { return r.ShortG > max(0.02*r.CapacityG, 0.05)+1e-9 }

const (
	footM  = 0.3048
	spareM = 0.4 // of rod for casting and netting (common practice: 0.3 to 0.5)
)

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
