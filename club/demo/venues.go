package demo

import (
	"fmt"
	"time"

	"levelpeg/club"
)

// venueSpec is all that makes a venue what it is. Levels are on its gauge's datum.
type venueSpec struct {
	venue     club.Venue
	gaugeSlug string
	water     reach
	pegs      int
	halfPeg   int // the peg with an A after it; 0 for none
	leftFrom  int // order of the first peg on the left bank; 0 for none
	weirFrom  int // order of the first peg past the weir; 0 for none
	cautionM  float64
	hazards   []club.Hazard
	rules     []club.LevelRule
	access    map[string]string   // by peg label
	snags     map[string][]string // run names by peg label
	noMiddle  map[string]bool     // pegs too narrow or shaded to reach it
}

func venueSpecs() []venueSpec {
	return []venueSpec{sallowReach(), tansyMeadow(), cinderBend()}
}

func sallowReach() venueSpec {
	return venueSpec{
		venue: club.Venue{
			Slug: "sallow-reach", Name: "Sallow Reach", River: "Lathern",
			About: "Even, willow-lined water of middling pace, with glides between the bends. " +
				"Roach and dace all year, chub under the sallows, a few barbel on the gravel.",
			Access: "Park in the field by the five-bar gate on Sallow Lane; room for twenty. The code is in the " +
				"members' letter: shut the gate behind you. Pegs 1 to 4 are 100 m off on a firm path and take a " +
				"wheelchair; peg 26 is a 20 minute walk. Dogs on a lead, there is stock in the meadow.",
			CloseSeason: true, Open: true,
		},
		gaugeSlug: "teasel-bridge",
		water: reach{levelM: 0.95, loM: 1.2, hiM: 2.6, paceMPS: 0.55, roughness: 0.65,
			bearingDeg: 105, swingDeg: 34, bendPegs: 15, poolPegs: 6.3, bankM: 1.0},
		pegs: 26, halfPeg: 14,
		cautionM: 1.55,
		hazards: []club.Hazard{
			{Kind: club.PowerLine, PegLabel: "18", DistanceM: 8, Text: "A power line crosses the river right over this peg. " +
				"The peg is closed: do not stop or put a rod up here, and carry rods taken down."},
			{Kind: club.PowerLine, PegLabel: "17", DistanceM: 40, Text: "Power line 40 m downstream. Stay at the post, keep " +
				"30 m or more from the line, and carry rods taken down."},
			{Kind: club.PowerLine, PegLabel: "19", DistanceM: 45, Text: "Power line 45 m upstream. Stay at the post, keep " +
				"30 m or more from the line, and carry rods taken down past peg 18."},
			{Kind: club.SlipBank, PegLabel: "9", Text: "The clay steps are slippery after rain. Go down backwards, " +
				"with a hand free, or fish another peg."},
		},
		rules: []club.LevelRule{
			above("", 1.85, club.NoFishing, "The path from peg 10 down is under water."),
			above("", 1.55, club.Caution, "The lower steps are covered. Stand back from the edge and do not fish alone."),
			above("26", 1.45, club.Caution, "The plank to peg 26 gets wet. Look at it before you carry your tackle over."),
		},
		access: map[string]string{
			"1":   "Flat, firm and wide; takes a wheelchair.",
			"2":   "Flat, firm and wide; takes a wheelchair.",
			"3":   "Flat and firm; takes a wheelchair.",
			"4":   "Flat and firm; takes a wheelchair.",
			"9":   "Twelve clay steps down, slippery when wet.",
			"14A": "Between 14 and 15, behind the big sallow; room for one.",
			"18":  "Under the power line. Closed.",
			"26":  "Over a plank bridge at the ditch.",
		},
		snags: map[string][]string{
			"6": {inside}, "7": {inside, rodLength}, "14A": {inside}, "15": {inside, rodLength}, "22": {middle}, "23": {inside},
		},
		noMiddle: map[string]bool{"7": true, "14A": true, "15": true},
	}
}

func tansyMeadow() venueSpec {
	return venueSpec{
		venue: club.Venue{
			Slug: "tansy-meadow", Name: "Tansy Meadow", River: "Lathern",
			About: "Deep and slow above the old weir, for bream, big roach and perch. The last four pegs are " +
				"below it: broken, livelier water with chub and barbel.",
			Access: "Park on the hard standing by the barn, never in the lane. Through the kissing gate and 300 m along " +
				"the flood bank; a barrow gets through by the side gate. Pegs 2 and 3 have boards for a wheelchair. " +
				"No dogs from April to July, when the birds nest.",
			CloseSeason: true, Open: true,
		},
		gaugeSlug: "teasel-bridge",
		water: reach{levelM: 0.95, loM: 2.0, hiM: 3.5, paceMPS: 0.36, roughness: 0.6,
			bearingDeg: 140, swingDeg: 22, bendPegs: 19, poolPegs: 8.5, bankM: 1.1},
		pegs: 22, weirFrom: 19,
		cautionM: 1.50,
		hazards: []club.Hazard{
			{Kind: club.DeepEdge, Text: "It is two metres deep or more a rod length out nearly all the way to the weir, and the bank is " +
				"undercut in places. Sit back from the edge; juniors fish with an adult beside them and a life jacket on."},
			{Kind: club.SlipBank, PegLabel: "20", Text: "Spray keeps the stone apron wet and green. Keep off it; fish from the grass."},
			{Kind: club.OtherRisk, PegLabel: "19", Text: "The old weir is just upstream. Keep off its wall, and never wade here."},
		},
		rules: []club.LevelRule{
			above("", 1.80, club.NoFishing, "The meadow floods behind you and cuts the way back."),
			above("", 1.50, club.Caution, "The edge cannot be seen in places. Keep well back, and leave if it is rising."),
			aboveFrom("19", "22", 1.60, club.NoFishing, "The steps below the weir are under water."),
		},
		access: map[string]string{
			"2":  "Boarded, with a kerb; takes a wheelchair.",
			"3":  "Boarded, with a kerb; takes a wheelchair.",
			"12": "Narrow gap in the reeds; leave the reeds standing.",
			"19": "Below the weir, down eight stone steps with a rail.",
			"20": "From the steps at 19, along the foot of the bank.",
		},
		snags: map[string][]string{
			"5": {inside}, "11": {inside, rodLength}, "16": {twoRods}, "21": {inside}, "22": {inside, rodLength},
		},
		noMiddle: map[string]bool{"22": true},
	}
}

