package rig

import "fmt"

// Limits of wading.
const (
	// Depth times pace, m²/s. The field safety rule of hydrographers is not to wade
	// at a product of 10 ft²/s, 0.929 m²/s, or more (USGS, from memory); half of it,
	// for care and for juniors, is ours.
	wadeStopM2PS = 0.929
	wadeCareM2PS = wadeStopM2PS / 2
	// 15 cm of fast water can knock an adult over (council flood guidance,
	// bassetlaw.gov.uk); that fast starts at 1 m/s is from the pace words here.
	knockDownM = 0.15
	fastMPS    = 1.0
	// About an adult's hip, where the water starts to lift him, and half of it for
	// care (ours, from memory).
	wadeStopM = 0.9
	wadeCareM = 0.45
)

const wadeAlways = "Never wade alone or in rising or coloured water; wear a buoyancy aid and a tight wader belt, feel ahead with a staff, and go back the way you came."

// Wading is what to know before wading water of a depth in metres and a surface
// pace in m/s: a stop where their product is 0.929 m²/s or more, the water is 0.9 m
// deep or more, or it is at least 15 cm deep and runs at 1 m/s or more, whichever
// says so first; care, and none of it for juniors, from half the product or half
// the depth; else a note. None for water with no depth. The limits are from memory
// or ours but for the 15 cm, and err to the dry side: they are no promise that
// water is safe. A depth or pace that is not a number, is infinite or is below 0
// is a stop.
func Wading(depthM, paceMPS float64) []Finding {
	const far = 1e3
	if inRange("", depthM, 0, far, "") != nil || inRange("", paceMPS, 0, far, "") != nil {
		return []Finding{{StopLevel, "How deep or how fast the water is cannot be told: do not wade.", "Fish from the bank."}}
	}
	if depthM == 0 {
		return nil
	}
	water := fmt.Sprintf("%s of water at %.1f m/s", lengthWords(depthM), paceMPS)
	product := depthM * paceMPS
	switch {
	case depthM >= knockDownM && paceMPS >= fastMPS:
		return []Finding{{StopLevel, water + " can knock an adult over: 15 cm of fast water is enough. Do not wade.", "Fish from the bank."}}
	case product >= wadeStopM2PS || depthM >= wadeStopM:
		return []Finding{{StopLevel, water + " is too much to stand in. Do not wade.", "Fish from the bank."}}
	case product >= wadeCareM2PS || depthM >= wadeCareM:
		return []Finding{{CareLevel, water + " pushes hard: juniors stay out of it.", wadeAlways}}
	}
	return []Finding{{NoteLevel, water + " can be waded with care; a junior only with an adult beside.", wadeAlways}}
}
