package guide

import (
	"fmt"
	"math"

	"levelpeg/rig"
)

// baitHow is how a bait goes on the hook (common practice, no source).
var baitHow = map[string]string{
	"single maggot": "Hook one maggot through the thick end, just under the skin.",
	"double maggot": "Hook two maggots through the thick end, just under the skin.",
	"maggot bunch":  "Hook four or five maggots, each through the thick end.",
	"caster":        "Push the hook in at the thick end and hide it, with just the point out.",
	"hemp":          "Push the bend of the hook into the split of one grain.",
	"pellet":        "Push the hook through the side of a soft pellet.",
	"redworm":       "Hook the worm twice, near its head and half way down.",
	"sweetcorn":     "Push the hook through one grain, and let the point show.",
	"bread flake":   "Fold a bit of soft bread round the hook. Press it at the top, and leave the rest fluffy.",
	"luncheon meat": "Push the hook through a cube of meat as big as your nail.",
}

func (w *writer) bait() Step {
	s := Step{
		Key: "bait", Title: "Put on the bait",
		Do:   []string{"Hold the hook by its bend, point away from you.", baitHow[w.r.Bait]},
		Why:  "A hook with its point free goes into the fish's lip and not down its throat.",
		Done: "The bait is on, and the point shows.",
		Draw: baitDrawing(w.r.Bait),
	}
	if words := w.feed(); words != "" {
		s.Do = append(s.Do, words)
	}
	return s
}

// throwM is about as far up the river as a pinch of bait is thrown by hand (ours).
const throwM = 12

// feed is where a little loose bait goes in.
func (w *writer) feed() string {
	b, err := rig.BaitByName(w.r.Bait)
	if err != nil {
		return ""
	}
	d, err := b.Feed(w.w)
	if err != nil {
		return ""
	}
	up := math.Round(d.Middle.M)
	switch {
	case up < 1:
		return "Drop in a small pinch of it, right by your float."
	case up > throwM:
		return "Do not throw any loose: here the river takes it too far."
	}
	return fmt.Sprintf("Throw a small pinch in about %.0f m up the river. It sinks as it comes down to you.", up)
}

func (w *writer) cast() Step {
	s := Step{
		Key: "cast", Title: "Cast, and slow the line",
		Do: []string{
			"Look behind you and up.",
			w.h.Cast,
			"As it flies, touch the edge of the spool with a finger. This is called feathering.",
		},
		Why:  "It slows the line, so that the rig lands in a straight row and not in a heap.",
		Done: "The float stands up, and the shot hang below it.",
		Draw: castDrawing(w.r),
	}
	if w.r.SettleS >= 2 {
		s.Do = append(s.Do, fmt.Sprintf("Wait about %.0f seconds for the bait to sink.", w.r.SettleS))
	}
	return s
}

func (w *writer) run() Step {
	s := Step{
		Key: "run", Title: "Let it run, and hold it back",
		Do:   []string{w.h.Run},
		Done: "The float goes down the swim, and I can slow it.",
		Draw: holdDrawing(w.r, w.w),
	}
	sunk := w.r.MainLine == "sinking"
	switch hold := w.r.HoldBack; {
	case w.w.PaceMPS < 0.05:
		s.Title = "Let it stand, and wait"
		s.Do = []string{"The water is still. Let the float stand, and wind in slack line."}
		s.Why = "A line with no slack moves the hook as soon as you lift."
		s.Done = "The float stands still, and the line is almost straight."
		return s
	case hold >= 0.95:
		s.Title = "Hold it still"
		if w.r.Pattern != "flat" {
			s.Do = []string{"Keep the line tight, and do not let the float go."}
		}
		s.Why = "The bait hangs still in one place, close to the bed, and big fish find it."
		s.Done = "The float stands still in the flow."
	case hold < 0.1:
		s.Title = "Let it run"
		if !sunk {
			s.Do = []string{"Give line freely. Let the float go as fast as the water, and do not hold it back."}
		}
		s.Why = "Then the bait goes as fast as the bits that the river brings."
		s.Done = "The float goes down the swim as fast as a leaf."
	default:
		s.Do = append(s.Do, fmt.Sprintf("Slow the line with a finger on the spool. Hold back %s: %s.", shareWords(hold), w.slower(hold)))
		s.Why = "Near the bed the water is slow. If the float is slow too, the bait goes first and looks free."
	}
	if !sunk {
		s.Do = append(s.Do, "Keep the line off the water between rod and float. A line that lies in a bow drags the float.")
	}
	return s
}

