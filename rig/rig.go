package rig

import "fmt"

// Kind is the kind of a weight.
type Kind string

// The kinds.
const (
	ShotKind Kind = "shot"
	Olivette Kind = "olivette"
)

// Role is what a weight is on the line for.
type Role string

// The roles.
const (
	Dropper Role = "dropper" // small shot below the bulk, that takes the bait down
	Bulk    Role = "bulk"    // the load together
	Stop    Role = "stop"    // holds an olivette in its place
	Spare   Role = "spare"   // waits by the bulk for re-shotting
	Strung  Role = "strung"  // spread up the line
	Lock    Role = "lock"    // each side of a waggler's eye, holding it where it is set
)

// Weight is one kind of weight in one place, or spread between two.
type Weight struct {
	Kind      Kind
	Size      string // "No.8", "BB", "2.5 g"
	Material  Material
	Count     int
	EachG     float64 // dry grams
	PullEachG float64 // grams of lead that pull the same in water
	AtM       float64 // the lowest of them from the hook
	ToM       float64 // the highest of them from the hook; AtM where they are together
	Role      Role
	WeighedG  float64 // one of them on the member's own scales; 0: taken by its label
}

// Point is a place on the line, from the float.
type Point struct {
	XM float64 // downstream of the float
	ZM float64 // below the surface
}

// Level is how much a finding matters.
type Level string

// The levels, most first.
const (
	StopLevel Level = "stop"
	CareLevel Level = "care"
	NoteLevel Level = "note"
)

// Finding is something to know about a rig before it is used.
type Finding struct {
	Level  Level
	Text   string
	Remedy string
}

// Rig is a float, its line, hook and weights for one water.
type Rig struct {
	Pattern     string // the pattern's id
	PatternName string
	Name        string  // "4 g short-bodied Avon"
	CapacityG   float64 // grams of lead
	Marking     string  // as floats of that kind are marked
	NeedG       float64 // the capacity the water asks for
	Decided     string  // what decided it

	Weights []Weight // from the hook upwards
	OnLineG float64  // dry grams of all of them
	PullG   float64  // grams of lead that pull the same
	ShortG  float64  // capacity less pull

	HookLengthM    float64
	HookLengthMM   float64
	HookLengthKg   float64
	HookLengthFrom string // what the strengths rest on
	MainLineMM     float64
	MainLineKg     float64
	MainLine       string // "floating" or "sinking"
	// MainLineOf and HookLengthOf are what the lines are of; empty: nylon.
	MainLineOf, HookLengthOf LineKind
	// MainLineBy and HookLengthBy are what their strengths rest on; empty: a chart.
	// A strength of 0 is not known: braid whose label was not read.
	MainLineBy, HookLengthBy Basis

	ReadyTied  bool   // the hook length is bought tied, with its loop
	Hook       string // the size, or the sizes to choose from
	HookSize   int
	Barb       Barb // empty: not said
	Bait       string
	RodFtLow   float64
	RodFtHigh  float64
	SetM       float64 // float to hook
	HoldBack   float64 // share of the pace taken off
	TiltDeg    float64 // of the line off the vertical at the float, so held back
	LiftM      float64 // of the hook above where it hangs in still water
	AheadM     float64 // of the hook downstream of the float
	Hang       []Point // the line from the float down to the hook, so held back
	SettleS    float64 // about how long from the cast to 80 % of the hook's depth
	SettleM    float64 // how far the float goes by then
	PaceLowMPS float64 // below it a float two sizes lighter would do
	// PaceHighMPS is the pace above which the line leans too far.
	PaceHighMPS float64
	// DepthLowM and DepthHighM are the depths between which it stays right at this
	// pace: its pattern's, and none deeper than the rod can set or the line leans
	// too far in.
	DepthLowM, DepthHighM float64

	HoldBackWords string
	Why           []string
	Wind          []string // how to fish it in the wind there is
	Wants         []Want   // what the kit lacks for it
	Findings      []Finding
}

// Positions are the distances from the hook of each of the weights, lowest
// first, to 5 cm.
func (w Weight) Positions() []float64 {
	out := make([]float64, w.Count)
	for i := range out {
		out[i] = w.AtM
		if w.Count > 1 {
			out[i] = nearest5(w.AtM + (w.ToM-w.AtM)*float64(i)/float64(w.Count-1))
		}
	}
	return out
}

// Words say the weight and where it sits: "4 No.8, spread from 20 to 50 cm
// above the hook".
func (w Weight) Words() string {
	where := fmt.Sprintf("%s above the hook", lengthWords(w.AtM))
	if w.ToM > w.AtM {
		where = fmt.Sprintf("spread from %s to %s above the hook", lengthWords(w.AtM), lengthWords(w.ToM))
	}
	if w.Role == Lock {
		where = "at the float"
	}
	return fmt.Sprintf("%s, %s", w.what(), where)
}

// what is the weight without its place: "4 No.8", "a 2.5 g olivette".
func (w Weight) what() string {
	if w.Kind == Olivette {
		return "a " + w.Size + " olivette"
	}
	return countOf(w.Count, w.Size)
}
