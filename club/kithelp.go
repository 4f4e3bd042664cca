package club

import (
	"fmt"

	"levelpeg/rig"
)

// KitHelp is which one thing more would make a kit right for the most of the waters
// somebody fishes.
type KitHelp struct {
	Club   Club
	Member Member
	Kit    MyKit
	Venues []Venue // whose waters were looked at
	Swims  int     // the different waters there, at their boards' latest levels
	Aids   []rig.Aid
	No     string // why nothing can be said, a sentence
}

// swimsMost is how many different waters are looked at: more tell nothing new.
const swimsMost = 250

// NewKitHelp looks at the run most likely to be fished at every peg of the venues that
// may be fished now. Tackle must have a kit.
func NewKitHelp(vs []VenuePegs, ask Ask) (*KitHelp, error) {
	h := &KitHelp{}
	if len(vs) > 0 {
		h.Club, h.Member = vs[0].Club, vs[0].Member
	}
	t := ask.Tackle.keptBy(h.Member)
	mine := t.MyKit()
	if mine == nil {
		h.No = "You have not said what you carry yet. Say it, and this tells what to add first."
		return h, nil
	}
	h.Kit = *mine
	kit, err := t.kit()
	if err != nil {
		return nil, err
	}
	waters, err := h.waters(vs, ask)
	if err != nil {
		return nil, err
	}
	if h.Swims = len(waters); h.Swims == 0 {
		h.No = "No water here can be answered for now, so there is nothing to weigh your kit against."
		return h, nil
	}
	if h.Aids, err = rig.Help(waters, ask.Aim, kit.Kit); err != nil {
		return nil, fmt.Errorf("club: help for a kit: %w", err)
	}
	return h, nil
}

// waters are the different waters of the venues.
func (h *KitHelp) waters(vs []VenuePegs, ask Ask) ([]rig.Water, error) {
	seen := map[rig.Water]bool{}
	var out []rig.Water
	for _, v := range vs {
		t, err := NewTonight(v, TonightAsk{Ask: Ask{Fits: ask.Fits, Aim: ask.Aim, Now: ask.Now}}, nil)
		if err != nil {
			return nil, err
		}
		h.Venues = append(h.Venues, v.Venue)
		for _, w := range t.Waters {
			if !seen[w.Water] && len(out) < swimsMost {
				seen[w.Water] = true
				out = append(out, w.Water)
			}
		}
	}
	return out, nil
}
