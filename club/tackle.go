package club

import (
	"cmp"

	"levelpeg/rig"
)

// Tackle is the shot and the olivettes a sheet supposes someone has, where they are
// not those of the standard kit. An empty part is the standard kit's.
type Tackle struct {
	Chart    string // a chart's name
	Shot     rig.Material
	Olivette rig.Material
}

var standardTackle = func() Tackle {
	k := rig.StandardKit()
	return Tackle{k.Chart.Name, k.ShotMaterial, k.OlivetteMaterial}
}()

// StandardTackle is what the standard kit has, spelt out.
func StandardTackle() Tackle { return standardTackle }

// Spelt is t with the standard kit's parts in place of the empty ones.
func (t Tackle) Spelt() Tackle {
	return Tackle{
		cmp.Or(t.Chart, standardTackle.Chart), cmp.Or(t.Shot, standardTackle.Shot), cmp.Or(t.Olivette, standardTackle.Olivette),
	}
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
