// Package rig is the rig calculation: from a depth, a pace and what an angler
// carries to a float, its load to the hundredth of a gram, where each shot goes,
// how deep to set it and how hard to hold it back. It does no input or output,
// its functions change nothing they are given, and all of it may be called from
// many goroutines.
//
// # A short course
//
// A float is marked with the load it takes. The mark is nominal and means grams
// of lead, so a load of tin or tungsten is reckoned by what it pulls in water:
// [Material.LeadGrams]. There is no standard of shot sizes either, so a [Kit]
// names the [Chart] its sizes are read from.
//
// Water runs fastest at the surface and slows to the bed, here by a sixth-power
// law ([River]). A float let run drags the bait along behind it; held hard, the
// line bows downstream and lifts the bait. In between, at about a third held
// back, the bait runs under the float. [Steady] solves for the line's shape: its
// weight and its shot pull down, the water pushes on each stretch square to it,
// and a little along it, by a drag coefficient that goes with the Reynolds number
// ([CylinderCd], [SphereCd]), for a fishing line is thin enough that a constant
// one would be wrong by more than double.
//
// The lean of that line at the float is what a float's size is for. The load a
// water asks for is the largest of four: the least that keeps the line within
// the pattern's lean (about 18° off upright, a third held back), what boily
// water and a big bait ask, what the cast and the wind ask, and the lightest the
// pattern is made in. A [Rig] says which decided.
//
// The load is made up exactly ([Shot]): never over by more than a hundredth,
// within 2 % or 0.05 g under, in as few sizes and then as few pieces as will do;
// what a kit wants for that [Lacks] says, and [OwnChart] takes a member's scales.
// It is placed to 5 cm on the main line and never on the hook length: a bulk
// with droppers below it, a string up the line, or a lock at the float with
// droppers low down. The last fraction is found on the bank, by dotting the tip
// down.
//
// [Suggest] does all this for every [Pattern] that suits the water and gives the
// best three. [Diff] turns the difference between two rigs into the fewest things
// the hands have to do, and [TurnTo] asks for the rig and that difference when the wind
// gets up, the river rises or other fish come ([When]). [CoverWaters] is what to tie the
// night before a draw: the fewest rigs that serve every peg's water. [HangAt] gives how a rig
// hangs at a hold-back. [Balance] looks over tackle that somebody has put together,
// [Law] a rig by the law on lead and a venue's rules, and [Wading] the water itself.
//
// # What it rests on
//
// Beside each figure stands its source, or that it is common practice with none,
// or from memory. The floors for boil, bait, cast and wind are ours. Turbulence,
// the float's own drag and the line on the surface are not in it. How long a rig
// takes to settle is [Settle], and in microseconds [SettleAbout]; where loose
// feed goes, [LooseFeed].
package rig
