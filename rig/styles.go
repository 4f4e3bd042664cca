package rig

import (
	"fmt"
	"strings"
)

// Style is how a float's load lies in the water.
type Style string

// The styles.
const (
	OlivetteBulk Style = "olivette bulk"      // an olivette between two stops, droppers below
	ShotBulk     Style = "shot bulk"          // shot together, droppers below
	DoubleBulk   Style = "double bulk"        // shot in two bulks, the heavier one higher, droppers below
	BulkSpread   Style = "bulk with a spread" // small shot spread from the hook to a bulk, for fish taking on the drop
	StrungOut    Style = "strung out"         // even up the line, one or two lighter ones lowest
	Tapering     Style = "tapering"           // even up the line, the sizes falling towards the hook
	AtFloat      Style = "at the float"       // most of it locking the float, droppers low down
)

// Styles are all of them.
func Styles() []Style {
	return []Style{OlivetteBulk, ShotBulk, DoubleBulk, BulkSpread, StrungOut, Tapering, AtFloat}
}

// olivettes says whether a style's bulk may be an olivette.
func (s Style) olivettes() bool { return s == OlivetteBulk || s == BulkSpread }

func (s Style) check() error {
	var known []string
	for _, is := range Styles() {
		if s == is {
			return nil
		}
		known = append(known, string(is))
	}
	return fmt.Errorf("layout %q is not known: it may be %s", s, strings.Join(known, ", "))
}
