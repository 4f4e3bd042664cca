package rig_test

import (
	"fmt"

	"levelpeg/rig"
)

// droppers is a 0.16 mm line with a bulk 60 cm above the hook, two droppers below
// it and a small bait. Weights are in newtons in water: 1 g of lead pulls 0.0089.
func droppers() rig.Line {
	return rig.Line{
		HookLengthM: 0.15, HookLengthMM: 0.12, MainMM: 0.16, SinkNPM: 2.4e-5,
		Beads: []rig.Bead{
			{SinkN: 0.0005, DiameterM: 0.005},
			{AtM: 0.2, SinkN: 0.0009, DiameterM: 0.0026, Count: 2},
			{AtM: 0.6, SinkN: 0.0224, DiameterM: 0.0075},
		},
	}
}

// Six feet of brisk water, the float held back by a third.
func ExampleSteady() {
	s, err := rig.Steady(rig.River(1.83, 0.8), 0.53, 1.85, droppers(), rig.Model{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("leans %.0f°, the hook %.2f m down and %.2f m ahead, %.1f g on the float\n",
		s.TiltDeg, s.HookDepthM, s.AheadM, s.TensionN/9.80665*1000)
	// Output: leans 21°, the hook 1.81 m down and 0.16 m ahead, 2.6 g on the float
}

// How long before that rig fishes, and how far down the swim.
func ExampleSettle() {
	s, err := rig.Settle(rig.River(1.83, 0.8), 0.53, 1.85, droppers(), rig.Model{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("four fifths of its depth after %.0f s and %.0f m, nineteen twentieths after %.0f s and %.0f m\n",
		s.T80S, s.Run80M, s.T95S, s.Run95M)
	// Output: four fifths of its depth after 6 s and 3 m, nineteen twentieths after 10 s and 5 m
}

// How far upstream to throw feed that sinks at 8 to 12 cm/s.
func ExampleLooseFeed() {
	d, err := rig.LooseFeed(rig.River(1.83, 0.4), 0.08, 0.12)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f m, from %.0f to %.0f m\n", d.Middle.M, d.Least.M, d.Most.M)
	// Output: 6 m, from 5 to 8 m
}

// What to set, and how much to hold back, for the bait to run right under the
// float and just touch.
func ExampleHoldToRun() {
	hold, s, err := rig.HoldToRun(rig.River(1.83, 0.8), 0, 0, droppers(), rig.Model{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("hold back %.0f %%, set at %.2f m\n", 100*hold, s.LengthM)
	// Output: hold back 31 %, set at 1.88 m
}
