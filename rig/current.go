package rig

import "math"

// Current is the water a line hangs in. The speed at a height y above the bed
// is SurfaceMPS·(y/DepthM)^(1/Power) or, where there is a roughness length,
// SurfaceMPS·ln(y/RoughM)/ln(DepthM/RoughM), and nothing below that length.
type Current struct {
	DepthM     float64
	SurfaceMPS float64
	Power      float64 // 6 in a river; 0: the same speed at every depth
	// RoughM is the roughness length of the logarithmic law in m, about a
	// thirtieth of what the stones stand up (Nikuradse 1933, from memory); 0: the
	// power law.
	RoughM float64
	// BedM is the height above the bed below which the speed falls no further:
	// a bait among the stones still moves with what runs over them.
	BedM float64
}

// River is the current used for rigs: sixth-power, rough for 3 cm.
func River(depthM, surfaceMPS float64) Current {
	return Current{DepthM: depthM, SurfaceMPS: surfaceMPS, Power: 6, BedM: 0.03}
}

// speed in m/s at zM below the surface.
func (c Current) speed(zM float64) float64 {
	switch {
	case c.RoughM > 0:
		return c.SurfaceMPS * max(math.Log(c.eta(zM)*c.DepthM/c.RoughM), 0) / math.Log(c.DepthM/c.RoughM)
	case c.Power == 0:
		return c.SurfaceMPS
	case c.Power == 6:
		return c.SurfaceMPS * math.Cbrt(math.Sqrt(c.eta(zM)))
	}
	return c.SurfaceMPS * math.Pow(c.eta(zM), 1/c.Power)
}

func (c Current) eta(zM float64) float64 {
	return min(max(1-zM/c.DepthM, c.BedM/c.DepthM, 0), 1)
}

// meanMPS is the mean speed from the surface to the bed, by exact integral. With
// b the share of the depth below which the speed falls no further it is, as a
// share of the surface's, (1 − bⁿ)/n + bⁿ for n = 1 + 1/Power; and by the
// logarithmic law, with L = ln(DepthM/RoughM) and r the larger of b and
// RoughM/DepthM, ((1 − r)(L − 1) − r·ln r + b·max(L + ln b, 0))/L.
func (c Current) meanMPS() float64 {
	b := min(c.BedM/c.DepthM, 1)
	switch {
	case c.RoughM > 0:
		rough := c.RoughM / c.DepthM
		whole := math.Log(1 / rough)
		r := max(b, rough)
		above := (1-r)*(whole-1) - r*math.Log(r)
		return c.SurfaceMPS * (above + b*max(math.Log(b/rough), 0)) / whole
	case c.Power == 0:
		return c.SurfaceMPS
	}
	n := 1 + 1/c.Power
	low := math.Pow(b, n)
	return c.SurfaceMPS * ((1-low)/n + low)
}

// check says what is wrong with a current.
func (c Current) check() error {
	return firstError(
		inRange("depth", c.DepthM, 0.05, 50, "m"), inRange("surface speed", c.SurfaceMPS, 0, 5, "m/s"),
		inRange("power", c.Power, 0, 100, ""), inRange("bed height", c.BedM, 0, 1, "m"),
		inRange("roughness length", c.RoughM, 0, c.DepthM/2, "m"))
}
