package club

import (
	"fmt"
	"math"

	"levelpeg/hydro"
	"levelpeg/rig"
)

// Own is what somebody on the peg found for themselves of the run they fish. It goes
// before what the book says, for the sheet that is asked and nowhere else: nothing of
// it is written down.
type Own struct {
	DepthM  *float64 // plumbed at the sheet's level
	PaceMPS *float64 // of the surface
	OverM   float64  // with TimedS: the pace as a float was timed, over so far
	TimedS  float64
	Feel    Feel // the pace beside what the book says, where it was not measured
	Boil    *int
	OutM    *float64 // how far out they fish
}

// Feel is the pace beside what the book says.
type Feel string

// The feels; empty: as the book says.
const (
	Slower Feel = "slower"
	Faster Feel = "faster"
)

// The bounds of what is taken from a person; a float is fished in less.
const (
	OwnDepthLeastM, OwnDepthMostM = 0.05, 30.0
	OwnPaceMostMPS                = 6.0
	OverLeastM, OverMostM         = 0.5, 200.0
	TimedLeastS, TimedMostS       = 0.5, 3600.0
)

// IsZero says whether nothing was found.
func (o Own) IsZero() bool { return o.DepthM == nil && !o.paced() && o.Boil == nil && o.OutM == nil }

func (o Own) paced() bool { return o.PaceMPS != nil || o.TimedS > 0 || o.Feel != "" }

// Check says what is wrong with what somebody found.
func (o Own) Check() error {
	switch {
	case o.DepthM != nil && !between(*o.DepthM, OwnDepthLeastM, OwnDepthMostM):
		return Faultf(Invalid, "A depth is from %g to %g m.", OwnDepthLeastM, OwnDepthMostM)
	case o.PaceMPS != nil && !between(*o.PaceMPS, 0, OwnPaceMostMPS):
		return Faultf(Invalid, "A pace is from 0 to %g metres a second.", OwnPaceMostMPS)
	case (o.OverM != 0) != (o.TimedS != 0):
		return Faultf(Invalid, "To time the pace give both: how far the float ran, and how long it took.")
	case o.OverM != 0 && !between(o.OverM, OverLeastM, OverMostM):
		return Faultf(Invalid, "Time a float over %g to %g m.", OverLeastM, OverMostM)
	case o.TimedS != 0 && !between(o.TimedS, TimedLeastS, TimedMostS):
		return Faultf(Invalid, "A float is timed for %g to %g seconds.", TimedLeastS, TimedMostS)
	case o.TimedS != 0 && o.OverM/o.TimedS > OwnPaceMostMPS:
		return Faultf(Invalid, "%g m in %g s is faster than any river: is it the other way round?", o.OverM, o.TimedS)
	case o.PaceMPS != nil && o.TimedS != 0:
		return Faultf(Invalid, "Two paces: give it in metres a second or time it, not both.")
	case o.Feel != "" && (o.PaceMPS != nil || o.TimedS != 0):
		return Faultf(Invalid, "Two paces: say that it is slower or faster, or give the pace, not both.")
	case o.Feel != "" && o.Feel != Slower && o.Feel != Faster:
		return Faultf(Invalid, "The pace may be slower or faster than the book says.")
	case o.Boil != nil && (*o.Boil < 0 || *o.Boil > rig.BoilMost):
		return Faultf(Invalid, "How broken the water is goes from 0, smooth, to %d, boily.", rig.BoilMost)
	case o.OutM != nil && !between(*o.OutM, 0, maxOutM):
		return Faultf(Invalid, "How far out is from 0 to %g m.", float64(maxOutM))
	}
	return nil
}

// maxOutM is as far out as a run may lie in the book.
const maxOutM = 200

func between(v, low, high float64) bool { return v >= low && v <= high } // never so for NaN

// Measured is the pace that was given or timed; false where neither was.
func (o Own) Measured() (float64, bool) {
	switch {
	case o.PaceMPS != nil:
		return *o.PaceMPS, true
	case o.TimedS > 0:
		return o.OverM / o.TimedS, true
	}
	return 0, false
}

// roughTimedS is the least a float is timed for to be trusted: a hand-held stopwatch
// is good to about 0.2 s, so time ten seconds or more. Source: hydrometry guides.
const roughTimedS = 10.0

const roughlyTimed = "You timed it for less than ten seconds, and a stopwatch in the hand is good to a fifth of one: time it for longer."

// watchS is how far off a hand-held stopwatch is.
const watchS = 0.2

// paceRange is the pace with how sure that is: that of the watch where it was timed.
func (o Own) paceRange() (hydro.Figure, bool) {
	v, ok := o.Measured()
	f := hydro.Figure{Mid: v, Low: v, High: v}
	if o.TimedS > watchS {
		f.Low, f.High = o.OverM/(o.TimedS+watchS), o.OverM/(o.TimedS-watchS)
	}
	return f, ok
}

