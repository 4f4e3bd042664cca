package rig_test

import (
	"fmt"
	"strings"

	"levelpeg/rig"
)

// From a 4 g float to a 5 g of the same pattern, in deeper water.
func ExampleDiff() {
	shot := func(size string, n int, atM, toM float64, role rig.Role) rig.Weight {
		return rig.Weight{Kind: rig.ShotKind, Size: size, Count: n, AtM: atM, ToM: toM, Role: role}
	}
	from := rig.Rig{Pattern: "avon-slim", Name: "4 g slim Avon", Marking: "4 g", SetM: 1.8, Weights: []rig.Weight{
		shot("No.8", 5, 0.2, 0.4, rig.Dropper), shot("No.1", 11, 0.7, 0.7, rig.Bulk)}}
	to := rig.Rig{Pattern: "avon-slim", Name: "5 g slim Avon", Marking: "5 g", SetM: 2.1, Weights: []rig.Weight{
		shot("No.8", 5, 0.4, 0.6, rig.Dropper), shot("No.1", 14, 0.7, 0.7, rig.Bulk), shot("No.8", 2, 0.7, 0.7, rig.Bulk)}}
	moves := rig.Diff(from, to)
	fmt.Println(strings.Join(moves.Words(), "\n"))
	fmt.Println(moves.Hands(), "hand movements")
	// Output:
	// 5 g float for the 4 g
	// droppers up 20 cm, to between 40 cm and 60 cm above the hook
	// add three No.1 and two No.8 to the bulk, 70 cm above the hook
	// set it 30 cm deeper, at 2.10 m
	// 8 hand movements
}

// A hook length stronger than the main line, on a line that sinks.
func ExampleBalance() {
	for _, f := range rig.Balance(rig.Tackle{
		Main:       rig.Spool{Kind: rig.ReelNylon, LabelKg: 1.8},
		HookLength: rig.Spool{Kind: rig.HookNylon, LabelKg: 2.2},
		MainLine:   "sinking", Pattern: "stick",
	}) {
		fmt.Printf("%s: %s\n  %s\n", f.Level, f.Text, f.Remedy)
	}
	// Output:
	// care: The hook length holds 2.20 kg and the main line 1.80 kg, by their labels: the hook length has to be the weakest part, or a break leaves float, shot and line on the fish.
	//   Tie a finer hook length, or put on a stronger main line.
	// care: The main line sinks, and a stick wants one that floats, so that it can be lifted off the water and mended.
	//   Use a floating line, or grease the last of it.
}

// A lead BB, on a water of barbless hooks.
func ExampleLaw() {
	r := rig.Rig{HookSize: 16, Weights: []rig.Weight{
		{Kind: rig.ShotKind, Size: "BB", Material: rig.Lead, Count: 4, EachG: 0.4, Role: rig.Bulk}}}
	for _, f := range rig.Law(r, rig.EnglandAndWales, rig.VenueRules{BarblessOnly: true}) {
		fmt.Printf("%s: %s\n  %s\n", f.Level, f.Text, f.Remedy)
	}
	// Output:
	// stop: The BB is lead of 0.4 g: lead weights over 0.06 g and up to 28.35 g are not lawful in England and Wales (SI 1986/1992 and the freshwater rod fishing rules, gov.uk, as of November 2026).
	//   Use tin or tungsten of that size. Local byelaws and the club's own rules go first.
	// note: This water allows barbless hooks only.
	//   Check that the hook has no barb. Local byelaws and the club's own rules go first.
}
