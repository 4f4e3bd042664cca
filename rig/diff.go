package rig

import (
	"cmp"
	"math"
	"slices"
)

// MoveKind is what the hands do.
type MoveKind string

// The kinds, in the order they are made on the bank; where no olivette is threaded
// the hook goes before the slides, for places are measured from it.
const (
	ChangeFloat      MoveKind = "float"
	ChangeMainLine   MoveKind = "main line"
	TakeOff          MoveKind = "take off"
	Slide            MoveKind = "slide"  // a group along the line
	Thread           MoveKind = "thread" // an olivette on
	ChangeHookLength MoveKind = "hook length"
	ChangeHook       MoveKind = "hook"
	Reset            MoveKind = "move" // open, and set again elsewhere
	Add              MoveKind = "add"
	SetDepth         MoveKind = "set"
	ChangeBait       MoveKind = "bait"
	ChangeHoldBack   MoveKind = "hold back"
)

// Move is one thing to do, of one hand movement or of several alike.
type Move struct {
	Kind  MoveKind
	Hands int // hand movements

	// Of weights. A group that slides may be of several sizes: Size is then empty
	// and Pieces say which.
	Size   string
	Count  int
	Role   Role // what they were on the line for; of those added, what they are for
	ToRole Role // what they are for from now on
	Pieces []Piece

	Was, Now string  // of float, line, hook and bait: what is changed for what
	ByM      float64 // a slide's, up the line; a setting's, deeper
	ToM      float64 // a setting's: float to hook
	Whole    bool    // it is all the weights of its role
	Below    bool    // shot below the olivette has to come off and go back

	partly []Role // of a slide: the roles that not all the weights of go with it
}

// Piece is one weight that is moved. A place is from the hook: FromM on the rig
// as it was, ToM as it will be; a weight taken off has no ToM and one added no
// FromM.
type Piece struct {
	Kind       Kind
	Size       string
	Material   Material
	Role       Role // what it was for; of one added, what it is for
	FromM, ToM float64
}

// Moves are the things to do, in order.
type Moves []Move

// Hands is how many hand movements they are.
func (ms Moves) Hands() int {
	n := 0
	for _, m := range ms {
		n += m.Hands
	}
	return n
}

// leastMoveM is the least change of depth worth making: nobody sets a float to
// the centimetre (common practice, no source).
const leastMoveM = placeM

// slideMostM is how far shot may be slid: to move it far it is opened and set
// again, rather than dragged along the line (common practice, no source; that far
// is over 30 cm is ours).
const slideMostM = 0.3

// Diff is the fewest hand movements that turn one rig into another, in the order
// they are made on the bank. Empty where nothing changes.
//
// One hand movement is: changing the float; changing the main line, with float
// and hook length put on the new one; changing the hook length, with its hook;
// changing the hook alone; threading an olivette on, or off; pinching a shot on;
// opening one off; opening one and setting it again elsewhere on the line, so that
// a No.8 from the droppers to the bulk is one movement and not two; sliding a
// group; setting the depth, in which a float's locking shot goes with the float.
// Baiting and holding back are done at every cast and count nothing.
//
// A group is weights next to one another on the line that slide the same way by
// the same distance, at most 30 cm where there is shot among them. Nothing slides
// past another weight, and no shot is slid twice. An olivette goes on and off
// over the end of the line, so all shot below it has to be off. On a new main
// line every weight is set again. What a weight is there for is a name, and
// changes with no movement.
//
// Places are read to 5 cm and from the loop, for a longer hook length carries
// every weight up with no hand laid on it; the weights in one place are taken to
// lie lightest lowest on either side of an olivette. A change of depth of less
// than 5 cm is nothing. A weight that is not placed 0 to 20 m from the hook, or
// is more than 64 in one group, is outside what is laid out here and is passed
// over.
func Diff(a, b Rig) Moves {
	off, slide, thread, reset, add := pairUp(laidOut(a), laidOut(b), !sameMain(a, b)).moves()
	hook := hookMoves(a, b)
	if len(thread) == 0 { // else the loop is undone later anyway
		off, hook = append(off, hook...), nil
	}
	return slices.Concat(floatMove(a, b), mainMove(a, b), off, slide, thread, hook, reset, add,
		depthMove(a, b), baitMove(a, b), holdMove(a, b))
}

// piece is one weight on the line.
type piece struct {
	Piece
	massG float64
	step  int // steps of 5 cm above the loop
	above int // how many olivettes lie above it
}

// alike says whether two weights are the same to the hand.
func (p piece) alike(q piece) bool {
	return p.Kind == q.Kind && p.Size == q.Size && p.Material == q.Material
}

// laid is a rig's weights: on the line from the loop up, and at the float.
type laid struct{ line, locks []piece }

const (
	mostInGroup = 64
	placeMostM  = 20
)

func laidOut(r Rig) laid {
	var l laid
	loop := r.HookLengthM
	if inRange("", loop, 0, placeMostM, "") != nil {
		loop = 0
	}
	for _, w := range r.Weights {
		if w.Count > mostInGroup || inRange("", w.AtM, 0, placeMostM, "") != nil || inRange("", w.ToM, 0, placeMostM, "") != nil {
			continue
		}
		for _, at := range w.each() {
			p := piece{Piece: Piece{Kind: w.Kind, Size: w.Size, Material: w.Material, Role: w.Role, FromM: at},
				massG: w.EachG, step: int(math.Round((at - loop) / placeM))}
			if w.Role == Lock {
				l.locks = append(l.locks, p)
				continue
			}
			l.line = append(l.line, p)
		}
	}
	l.order()
	return l
}

// each is where each weight is; none for a count that is not above 0.
func (w Weight) each() []float64 {
	if w.Count < 1 {
		return nil
	}
	return w.Positions()
}

// order puts a line in order from the loop up, and in one place and on one side of
// an olivette the lightest lowest.
func (l laid) order() {
	ps := l.line
	slices.SortStableFunc(ps, func(a, b piece) int { return cmp.Compare(a.step, b.step) })
	above := 0
	for i := len(ps) - 1; i >= 0; i-- {
		ps[i].above = above
		if ps[i].Kind == Olivette {
			above++
		}
	}
	slices.SortStableFunc(ps, func(a, b piece) int {
		return cmp.Or(cmp.Compare(a.step, b.step), -cmp.Compare(a.rank(), b.rank()),
			cmp.Compare(a.massG, b.massG), cmp.Compare(a.Size, b.Size), cmp.Compare(a.Material, b.Material))
	})
}

// rank counts down the line: shot above an olivette, the olivette, shot below it.
func (p piece) rank() int {
	if p.Kind == Olivette {
		return 2*p.above + 1
	}
	return 2 * p.above
}

func sameMain(a, b Rig) bool {
	return same(a.MainLineMM, b.MainLineMM) && a.MainLine == b.MainLine &&
		a.MainLineOf.or(ReelNylon) == b.MainLineOf.or(ReelNylon)
}

func sameHookLength(a, b Rig) bool {
	return same(a.HookLengthMM, b.HookLengthMM) && same(a.HookLengthM, b.HookLengthM) &&
		a.HookLengthOf.or(HookNylon) == b.HookLengthOf.or(HookNylon)
}

// same is equality in which what is not a number is the same as itself.
func same(a, b float64) bool { return cmp.Compare(a, b) == 0 }
