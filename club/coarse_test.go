package club

import (
	"testing"

	"pgregory.net/rapid"

	"levelpeg/rig"
)

// anyWater is water whose figures stand in their order, as a sheet's do.
func anyWater(t *rapid.T) rig.Water {
	figure := func(name string, most float64) (low, mid, high float64) {
		low = rapid.Float64Range(0, most).Draw(t, name+" low")
		mid = low + rapid.Float64Range(0, most).Draw(t, name+" mid")
		return low, mid, mid + rapid.Float64Range(0, most).Draw(t, name+" high")
	}
	var w rig.Water
	w.DepthLowM, w.DepthM, w.DepthHighM = figure("depth", 3)
	// A run that is dry is never asked about.
	w.DepthM, w.DepthHighM = max(w.DepthM, dryM), max(w.DepthHighM, dryM)
	w.PaceLowMPS, w.PaceMPS, w.PaceHighMPS = figure("pace", 1)
	w.DistanceM = rapid.Float64Range(0, 60).Draw(t, "distance")
	return w
}

// TestCoarse: rounding moves the middle by no more than half a step (but for water of
// no depth), leaves out how sure it is, and changes nothing when done again. Derived.
func TestCoarse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWater(t)
		c := coarse(w)
		if c.DepthLowM != 0 || c.DepthHighM != 0 || c.PaceLowMPS != 0 || c.PaceHighMPS != 0 {
			t.Fatalf("a range is left: %+v of %+v", c, w)
		}
		const bit = 1e-6
		if d := c.DepthM - w.DepthM; w.DepthM >= depthStepM && (d > depthStepM/2+bit || d < -depthStepM/2-bit) {
			t.Fatalf("the depth moved by %v: %+v of %+v", d, c, w)
		}
		if d := c.PaceMPS - w.PaceMPS; d > paceStepMPS/2+bit || d < -paceStepMPS/2-bit {
			t.Fatalf("the pace moved by %v: %+v of %+v", d, c, w)
		}
		if again := coarse(c); again != c {
			t.Fatalf("done again it changes: %+v, %+v", c, again)
		}
	})
}