// Ours says which of a run's figures are the reader's own.
type Ours struct {
	Depth, Pace  bool
	Book         hydro.Figure // what the book says of the depth; zero where it says nothing
	BookPace     hydro.Figure
	RoughlyTimed bool // the float was timed for less than ten seconds
}

// Any says whether any of them is.
func (o Ours) Any() bool { return o.Depth || o.Pace }

// takeOwn puts what the reader found over what the book says of the chosen run.
func (s *Sheet) takeOwn(o Own) {
	if s.Chosen < 0 || o.IsZero() {
		return
	}
	r := &s.Runs[s.Chosen]
	r.Ours.Book, r.Ours.BookPace = r.Depth, r.Pace
	if o.DepthM != nil {
		d := *o.DepthM
		r.Ours.Depth = true
		r.Depth, r.Plumbed, r.Dry, r.Above, r.Below = hydro.Figure{Mid: d, Low: d, High: d}, true, false, false, false
		r.Bed = s.bedUnder(r, d)
	}
	r.takePace(o)
	if o.Boil != nil {
		r.Boil = *o.Boil
	}
	if o.OutM != nil {
		r.DistanceM = *o.OutM
	}
}

// bedUnder is the bed that a depth at the sheet's level means; where no level is known,
// what the drawing needs to show that depth of water.
func (s *Sheet) bedUnder(r *RunSheet, depthM float64) hydro.Figure {
	at := s.Peg.MarkHeightM - depthM
	if s.Level.Known {
		at = s.DatumM() - depthM
	}
	return hydro.Figure{Mid: at, Low: at, High: at}
}

func (r *RunSheet) takePace(o Own) {
	f, measured := o.paceRange()
	switch {
	case measured:
		r.Pace, r.Timed = f, true
		r.Ours.RoughlyTimed = o.TimedS > 0 && o.TimedS < roughTimedS
	case o.Feel == Slower && r.paced():
		r.Pace = hydro.Figure{Mid: r.Pace.Low, Low: r.Pace.Low, High: r.Pace.Mid}
	case o.Feel == Faster && r.paced():
		r.Pace = hydro.Figure{Mid: r.Pace.High, Low: r.Pace.Mid, High: r.Pace.High}
	default:
		return
	}
	r.Ours.Pace = true
	r.Word = hydro.PaceWord(r.Pace.Mid)
}

// paced says whether there is a pace to speak of, if only a guessed one.
func (r *RunSheet) paced() bool { return r.Pace.High > 0 }

// ownRise is how the chosen run will be with the river up by RiseM, by what the reader
// found and how the book says it rises; by hydraulics alone where the book is silent.
func (r *RunSheet) ownRise(risen RunSheet) rig.Water {
	now := r.water()
	if r.Ours.Book.Mid <= 0 || risen.Depth.Mid <= r.Ours.Book.Mid || r.Ours.BookPace.Mid <= 0 || risen.Pace.Mid <= 0 {
		up, _ := rig.RiverUp.Of(now, rig.Aim{})
		return up
	}
	up := now
	if r.Ours.Depth {
		up.DepthM += risen.Depth.Mid - r.Ours.Book.Mid
	} else {
		up.DepthM = risen.Depth.Mid
	}
	if r.Ours.Pace {
		up.PaceMPS *= risen.Pace.Mid / r.Ours.BookPace.Mid
	} else {
		up.PaceMPS = risen.Pace.Mid
	}
	return up
}

// offM is how far beyond the book's range a plumbed depth has to be to be asked about.
const offM = 0.10

// ownDoubts say where what the reader found and what the book says do not go together.
func (r *RunSheet) ownDoubts() []string {
	var out []string
	if b := r.Ours.Book; r.Ours.Depth && b.Mid > 0 && (r.Depth.Mid < b.Low-offM || r.Depth.Mid > b.High+offM) {
		out = append(out, fmt.Sprintf("You plumbed %.2f m and the book says %.2f to %.2f: plumb again, and read the board. If you are right, the bed has moved and the club wants to know.",
			r.Depth.Mid, b.Low, b.High))
	}
	if b := r.Ours.BookPace; r.Ours.Pace && b.Mid > 0 && r.Pace.Mid > 0 && math.Abs(math.Log(r.Pace.Mid/b.Mid)) > math.Ln2 {
		out = append(out, fmt.Sprintf("Your pace is %.2f m/s and the book says %.2f to %.2f: time it again over a longer way.", r.Pace.Mid, b.Low, b.High))
	}
	if r.Ours.RoughlyTimed {
		out = append(out, roughlyTimed)
	}
	return out
}
