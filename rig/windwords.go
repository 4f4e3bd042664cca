package rig

// From where on the Beaufort scale the wind is spoken of, where it is strong (a fresh
// breeze) and where it is a danger (a near gale).
const (
	windFelt   = 3
	windStrong = 5
	windDanger = 7
)

// windAdvice is how to fish in a wind by where it blows: from the force at which it
// is felt, and what is added from the force at which it is strong. Where the line is
// sunk there is less to mend.
type windAdvice struct {
	felt, strong string
	sunk         string // in place of felt with a sinking line; empty: felt
}

// windAdvices: common practice, no source, but for the rod tip low with the wind
// behind and the ripple that slows a float in an upstream wind, which are from
// memory. That a downstream wind asks for a waggler with the line sunk is common
// practice, no source, as is to look up and behind before a cast.
var windAdvices = map[Wind]windAdvice{
	WindFacing: {
		felt:   "The wind is in your face and blows line and float in towards you: cast low and a little past the line you fish, keep the rod tip low, and pull the slack out at once.",
		strong: "It is strong: put on a float a size heavier, and fish shorter and closer in.",
		sunk:   "The wind is in your face: cast low and past the line you fish, then dip the rod tip and wind the float back to it, so that the line sinks.",
	},
	WindBehind: {
		felt:   "The wind is behind you and helps the cast, but bows the line out over the water: keep the rod tip low and the line straight behind the float. Look up and behind for power lines and trees before each cast.",
		strong: "It is strong: slow the line with a finger as the float comes down, so that it does not run on past it, and pull it straight at once.",
		sunk:   "The wind is behind you and helps the cast: slow the line with a finger as the float lands, then sink it. Look up and behind for power lines and trees before each cast.",
	},
	WindUpstream: {
		felt:   "The wind blows upstream, against the flow: it bows the line behind the float, so that holding back is easy. Mend less, and only when the bow slows the float more than you mean to.",
		strong: "It is strong: it can stop the float in slow water, so put on one a size heavier that the river carries on, and keep the rod tip low.",
		sunk:   "The wind blows upstream, against the flow: sink the line, or it will slow the float behind the water.",
	},
	WindDownstream: {
		felt:   "The wind blows downstream and pushes a bow of line ahead of the float, which drags it: mend the line upstream early and often, keep the rod tip low between mends, and use the longest rod that goes with this rig.",
		strong: "It is strong: put on a float a size heavier, or fish a waggler with the line sunk.",
		sunk:   "The wind blows downstream: sink all the line between rod and float, tip under the water, or the bow in it will drag the float.",
	},
}

// windWords are how to fish an offer in the wind there is; none below force 3.
func (o offer) windWords() []string {
	w := o.water
	if w.WindForce < windFelt {
		return nil
	}
	if w.Wind == "" {
		w.Wind = WindFacing
	}
	advice := windAdvices[w.Wind]
	out := []string{advice.felt}
	sunk := o.mainLine == "sinking"
	if sunk {
		out[0] = advice.sunk
	}
	switch {
	case w.WindForce < windStrong:
	case sunk && w.Wind == WindDownstream:
		out = append(out, "It is strong: put on a float a size heavier, and keep the rod tip under the water.")
	default:
		out = append(out, advice.strong)
	}
	return out
}

// windFinding is the caution for a near gale. Branches: common practice, no source.
// Lightning: shelter when the flash is under 30 s ahead of the bang, and wait 30 min
// after the last (an angling club's safety guidance).
func (o offer) windFinding() Finding {
	if o.water.WindForce < windDanger {
		return Finding{}
	}
	return Finding{CareLevel, "Force 7 and over is a near gale or worse: branches come down, and a long rod is hard to hold.",
		"Keep out from under trees. If there is lightning, put a carbon rod down at once, get away from it and shelter, and wait 30 minutes after the last thunder."}
}
