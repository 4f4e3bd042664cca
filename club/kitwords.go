package club

import (
	"fmt"
	"strconv"
	"strings"

	"levelpeg/rig"
)

// Words says what is in the kit, shortly: "12 floats, 9 sizes of tin shot, 2 rods: 13
// and 15 ft".
func (m MyKit) Words() string {
	parts := []string{m.FloatWords(), m.ShotWords(), m.OlivetteWords()}
	if m.MainLines != nil || m.HookLengths != nil {
		parts = append(parts, m.LineWords())
	}
	if len(m.Hooks) > 0 {
		parts = append(parts, "hooks "+m.HookWords())
	} else if m.Hooks != nil {
		parts = append(parts, m.HookWords())
	}
	if m.RodsFt != nil {
		parts = append(parts, m.RodWords())
	}
	return strings.Join(parts, ", ")
}

const anyMade = "any that is made"

// FloatWords says it of the floats.
func (m MyKit) FloatWords() string {
	if m.Floats == nil {
		return "any float that is made"
	}
	return counting(len(m.Floats), "float", "floats")
}

// ShotWords says it of the shot.
func (m MyKit) ShotWords() string {
	n := 0
	for _, s := range m.Shots {
		if s.Count != 0 {
			n++
		}
	}
	if n == 0 {
		return "no shot"
	}
	return counting(n, "size", "sizes") + " of " + string(m.Shot) + " shot"
}

// OlivetteWords says it of the olivettes.
func (m MyKit) OlivetteWords() string {
	if len(m.Olivettes) == 0 {
		return "no olivettes"
	}
	return counting(len(m.Olivettes), "size", "sizes") + " of " + string(m.Olivette) + " olivette"
}

// LineWords says it of the lines.
func (m MyKit) LineWords() string {
	return spoolWords(m.MainLines, "main line", "main lines") + ", " + spoolWords(m.HookLengths, "hook length", "hook lengths")
}

func spoolWords(all []rig.Spool, one, many string) string {
	if all == nil {
		return "any " + one
	}
	return counting(len(all), one, many)
}

// HookWords says it of the hooks.
func (m MyKit) HookWords() string {
	if m.Hooks == nil {
		return anyMade
	}
	if len(m.Hooks) == 0 {
		return "no hooks"
	}
	var names []string
	for _, n := range m.Hooks {
		names = append(names, strconv.Itoa(n))
	}
	return listed(names)
}

// RodWords says it of the rods, in feet and metres.
func (m MyKit) RodWords() string {
	if m.RodsFt == nil {
		return anyMade
	}
	if len(m.RodsFt) == 0 {
		return "no rods"
	}
	var feet, metres []string
	for _, ft := range m.RodsFt {
		feet = append(feet, gramsText(ft))
		metres = append(metres, strconv.FormatFloat(ft*0.3048, 'f', 1, 64))
	}
	return fmt.Sprintf("%s: %s ft (%s m)", counting(len(feet), "rod", "rods"), listed(feet), listed(metres))
}

func counting(n int, one, many string) string {
	switch n {
	case 0:
		return "no " + many
	case 1:
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// listed is "13, 14 and 15".
func listed(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}
