package rig_test

import (
	"fmt"

	"levelpeg/rig"
)

// Six feet of brisk water.
func ExampleSuggest() {
	rigs, err := rig.Suggest(rig.Water{DepthM: 1.83, PaceMPS: 0.8}, rig.Aim{}, rig.StandardKit())
	if err != nil {
		fmt.Println(err)
		return
	}
	r := rigs[0]
	fmt.Println(r.Name)
	for _, w := range r.Weights {
		fmt.Printf("  %s: %s\n", w.Role, w.Words())
	}
	fmt.Printf("  set at %.2f m, held back %s\n", r.SetM, r.HoldBackWords)
	// Output:
	// 3 g short-bodied Avon
	//   dropper: four No.6, spread from 20 cm to 30 cm above the hook
	//   stop: one No.6, 60 cm above the hook
	//   bulk: a 2.25 g olivette, 60 cm above the hook
	//   stop: one No.6, 60 cm above the hook
	//   spare: one No.6, 65 cm above the hook
	//   set at 1.91 m, held back about a third or a little more: at that much the bait runs 5 cm behind the float
}
