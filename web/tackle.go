package web

import (
	"slices"
	"strconv"

	"levelpeg/club"
	"levelpeg/rig"
)

// ShotChoices are the chart and the materials of the shot a reader may have.
type ShotChoices struct {
	Now     string // what the rigs are worked out for, in words
	Selects []Select
}

// Select is one thing to choose.
type Select struct {
	Name, Label string
	Options     []Option
}

// Option is one of those to choose from.
type Option struct {
	Value, Label string
	Chosen       bool
}

// chosen is what was chosen of shot and hold-back, wind, fish and bait, by the names
// the address has for it. What is usual is left out.
func chosen(s *club.Sheet) []Pair { return append(tacklePairs(s), dayPairs(s.Wind, s.Aim)...) }

func tacklePairs(s *club.Sheet) []Pair { return append(shotPairs(s), holdPair(s.Hold)...) }

func shotPairs(s *club.Sheet) []Pair { return shotPairsOf(s.Tackle) }

func shotPairsOf(t club.Tackle) []Pair {
	switch t.From {
	case club.KitAsked:
		return []Pair{{"kit", t.Kit}}
	case club.KitMember, club.KitPhone:
		return nil
	}
	var out []Pair
	if t.From == club.KitOff {
		out = append(out, Pair{"kit", "none"})
	}
	usual := club.StandardTackle()
	for _, p := range []struct{ name, value, usual string }{
		{"chart", t.Chart, usual.Chart},
		{"shot", string(t.Shot), string(usual.Shot)},
		{"olivette", string(t.Olivette), string(usual.Olivette)},
	} {
		if p.value != "" && p.value != p.usual {
			out = append(out, Pair{p.name, p.value})
		}
	}
	return out
}

func holdPair(hold *int) []Pair {
	if hold == nil {
		return nil
	}
	return []Pair{{"hold", strconv.Itoa(*hold)}}
}

func runPair(run string) []Pair {
	if run == "" {
		return nil
	}
	return []Pair{{"run", run}}
}

func shotChoices(t club.Tackle) ShotChoices {
	return ShotChoices{
		Now: string(t.Shot) + ", " + t.Chart + " chart; olivettes " + string(t.Olivette),
		Selects: []Select{
			{"chart", "Chart of sizes", chartOptions(t.Chart)},
			{"shot", "Shot", materialOptions(t.Shot)},
			{"olivette", "Olivettes", materialOptions(t.Olivette)},
		},
	}
}

func shotKeep(s *club.Sheet) []Pair {
	keep := append(append(askedPairs(s), runPair(chosenSlug(s))...), ownPairs(s.Own)...)
	if s.Tackle.From == club.KitOff {
		keep = append(keep, kitNone...)
	}
	return append(append(keep, dayPairs(s.Wind, s.Aim)...), holdPair(s.Hold)...)
}

// chartLabels tell the charts apart by a size that every one has.
var chartLabels = func() []Option {
	var out []Option
	for _, c := range rig.Charts() {
		o := Option{Value: c.Name, Label: capital(c.Name)}
		if size, ok := c.Size("4"); ok {
			o.Label += ": a " + size.Label() + " is " + grams(size.MassG)
		}
		out = append(out, o)
	}
	return out
}()

func chartOptions(now string) []Option {
	out := slices.Clone(chartLabels)
	for i := range out {
		out[i].Chosen = out[i].Value == now
	}
	return out
}

func materialOptions(now rig.Material) []Option {
	var out []Option
	for _, m := range club.Materials() {
		out = append(out, Option{string(m), capital(string(m)), m == now})
	}
	return out
}

// FullerLine says what rig a full box would have.
type FullerLine struct{ Rig, Href string }

var kitNone = []Pair{{"kit", "none"}}

func fullerLine(r *rig.Rig, href string) *FullerLine {
	if r == nil {
		return nil
	}
	return &FullerLine{Rig: inFull(r), Href: href}
}
