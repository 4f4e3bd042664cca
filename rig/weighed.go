package rig

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
)

// weighed is what one of each size weighed weighs, grams, by label.
func (k Kit) weighed() map[string]float64 {
	if len(k.WeighedG) == 0 {
		return nil
	}
	out := make(map[string]float64, len(k.WeighedG))
	for name, g := range k.WeighedG {
		out[heldLabel(name)] = g
	}
	return out
}

// asWeighed are sizes with the masses the angler's own scales gave those that were
// weighed, heaviest first.
func (k Kit) asWeighed(sizes []ShotSize) []ShotSize {
	weighed := k.weighed()
	if len(weighed) == 0 {
		return sizes
	}
	out := slices.Clone(sizes)
	for i, s := range out {
		if g, ok := weighed[s.Label()]; ok {
			out[i].MassG, out[i].Standing = g, ownWeighing
		}
	}
	slices.SortStableFunc(out, func(a, b ShotSize) int { return cmp.Compare(b.MassG, a.MassG) })
	return out
}

// validWeighed says what is wrong with what was weighed, the first by name.
func (k Kit) validWeighed() error {
	named := map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(k.WeighedG)) {
		label := heldLabel(name)
		if other, twice := named[label]; twice {
			return fmt.Errorf("%q and %q weigh the same size", other, name)
		}
		named[label] = name
		if _, ok := k.Chart.Size(label); !ok {
			return fmt.Errorf("%q was weighed and is not a shot size on the %s chart", name, k.Chart.Name)
		}
		if err := inRange("weighed "+label, k.WeighedG[name], weightLowG, ownShotHighG, "g"); err != nil {
			return err
		}
	}
	return nil
}

// weighedKey is equal for equal weighings, whatever the names they are given by.
func (k Kit) weighedKey() string {
	if k.WeighedG == nil {
		return "none"
	}
	var out []string
	for name, g := range k.WeighedG {
		out = append(out, fmt.Sprintf("%s=%v", heldLabel(name), g))
	}
	slices.Sort(out)
	return fmt.Sprintf("%q", out)
}
