package guide

import (
	"fmt"
	"math"
	"strconv"

	"levelpeg/rig"
)

// at is a thing of a list by its number; false where there is none.
func at[T any](list []T, i int, ok *bool) T {
	if i < 0 || i >= len(list) {
		*ok = false
		var none T
		return none
	}
	return list[i]
}

// setup is what the numbers say; false where they say what no rig is.
func (c *rigCode) setup() (Setup, bool) {
	ok := true
	s := Setup{Junior: c.junior, High: c.high, Water: rig.Water{
		DepthM: float64(c.depth) / 100, PaceMPS: float64(c.pace) / 100, Boil: c.boil, DistanceM: float64(c.out),
		WindForce: c.force, Wind: at(codeWinds, c.wind, &ok), Snaggy: c.snaggy,
	}}
	s.Rig = rig.Rig{
		Pattern: at(codePatterns, c.pattern, &ok), HookLengthM: float64(c.hookLength) / 100, HookLengthMM: float64(c.hookLengthMM) / 100,
		HookLengthOf: at(codeLines, c.hookLengthOf, &ok), MainLineMM: float64(c.mainMM) / 100, MainLineOf: at(codeLines, c.mainOf, &ok),
		MainLine: at(codeLies, c.lies, &ok), ReadyTied: c.readyTied, Barb: at(codeBarbs, c.barb, &ok), HookSize: c.hook, Hook: hookText(c.hook, c.other),
		Bait: at(codeBaits, c.bait, &ok), RodFtLow: float64(c.rodLow) / 10, RodFtHigh: float64(c.rodHigh) / 10,
		SetM: float64(c.set) / 100, HoldBack: float64(c.hold) / 100, SettleS: float64(c.settle),
	}
	if c.hasLevel {
		level := float64(c.level) / 100
		if c.below {
			level = -level
		}
		s.LevelM = &level
	}
	c.named(&s.Rig, &ok)
	if !ok || !c.loaded(&s.Rig) {
		return Setup{}, false
	}
	return s, fits(s)
}

// named gives the float its marking, name and capacity.
func (c *rigCode) named(r *rig.Rig, ok *bool) {
	chart, err := rig.ChartByName(at(codeCharts, c.chart, ok))
	if err != nil {
		*ok = false
		return
	}
	r.CapacityG, r.Marking = float64(c.capacity)/100, decimal(float64(c.capacity)/100)+" g"
	if c.inShot {
		shot, has := chart.Size(at(codeSizes, c.of, ok))
		*ok = *ok && has && c.marks > 0
		r.CapacityG = float64(c.marks) * shot.MassG
		r.Marking = fmt.Sprintf("%d %s", c.marks, shot.Label())
		if shot.Label() != shot.Name {
			r.Marking = fmt.Sprintf("%d × %s", c.marks, shot.Label())
		}
	}
	for _, p := range rig.Patterns() {
		if p.ID == r.Pattern {
			r.PatternName, r.Name = p.Name, r.Marking+" "+p.Name
		}
	}
	*ok = *ok && r.PatternName != ""
}

// loaded puts the weights on and adds them up.
func (c *rigCode) loaded(r *rig.Rig) bool {
	ok := true
	chart, _ := rig.ChartByName(at(codeCharts, c.chart, &ok))
	for _, n := range c.weights {
		w := rig.Weight{
			Kind: rig.ShotKind, Material: at(codeMaterials, n.material, &ok), Count: n.less + 1, Role: at(codeRoles, n.role, &ok),
			AtM: float64(n.at) / 20, ToM: float64(n.to) / 20,
		}
		if n.olivette {
			w.Kind, w.EachG = rig.Olivette, float64(n.size)/100
			w.Size = decimal(w.EachG) + " g"
		} else {
			name := at(codeSizes, n.size, &ok)
			shot, has := chart.Size(name)
			w.Size, w.EachG = rig.ShotSize{Name: name}.Label(), shot.MassG
			if n.odd {
				w.EachG, has = float64(n.mg)/perG, true
			}
			if n.weighed {
				w.WeighedG = w.EachG
			}
			ok = ok && has
		}
		w.PullEachG = w.Material.LeadGrams(w.EachG)
		ok = ok && w.EachG > 0 && w.ToM >= w.AtM
		r.Weights = append(r.Weights, w)
		r.OnLineG += float64(w.Count) * w.EachG
		r.PullG += float64(w.Count) * w.PullEachG
	}
	r.ShortG = r.CapacityG - r.PullG
	return ok
}

// fits says whether a set-up could be fished: lengths within one another, and the
// weights in order from the hook up, on the line.
func fits(s Setup) bool {
	r := s.Rig
	if r.SetM < 0.3 || r.HookLengthM <= 0 || r.HookLengthM > r.SetM/2 || r.CapacityG <= 0 || r.HookSize == 0 || r.HoldBack > 1 ||
		s.Water.DepthM < rig.DepthLeastM || s.Water.DepthM > rig.DepthMostM || s.Water.PaceMPS > rig.PaceMostMPS || s.Water.WindForce > rig.WindMost ||
		s.Water.DistanceM > rig.DistanceMostM || r.RodFtHigh < r.RodFtLow || r.RodFtLow < 1 || len(r.Weights) == 0 {
		return false
	}
	last := r.HookLengthM - 1e-9
	for _, w := range r.Weights {
		if w.AtM < last || w.ToM > r.SetM+1e-9 {
			return false
		}
		last = w.AtM
	}
	return true
}

func hookText(size, other int) string {
	if other == 0 {
		return strconv.Itoa(size)
	}
	return fmt.Sprintf("%d to %d", min(size, other), max(size, other))
}

// decimal is a number with no more figures than it has.
func decimal(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}
