package rig

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// plenty is how many there are of what is not counted.
const plenty = math.MaxInt32

// heldCounts are a kit's counts by label: "No.8", "BB", "2.5 g".
type heldCounts map[string]int

func (k Kit) held() heldCounts {
	if len(k.Held) == 0 {
		return nil
	}
	out := make(heldCounts, len(k.Held))
	for name, n := range k.Held {
		out[heldLabel(name)] = n
	}
	return out
}

func (h heldCounts) of(label string) int {
	if n, ok := h[label]; ok {
		return n
	}
	return plenty
}

// heldLabel is a name a count is given under as weights are labelled.
func heldLabel(name string) string {
	name = strings.TrimSpace(name)
	if grams, ok := strings.CutSuffix(name, "g"); ok {
		if g, err := strconv.ParseFloat(strings.TrimSpace(grams), 64); err == nil {
			return gramWords(g)
		}
	}
	return ShotSize{Name: strings.TrimSpace(strings.TrimPrefix(name, "No."))}.Label()
}

// counted lists the counts in one order, whatever the names they are given by.
func (k Kit) counted() []string {
	var out []string
	for name, n := range k.Held {
		out = append(out, fmt.Sprintf("%s×%d", heldLabel(name), n))
	}
	slices.Sort(out)
	return out
}

// validHeld says what is wrong with the counts, the first by name.
func (k Kit) validHeld(shots []ShotSize) error {
	if len(k.Held) == 0 {
		return nil
	}
	named := map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(k.Held)) {
		if err := inRange(fmt.Sprintf("count of %s", name), float64(k.Held[name]), 0, HeldMost, "pieces"); err != nil {
			return err
		}
		label := heldLabel(name)
		if other, twice := named[label]; twice {
			return fmt.Errorf("%q and %q count the same weight", other, name)
		}
		named[label] = name
		if !k.has(label, shots) {
			return fmt.Errorf("%q is counted and is neither a shot size nor an olivette of the kit", name)
		}
	}
	return nil
}

// withoutOlivettes is the kit with its shot alone.
func (k Kit) withoutOlivettes() Kit {
	olivettes := k.OlivettesG
	k.OlivettesG = nil
	if len(k.Held) > 0 && len(olivettes) > 0 {
		k.Held = maps.Clone(k.Held)
		maps.DeleteFunc(k.Held, func(name string, _ int) bool {
			return slices.ContainsFunc(olivettes, func(g float64) bool { return gramWords(g) == heldLabel(name) })
		})
	}
	return k
}

func (k Kit) has(label string, shots []ShotSize) bool {
	return slices.ContainsFunc(shots, func(s ShotSize) bool { return s.Label() == label }) ||
		slices.ContainsFunc(k.OlivettesG, func(g float64) bool { return gramWords(g) == label })
}
