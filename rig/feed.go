package rig

import "math"

// Carried is how long loose feed takes to the bed, s, and how far downstream of
// where it went in the water carries it meanwhile, m.
type Carried struct{ S, M float64 }

// FeedDrift is how loose feed is carried: least for the fastest that sinks, most
// for the slowest, middle for the mean of the two speeds. The distance is how far
// upstream of where the feed is wanted to throw it.
type FeedDrift struct{ Least, Middle, Most Carried }

// LooseFeed is how feed that sinks at sinkLowMPS to sinkHighMPS is carried in a
// current before it reaches the bed: depth ÷ sinking speed s, and the mean speed
// of the current from surface to bed times that, for it sinks at the same speed
// all the way while the water carries it at its own. The mean is the exact
// integral over the profile: by the power law Power/(Power+1) of the surface's,
// and a little more for the bed's own height.
//
// Sinking speeds are from 0.001 to 5 m/s, the low no higher than the high, the
// current as [Steady] has it; outside, a RangeError. The way it swings as it
// falls, the throw's own speed and boils are not in it, and nor is what it does
// once it is down.
func LooseFeed(c Current, sinkLowMPS, sinkHighMPS float64) (FeedDrift, error) {
	err := firstError(c.check(),
		inRange("highest sinking speed", sinkHighMPS, leastSinkMPS, 5, "m/s"),
		inRange("lowest sinking speed", sinkLowMPS, leastSinkMPS, sinkHighMPS, "m/s"))
	if err != nil {
		return FeedDrift{}, err
	}
	mean := c.meanMPS()
	at := func(sinkMPS float64) Carried {
		s := c.DepthM / sinkMPS
		return Carried{S: s, M: mean * s}
	}
	return FeedDrift{Least: at(sinkHighMPS), Middle: at((sinkLowMPS + sinkHighMPS) / 2), Most: at(sinkLowMPS)}, nil
}

const leastSinkMPS = 0.001

// fluid is what a sphere sinks in.
type fluid struct{ kgM3, m2S float64 }

// SinkSpeed is the speed in m/s at which a sphere of a density in kg/m³ and a
// diameter in m ends up sinking in still water at 10 °C: that at which its drag,
// ½ρ·SphereCd·(π/4)d²·v², is its weight less the water's. Density is from the
// water's own, 999.7, to 25,000 kg/m³ and diameter from 1e−5 to 0.1 m; outside, a
// RangeError. Bait is no sphere: a rough surface or a long shape sinks slower.
func SinkSpeed(densityKgM3, diameterM float64) (mps float64, err error) {
	err = firstError(inRange("density", densityKgM3, waterKgM3, 25000, "kg/m³"), inRange("diameter", diameterM, 1e-5, 0.1, "m"))
	if err != nil {
		return 0, err
	}
	return fluid{waterKgM3, viscosity}.sinkMPS(densityKgM3, diameterM), nil
}

// sinkMPS halves the range of the logarithm of the speed, as drag rises with it.
func (w fluid) sinkMPS(densityKgM3, diameterM float64) float64 {
	push := 4.0 / 3 * gravityMPS2 * diameterM * (densityKgM3/w.kgM3 - 1)
	if push <= 0 {
		return 0
	}
	return math.Exp(bisect(func(log float64) float64 {
		v := math.Exp(log)
		return SphereCd(v*diameterM/w.m2S)*v*v - push
	}, math.Log(1e-12), math.Log(100), 50))
}
