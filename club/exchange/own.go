package exchange

import (
	"levelpeg/club"
	"levelpeg/rig"
)

// Own is what a reader found on the peg; what is null is the book's.
type Own struct {
	DepthM  *float64 `json:"depth_m"`
	PaceMPS *float64 `json:"pace_mps"`
	Feel    string   `json:"pace_beside_the_book,omitempty"`
	Boil    *int     `json:"boil"`
	OutM    *float64 `json:"distance_m"`
}

func own(o club.Own) *Own {
	if o.IsZero() {
		return nil
	}
	out := &Own{DepthM: o.DepthM, Feel: string(o.Feel), Boil: o.Boil, OutM: o.OutM}
	if pace, ok := o.Measured(); ok {
		out.PaceMPS = new(round(pace, 3))
	}
	return out
}

// Wind is the wind that was given.
type Wind struct {
	From  string `json:"from"`
	Force int    `json:"force"`
	Blows string `json:"blows"`
}

func wind(b club.Breeze, blows rig.Wind) *Wind {
	if b.Force == 0 {
		return nil
	}
	return &Wind{b.From, b.Force, string(blows)}
}

// OwnSheet is /rig.json.
type OwnSheet struct {
	Own      *Own     `json:"own"`
	Wind     *Wind    `json:"wind"`
	Fish     string   `json:"fish,omitempty"`
	Bait     string   `json:"bait,omitempty"`
	Lacks    string   `json:"give_yet,omitempty"`
	Cautions []string `json:"cautions"`
	Doubts   []string `json:"doubts"`
	NoRig    string   `json:"no_rig_because,omitempty"`
	Tackle   Tackle   `json:"shot"`
	Rigs     []Rig    `json:"rigs"`
	Hang     *Hang    `json:"first_rig_hangs"`
	IfWind   *Change  `json:"if_wind_force_6"`
	IfRise   *Change  `json:"if_river_up_0_30_m"`
	IfFish   []Turned `json:"if_fish"`
}

// NewOwnSheet shapes a sheet of no peg.
func NewOwnSheet(s *club.OwnSheet) OwnSheet {
	out := OwnSheet{
		Own: own(s.Own), Wind: wind(s.Wind, rig.Wind(s.Wind.From)), Fish: s.Aim.Fish, Bait: s.Aim.Bait, Lacks: s.Lacks, Cautions: cautions(s.Cares),
		Doubts: orEmpty(s.Doubts), NoRig: s.Answer.No, Tackle: tackle(s.Tackle), Rigs: []Rig{}, Hang: hang(s.Hang), IfFish: []Turned{},
	}
	for i := range s.Answer.Rigs {
		out.Rigs = append(out.Rigs, NewRig(&s.Answer.Rigs[i]))
	}
	if len(out.Rigs) > 0 {
		out.IfWind, out.IfRise = change(s.Answer.IfWind), change(s.Answer.IfRise)
	}
	for _, t := range s.Answer.IfFish {
		out.IfFish = append(out.IfFish, Turned{string(t.When), orEmpty(t.Do)})
	}
	return out
}
