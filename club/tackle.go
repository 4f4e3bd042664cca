package club

import (
	"levelpeg/rig"
)

// Tackle is the shot and the olivettes a sheet supposes someone has, where they are
// not those of the standard kit. An empty part is the standard kit's.
type Tackle struct {
	Chart    string // a chart's name
	Shot     rig.Material
	Olivette rig.Material
}

// StandardTackle is what the standard kit has, spelt out.
func StandardTackle() Tackle {
	k := rig.StandardKit()
	return Tackle{k.Chart.Name, k.ShotMaterial, k.OlivetteMaterial}
}

// Spelt is t with the standard kit's parts in place of the empty ones.
func (t Tackle) Spelt() Tackle {
	std := StandardTackle()
	if t.Chart == "" {
		t.Chart = std.Chart
	}
	if t.Shot == "" {
		t.Shot = std.Shot
	}
	if t.Olivette == "" {
		t.Olivette = std.Olivette
	}
	return t
}

// Materials are what shot and olivettes may be of, the lawful ones first.
func Materials() []rig.Material { return []rig.Material{rig.Tin, rig.Tungsten, rig.Lead} }

// kits are those of every tackle there is, so that a kit's key is worked out once.
var kits = everyKit()

func everyKit() map[Tackle]Kit {
	out := map[Tackle]Kit{}
	for _, chart := range rig.Charts() {
		for _, shot := range Materials() {
			for _, olivette := range Materials() {
				k := rig.StandardKit()
				k.Chart, k.ShotMaterial, k.OlivetteMaterial = chart, shot, olivette
				out[Tackle{chart.Name, shot, olivette}] = NewKit(k)
			}
		}
	}
	return out
}

// kit is the standard kit with the tackle's chart and materials.
func (t Tackle) kit() (Kit, error) {
	k, ok := kits[t.Spelt()]
	if !ok {
		return Kit{}, Faultf(Invalid, "No such chart or material of shot is known here.")
	}
	return k, nil
}
