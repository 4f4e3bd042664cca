package rig_test

import (
	"fmt"
	"strings"

	"levelpeg/rig"
)

// The night before a draw: five pegs of a reach that goes from slow and deep to quick and
// shallow, and one too shallow to fish.
func ExampleCoverWaters() {
	pegs := []rig.Water{
		{DepthM: 2.6, PaceMPS: 0.25, DistanceM: 7},
		{DepthM: 2.8, PaceMPS: 0.25, DistanceM: 7},
		{DepthM: 2.9, PaceMPS: 0.22, DistanceM: 7},
		{DepthM: 0.9, PaceMPS: 1, Boil: 2, DistanceM: 6},
		{DepthM: 1.0, PaceMPS: 1, Boil: 2, DistanceM: 6},
		{DepthM: 0.3, PaceMPS: 0.8, DistanceM: 6},
	}
	c, err := rig.CoverWaters(pegs, rig.Aim{Fish: "chub"}, rig.StandardKit(), 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("fewest:", c.Fewest, "proven:", c.Exact)
	for _, tied := range c.Rigs {
		fmt.Printf("%s, tied for peg %d, set at %.2f m\n", tied.Rig.Name, tied.For+1, tied.Rig.SetM)
		for _, s := range tied.Serves {
			said := append([]string{string(s.How)}, strings.Join(s.Moves.Words(), "; "))
			fmt.Printf("  peg %d, %s\n", s.Water+1, strings.TrimSuffix(strings.Join(said, ": "), ": "))
		}
	}
	for _, l := range c.Left {
		fmt.Printf("peg %d is left: %s\n", l.Water+1, l.Why)
	}
	// Output:
	// fewest: 2 proven: true
	// 2 g slim balsa Avon, tied for peg 2, set at 2.82 m
	//   peg 1, a small change: bulk with one No.4 of the droppers down 5 cm, to 1.20 m above the hook; set it 21 cm shallower, at 2.61 m
	//   peg 2, as tied
	//   peg 3, as tied: set it 9 cm deeper, at 2.91 m
	// 4 AAA stubby trotter, tied for peg 4, set at 0.99 m
	//   peg 4, as tied
	//   peg 5, as tied: set it 12 cm deeper, at 1.11 m
	// peg 6 is left: too shallow to float fish: depth 0.3 m is outside 0.4 to 6 m
}
