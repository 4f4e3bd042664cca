package rig

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// Aid is one addition to a kit.
type Aid struct {
	What   string // the kind of tackle, as a Want names it
	Name   string // "a 3 g slim balsa Avon", "No.8 shot", "a 14 ft rod"
	Waters int    // how many waters more it would serve

	// The addition, by its kind.
	Float  Float
	Weight Lack // of a size of shot or an olivette: its kind, size, material and mass
	Line   Spool
	Hook   int
	RodFt  float64
}

// AddTo is a kit with the addition: one float, olivette, spool or rod, hooks of a
// size, or a size of shot in plenty. What the kit leaves open stays so.
func (a Aid) AddTo(k Kit) Kit {
	switch a.What {
	case WantFloat:
		k.Floats = added(k.Floats, a.Float)
	case WantShot, WantOlivette:
		k = k.withMaterials().withMore(a.Weight)
	case WantHookLength:
		k.HookLengths = added(k.HookLengths, a.Line)
	case WantMainLine:
		k.MainLines = added(k.MainLines, a.Line)
	case WantHook:
		k.Hooks = added(k.Hooks, a.Hook)
	case WantRod:
		k.RodsFt = added(k.RodsFt, a.RodFt)
	}
	return k
}

func added[T any](list []T, one T) []T {
	if list == nil {
		return nil
	}
	return append(slices.Clone(list), one)
}

// withMore is a kit with one more of an olivette, or shot of a size in plenty.
func (k Kit) withMore(l Lack) Kit {
	had := k.count(l.Size)
	if had == plenty {
		return k
	}
	k = k.with(l, had+1)
	if l.Kind == ShotKind {
		k.Held = maps.Clone(k.Held)
		delete(k.Held, l.Size)
	}
	return k
}

// helpRodsFt are lengths rods are sold in, feet; the last two are of 7 and 8 m.
var helpRodsFt = []float64{10, 11, 12, 13, 14, 15, 16, 17, 18, 20, 23, 26}

// mayAdd are the additions that might help a kit, those it leaves open and those it
// has left out. Lead that may not be fished with is no help.
func (k Kit) mayAdd() []Aid {
	out := slices.Concat(k.floatAids(), k.weightAids())
	out = append(out, lineAids(WantHookLength, HookNylon, hookLengthsMM, k.HookLengths)...)
	out = append(out, lineAids(WantMainLine, ReelNylon, reelLines, k.MainLines)...)
	for size := hookLargest; size <= hookFinest && k.Hooks != nil; size += 2 {
		if !slices.Contains(k.Hooks, size) {
			out = append(out, Aid{What: WantHook, Name: fmt.Sprintf("hooks of size %d", size), Hook: size})
		}
	}
	for _, ft := range helpRodsFt {
		if k.RodsFt != nil && !slices.Contains(k.RodsFt, ft) {
			out = append(out, Aid{What: WantRod, Name: article(feetWords(ft, ft) + " rod"), RodFt: ft})
		}
	}
	return out
}

func (k Kit) floatAids() []Aid {
	if k.Floats == nil {
		return nil
	}
	var out []Aid
	for _, p := range registered {
		held := p.held(k)
		for _, c := range p.ladder(k.Chart) {
			if !slices.ContainsFunc(held, func(h capacity) bool { return math.Abs(h.grams-c.grams) < sameG*c.grams }) {
				out = append(out, Aid{What: WantFloat, Name: article(c.marking + " " + p.Name), Float: Float{p.ID, c.grams}})
			}
		}
	}
	return out
}

func (k Kit) weightAids() []Aid {
	k = k.withMaterials()
	var out []Aid
	weighed := k.weighed()
	add := func(what, name string, l Lack) {
		w := Weight{Kind: l.Kind, Size: l.Size, Material: l.Material, EachG: l.EachG, WeighedG: l.WeighedG}
		if k.count(l.Size) < plenty && !w.Unlawful() {
			out = append(out, Aid{What: what, Name: name, Weight: l})
		}
	}
	for _, s := range k.asWeighed(k.Chart.Sizes) {
		add(WantShot, s.Label()+" shot", Lack{Kind: ShotKind, Size: s.Label(), Material: k.ShotMaterial, EachG: s.MassG, WeighedG: weighed[s.Label()]})
	}
	for _, g := range olivetteSteps {
		add(WantOlivette, article(gramWords(g)+" olivette"), Lack{Kind: Olivette, Size: gramWords(g), Material: k.OlivetteMaterial, EachG: g})
	}
	return out
}

// lineAids are spools of the diameters lines are sold in that a kit has none of.
func lineAids(what string, kind LineKind, sold []float64, held []Spool) []Aid {
	var out []Aid
	for _, mm := range sold {
		had := func(s Spool) bool { return s.Kind == kind && math.Abs(s.DiameterMM-mm) < 1e-9 }
		if held != nil && !slices.ContainsFunc(held, had) {
			out = append(out, Aid{What: what, Name: article(mmWords(mm) + " " + what), Line: Spool{Kind: kind, DiameterMM: mm}})
		}
	}
	return out
}
