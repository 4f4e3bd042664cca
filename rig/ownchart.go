package rig

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// ownWeighing is the standing of a member's own figures.
const ownWeighing = "the member's own weighing"

// Bounds of a member's own chart.
const (
	ownSizesMost = 40
	ownNameMost  = 40 // characters
	ownShotHighG = 10 // heavier than any split shot on the charts known here
)

// OwnChart is a member's own chart, from sizes weighed: grams by the size's name
// ("8" or "No.8", "BB"), 1 to 40 of them, each 0.001 to 10 g. It stands apart
// from the charts known here: it may not have the name of one and is never filled
// from one. A mass out of range is a [RangeError] naming the size; other errors
// name what is wrong: a name that is empty, over 40 characters or not printable,
// a size named twice, one named as olivettes are ("2.5 g"), or a numbered size
// heavier than one of a lower number, which is a slip of the pen on any chart.
func OwnChart(name string, sizesG map[string]float64) (Chart, error) {
	c := Chart{Name: strings.TrimSpace(name)}
	if err := checkName("chart", c.Name); err != nil {
		return Chart{}, err
	}
	if _, err := ChartByName(c.Name); err == nil {
		return Chart{}, fmt.Errorf("chart %q is one of the charts known here: give your own another name", c.Name)
	}
	if n := len(sizesG); n < 1 || n > ownSizesMost {
		return Chart{}, fmt.Errorf("chart %q has %d sizes: it may have 1 to %d", c.Name, n, ownSizesMost)
	}
	for name, g := range sizesG {
		s := ShotSize{Name: strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(name), "No.")), MassG: g, Standing: ownWeighing}
		c.Sizes = append(c.Sizes, s)
	}
	slices.SortFunc(c.Sizes, func(a, b ShotSize) int {
		return cmp.Or(cmp.Compare(b.MassG, a.MassG), cmp.Compare(a.Name, b.Name))
	})
	if err := c.checkOwn(); err != nil {
		return Chart{}, err
	}
	return c, nil
}

// checkOwn says what is wrong with the sizes of a chart, heaviest first.
func (c Chart) checkOwn() error {
	named := map[string]bool{}
	for _, s := range c.Sizes {
		if err := checkName("shot size", s.Name); err != nil {
			return err
		}
		if strings.HasSuffix(heldLabel(s.Name), " g") {
			return fmt.Errorf("shot size %q is named as olivettes are: give it another name", s.Name)
		}
		if named[s.Name] {
			return fmt.Errorf("shot size %q is on the chart twice", s.Name)
		}
		named[s.Name] = true
		if err := inRange("shot "+s.Label(), s.MassG, weightLowG, ownShotHighG, "g"); err != nil {
			return err
		}
	}
	return c.checkNumbers()
}

// checkNumbers says which numbered size is heavier than one of a lower number.
func (c Chart) checkNumbers() error {
	for i, heavy := range c.Sizes {
		high, err := strconv.Atoi(heavy.Name)
		if err != nil {
			continue
		}
		for _, light := range c.Sizes[i+1:] {
			low, err := strconv.Atoi(light.Name)
			if err == nil && low < high && light.MassG < heavy.MassG {
				return fmt.Errorf("%s is %s and heavier than %s of %s: shot with a higher number is lighter",
					heavy.Label(), gramWords(heavy.MassG), light.Label(), gramWords(light.MassG))
			}
		}
	}
	return nil
}

func checkName(of, name string) error {
	bad := func(r rune) bool { return !unicode.IsPrint(r) }
	switch n := len([]rune(name)); {
	case n == 0:
		return fmt.Errorf("a %s has no name", of)
	case n > ownNameMost:
		return fmt.Errorf("%s %q has %d characters: it may have 1 to %d", of, name, n, ownNameMost)
	case strings.ContainsFunc(name, bad):
		return fmt.Errorf("%s %q has characters that cannot be printed", of, name)
	}
	return nil
}
