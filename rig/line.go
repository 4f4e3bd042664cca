package rig

import (
	"fmt"
	"math"
)

// nylon is strength by diameter of hook-length nylon: a UK angling weekly's
// table of line breaking strains, anglingtimes.co.uk. Charts differ by a factor
// of two, so the label on the spool comes first.
var nylon = []struct{ mm, kg float64 }{
	{0.08, 0.79}, {0.09, 0.91}, {0.10, 1.08}, {0.11, 1.30}, {0.12, 1.47},
	{0.14, 2.15}, {0.16, 2.55}, {0.18, 2.95}, {0.20, 3.52}, {0.22, 4.08},
}

// nylonKg is the strength of nylon of a diameter in mm, straight between the
// chart's entries and carried on beyond its ends by the slope of the last two,
// which past the thick end is on the weak side of what lines hold.
func nylonKg(mm float64) float64 {
	i := 1
	for i < len(nylon)-1 && mm > nylon[i].mm {
		i++
	}
	a, b := nylon[i-1], nylon[i]
	return a.kg + (mm-a.mm)*(b.kg-a.kg)/(b.mm-a.mm)
}

// LineKind is what a line is of and sold for.
type LineKind string

// The kinds.
const (
	HookNylon    LineKind = "hook-length nylon"
	ReelNylon    LineKind = "reel nylon"
	Fluorocarbon LineKind = "fluorocarbon"
	Braid        LineKind = "braid"
)

// lineFact is what is known of a kind of line.
type lineFact struct {
	density Span    // relative to water ("Specific gravity", sunlineamerica.com)
	wet     Span    // the share of its strength it loses when wet
	share   float64 // of the strength of hook-length nylon as thick; 0: no chart
	from    string  // what the share rests on
}

const lineChart = `"line breaking strains", anglingtimes.co.uk`

// lineFacts: densities, and what nylon and fluorocarbon lose when wet, from a
// line maker's table (sunlineamerica.com); that braid of polyethylene loses
// nothing, and the shares, from memory.
var lineFacts = map[LineKind]lineFact{
	HookNylon:    {Span{1.11, 1.14}, Span{0, 0.15}, 1, lineChart},
	ReelNylon:    {Span{1.11, 1.14}, Span{0, 0.15}, reelShare, lineChart + ", six tenths of it for a reel line (from memory)"},
	Fluorocarbon: {Span{1.78, 1.78}, Span{0, 0}, 0.75, lineChart + ", three quarters of it for fluorocarbon (from memory)"},
	Braid:        {Span{0.97, 0.97}, Span{0, 0}, 0, ""},
}

// reelShare is the strength of reel line sold for floats beside hook-length
// nylon of the same diameter (from memory).
const reelShare = 0.6

// knotKeeps is the share of a line's strength a knot keeps (from memory).
var knotKeeps = Span{0.80, 0.95}

// LineKinds are the kinds of line known here.
func LineKinds() []LineKind { return []LineKind{HookNylon, ReelNylon, Fluorocarbon, Braid} }

// Density is relative to water: under 1 floats, over 1 sinks unless it is
// greased. 0 and 0 for a kind that is not known.
func (k LineKind) Density() Span { return lineFacts[k].density }

// WetLoss is the share of its strength a line loses when wet, from the least to
// the most.
func (k LineKind) WetLoss() Span { return lineFacts[k].wet }

// Spool is a line as it is bought.
type Spool struct {
	Kind       LineKind
	DiameterMM float64
	LabelKg    float64 // printed on the spool; 0: not read
}

// Bounds of a line.
const (
	lineLowMM, lineHighMM = 0.04, 0.60
	lineLowKg, lineHighKg = 0.1, 50
)

// Basis is what a strength rests on.
type Basis string

// The bases.
const (
	ByLabel Basis = "label"
	ByChart Basis = "chart"
)

// Strength is what a line holds, dry and unknotted.
type Strength struct {
	Kg       float64
	By       Basis
	Kind     LineKind
	Standing string // what it rests on, in words
}

// Strength is what a line holds: by the label on its spool and, where that was
// not read, by a chart for its diameter, straight between the chart's entries
// (0.08 to 0.22 mm) and carried on by the slope of the last two beyond. Charts
// differ by a factor of two, so the chart is a fallback and Standing says so. A
// diameter outside 0.04 to 0.60 mm or a label outside 0.1 to 50 kg is a
// RangeError; a kind that is not known, or braid with no label, is an error, for
// no chart of braid is held here.
func (s Spool) Strength() (Strength, error) {
	f, ok := lineFacts[s.Kind]
	if !ok {
		return Strength{}, s.unknown()
	}
	if s.LabelKg != 0 {
		if err := inRange("label", s.LabelKg, lineLowKg, lineHighKg, "kg"); err != nil {
			return Strength{}, err
		}
		return Strength{s.LabelKg, ByLabel, s.Kind, "the label on the spool"}, nil
	}
	if err := inRange("diameter", s.DiameterMM, lineLowMM, lineHighMM, "mm"); err != nil {
		return Strength{}, err
	}
	if f.share == 0 {
		return Strength{}, fmt.Errorf("no chart of %s is held here: read the label on the spool", s.Kind)
	}
	return Strength{f.share * nylonKg(s.DiameterMM), ByChart, s.Kind, "a chart (" + f.from + "): charts differ by a factor of two and the label on the spool comes first"}, nil
}

func (s Spool) unknown() error {
	return fmt.Errorf("line %q is not known: it may be %s, %s, %s or %s", string(s.Kind), HookNylon, ReelNylon, Fluorocarbon, Braid)
}

// Tied is what is left of a strength when the line is wet and knotted, from the
// least to the most: times what a knot keeps, less what water takes.
func (s Strength) Tied() Span {
	wet := s.Kind.WetLoss()
	return Span{s.Kg * (1 - wet.High) * knotKeeps.Low, s.Kg * (1 - wet.Low) * knotKeeps.High}
}

// Ratio is a strength over another, and whether the two may be compared: label
// with label, or chart with chart, all charts here being the one table and shares
// of it. A chart's figure beside a label's says nothing.
func (s Strength) Ratio(over Strength) (float64, bool) {
	if s.By != over.By || over.Kg <= 0 || math.IsNaN(s.Kg) || math.IsInf(s.Kg, 0) {
		return 0, false
	}
	return s.Kg / over.Kg, true
}
