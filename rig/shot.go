package rig

import (
	"fmt"
	"math"
)

// Style is how a float's load lies in the water.
type Style string

// The styles.
const (
	OlivetteBulk Style = "olivette bulk" // an olivette between two stops, droppers below
	ShotBulk     Style = "shot bulk"     // shot together, droppers below
	StrungOut    Style = "strung out"    // even up the line, one or two lighter ones lowest
	AtFloat      Style = "at the float"  // most of it locking the float, droppers low down
)

// Layout is where a load goes, and what it may be made of.
type Layout struct {
	Style       Style
	SetM        float64 // float to hook
	HookLengthM float64
	BulkM       float64 // the bulk above the hook
	GroupM      float64 // how far the droppers may spread; 0: evenly to the bulk
	LowShare    float64 // of a strung load: the share in its lower half; 0: even
	// DropperLowG and DropperHighG bound the sizes of dropper, grams on the
	// chart; 0 and 0: 0.03 to 0.11, No.10 to No.6 on every chart.
	DropperLowG, DropperHighG float64
	BulkHighG                 float64 // heaviest shot of a bulk; 0: any
}

// Bounds of Shot's arguments.
const (
	capacityLowG  = 0.2
	capacityHighG = 40
)

// Shot loads a float of capacityG grams of lead (0.2 to 40): the weights from
// the hook up. Pulls are as grams of lead. The load is never more than 0.01 g
// over the capacity and, where the kit can do it, no more than 2 % or 0.05 g
// under, whichever is more; of such loads it is one of the fewest sizes (three
// at most); of those, one with no room left for another of its smallest shot; of
// those, one of the fewest pieces, and of those the closest. Where the kit cannot
// do it the closest load is returned: see how short it is. A capacity or layout out of
// range is a RangeError; a kit with nothing light enough is a NoRigError.
func Shot(capacityG float64, l Layout, k Kit) ([]Weight, error) {
	if err := inRange("capacity", capacityG, capacityLowG, capacityHighG, "g"); err != nil {
		return nil, err
	}
	if err := k.check(); err != nil {
		return nil, err
	}
	if err := l.check(); err != nil {
		return nil, err
	}
	b, style, ok := compose(capacityG, l, k)
	if !ok {
		return nil, &NoRigError{fmt.Sprintf("Nothing in the kit is light enough for a float of %s: it needs smaller shot.", gramWords(capacityG))}
	}
	l.Style = style
	return l.place(b), nil
}

// compose finds the blend for a layout. A bulk of shot stands in where olivettes
// cannot do it, and any sizes at all where the style's own cannot.
func compose(capacityG float64, l Layout, k Kit) (blend, Style, bool) {
	capacity := int64(math.Round(capacityG * perGram))
	var best blend
	var style Style
	beyond := int64(math.MaxInt64)
	for _, try := range attempts(capacity, l, k) {
		b, ok := try.find()
		if ok && b.key(capacity)[0] < beyond {
			best, style, beyond = b, try.style, b.key(capacity)[0]
		}
		if beyond == 0 {
			break
		}
	}
	return best, style, beyond < math.MaxInt64
}

// attempts are the recipes to try in turn until one is within the tolerance.
func attempts(capacity int64, l Layout, k Kit) []recipe {
	out := []recipe{recipeFor(l.Style, capacity, l, k)}
	if l.Style == OlivetteBulk {
		out = append(out, recipeFor(ShotBulk, capacity, l, k))
	}
	for _, r := range out {
		out = append(out, anyhow(r.style, capacity, k))
	}
	return out
}

const (
	leastDroppers = 3
	stops         = 2
	mostPieces    = 16
)

