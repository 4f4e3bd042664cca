package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Want is what a kit lacks for a rig, or has but a poor stand-in for.
type Want struct {
	What string // one of the kinds of tackle below
	Text string // a sentence
}

// The kinds of tackle a kit may want for.
const (
	WantFloat      = "float"
	WantShot       = "shot"
	WantOlivette   = "olivette"
	WantHookLength = "hook length"
	WantMainLine   = "main line"
	WantHook       = "hook"
	WantRod        = "rod"
)

// want says what would load a float right.
func (l Lack) want(r Rig) Want {
	w := Want{WantShot, fmt.Sprintf("Your shot leave the %s %s short, and no one size would put that right.", r.Name, gramWords(math.Round(r.ShortG*100)/100))}
	if l.Count > 0 {
		w.Text = fmt.Sprintf("What you carry leaves the %s %s short: %s.", r.Name, gramWords(math.Round(r.ShortG*100)/100), l)
	}
	if l.Count > 0 && l.Kind == Olivette {
		w.What = WantOlivette
	}
	return w
}

func (r *Rig) want(what, format string, a ...any) {
	r.Wants = append(r.Wants, Want{what, fmt.Sprintf(format, a...)})
}

// hook is the hook to start with and those to choose from: of those held where the
// kit says which, the nearest to the one wanted within the bait's and the pattern's
// range, and where none is, the nearest to that range.
func (o offer) hook(r *Rig, k Kit) {
	size, other := hookPair(o.fishes, o.bait, o.Pattern)
	r.HookSize, r.Hook = size, hookWords(size, other)
	switch {
	case k.Hooks == nil:
		return
	case len(k.Hooks) == 0:
		r.want(WantHook, "You have no hooks: this rig asks for a size %s.", r.Hook)
		return
	}
	asked := r.Hook
	r.HookSize = o.heldHook(k.Hooks, size)
	if r.HookSize != size || !slices.Contains(k.Hooks, other) {
		other = 0
	}
	r.Hook = hookWords(r.HookSize, other)
	switch finest, largest := hooks(o.bait, o.Pattern); {
	case r.HookSize < largest:
		r.want(WantHook, "You have no hook of size %s: %s the nearest, and large for this bait or float.", asked, article(fmt.Sprintf("%d is", r.HookSize)))
	case r.HookSize > finest:
		r.want(WantHook, "You have no hook of size %s: %s the nearest, and small for this bait or float.", asked, article(fmt.Sprintf("%d is", r.HookSize)))
	}
}

// heldHook is the hook held that is nearest the range, and within it nearest the
// size asked for; of two as near, the smaller hook.
func (o offer) heldHook(held []int, asked int) int {
	finest, largest := hooks(o.bait, o.Pattern)
	outside := func(size int) int { return max(largest-size, size-finest, 0) }
	off := func(size int) int { return max(size-asked, asked-size) }
	return slices.MinFunc(held, func(a, b int) int {
		return cmp.Or(cmp.Compare(outside(a), outside(b)), cmp.Compare(off(a), off(b)), cmp.Compare(b, a))
	})
}

// rod is the rods held within what the rig is fished on, where the kit says which
// are held, and the nearest where none is.
func (o offer) rod(r *Rig, k Kit) {
	switch {
	case k.RodsFt == nil:
		return
	case len(k.RodsFt) == 0:
		r.want(WantRod, "You have no rod: this rig asks for one of %s.", feetWords(r.RodFtLow, r.RodFtHigh))
		return
	}
	asked := Span{r.RodFtLow, r.RodFtHigh}
	in := slices.DeleteFunc(slices.Clone(k.RodsFt), func(ft float64) bool { return ft < asked.Low || ft > asked.High })
	if len(in) == 0 {
		in = []float64{nearestRod(k.RodsFt, asked, r.SetM)}
		r.want(WantRod, "You have no rod of %s: %s one is the nearest, and %s.", feetWords(asked.Low, asked.High), article(feetWords(in[0], in[0])),
			rodWords(in[0], asked, r.SetM))
	}
	r.RodFtLow, r.RodFtHigh = slices.Min(in), slices.Max(in)
}

// sets says whether a float fixed on the line can be set at a depth on a rod, with
// something left to cast and to net with.
func sets(rodFt, setM float64) bool { return setM <= rodFt*footM-spareM+1e-9 }

// nearestRod is the rod nearest a span in feet: of those that can set the depth,
// or the longest where none can; of two as near, the longer.
func nearestRod(held []float64, asked Span, setM float64) float64 {
	able := slices.DeleteFunc(slices.Clone(held), func(ft float64) bool { return !sets(ft, setM) })
	if len(able) == 0 {
		return slices.Max(held)
	}
	off := func(ft float64) float64 { return max(asked.Low-ft, ft-asked.High) }
	return slices.MinFunc(able, func(a, b float64) int { return cmp.Or(cmp.Compare(off(a), off(b)), cmp.Compare(b, a)) })
}

func rodWords(ft float64, asked Span, setM float64) string {
	switch {
	case !sets(ft, setM):
		return "too short to set this depth and still cast and net"
	case ft < asked.Low:
		return "holds less line off the water"
	}
	return "longer than this rig wants, so heavier in the hand"
}

// feetWords is a length of rod, or a span of them: "13 to 15 ft".
func feetWords(low, high float64) string {
	if low == high {
		return fmt.Sprintf("%g ft", low)
	}
	return fmt.Sprintf("%g to %g ft", low, high)
}
