package rig

import (
	"errors"
	"fmt"
	"math"
)

// Bead is a weight on a line, or at AtM 0 the hook and bait: a sphere.
type Bead struct {
	AtM       float64 // from the hook
	SinkN     float64 // weight in water
	DiameterM float64 // 0: no drag
	Count     int     // 0 is taken as 1
}

// Line is a line with its beads, which are in order from the hook up.
type Line struct {
	HookLengthM  float64
	HookLengthMM float64
	MainMM       float64
	SinkNPM      float64 // weight in water of a metre
	Beads        []Bead
}

// Model is how drag is reckoned. Its zero value is the full model: drag along
// the line's normal by the speed across it, drag along the line by the speed
// along it, coefficients by Reynolds number. The switches exist to be checked
// against closed forms.
type Model struct {
	LineCd    float64 // 0: CylinderCd
	BeadCd    float64 // 0: SphereCd
	NoTangent bool    // no drag along the line
	Projected bool    // horizontal drag on the line's projected length instead of either
	StepM     float64 // longest step along the line; 0: a thirtieth of the length, 0.12 m at most
}

// Shape is a line at rest in a current, as the float sees it.
type Shape struct {
	TiltDeg    float64 // off the vertical at the float, downstream positive
	HookDepthM float64
	AheadM     float64 // hook downstream of the float
	LengthM    float64
	TensionN   float64 // at the float
	Points     []Point // from the float down to the hook
}

// ErrSlack is a line too light to be held down by its weights.
var ErrSlack = errors.New("the weights are too light to hold the line down in this current")

// Steady is the shape of setM metres of line below a float that travels at
// floatMPS, from running free with the surface to held still. It integrates
// d(H, V)/ds = drag across and along the line + weight and d(x, z)/ds = −(H, V)/T
// from the hook up by Runge-Kutta steps, for the depth of hook that brings the
// upper end to the surface.
//
// The bed is a floor without friction. Where the length set is more than the
// depth wants, the line lies along the bed from the hook to the place where it
// lifts off, trailing the way the water runs past it there, and the bed carries
// what lies: the weight it carries is the one unknown then, from none to all of
// it, so that the shape goes on smoothly from a hook that hangs just clear. Line
// or bait that floats lies there as though it weighed nothing.
//
// setM is from 0.05 to 20 m and speeds to 5 m/s; outside them, and for anything
// not finite, a RangeError; ErrSlack where no such shape is found.
func Steady(c Current, floatMPS, setM float64, l Line, m Model) (Shape, error) {
	if err := checkSteady(c, floatMPS, setM, l, m); err != nil {
		return Shape{}, err
	}
	w := newClimb(c, floatMPS, l, m, setM)
	w.keep = true
	deep := min(setM, c.DepthM)
	top := func(hookM float64) float64 { return w.run(hookM, setM, false).z }
	low := top(deep)
	if low < -closeM && deep == c.DepthM {
		return w.lying(setM, low)
	}
	if low > closeM && !root(top, 0, deep, top(0), low) {
		return Shape{}, ErrSlack
	}
	return w.shape(), nil
}

// closeM is how near the surface the upper end has to come.
const closeM = 1e-5

// root puts f within closeM of 0 between a and b, where it is low, below 0, and
// high, above, by inverse quadratic steps where those can be trusted and by
// halving where not (Chandrupatla 1997, from memory). Where f jumps over 0 by no
// more than jumpM, as it can where a line with next to no pull on it turns over,
// that place is the root. The last place it asks f about is the root; false where
// it comes to none.
func root(f func(float64) float64, a, b, low, high float64) bool {
	if !(low <= 0 && high > low && high >= 0) {
		return false
	}
	x1, x2, x3, f1, f2, f3 := b, a, a, high, low, low
	t := high / (high - low)
	for range 100 {
		x := x1 + t*(x2-x1)
		y := f(x)
		if math.Abs(y) < closeM {
			return true
		}
		x3, f3 = x1, f1
		if (y < 0) != (f1 < 0) {
			x3, f3, x2, f2 = x2, f2, x1, f1
		}
		x1, f1 = x, y
		if math.Abs(x2-x1) < narrow {
			return math.Abs(y) < jumpM
		}
		t = quadratic(x1, x2, x3, f1, f2, f3)
	}
	return false
}