// recipeFor is what a style may be made of. A bulk or string is at least half of
// the load, a lock half to three quarters (soartackle.co.uk). Droppers are at least three and
// at least 5 % of the load, or they would not take the bait down ahead of it.
func recipeFor(s Style, capacity int64, l Layout, k Kit) recipe {
	low, high := l.DropperLowG, l.DropperHighG
	if high == 0 {
		low, high = 0.03, 0.11
	}
	bulkHigh := l.BulkHighG
	if bulkHigh == 0 {
		bulkHigh = weightHighG
	}
	all := shotItems(k, 0, bulkHigh)
	r := recipe{
		style: s, capacity: capacity, most: mostPieces,
		small: shotItems(k, low, high), smallLeast: leastDroppers, smallPull: capacity / 20,
		main: all, mainLeast: 1, mainMost: mostPieces, mainLow: capacity / 2, mainHigh: capacity,
		extra: all, extraMost: 2,
	}
	switch s {
	case OlivetteBulk:
		r.main, r.mainMost = olivetteItems(k), 1
		r.smallLeast += stops
	case ShotBulk:
		r.alone, r.aloneLeast = r.small, 2*leastDroppers
	case StrungOut:
		r.main = shotItems(k, low, strungHighG)
		r.mainLeast, r.smallLeast, r.smallPull = 2, 1, 0
		r.alone, r.aloneLeast = r.main, leastDroppers
	case AtFloat:
		r.mainLeast, r.smallLeast = 2, 2
		r.extra, r.extraMost, r.extraLow = r.small, 6, true
		r.mainHigh = capacity * 3 / 4
	}
	return r
}

// strungHighG is the heaviest shot strung up a line: a No.4 on every chart, and
// not a BB.
const strungHighG = 0.21

// anyhow is a recipe of whatever the kit has, for when no style will do.
func anyhow(s Style, capacity int64, k Kit) recipe {
	shots := shotItems(k, 0, weightHighG)
	r := recipe{
		style: s, capacity: capacity, most: 2 * mostPieces, small: shots, smallLeast: 1,
		main: shots, mainLeast: 1, mainMost: mostPieces, mainHigh: capacity + overUnits,
		extra: shots, extraMost: 3,
	}
	if s == OlivetteBulk {
		r.main, r.mainMost, r.smallLeast = olivetteItems(k), 1, stops
	} else {
		r.alone, r.aloneLeast = shots, 1
	}
	return r
}

// shotItems are the shot held from lowG to highG on the chart.
func shotItems(k Kit, lowG, highG float64) []item {
	shots, _ := k.shots() // checked before
	var out []item
	for _, s := range shots {
		if s.MassG < lowG-1e-9 || s.MassG > highG+1e-9 {
			continue
		}
		out = append(out, item{
			kind: ShotKind, size: s.Label(), massG: s.MassG, mat: k.ShotMaterial,
			pull: pullUnits(k.ShotMaterial, s.MassG),
		})
	}
	return out
}

func olivetteItems(k Kit) []item {
	var out []item
	for _, g := range k.OlivettesG {
		out = append(out, item{
			kind: Olivette, size: gramWords(g), massG: g, mat: k.OlivetteMaterial,
			pull: pullUnits(k.OlivetteMaterial, g),
		})
	}
	return out
}

func (l Layout) check() error {
	switch l.Style {
	case OlivetteBulk, ShotBulk, StrungOut, AtFloat:
	default:
		return fmt.Errorf("layout %q is not known: %s, %s, %s or %s", l.Style, OlivetteBulk, ShotBulk, StrungOut, AtFloat)
	}
	for _, e := range []error{
		inRange("float to hook", l.SetM, 0.3, 20, "m"),
		inRange("hook length", l.HookLengthM, 0, l.SetM/2, "m"),
		inRange("bulk above the hook", l.BulkM, 0, l.SetM, "m"),
		inRange("droppers' spread", l.GroupM, 0, l.SetM, "m"),
		inRange("low share", l.LowShare, 0, 1, ""),
		inRange("lightest dropper", l.DropperLowG, 0, weightHighG, "g"),
		inRange("heaviest dropper", l.DropperHighG, 0, weightHighG, "g"),
		inRange("heaviest of the bulk", l.BulkHighG, 0, weightHighG, "g"),
	} {
		if e != nil {
			return e
		}
	}
	return nil
}
