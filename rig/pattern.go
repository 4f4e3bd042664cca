package rig

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Span is from Low to High.
type Span struct{ Low, High float64 }

// Pattern is a kind of float, the water it suits and the rig it takes. Each has
// a file of its own, and what its file says is common practice of the trade
// unless marked there.
type Pattern struct {
	ID      string
	Name    string
	What    string // what it is, and why
	Body    string // why its body is as it is
	Stem    string // why its stem is
	Tip     string // why its tip is
	DepthM  Span
	PaceMPS Span // of the surface
	Boil    Span
	ReachM  float64 // how far out it is fished
	FarM    float64 // how far out it comes into its own; 0: from the rod tip

	Handling Handling // how it is put on, fished and looked after

	sizes     []floatSize
	tiltDeg   float64 // how far its line may lean at the float
	runs      bool    // it goes at the pace of the surface and is never held back
	still     bool    // it is made to be held still, and only that
	windMost  int     // the strongest wind against it that it still fishes in
	style     Style
	bulkShare float64 // how far up the depth the bulk sits, above the lowest place
	groupM    float64 // see Layout
	lowG      float64 // lightest and heaviest dropper, see Layout
	highG     float64
	bulkHighG float64 // heaviest shot of the bulk; 0: any

	hookLengthM  [2]float64 // shortest and longest
	hookLengthMM [2]float64 // finest and stoutest
	mainMM       float64
	mainLine     string
	hookFinest   int
	hookLargest  int
	rodFt        Span
	fish         []string // the fish it is for, the first where nobody has said
	bait         string   // where nobody has said
	bigBait      bool     // it carries a big bait
}

// floatSize is one size a pattern is made in: grams, or n shot of a size.
type floatSize struct {
	grams float64
	n     int
	shot  string
}

func inGrams(gs ...float64) []floatSize {
	var out []floatSize
	for _, g := range gs {
		out = append(out, floatSize{grams: g})
	}
	return out
}

// capacity is a size on a chart, in grams of lead, and how it is marked.
type capacity struct {
	grams   float64
	marking string
}

// on reckons a size on a chart; it is not there where the chart lacks the shot.
func (s floatSize) on(c Chart) (capacity, bool) {
	if s.shot == "" {
		return capacity{s.grams, gramWords(s.grams)}, true
	}
	shot, ok := c.Size(s.shot)
	if !ok {
		return capacity{}, false
	}
	sep := " "
	if shot.Label() != shot.Name {
		sep = " × "
	}
	return capacity{float64(s.n) * shot.MassG, fmt.Sprintf("%d%s%s", s.n, sep, shot.Label())}, true
}

// ladder is the pattern's sizes on a chart, lightest first.
func (p Pattern) ladder(c Chart) []capacity {
	var out []capacity
	for _, s := range p.sizes {
		if got, ok := s.on(c); ok {
			out = append(out, got)
		}
	}
	slices.SortFunc(out, func(a, b capacity) int { return cmp.Compare(a.grams, b.grams) })
	return out
}

// registered is filled as the package starts, by each pattern's own file.
var registered []Pattern

func register(p Pattern) bool {
	registered = append(registered, p)
	slices.SortFunc(registered, func(a, b Pattern) int { return strings.Compare(a.ID, b.ID) })
	return true
}

// Patterns are the kinds of float known here, by id.
func Patterns() []Pattern { return slices.Clone(registered) }

// Fish are the fish the pattern is for, the first where nobody has said.
func (p Pattern) Fish() []string { return slices.Clone(p.fish) }

// Baits are the baits the pattern carries: those its hooks fit, and a big one only
// where it is made for that.
func (p Pattern) Baits() []string {
	var out []string
	for _, b := range baits {
		if b.HookFinest >= p.hookLargest && b.HookLargest <= p.hookFinest && (!b.Big || p.bigBait) {
			out = append(out, b.Name)
		}
	}
	return out
}

// Floats are the sizes the pattern is made in on a chart, lightest first, as they
// are marked.
func (p Pattern) Floats(c Chart) []MarkedFloat {
	var out []MarkedFloat
	for _, s := range p.ladder(c) {
		out = append(out, MarkedFloat{Float{p.ID, s.grams}, s.marking})
	}
	return out
}

// MarkedFloat is a float with what is printed on it.
type MarkedFloat struct {
	Float
	Marking string // "4 g", "6 × No.4", "3 AAA"
}
