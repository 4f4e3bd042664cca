// Package sketch is line drawings as shapes: what a page draws as SVG and a printed
// sheet draws as PDF, from the same shapes. It says what a stroke is, never its colour.
package sketch

// Style is what a shape is. The one who draws it gives it colour and width: W is the
// width at the drawing's own scale.
type Style string

// The styles.
const (
	Ink     Style = "ink"     // a line drawn firmly
	Fine    Style = "fine"    // measures and pointers
	Faint   Style = "faint"   // what is there and is not in hand
	Dash    Style = "dash"    // a ring round what is in hand
	Solid   Style = "solid"   // filled with ink
	Grey    Style = "grey"    // filled, and not in hand
	Shell   Style = "shell"   // filled with the card's own colour, edged with ink
	Cord    Style = "cord"    // a line drawn as a tube: edged with ink, light inside
	Dark    Style = "dark"    // the other line of a knot, ink right through
	Water   Style = "water"   // filled: the river
	Bed     Style = "bed"     // filled: its bed
	Surface Style = "surface" // the line of the water's top
	Tip     Style = "tip"     // a float's tip, where the water is
	Warn    Style = "warn"    // filled: look out here
	Label   Style = "label"   // words
	Strong  Style = "strong"  // words that count most
	Quiet   Style = "quiet"   // words beside, softer
)

// W is a style's stroke width, 0 for what is filled or is words.
func (s Style) W() float64 {
	return map[Style]float64{Ink: 2.4, Fine: 1.2, Faint: 1.6, Dash: 3, Shell: 1.8, Cord: 7, Dark: 5, Surface: 3, Tip: 6}[s]
}

// Anchor is where words stand by their place.
type Anchor string

// The anchors.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Op is one stroke of a path: 'M' and 'L' use the first point, 'C' all three (a cubic
// Bézier curve to the third), 'Z' none.
type Op struct {
	Do byte
	P  [3]Point
}

// Point is a place in a drawing, y downwards.
type Point struct{ X, Y float64 }

// Shape is a path, an ellipse where Rx is not 0, or words where Text is not empty.
type Shape struct {
	Style Style
	Path  []Op

	At     Point // middle of an ellipse, place of words
	Rx, Ry float64

	Text   string
	Size   float64 // of words
	Anchor Anchor

	// Weight is 1 and more for a weight of a rig, by its place from the hook up.
	Weight int
}

// Drawing is shapes in the order they are drawn, on a field W by H.
type Drawing struct {
	W, H   float64
	Title  string // what it shows, for who cannot see it
	Shapes []Shape
}
