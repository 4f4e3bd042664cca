package rig_test

import (
	"fmt"

	"levelpeg/rig"
)

// A 3 g float's load in a metre and a half of water.
func ExampleShot() {
	l := rig.Layout{Style: rig.ShotBulk, SetM: 1.5, HookLengthM: 0.2, BulkM: 0.8}
	k := rig.Kit{Chart: rig.ChartRetail, ShotMaterial: rig.Tin, Sizes: []string{"AAA", "BB", "6", "8"}, Held: map[string]int{"AAA": 2}}
	ws, err := rig.Shot(3, l, k)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, w := range ws {
		fmt.Printf("%s: %s\n", w.Role, w.Words())
	}
	// Output:
	// dropper: four No.8, spread from 25 cm to 65 cm above the hook
	// bulk: seven BB, 80 cm above the hook
	// spare: two No.8, 85 cm above the hook
}

// What would finish a load of an olivette and No.8.
func ExampleLacks() {
	l := rig.Layout{Style: rig.OlivetteBulk, SetM: 1.8, HookLengthM: 0.15, BulkM: 0.6}
	c, err := rig.OwnChart("my box", map[string]float64{"8": 0.06})
	if err != nil {
		fmt.Println(err)
		return
	}
	k := rig.Kit{
		Chart: c, ShotMaterial: rig.Tungsten, OlivetteMaterial: rig.Tungsten,
		OlivettesG: []float64{2.5}, Held: map[string]int{"8": 4},
	}
	lack, err := rig.Lacks(3, l, k)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(lack)
	// Output:
	// two more No.8 would do it
}

// A member's own weighing, and a slip of the pen.
func ExampleOwnChart() {
	c, err := rig.OwnChart("my scales", map[string]float64{"BB": 0.41, "6": 0.102, "8": 0.064})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range c.Sizes {
		fmt.Printf("%s %.3f g\n", s.Label(), s.MassG)
	}
	_, err = rig.OwnChart("my scales", map[string]float64{"6": 0.102, "8": 0.64})
	fmt.Println(err)
	// Output:
	// BB 0.410 g
	// No.6 0.102 g
	// No.8 0.064 g
	// No.8 is 0.64 g and heavier than No.6 of 0.102 g: shot with a higher number is lighter
}