// quadratic is how far from x1 to x2 the root is by the inverse quadratic through
// the three; half way where that is not to be trusted.
func quadratic(x1, x2, x3, f1, f2, f3 float64) float64 {
	xi, phi := (x1-x2)/(x3-x2), (f1-f2)/(f3-f2)
	if !(phi*phi < xi && (1-phi)*(1-phi) < 1-xi) {
		return 0.5
	}
	t := f1/(f2-f1)*f3/(f2-f3) + (x3-x1)/(x2-x1)*f1/(f3-f1)*f2/(f3-f2)
	return min(max(t, 1e-6), 1-1e-6)
}

// The widest such a jump may be, m, and the narrowest that is looked into.
const (
	jumpM  = 0.01
	narrow = 1e-9
)

// Reach is the shape of the line whose hook is hookM below the surface, on the
// bed at the deepest, however long it has to be, up to mostM. Arguments and
// errors are those of Steady.
func Reach(c Current, floatMPS, hookM, mostM float64, l Line, m Model) (Shape, error) {
	if err := checkSteady(c, floatMPS, mostM, l, m); err != nil {
		return Shape{}, err
	}
	if err := inRange("hook's depth", hookM, 0.05, min(c.DepthM, 20), "m"); err != nil {
		return Shape{}, err
	}
	w := newClimb(c, floatMPS, l, m, hookM)
	w.keep = true
	return w.reach(hookM, mostM)
}

func (w *climb) reach(hookM, mostM float64) (Shape, error) {
	top := w.run(hookM, mostM, true)
	if top.z > closeM {
		return Shape{}, ErrSlack
	}
	return w.shape(), nil
}

func checkSteady(c Current, floatMPS, setM float64, l Line, m Model) error {
	return firstError(
		inRange("length", setM, 0.05, 20, "m"), c.check(), inRange("float's speed", floatMPS, 0, 5, "m/s"),
		l.check(), m.check())
}

func (m Model) check() error {
	return firstError(
		inRange("line drag coefficient", m.LineCd, 0, 100, ""), inRange("bead drag coefficient", m.BeadCd, 0, 100, ""),
		inRange("step", m.StepM, 0, 20, "m"))
}

// check says what is wrong with a line, bead by bead.
func (l Line) check() error {
	err := firstError(
		inRange("hook length", l.HookLengthM, 0, 20, "m"), inRange("hook length", l.HookLengthMM, 0, 5, "mm"),
		inRange("main line", l.MainMM, 0, 5, "mm"), inRange("line's weight", l.SinkNPM, -1, 10, "N/m"),
		inRange("number of beads", float64(len(l.Beads)), 0, mostBeads, ""))
	last := 0.0
	for i, b := range l.Beads {
		if bad := b.check(last); bad != nil {
			return fmt.Errorf("bead %d: %w", i+1, bad)
		}
		last = b.AtM
	}
	return err
}

// mostBeads is more weights than any line carries.
const mostBeads = 100

// check says what is wrong with a bead that follows one at lowM.
func (b Bead) check(lowM float64) error {
	return firstError(
		inRange("place", b.AtM, lowM, 20, "m"), inRange("weight in water", b.SinkN, -1, 10, "N"),
		inRange("diameter", b.DiameterM, 0, 0.2, "m"), inRange("count", float64(b.Count), 0, 1000, ""))
}

// sinkN is the weight in water of all a bead stands for.
func (b Bead) sinkN() float64 { return float64(max(b.Count, 1)) * b.SinkN }
