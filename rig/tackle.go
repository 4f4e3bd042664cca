package rig

import "fmt"

// reelLines are the diameters reel lines are sold in, mm.
var reelLines = []float64{0.14, 0.16, 0.18, 0.20, 0.22, 0.24, 0.26, 0.28, 0.30, 0.32}

// tackle is the line of a rig.
type tackle struct {
	hookLengthMM, hookLengthKg float64 // 0 kg: not known
	mainMM, mainKg             float64
	heavier                    bool // the hook length was made heavier for the snags

	hookLengthOf, mainOf LineKind // empty: nylon
	hookLengthBy, mainBy Basis    // empty: by chart
	wants                []Want   // where the kit's lines are a poor stand-in
	mainLies             string   // "floating" or "sinking", where its kind decides
}

// hookLengthsMM are the diameters hook lengths are sold in.
var hookLengthsMM = []float64{0.08, 0.09, 0.10, 0.11, 0.12, 0.14, 0.16, 0.18, 0.20}

// tackleFor chooses hook length and main line. The hook length goes from the
// pattern's finest to its stoutest by the fish, stouter with a big bait, and at
// its stoutest near snags with a fish that makes for them. The main line is the
// pattern's, or the first that is a tenth stronger than the hook length, chart
// against chart.
func tackleFor(w Water, f fish, b Bait, p Pattern) tackle {
	stout := f.stout
	if b.Big {
		stout = max(stout, 0.6)
	}
	t := tackle{heavier: w.Snaggy && f.snags}
	want := p.hookLengthMM[0] + stout*(p.hookLengthMM[1]-p.hookLengthMM[0])
	if t.heavier {
		want = max(p.hookLengthMM[1], snagMM)
	}
	t.hookLengthMM = soldAs(hookLengthsMM, want)
	t.hookLengthKg = nylonKg(t.hookLengthMM)
	t.mainMM = reelLineFor(p, t.hookLengthKg)
	t.mainKg = reelShare * nylonKg(t.mainMM)
	return t
}

// stronger is how much more than the hook length a main line holds at least: a
// tenth.
const stronger = 1.1

// reelLineFor is the pattern's reel line, or the first that is a tenth stronger by
// chart than a hook length of so many kg by chart.
func reelLineFor(p Pattern, hookLengthKg float64) float64 {
	out := 0.0
	for _, mm := range reelLines {
		out = mm
		if mm >= p.mainMM && reelShare*nylonKg(mm) >= stronger*hookLengthKg {
			break
		}
	}
	return out
}

// snagMM is the least hook length for chub and barbel near snags, mm (common
// practice, no source): lighter ones leave fish trailing line.
const snagMM = 0.16

// soldAs is the thickest of the diameters sold that is no thicker than wanted.
func soldAs(sold []float64, want float64) float64 {
	out := sold[0]
	for _, mm := range sold {
		if mm <= want+1e-9 {
			out = mm
		}
	}
	return out
}

// restsOn says what the strengths rest on.
func (t tackle) restsOn() string {
	hook, main := mmWords(t.hookLengthMM)+" nylon", article(mmWords(t.mainMM)+" reel line")
	if t.hookLengthOf != "" {
		hook = mmWords(t.hookLengthMM) + " " + string(t.hookLengthOf)
	}
	if t.mainOf != "" {
		main = article(mmWords(t.mainMM) + " " + string(t.mainOf) + " line")
	}
	switch {
	case t.hookLengthKg == 0 || t.mainKg == 0:
		return fmt.Sprintf("%s on %s: how strong braid is only its label can say", hook, main)
	case t.hookLengthBy == ByLabel && t.mainBy == ByLabel:
		return fmt.Sprintf("%s on %s, strengths from the labels on the spools", hook, main)
	case t.hookLengthBy == ByLabel || t.mainBy == ByLabel:
		return fmt.Sprintf("%s, strength %s, on %s, strength %s: a label beside a chart says little", hook, t.hookLengthBy.words(), main, t.mainBy.words())
	}
	return fmt.Sprintf("%s on %s, strengths from a chart: the label on the spool comes first", hook, main)
}

func (b Basis) words() string {
	if b == ByLabel {
		return "from the label"
	}
	return "from a chart"
}
