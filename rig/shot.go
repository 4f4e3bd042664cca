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
	HookLengthM float64 // at most half of SetM
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
// The order is exact, by search over every count, of these loads. A load is a
// main size, a lighter small size and, where two will not do, an extra size
// between them, or some small size alone; 16 pieces at most, and no more of a
// size than the kit holds. Shares are by pull, of the capacity. "Dropper size"
// and "bulk size" are what the Layout bounds.
//
//   - olivette bulk: one olivette, with the extra if any half to all of the load;
//     two stops and at least three droppers of one dropper size, the droppers at
//     least 5 %; the extra one or two of a bulk size. The small shot is topped up:
//     as many as the float, the kit and the 16 leave room for, as in the trade's
//     rig of 2.5 g and eight No.8 for 3 g (common practice, no source).
//   - shot bulk: at least one of a bulk size, with the extra if any half to all of
//     the load; droppers and extra as above, no stops and nothing topped up. Or at
//     least six of one dropper size, a third of them, four at most, the droppers.
//   - double bulk: the same with at least two of the bulk size, or six of one.
//   - bulk with a spread: an olivette bulk and, where that gives nothing right, a
//     shot bulk, with at least four in the spread and no bulk of one size.
//   - strung out: at least two of one size to a No.4 on every chart, with the
//     extra, one or two of a bulk size, half to all of the load; at least one of a
//     dropper size. Or at least three of one size to a No.4.
//   - tapering: at least two of each of two or three sizes to a No.4, at most four
//     of the middle one; all but the lightest half to all of the load.
//   - at the float: at least two of a bulk size as the lock, half to three quarters
//     of the load (soartackle.co.uk); at least two droppers and 5 %, or at least
//     one with one to six of a heavier dropper size.
//
// Where that gives nothing right these are tried in turn until something is: a
// shot bulk in an olivette's place; then for each any sizes the kit has, without
// the layout's shares and counts: an olivette with two stops or more, or one to 16
// of a main size, three of an extra at most, or one size alone, 32 pieces in all.
// Where nothing is right, the least beyond it is given, the first of equals.
//
// Places are whole 5 cm from the hook, on the main line, clear of the loop and
// under the float; two sizes share one only as a bulk with its stops, and a long
// bulk has the 5 cm it covers to itself. An olivette has a stop each side, and
// spare small shot waits above the bulk. A capacity or layout out of range is a
// [RangeError]; a kit with nothing light enough, or a load longer than the line
// it has to sit on, is a [NoRigError]. Where a load has too little line with
// three sizes, as it may with a hook length within 30 cm of the float, it is one
// of two sizes at most or of one, if that fits.
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
	for kinds := mostKinds; kinds > 0; kinds-- {
		b, r, ok := compose(capacityG, l, k, kinds)
		if !ok && kinds == mostKinds {
			return nil, rank{}, &NoRigError{fmt.Sprintf("Nothing in the kit is light enough for a float of %s: it needs smaller shot.", gramWords(capacityG))}
		}
		if !ok {
			break
		}
		if ws, ok := l.place(b); ok {
			return ws, r, nil
		}
	}
	return nil, rank{}, &NoRigError{fmt.Sprintf("The weights for a float of %s take more line than there is between the hook length and a float set at %s.",
		gramWords(capacityG), lengthWords(l.SetM))}
}

func units(g float64) int64 { return int64(math.Round(g * perGram)) }

// compose finds the blend of so many kinds at most for a layout. A bulk of shot
// stands in where olivettes cannot do it, and any sizes at all where the style's
// own cannot.
func compose(capacityG float64, l Layout, k Kit, kinds int) (blend, rank, bool) {
	capacity := units(capacityG)
	var best blend
	at := rank{beyond: math.MaxInt64}
	for i, try := range attempts(capacity, l, k) {
		try.kinds = kinds
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