func cinderBend() venueSpec {
	return venueSpec{
		venue: club.Venue{
			Slug: "cinder-bend", Name: "Cinder Bend", River: "Quenning",
			About: "Quick, shallow and stony, in sharp bends, with a pool on each. Dace and grayling in the runs, " +
				"chub under the alders. It rises and clears within a day.",
			Access: "Park in the lay-by on Cinder Lane; six cars at most, so share. Over the stile and down the field edge, " +
				"rough and steep: not fit for a wheelchair. Pegs 1 to 11 are on the right bank, 12 to 18 on the left over the " +
				"footbridge. Dogs welcome if they keep out of the water.",
			CloseSeason: true, Open: true,
		},
		gaugeSlug: "cinder-lane",
		water: reach{levelM: 0.40, loM: 0.6, hiM: 1.6, paceMPS: 0.70, roughness: 0.95,
			bearingDeg: 20, swingDeg: 58, bendPegs: 9, poolPegs: 4.6, bankM: 0.85},
		pegs: 18, leftFrom: 12,
		cautionM: onCinderBoard(0.70),
		hazards: []club.Hazard{
			{Kind: club.Wading, Text: "Do not wade over the knee, and not at all when it is rising: the stones roll and the pools " +
				"drop off at once. Fifteen centimetres of fast water can knock you over. Never wade alone."},
			{Kind: club.DeepEdge, PegLabel: "6", Text: "The bank is undercut on the bend, over deep water. Stand a long step back from the edge."},
		},
		rules: []club.LevelRule{
			above("", onCinderBoard(0.90), club.NoFishing, "The footbridge steps go under."),
			above("", onCinderBoard(0.70), club.Caution, "It comes up fast from here. Fish near the footbridge, and no wading at all."),
		},
		access: map[string]string{
			"1":  "By the stile; the shortest walk.",
			"6":  "Undercut bank: keep a long step back.",
			"12": "First peg over the footbridge.",
			"18": "By the boundary post; nothing below it is ours.",
		},
		snags: map[string][]string{
			"4": {inside}, "6": {inside, rodLength}, "13": {inside}, "17": {inside},
		},
		noMiddle: map[string]bool{"3": true, "6": true, "10": true, "15": true},
	}
}

// onCinderBoard turns what the present board at Cinder Lane shows, which is what a
// notice there has to say, into a level on the datum.
func onCinderBoard(levelM float64) float64 { return levelM + cinderReplacedM }

func above(label string, levelM float64, effect club.Effect, text string) club.LevelRule {
	return club.LevelRule{FromLabel: label, ToLabel: label, AboveM: &levelM, Effect: effect, Text: text}
}

// aboveFrom is a rule for a span of pegs.
func aboveFrom(from, to string, levelM float64, effect club.Effect, text string) club.LevelRule {
	return club.LevelRule{FromLabel: from, ToLabel: to, AboveM: &levelM, Effect: effect, Text: text}
}

// closures are the venue's, by slug: one standing, one past and one to come.
func closures(cal calendar, venueSlug string) []club.Closure {
	switch venueSlug {
	case "sallow-reach":
		return []club.Closure{{FromLabel: "18", ToLabel: "18", From: cal.daysAgo(212, 9), SetBy: ruth,
			Reason: "Under the power line; closed until the line is moved or the post is."}}
	case "tansy-meadow":
		return []club.Closure{{FromLabel: "19", ToLabel: "22", From: cal.daysAgo(290, 7), To: cal.daysAgo(256, 18), SetBy: alan,
			Reason: "Weir wall under repair; no way past the steps."}}
	case "cinder-bend":
		return []club.Closure{{FromLabel: "12", ToLabel: "18", From: cal.daysAgo(-21, 7), To: cal.daysAgo(-23, 18), SetBy: dilys,
			Reason: "Work party on the footbridge; the left bank is shut. Hands welcome."}}
	}
	return nil
}

// labels are what the posts say, in order downstream.
func (v venueSpec) labels() []string {
	var out []string
	for n := 1; n <= v.pegs; n++ {
		out = append(out, fmt.Sprint(n))
		if n == v.halfPeg {
			out = append(out, fmt.Sprint(n)+"A")
		}
	}
	return out
}

// closed says whether a closure that names this one peg or a span of numbered pegs
// held at t.
func (v venueSpec) closed(c club.Closure, label string, t time.Time) bool {
	if t.Before(c.From) || !c.To.IsZero() && !t.Before(c.To) {
		return false
	}
	in := false
	for _, l := range v.labels() {
		in = in || l == c.FromLabel
		if l == label {
			return in
		}
		in = in && l != c.ToLabel
	}
	return false
}
