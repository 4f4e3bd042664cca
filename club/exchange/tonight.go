package exchange

import "levelpeg/club"

// Tonight is /venues/{venue}/tonight.json: the few rigs that cover a venue.
type Tonight struct {
	Venue    string    `json:"venue"`
	Gauge    Gauge     `json:"gauge"`
	LevelM   *float64  `json:"level_m"`
	Asked    bool      `json:"level_asked"`
	At       *string   `json:"at"`
	Range    *Figure   `json:"level_at_m"`
	Foreseen bool      `json:"level_is_foreseen"`
	WhyNot   string    `json:"no_level_because,omitempty"`
	Stops    []string  `json:"do_not_fish"`
	Cautions []string  `json:"cautions"`
	Wind     *Wind     `json:"wind"`
	Fish     string    `json:"fish,omitempty"`
	Bait     string    `json:"bait,omitempty"`
	Tackle   Tackle    `json:"shot"`
	NoRig    string    `json:"no_rig_because,omitempty"`
	Most     int       `json:"rigs_to_tie_at_most"`
	Fewest   int       `json:"rigs_that_serve_all"`
	Proven   bool      `json:"proven_fewest"`
	Close    bool      `json:"near_the_best_everywhere"`
	Rigs     []Tied    `json:"rigs"`
	Edges    []Edge    `json:"at_either_end_of_the_range"`
	Left     []PegWord `json:"not_served"`
	Shut     []PegWord `json:"may_not_be_fished"`
	Silent   []PegWord `json:"nothing_to_say_of"`
}

// Edge is what would be tied at one end of the level's range.
type Edge struct {
	LevelM float64  `json:"level_m"`
	Stops  []string `json:"do_not_fish"`
	Rigs   []string `json:"rigs"`
	Served int      `json:"served"`
	Of     int      `json:"of"`
}

// Tied is a rig to tie, and the pegs it serves.
type Tied struct {
	Rig    Rig      `json:"rig"`
	For    Swim     `json:"tied_for"`
	Serves []Served `json:"serves"`
}

// Swim is a run of a peg that may be fished.
type Swim struct {
	Peg   string  `json:"peg"`
	Run   string  `json:"run"`
	Depth *Figure `json:"depth_m"`
	Pace  *Figure `json:"pace_mps"`
	Guess bool    `json:"pace_is_a_guess"`
	Plumb bool    `json:"plumb_first"`
}

// Served is a swim, and what is done to the rig for it.
type Served struct {
	Swim
	SetM   float64  `json:"set_m"`
	How    string   `json:"how_well"`
	Better string   `json:"better_there,omitempty"`
	Do     []string `json:"do"`
}

// PegWord is a peg and a sentence about it.
type PegWord struct {
	Peg string `json:"peg"`
	Say string `json:"because"`
}

// NewTonight shapes the answer.
func NewTonight(t *club.Tonight) Tonight {
	blows, _ := t.Asked.Wind.On(club.Peg{})
	out := Tonight{Venue: t.Venue.Slug, Gauge: gauge(t.Standing), Asked: t.Level.Asked, Stops: stopTexts(t.Stops), Cautions: cautions(t.Cares),
		Fish: t.Asked.Aim.Fish, Bait: t.Asked.Aim.Bait, Most: t.Asked.Most, Fewest: t.Cover.Fewest, Proven: t.Cover.Exact, Close: t.Cover.Close, Tackle: tackle(t.Asked.Tackle), NoRig: t.No,
		Rigs: []Tied{}, Edges: []Edge{}, Left: []PegWord{}, Shut: pegWords(t.Shut), Silent: pegWords(t.Silent)}
	if t.Asked.Wind.Force > 0 {
		out.Wind = wind(t.Asked.Wind, blows)
		out.Wind.Blows = "" // each peg has its own
	}
	if t.Level.Known {
		out.LevelM = new(round(t.Level.LevelM, 3))
	}
	if !t.Level.At.IsZero() && !t.Level.Asked {
		out.At, out.Foreseen, out.WhyNot = stamp(t.Level.At), t.Level.Coming, t.Level.Why
		if t.Level.Known {
			out.Range = figure(t.Level.Range, 3)
		}
	}
	for i := range t.Cover.Rigs {
		tied := &t.Cover.Rigs[i]
		r := Tied{Rig: NewRig(&tied.Rig), For: swim(&t.Waters[tied.For]), Serves: []Served{}}
		for _, s := range tied.Serves {
			r.Serves = append(r.Serves, Served{swim(&t.Waters[s.Water]), round(s.To.SetM, 2), string(s.How), s.Better, orEmpty(s.Moves.Words())})
		}
		out.Rigs = append(out.Rigs, r)
	}
	for _, e := range t.Edges {
		edge := Edge{round(e.LevelM, 3), stopTexts(e.Stops), []string{}, e.Served, e.Of}
		for i := range e.Rigs {
			edge.Rigs = append(edge.Rigs, e.Rigs[i].Rig.Name)
		}
		out.Edges = append(out.Edges, edge)
	}
	for _, l := range t.Cover.Left {
		out.Left = append(out.Left, PegWord{t.Waters[l.Water].Label, l.Why})
	}
	return out
}

func swim(w *club.PegWater) Swim {
	return Swim{w.Label, w.Run.Slug, figure(w.Run.Depth, 3), figure(w.Run.Pace, 3), !w.Run.Timed, w.Unsure}
}

func pegWords(all []club.PegWord) []PegWord {
	out := []PegWord{}
	for _, w := range all {
		out = append(out, PegWord{w.Label, w.Say})
	}
	return out
}
