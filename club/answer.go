package club

import (
	"fmt"
	"math"

	lru "github.com/hashicorp/golang-lru/v2"

	"levelpeg/rig"
)

// Answer is what to tie for a run's water, and what to change when the water or
// the wind does.
type Answer struct {
	For    rig.Water // the water it was worked out for: the run's, at the precision shown
	Rigs   []rig.Rig // best first, at most three; none where No says why
	No     string    // why there is none, a sentence
	IfWind Change    // on the first rig, when the wind gets up
	IfRise Change    // on the first rig, when the river rises
	IfFish []Turned  // on the first rig, when other fish are there or are wanted
	Risen  bool      // IfRise speaks; false where the club's rule stops fishing there
}

// Change is what to do to a rig when the water turns into another. All empty:
// nothing, the rig still does it.
type Change struct {
	Do      []string // the hand movements, when the same pattern still serves
	Instead *rig.Rig // another pattern to tie instead
	No      string   // why nothing serves, a sentence
}

// Turned is what to do to a rig when the fish change, in words: the hand movements, or
// what to tie instead. None: the rig still does it.
type Turned struct {
	When rig.When
	Do   []string
}

// A rig is tied for water known to a few centimetres: nobody sets a depth or
// reads a pace finer than this on the bank. Answers are worked out at this
// precision, for the middle figures alone, and are remembered by it; how sure the
// figures are is the sheet's to say.
const (
	depthStepM  = 0.05
	paceStepMPS = 0.05
)

// RigMemory works out answers and remembers the last of them. An answer is a pure
// result of what it is asked, so remembering it changes nothing but the time it
// takes. It is safe for many goroutines.
type RigMemory struct {
	seen *lru.Cache[rigKey, *Answer]
}

type rigKey struct {
	now, risen rig.Water
	rises      bool
	aim        rig.Aim
	kit        string
}

// NewRigMemory remembers up to size answers; 0 remembers none.
func NewRigMemory(size int) *RigMemory {
	if size <= 0 {
		return &RigMemory{}
	}
	seen, err := lru.New[rigKey, *Answer](size)
	if err != nil {
		panic(err) // only for a size of zero or less
	}
	return &RigMemory{seen: seen}
}

// Kit is a kit with its key worked out once.
type Kit struct {
	rig.Kit
	key string
}

// NewKit works out the key.
func NewKit(k rig.Kit) Kit { return Kit{k, k.Key()} }

// Answer is for a run's water now, and for the same run risen; risen is nil where
// fishing stops before that.
func (m *RigMemory) Answer(now, risen *rig.Water, aim rig.Aim, kit Kit) (Answer, error) {
	key := rigKey{now: coarse(*now), aim: aim, kit: kit.key}
	if risen != nil {
		key.risen, key.rises = coarse(*risen), true
	}
	if m.seen != nil {
		if a, ok := m.seen.Get(key); ok {
			return *a, nil
		}
	}
	a, err := work(key, kit.Kit)
	if err == nil && m.seen != nil {
		m.seen.Add(key, &a)
	}
	return a, err
}

func work(key rigKey, kit rig.Kit) (Answer, error) {
	defer working()()
	a := Answer{For: key.now, Risen: key.rises}
	if a.No = unfishable(key.now); a.No != "" {
		return a, nil
	}
	rigs, err := rig.Suggest(key.now, key.aim, kit)
	if a.No = noRig(err); a.No != "" {
		return a, nil
	}
	if err != nil {
		return a, fmt.Errorf("club: rigs for %+v: %w", key.now, err)
	}
	a.Rigs = rigs
	windy, _ := rig.WindUp.Of(key.now, key.aim)
	if a.IfWind, err = change(rigs[0], windy, key.aim, kit); err != nil {
		return a, err
	}
	if key.rises {
		if a.IfRise, err = change(rigs[0], key.risen, key.aim, kit); err != nil {
			return a, err
		}
	}
	for _, when := range []rig.When{rig.SmallNuisance, rig.SmallTarget, rig.BiggerFish} {
		w, aim := when.Of(key.now, key.aim)
		c, err := change(rigs[0], w, aim, kit)
		if err != nil {
			return a, err
		}
		a.IfFish = append(a.IfFish, Turned{when, c.words()})
	}
	return a, nil
}

// words are a change without the whole of what to tie instead, which a remembered
// answer would have to carry along.
func (c Change) words() []string {
	switch {
	case c.No != "":
		return []string{c.No}
	case c.Instead != nil:
		return []string{fmt.Sprintf("tie another, with %s on hook %s: %s, set at %.2f m", c.Instead.Bait, c.Instead.Hook, c.Instead.Name, c.Instead.SetM)}
	}
	return c.Do
}

// unfishable says why a run's water is outside what a float here can fish; empty
// where it is not.
func unfishable(w rig.Water) string {
	switch {
	case w.DepthM < rig.DepthLeastM:
		return fmt.Sprintf("Too shallow for a float: under %g m.", rig.DepthLeastM)
	case w.DepthM > rig.DepthMostM:
		return fmt.Sprintf("Too deep for these floats: over %g m.", rig.DepthMostM)
	case w.PaceMPS > rig.PaceMostMPS:
		return fmt.Sprintf("Too heavy to float fish: over %g m/s.", rig.PaceMostMPS)
	case w.DistanceM > rig.DistanceMostM:
		return fmt.Sprintf("Too far out for a float: over %d m.", int(rig.DistanceMostM))
	}
	return ""
}

// change is what to do to a rig when the water turns into another.
func change(from rig.Rig, to rig.Water, aim rig.Aim, kit rig.Kit) (Change, error) {
	if no := unfishable(to); no != "" {
		return Change{No: no}, nil
	}
	t, err := rig.TurnTo(from, to, aim, kit)
	switch no := noRig(err); {
	case no != "":
		return Change{No: no}, nil
	case err != nil:
		return Change{}, fmt.Errorf("club: rigs for %+v: %w", to, err)
	case t.Tie:
		return Change{Instead: &t.To}, nil
	}
	return Change{Do: t.Moves.Words()}, nil
}

// coarse is water at the precision a rig is tied for, its middle figures alone.
func coarse(w rig.Water) rig.Water {
	w.DepthM = max(depthStepM, toStep(w.DepthM, depthStepM))
	w.PaceMPS = toStep(w.PaceMPS, paceStepMPS)
	w.DepthLowM, w.DepthHighM, w.PaceLowMPS, w.PaceHighMPS = 0, 0, 0, 0
	w.DistanceM = math.Round(w.DistanceM)
	return w
}

// toStep rounds v to a whole number of steps. The product is cut to a hundredth, so
// that equal steps are equal numbers.
func toStep(v, step float64) float64 {
	return math.Round(math.Round(v/step)*step*100) / 100
}
