package club

import (
	"slices"

	"levelpeg/rig"
)

// Kit is the kit that rigs are worked out from. A size of shot, or of a float marked
// in shot, that the chart does not have is left out. It fails with Invalid for what
// is no kit.
func (m MyKit) Kit() (Kit, error) {
	m, err := m.Tidy()
	if err != nil {
		return Kit{}, err
	}
	chart, err := rig.ChartByName(m.Chart)
	if err != nil {
		return Kit{}, err
	}
	k := rig.Kit{Chart: chart, ShotMaterial: m.Shot, OlivetteMaterial: m.Olivette,
		Sizes: []string{}, OlivettesG: []float64{}, Held: map[string]int{}, WeighedG: map[string]float64{},
		MainLines: m.MainLines, HookLengths: m.HookLengths, Hooks: m.Hooks, RodsFt: m.RodsFt}
	for _, s := range m.Shots {
		m.putShot(&k, s)
	}
	for _, o := range m.Olivettes {
		k.OlivettesG = append(k.OlivettesG, o.G)
		if o.Count != Plenty {
			k.Held[gramsText(o.G)+" g"] = o.Count
		}
	}
	if m.Floats != nil {
		k.Floats = []rig.Float{}
	}
	for _, f := range m.Floats {
		if g, ok := f.on(chart); ok {
			k.Floats = append(k.Floats, rig.Float{Pattern: f.Pattern, CapacityG: g})
		}
	}
	return NewKit(k), nil
}

func (m MyKit) putShot(k *rig.Kit, s KitShot) {
	if _, on := k.Chart.Size(s.Size); !on || s.Count == 0 {
		return
	}
	k.Sizes = append(k.Sizes, s.Size)
	if s.Count != Plenty {
		k.Held[s.Size] = s.Count
	}
	if s.WeighedG != 0 {
		k.WeighedG[s.Size] = s.WeighedG
	}
}

// OffChart are the sizes of shot in the kit that its chart does not have.
func (m MyKit) OffChart() []string {
	chart, err := rig.ChartByName(m.Chart)
	if err != nil {
		return nil
	}
	var out []string
	for _, s := range m.Shots {
		if _, on := chart.Size(s.Size); !on && s.Count != 0 {
			out = append(out, s.Label())
		}
	}
	return out
}

// UnlawfulLead are the weights in the kit that are lead of a mass that may not be
// fished with in England and Wales, as rig.Law has it.
func (m MyKit) UnlawfulLead() []string {
	var out []string
	for _, s := range m.Shots {
		w := rig.Weight{Kind: rig.ShotKind, Size: s.Label(), Material: m.Shot, Count: 1, EachG: m.shotG(s.Size), WeighedG: s.WeighedG}
		if s.Count != 0 && w.Unlawful() {
			out = append(out, s.Label())
		}
	}
	for _, o := range m.Olivettes {
		label := gramsText(o.G) + " g olivette"
		if (rig.Weight{Kind: rig.Olivette, Size: label, Material: m.Olivette, Count: 1, EachG: o.G}).Unlawful() {
			out = append(out, label)
		}
	}
	return out
}

// shotG is what a size of shot weighs by the kit's chart, or where that lacks it by the
// first that has it.
func (m MyKit) shotG(size string) float64 {
	own, _ := rig.ChartByName(m.Chart)
	for _, c := range append([]rig.Chart{own}, rig.Charts()...) {
		if s, ok := c.Size(size); ok {
			return s.MassG
		}
	}
	return 0
}

// FloatsOf are a pattern's floats that are usual, with what is printed on them.
func FloatsOf(p rig.Pattern) []KitFloat {
	var out []KitFloat
	for _, f := range p.Floats(rig.ChartRetail) {
		if k, ok := floatMarked(p.ID, f); ok {
			out = append(out, k)
		}
	}
	slices.SortFunc(out, compareFloats)
	return out
}
