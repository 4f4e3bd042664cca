package club

import (
	"slices"

	"levelpeg/rig"
)

// Breeze is a wind as it blows: where from and how hard. Nothing said is no wind.
type Breeze struct {
	// From is the point of the compass it comes from, one of Points; or, where the
	// angler's own place is all that is known, one of rig.Winds.
	From  string
	Force int // on the Beaufort scale, 0 to rig.WindMost
}

// Point is a point of the compass.
type Point struct {
	Name string // "SW"
	Word string // "south-west"
	Deg  int    // from north, clockwise
}

// Points are those a wind is named by, from north round by east.
func Points() []Point { return points }

var points = []Point{
	{"N", "north", 0}, {"NE", "north-east", 45}, {"E", "east", 90}, {"SE", "south-east", 135},
	{"S", "south", 180}, {"SW", "south-west", 225}, {"W", "west", 270}, {"NW", "north-west", 315},
}

// PointByName finds a point of the compass.
func PointByName(name string) (Point, bool) {
	i := slices.IndexFunc(points, func(p Point) bool { return p.Name == name })
	if i < 0 {
		return Point{}, false
	}
	return points[i], true
}

const (
	turnDeg    = 360
	halfDeg    = 180
	quarterDeg = 45 // either side of a river's own way, a wind blows along it
)

// WindAt is where a wind blows as somebody stands who faces the water: fromDeg is the
// compass bearing it comes from, bearingDeg that which the water flows towards, both
// degrees, and bank the side they stand on, looking downstream. Within 45° of the flow
// it blows downstream, within 45° of the other way upstream, and otherwise into the
// face or from behind. At 45° exactly it is taken as in the face where it blows from
// across the water, for that asks more of a float; and along the water where it
// blows from behind. Derived: who stands on the left bank faces 90° right of the flow.
func WindAt(fromDeg, bearingDeg int, bank Bank) rig.Wind {
	// How far right of the flow it blows to, from −180 to 179.
	right := mod(fromDeg-bearingDeg, turnDeg) - halfDeg
	if bank == RightBank {
		right = -right // as in a mirror
	}
	switch {
	case right >= -(halfDeg-quarterDeg) && right <= -quarterDeg:
		return rig.WindFacing
	case right > quarterDeg && right < halfDeg-quarterDeg:
		return rig.WindBehind
	case right > -quarterDeg && right <= quarterDeg:
		return rig.WindDownstream
	}
	return rig.WindUpstream
}

func mod(a, n int) int { return (a%n + n) % n }

// On is the wind at a peg, for a rig; none where nothing was said of it.
func (b Breeze) On(p Peg) (rig.Wind, int) {
	if b.Force == 0 {
		return "", 0
	}
	if at, ok := PointByName(b.From); ok {
		return WindAt(at.Deg, p.BearingDeg, p.Bank), b.Force
	}
	return rig.Wind(b.From), b.Force
}

// Check says what is wrong with a wind that was asked for.
func (b Breeze) Check() error {
	_, point := PointByName(b.From)
	if b.From != "" && !point && !slices.Contains(rig.Winds(), rig.Wind(b.From)) {
		return Faultf(Invalid, "“%s” is not a wind known here: say where it comes from, N, NE, E, SE, S, SW, W or NW.", b.From)
	}
	if b.Force < 0 || b.Force > rig.WindMost {
		return Faultf(Invalid, "Force %d is not one to fish in: say 0 to %d.", b.Force, rig.WindMost)
	}
	if b.From == "" && b.Force > 0 {
		return Faultf(Invalid, "Say where the wind comes from as well: N, NE, E, SE, S, SW, W or NW.")
	}
	if b.From != "" && b.Force == 0 {
		return Faultf(Invalid, "Say how hard the wind blows as well: force 1 to %d.", rig.WindMost)
	}
	return nil
}
