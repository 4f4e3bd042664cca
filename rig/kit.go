package rig

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
)

// Kit is the tackle an angler has.
type Kit struct {
	Chart            Chart
	ShotMaterial     Material
	OlivetteMaterial Material
	Sizes            []string  // shot sizes held, by their names on the chart; nil: all of them
	OlivettesG       []float64 // dry grams of the olivettes held; none: bulks are of shot
	Floats           []Float   // the floats held; nil: whatever is made
	// Held is how many there are of a size of shot ("8" or "No.8") or an olivette
	// ("2.5 g"), 0 to HeldMost. Of a
	// size in the kit that is not counted here there are plenty.
	Held map[string]int
	// WeighedG is what one of a size of shot ("8" or "No.8") weighs on the angler's own
	// scales, grams, 0.001 to 10; sizes not weighed go by the chart, as does what is
	// printed on floats.
	WeighedG map[string]float64
	// The lines, hooks by size and rods by length in feet; nil: whatever is made. A
	// list that is there and empty: none.
	MainLines, HookLengths []Spool
	Hooks                  []int
	RodsFt                 []float64
}

// HeldMost is the most of one size a kit may count.
const HeldMost = 1000

// Bounds of a single weight in grams: below, the makers' lightest shot; above,
// more than any float here carries.
const (
	weightLowG  = 0.001
	weightHighG = 100
)

// StandardKit is what a river angler carries when nobody has said: tin shot on
// the retail chart and tungsten olivettes in the maker's steps. Nothing in it is
// lead, so it is lawful everywhere.
func StandardKit() Kit {
	return Kit{
		Chart:            ChartRetail,
		ShotMaterial:     Tin,
		OlivetteMaterial: Tungsten,
		Sizes:            []string{"SSG", "AAA", "BB", "1", "4", "6", "8", "10"},
		OlivettesG:       []float64{0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20},
	}
}

// Key is a short string that is equal for equal kits, whatever the order their
// sizes are listed in, so that results can be remembered by it.
func (k Kit) Key() string {
	sizes, err := k.shots()
	ol := slices.Sorted(slices.Values(k.OlivettesG))
	sum := sha256.Sum256(fmt.Appendf(nil, "%s|%v|%v|%q|%q|%v|%q|%q|%s|%s",
		k.Chart.Name, sizes, err, k.ShotMaterial, k.OlivetteMaterial, ol, k.unknown(), k.counted(), floatsKey(k.Floats), k.tackleKey()))
	return hex.EncodeToString(sum[:8])
}

// unknown lists the sizes held that the chart does not have.
func (k Kit) unknown() []string {
	var out []string
	for _, name := range k.Sizes {
		if _, ok := k.Chart.Size(name); !ok {
			out = append(out, name)
		}
	}
	return out
}

// shots are the sizes held, heaviest first.
func (k Kit) shots() ([]ShotSize, error) {
	if u := k.unknown(); len(u) > 0 {
		return nil, fmt.Errorf("shot size %q is not on the %s chart", u[0], k.Chart.Name)
	}
	if k.Sizes == nil {
		return k.asWeighed(k.Chart.Sizes), nil
	}
	var out []ShotSize
	for _, s := range k.Chart.Sizes {
		held := func(name string) bool { h, _ := k.Chart.Size(name); return h.Name == s.Name }
		if slices.ContainsFunc(k.Sizes, held) {
			out = append(out, s)
		}
	}
	return k.asWeighed(out), nil
}

var errNoShot = &NoRigError{"The kit holds no shot: add at least one size, a small one such as No.8 first."}

// check says what is wrong with a kit to shot from.
func (k Kit) check() error {
	if err := k.valid(); err != nil {
		return err
	}
	shots, _ := k.shots()
	held := k.held()
	if !slices.ContainsFunc(shots, func(s ShotSize) bool { return held.of(s.Label()) > 0 }) {
		return errNoShot
	}
	return nil
}

// valid says what is wrong with what a kit says, be it empty.
func (k Kit) valid() error {
	shots, err := k.shots()
	if err != nil {
		return err
	}
	if err := firstError(k.validWeighed(), k.validTackle()); err != nil {
		return err
	}
	if len(shots) > 0 {
		if err := k.ShotMaterial.check("shot"); err != nil {
			return err
		}
	}
	for _, s := range shots {
		if err := inRange("shot "+s.Label(), s.MassG, weightLowG, weightHighG, "g"); err != nil {
			return err
		}
	}
	for _, f := range k.Floats {
		if err := f.check(); err != nil {
			return err
		}
	}
	if err := k.validOlivettes(); err != nil {
		return err
	}
	return k.validHeld(shots)
}

func (k Kit) validOlivettes() error {
	if len(k.OlivettesG) == 0 {
		return nil
	}
	if err := k.OlivetteMaterial.check("olivette"); err != nil {
		return err
	}
	for _, g := range k.OlivettesG {
		if err := inRange("olivette", g, weightLowG, weightHighG, "g"); err != nil {
			return err
		}
	}
	return nil
}

// RangeError is an argument outside what the calculation holds for.
type RangeError struct {
	Name      string
	Value     float64
	Low, High float64
	Unit      string
}

func (e *RangeError) Error() string {
	return fmt.Sprintf("%s %.4g %s is outside %.4g to %.4g %s", e.Name, e.Value, e.Unit, e.Low, e.High, e.Unit)
}

// inRange is an error naming the value and the range where v is not a number
// from low to high.
func inRange(name string, v, low, high float64, unit string) error {
	if math.IsNaN(v) || v < low || v > high {
		return &RangeError{Name: name, Value: v, Low: low, High: high, Unit: unit}
	}
	return nil
}
