package rig

import "fmt"

// Material is what a weight is made of.
type Material string

// The materials weights are sold in.
const (
	Lead     Material = "lead"
	Tin      Material = "tin"
	Tungsten Material = "tungsten"
)

// densities in g/cm³ are handbook values (for example the CRC Handbook).
var densities = map[Material]float64{Lead: 11.34, Tin: 7.29, Tungsten: 19.25}

// Density is the material's density in g/cm³, 0 where it is not known.
func (m Material) Density() float64 { return densities[m] }

// Pull is the downward pull in water of a gram of the material, in grams:
// 1 − 1/density. Lead 0.912, tin 0.863, tungsten 0.948. It is 0 for a material
// that is not known.
func (m Material) Pull() float64 {
	d := densities[m]
	if d == 0 {
		return 0
	}
	return 1 - 1/d
}

// LeadGrams is the grams of lead that pull as much in water as g grams of the
// material. Floats are marked in grams of lead, so this is what a float feels.
func (m Material) LeadGrams(g float64) float64 { return g * m.Pull() / Lead.Pull() }

func (m Material) check(of string) error {
	if densities[m] == 0 {
		return fmt.Errorf("%s material %q is not known: it may be lead, tin or tungsten", of, string(m))
	}
	return nil
}
