package club

import (
	"slices"

	"levelpeg/rig"
)

// Preset is a common set of tackle, to begin from. What is in each is common practice,
// no source.
type Preset struct {
	ID, Name, What string
	Kit            MyKit
}

// Presets are the common sets, the fullest first.
func Presets() []Preset {
	return []Preset{
		{"everything", "Everything", "Every size of shot and olivette; any float, line, hook and rod that is made.", everything()},
		{"stick-avon", "A stick and Avon box", "Sticks, balsas and Avons, for trotting within three rod lengths.", stickAndAvon()},
		{"all-rounder", "Running-line all-rounder", "Sticks to power-water floats and wagglers, for most rivers at most levels.", allRounder()},
		{"junior", "A junior's first box", "A few floats and shot, hook lengths ready tied, one 11 ft rod. Nothing is lead.", junior()},
		{"nothing", "Nothing yet", "An empty box, to fill in piece by piece.", nothing()},
	}
}

// PresetKit finds a common set by its id.
func PresetKit(id string) (MyKit, error) {
	all := Presets()
	i := slices.IndexFunc(all, func(p Preset) bool { return p.ID == id })
	if i < 0 {
		return MyKit{}, Faultf(Invalid, "%s is not one of the common sets.", quoted(id))
	}
	return all[i].Kit, nil
}

// SupposedKit is what a sheet supposes of someone who has said nothing.
func SupposedKit() MyKit {
	std := rig.StandardKit()
	m := MyKit{Chart: std.Chart.Name, Shot: std.ShotMaterial, Olivette: std.OlivetteMaterial}
	return m.shot(std.Sizes...).olivettes(std.OlivettesG...)
}

func everything() MyKit { return SupposedKit().shot(shotSizes...).olivettes(olivetteSizes...) }

func nothing() MyKit {
	m := SupposedKit()
	m.Shots, m.Olivettes = nil, nil
	m.Floats, m.MainLines, m.HookLengths, m.Hooks, m.RodsFt = []KitFloat{}, []rig.Spool{}, []rig.Spool{}, []int{}, []float64{}
	return m
}

func stickAndAvon() MyKit {
	m := nothing().shot("AAA", "BB", "1", "4", "6", "8", "10").olivettes(1.5, 2, 2.5, 3, 4, 5)
	m.Floats = floats("stick", "4x4", "5x4", "6x4", "8x4", "balsa", "4xBB", "5xBB", "3xAAA",
		"avon-short", "3", "4", "5", "avon-slim", "2", "3", "4")
	m.MainLines = spools(rig.ReelNylon, 0.16, 0.18)
	m.HookLengths = spools(rig.HookNylon, 0.09, 0.10, 0.12, 0.14)
	m.Hooks, m.RodsFt = []int{14, 16, 18, 20}, []float64{13, 15}
	return m
}

func allRounder() MyKit {
	m := nothing().shot("SSG", "AAA", "BB", "1", "4", "6", "8", "10").olivettes(1, 1.5, 2, 2.5, 3, 4, 5, 6, 8)
	m.Floats = floats("stick", "4x4", "5x4", "6x4", "8x4", "balsa", "4xBB", "3xAAA", "stubby", "3xAAA", "3xSSG",
		"avon-short", "3", "4", "5", "6", "avon-long", "4", "5", "6", "avon-slim", "2", "3", "4",
		"bolognese", "4", "6", "8", "waggler", "3xBB", "3xAAA", "2xSSG")
	m.MainLines = spools(rig.ReelNylon, 0.16, 0.18, 0.20, 0.22)
	m.HookLengths = spools(rig.HookNylon, 0.09, 0.10, 0.12, 0.14, 0.16, 0.18)
	m.Hooks, m.RodsFt = []int{8, 10, 12, 14, 16, 18, 20}, []float64{13, 15}
	return m
}

func junior() MyKit {
	m := nothing().shot("BB", "4", "8").olivettes(2.5)
	m.Floats = floats("stick", "4x4", "6x4", "avon-short", "3")
	m.MainLines = spools(rig.ReelNylon, 0.16, 0.18)
	m.HookLengths = spools(rig.HookNylon, 0.12, 0.14)
	m.Hooks, m.RodsFt = []int{14, 16, 18}, []float64{11}
	return m
}

func (m MyKit) shot(sizes ...string) MyKit {
	m.Shots = nil
	for _, s := range sizes {
		m.Shots = append(m.Shots, KitShot{Size: s, Count: Plenty})
	}
	return m
}

func (m MyKit) olivettes(grams ...float64) MyKit {
	m.Olivettes = nil
	for _, g := range grams {
		m.Olivettes = append(m.Olivettes, KitOlivette{G: g, Count: Plenty})
	}
	return m
}

// floats reads patterns' ids, each followed by the markings of its floats. The sets
// are written here, and a test holds each to be a kit.
func floats(words ...string) []KitFloat {
	var out []KitFloat
	id := ""
	for _, w := range words {
		if _, is := pattern(w); is {
			id = w
			continue
		}
		f, _ := ParseMark(id, w)
		out = append(out, f)
	}
	return out
}

func spools(kind rig.LineKind, diametersMM ...float64) []rig.Spool {
	var out []rig.Spool
	for _, mm := range diametersMM {
		out = append(out, rig.Spool{Kind: kind, DiameterMM: mm})
	}
	return out
}
