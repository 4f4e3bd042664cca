package exchange

import (
	"levelpeg/club"
	"levelpeg/rig"
)

// MyKit is /kit.json. A list that is null: not said, so whatever is made; an empty
// one: none.
type MyKit struct {
	Code       string     `json:"code"`
	Words      string     `json:"words"`
	Chart      string     `json:"chart"`
	ShotOf     string     `json:"shot_of"`
	OlivetteOf string     `json:"olivettes_of"`
	Shot       []KitPiece `json:"shot"`
	Olivettes  []KitPiece `json:"olivettes"`
	Floats     []KitFloat `json:"floats"`
	MainLines  []KitLine  `json:"main_lines"`
	HookLines  []KitLine  `json:"hook_lengths"`
	Hooks      []int      `json:"hooks"`
	RodsFt     []float64  `json:"rods_ft"`
	NotOnChart []string   `json:"not_on_chart"`
	Lead       []string   `json:"lead_not_lawful"`
}

// KitPiece is a size of weight. With no count there are plenty.
type KitPiece struct {
	Size     string  `json:"size,omitempty"`
	EachG    float64 `json:"each_g,omitempty"`
	WeighedG float64 `json:"weighed_g,omitempty"`
	Count    *int    `json:"count"`
}

// KitFloat is a float by what is printed on it.
type KitFloat struct {
	Pattern string `json:"pattern"`
	Marking string `json:"marking"`
}

// KitLine is a line.
type KitLine struct {
	Kind       string   `json:"kind"`
	DiameterMM float64  `json:"diameter_mm"`
	LabelKg    *float64 `json:"label_kg"`
}

// NewMyKit shapes a kit; nil where there is none.
func NewMyKit(m *club.MyKit) *MyKit {
	if m == nil {
		return nil
	}
	out := &MyKit{Code: m.Code(), Words: m.Words(), Chart: m.Chart, ShotOf: string(m.Shot), OlivetteOf: string(m.Olivette),
		Shot: []KitPiece{}, Olivettes: []KitPiece{}, MainLines: kitLines(m.MainLines), HookLines: kitLines(m.HookLengths),
		Hooks: m.Hooks, RodsFt: m.RodsFt, NotOnChart: append([]string{}, m.OffChart()...), Lead: append([]string{}, m.UnlawfulLead()...)}
	for _, s := range m.Shots {
		out.Shot = append(out.Shot, KitPiece{Size: s.Label(), WeighedG: s.WeighedG, Count: countOrNil(s.Count)})
	}
	for _, o := range m.Olivettes {
		out.Olivettes = append(out.Olivettes, KitPiece{EachG: o.G, Count: countOrNil(o.Count)})
	}
	if m.Floats != nil {
		out.Floats = []KitFloat{}
	}
	for _, f := range m.Floats {
		out.Floats = append(out.Floats, KitFloat{f.Pattern, f.Marking()})
	}
	return out
}

func countOrNil(n int) *int {
	if n == club.Plenty {
		return nil
	}
	return &n
}

func kitLines(all []rig.Spool) []KitLine {
	if all == nil {
		return nil
	}
	out := []KitLine{}
	for _, s := range all {
		l := KitLine{Kind: string(s.Kind), DiameterMM: s.DiameterMM}
		if s.LabelKg != 0 {
			l.LabelKg = &s.LabelKg
		}
		out = append(out, l)
	}
	return out
}