// slower is a hold-back as something to watch: how long the float takes over a metre or
// two, beside a leaf.
func (w *writer) slower(hold float64) string {
	leaf := 5 / w.w.PaceMPS
	float := leaf / (1 - hold)
	return fmt.Sprintf("a leaf goes 5 m in %.0f seconds, so the float should take %.0f", leaf, math.Max(float, math.Round(leaf)+1))
}

func shareWords(hold float64) string {
	switch {
	case hold < 0.28:
		return "a quarter"
	case hold < 0.4:
		return "a third"
	}
	return "a half"
}

func (w *writer) bite() Step {
	return Step{
		Key: "bite", Title: "Spot the bite",
		Do:   []string{w.h.Bite, "If the float does what the water does not do, it is a bite."},
		Why:  "A fish takes the bait and spits it out in a second or two.",
		Done: "I watch the tip, and my hand is on the rod.",
		Draw: biteDrawing(w.r),
	}
}

func (w *writer) strike() Step {
	return Step{
		Key: "strike", Title: "Strike",
		Do:   []string{w.h.Strike, "No fish? Let it run on, or wind in and look at the bait. " + w.h.Leaves},
		Why:  "The strike pulls the line straight, and sets the hook in the fish's lip.",
		Done: "The rod bends: a fish is on. Keep it bent.",
		Draw: strikeDrawing(w.r),
	}
}

func (w *writer) land() Step {
	return Step{
		Key: "land", Title: "Land the fish",
		Do: []string{
			"Keep the rod up and bent. When the fish pulls hard, give it line.",
			"Put the net in the water and keep it still. Draw the fish over it, then lift.",
		},
		Why:  "A net that chases a fish makes it bolt, and a thin line snaps.",
		Done: "The fish lies in the net, and the net is in the water.",
		Draw: netDrawing(),
	}
}

func (w *writer) unhook() Step {
	return Step{
		Key: "unhook", Title: "Unhook it and put it back",
		Do: []string{
			"Wet your hands and the mat. Keep the fish low, over the mat.",
			"Hold the hook by its shank and turn it out. Deeper in? Slide the disgorger down the tight line and push.",
			"Too deep? Cut the line close, and let the hook be.",
			"Hold the fish in the water, head up the river, until it swims off.",
		},
		Why:  "Dry hands take off the slime that keeps a fish well.",
		Done: "It swam off by itself.",
		Draw: unhookDrawing(),
	}
}

func (w *writer) finger() Step {
	return Step{
		Key: "finger", Title: "A hook in a finger", Care: true,
		Do: []string{
			"Stop. Do not pull. Tell your grown-up, and cut the line.",
			"In or near an eye, in the face, or in past the barb: leave it in, cover it, and go to a doctor.",
			"No barb and just under the skin? A grown-up can back it out the way it went in.",
			"Wash it, and put a plaster on.",
		},
		Why:  "A pull makes it worse. A dirty hook can make you ill, so ask a doctor if your jabs are up to date.",
		Done: "I know what to do, and who to tell.",
		Draw: fingerDrawing(),
	}
}

func (w *writer) away() Step {
	return Step{
		Key: "away", Title: "Put it all away", Care: true,
		Do: []string{
			"Wind in. Put the hook back in its packet first, then the float in its tube.",
			"Take the rod down before you walk. Look at the float: is it cracked or bent?",
			"Take home each bit of line and each shot. Cut waste line small.",
			"Wash your hands, and tell them at home that you are back.",
		},
		Why:  "Line left on a bank kills birds.",
		Done: "The bank looks as if I had not been here.",
		Draw: awayDrawing(),
	}
}
