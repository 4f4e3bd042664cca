package rig

import (
	"cmp"
	"fmt"
	"math"
)

// Layout is where a load goes, and what it may be made of.
type Layout struct {
	Style       Style
	SetM        float64 // float to hook, 0.3 to 20
	HookLengthM float64 // at most half of SetM, and 0.25 m less than it
	BulkM       float64 // the bulk above the hook; of two bulks the higher
	GroupM      float64 // how far the droppers may spread; 0: evenly to the bulk
	LowShare    float64 // of a strung load: the share in its lower half; 0: even
	// DropperLowG and DropperHighG bound the sizes of dropper, grams on the
	// chart; 0 and 0: 0.03 to 0.11, No.10 to No.6 on every chart, or for a spread
	// to 0.07, No.8.
	DropperLowG, DropperHighG float64
	BulkHighG                 float64 // heaviest shot of a bulk; 0: any
}

// Bounds of Shot's arguments.
const (
	capacityLowG  = 0.2
	capacityHighG = 40
	setLowM       = 0.3
	setHighM      = 20
)

// Shot loads a float of capacityG grams of lead (0.2 to 40): the weights from
// the hook up. Weights of other materials count by what they pull in water
// ([Material.LeadGrams]).
//
// A load is right where it is no more than 2 % of the capacity or 0.05 g under,
// whichever is more. It is never more than 0.01 g over. Of the loads a layout
// allows Shot gives the first in this order: least beyond right; fewest sizes;
// fewest pieces; nearest the capacity. What is left over is for dotting the tip
// down on the bank. Where the kit cannot do it the nearest load is given: see
// [Lacks].
//
// The order is exact, by search, over these loads: at most three sizes; at most
// 16 pieces; no more of a size than the kit holds; all sizes below the heaviest
// have to be lighter than it, one size each of droppers (or the lightest part),
// main part and, between them, an extra size of one or two pieces. In detail,
// with shares of the capacity and by pull:
//
//   - olivette bulk: an olivette, with the extra if any half to all of the load;
//     two stops and at least three droppers of one size, the droppers at least
//     5 %. The small shot is topped up: as many as the float, the kit and the 16
//     leave room for, as the trade does it (common practice, no source).
//   - shot bulk: the same with a bulk of shot and no stops, not topped up; or at
//     least six of one dropper size, a third of them but four at most as droppers.
//   - double bulk: as a shot bulk, at least two in the bulks.
//   - bulk with a spread: as an olivette bulk, or where that is not right a shot
//     bulk, with at least four in the spread.
//   - strung out: at least two of a size to a No.4 and at least one lighter
//     dropper; the two or with the extra half to all of the load; or at least
//     three of one size.
//   - tapering: at least two of each of two or three sizes to a No.4, two to four
//     of a middle one; all but the lightest half to all of the load.
//   - at the float: at least two of the locking size, half to three quarters of
//     the load (soartackle.co.uk); at least two droppers, or one and one to six of
//     a heavier dropper size.
//
// Where that gives no right load, what is tried next, until one is right: a shot
// bulk for an olivette's; and then any sizes in the kit, without shares or least
// counts but two stops for an olivette, up to 32 pieces, 16 of the main part and
// three extra. Of all of them the least beyond right is given, the earliest where
// they are equal.
//
// Places are whole 5 cm from the hook, on the main line, clear of the loop and
// under the float; see place.go for what leaves room for what. A capacity or
// layout out of range is a [RangeError]; a kit with nothing light enough, or a
// load longer than the line it has to sit on, is a [NoRigError].
func Shot(capacityG float64, l Layout, k Kit) ([]Weight, error) {
	ws, _, err := load(capacityG, l, k)
	return ws, err
}

// rank is how a load compares with those of other kits: beyond right, then which
// attempt it was, then the rest of its key.
type rank struct {
	beyond int64
	tried  int
	key    key
}

func (r rank) before(other rank) bool {
	return cmp.Or(cmp.Compare(r.beyond, other.beyond), cmp.Compare(r.tried, other.tried), r.key.compare(other.key)) < 0
}

// load is Shot, with how the load ranks.
func load(capacityG float64, l Layout, k Kit) ([]Weight, rank, error) {
	if err := inRange("capacity", capacityG, capacityLowG, capacityHighG, "g"); err != nil {
		return nil, rank{}, err
	}
	if err := l.check(); err != nil {
		return nil, rank{}, err
	}
	if err := k.check(); err != nil {
		return nil, rank{}, err
	}
	b, r, ok := compose(capacityG, l, k)
	if !ok {
		return nil, rank{}, &NoRigError{fmt.Sprintf("Nothing in the kit is light enough for a float of %s: it needs smaller shot.", gramWords(capacityG))}
	}
	l.Style = b.style
	ws, ok := l.place(b)
	if !ok {
		return nil, rank{}, &NoRigError{fmt.Sprintf("The weights for a float of %s take more line than there is between the hook length and a float set at %s.",
			gramWords(capacityG), lengthWords(l.SetM))}
	}
	return ws, r, nil
}

func units(g float64) int64 { return int64(math.Round(g * perGram)) }

// compose finds the blend for a layout. A bulk of shot stands in where olivettes
// cannot do it, and any sizes at all where the style's own cannot.
func compose(capacityG float64, l Layout, k Kit) (blend, rank, bool) {
	capacity := units(capacityG)
	var best blend
	at := rank{beyond: math.MaxInt64}
	for i, try := range attempts(capacity, l, k) {
		b, ok := try.find()
		if got := b.key(capacity); ok && got[0] < at.beyond {
			best, at = b, rank{got[0], i, got}
		}
		if at.beyond == 0 {
			break
		}
	}
	return best, at, at.beyond < math.MaxInt64
}

func (l Layout) check() error {
	if err := l.Style.check(); err != nil {
		return err
	}
	for _, e := range []error{
		inRange("float to hook", l.SetM, setLowM, setHighM, "m"),
		inRange("hook length", l.HookLengthM, 0, min(l.SetM/2, l.SetM-5*placeM), "m"),
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
