package demo

import (
	"time"

	"levelpeg/club"
)

// noteSpec is a note to be dated. Its levels are on the datum, 0 where it holds at any.
type noteSpec struct {
	peg       string
	days      int // ago
	by        string
	lowM      float64
	highM     float64
	isPrivate bool
	text      string
}

var noteSpecs = map[string][]noteSpec{
	"sallow-reach": {
		{"1", 61, graham, 0.60, 1.20, false, "Good peg to learn on. Even pace two rods out over gravel, and nothing to catch on. " +
			"Feed a few maggots every cast, a rod length above you."},
		{"3", 147, priya, 0.70, 1.30, false, "Roach sit just past the rod length line, where the clay turns to gravel. Run down it and slow the float a little at the end."},
		{"5", 33, joe, 0.60, 1.00, false, "Quick over stones past the middle. Dace all day on caster, but they come up in the water: keep the feed small."},
		{"6", 402, dilys, 0, 0, false, "Sallow roots all along the inside, and the big flood dug them out more. Fish past them; do not let a chub turn in."},
		{"7", 92, marta, 0.75, 1.40, false, "Chub under the tree on the inside. Feed above it and stop the float short of the branches. Strong hook length or leave them alone."},
		{"9", 18, alan, 0, 0, false, "Steps greasy again after the rain. I have cut the edges back; still go down backwards."},
		{"10", 380, graham, 0.70, 1.45, false, "A good bit deeper close in since the big flood. Plumb it again before you trust an old figure."},
		{"11", 27, priya, 0.80, 1.50, false, "Best when it carries a little colour. Barbel come on to the gravel two rods out at dusk. Land them quickly and hold them head upstream until they go."},
		{"12", 365, alan, 0, 0, false, "The flood left a bar of gravel from two rods out to the middle. It runs quicker over it now."},
		{"14", 74, joe, 0.60, 1.10, false, "Slack on the inside, smooth as a pond at low water. Small perch by the reed stems on a worm."},
		{"14A", 205, ruth, 0, 0, false, "Room for one. If somebody is on 14, ask before you go in."},
		{"14A", 40, priya, 0.70, 1.20, true, "Three chub from under the sallow, all in the first hour. Went dead once I fed too much."},
		{"16", 51, marta, 0.60, 1.00, false, "The quickest water on the reach. Shot down low, short hook length, and keep the rod up to hold the line off the current."},
		{"17", 120, alan, 0, 0, false, "Stay by the post. Upstream of it is fine, downstream brings you nearer the power line."},
		{"20", 12, dilys, 0.80, 1.50, false, "When it is up a foot this is where the roach go: steady on the crease two rods out while 22 to 24 race."},
		{"22", 8, graham, 0.60, 1.30, false, "Even gravel past the rod length line, so one depth does for the whole run. Sunk branch in the middle line, straight opposite the post: stop short of it."},
		{"26", 233, joe, 0.60, 1.20, false, "Worth the walk. Slow and deep past two rods, bream on bread after a mild night."},
	},
	"tansy-meadow": {
		{"2", 88, ruth, 0, 0, false, "Boards are sound and the kerb is new. There is a ring to tie a chair to; please use it."},
		{"4", 300, joe, 0.60, 1.20, false, "Came up shallower close in after the flood, soft silt. Fish a rod length further out than you used to."},
		{"6", 45, graham, 0.60, 1.40, false, "Enough pace to run a float through properly. Start two rods out, a little over depth, and hold back a touch."},
		{"9", 160, marta, 0.60, 1.10, false, "Bream line is two rods out, where it stops getting deeper. A few balls of feed at the start, then leave it alone."},
		{"10", 25, dilys, 0, 0, false, "Very deep at your feet here, well over two metres. Sit back from the edge, and no small children on their own."},
		{"11", 66, marta, 0.60, 1.20, true, "Perch by the sunk tree, last hour of light. Lost two rigs to it; ten paces upstream is enough."},
		{"16", 210, joe, 0.60, 1.30, false, "Something big lies on the bottom two rods out, a branch I think. Fish the rod length line or go right over it."},
		{"19", 30, alan, 0, 0, false, "Hold the rail on the steps. The level at the bridge says little about this side of the weir, so plumb it each time."},
		{"20", 55, priya, 0.70, 1.30, false, "Barbel on the edge of the broken water. Keep to the grass, the stones are green. A strong rig and a big net."},
	},
	"cinder-bend": {
		{"1", 80, graham, 0.25, 0.50, false, "Right place to learn to run a float: shallow, no snags. Dace on single maggot, a pinch of feed every cast."},
		{"4", 35, joe, 0.25, 0.60, false, "Boily past the rod length line. A thick float with its shot together rides it, a thin stick goes under."},
		{"6", 110, dilys, 0, 0, false, "Bank is hollow under the alder. Keep a long step back, and stand where the grass is short."},
		{"6", 48, priya, 0.30, 0.60, false, "Chub in the pool under the alder roots. Let the float go to within a rod length of them and no nearer."},
		{"10", 350, alan, 0, 0, false, "Pool dug out by the flood, deeper two rods out than the old figures say."},
		{"11", 20, marta, 0.25, 0.55, false, "Grayling at the tail of the glide in the frosts. Bait just off the bottom, and put them back in the net, not by hand."},
		{"13", 90, priya, 0.25, 0.50, true, "Dace so thick I ran out of maggots. Go in by the gap so nobody sees where."},
		{"15", 140, ellie, 0.25, 0.50, true, "My first grayling! Two maggots, size 16. Dad netted it."},
		{"16", 15, alan, 0.40, 0.80, false, "When it is up and clearing, the slacker water on the inside holds everything. Be ready to leave, it rises fast."},
	},
}

// notes are a peg's, oldest first.
func notes(cal calendar, venueSlug, label string) []club.Note {
	var out []club.Note
	for _, s := range noteSpecs[venueSlug] {
		if s.peg == label {
			out = append(out, s.note(cal))
		}
	}
	return out
}

func (s noteSpec) note(cal calendar) club.Note {
	n := club.Note{Posted: club.Posted{At: cal.openDay(cal.daysAgo(s.days, 18)), Author: s.by}, Text: s.text, Private: s.isPrivate}
	if s.highM > 0 {
		low, high := s.lowM, s.highM
		n.LowM, n.HighM = &low, &high
	}
	return n
}

// openDay moves a time out of the close season: on to its end where that is past,
// and otherwise back to the evening before it.
func (c calendar) openDay(t time.Time) time.Time {
	if !closeSeason(t) {
		return t
	}
	opens := time.Date(t.Year(), time.June, 16, t.Hour(), 0, 0, 0, time.UTC)
	if opens.Before(c.latest) {
		return opens
	}
	return time.Date(t.Year(), time.March, 14, t.Hour(), 0, 0, 0, time.UTC)
}
