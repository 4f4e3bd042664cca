package club

import (
	"slices"
	"time"

	"levelpeg/hydro"
	"levelpeg/rig"
)

// OwnSheet answers for a water that a person gives, with no peg and no book.
type OwnSheet struct {
	Club   Club
	Member Member
	Now    time.Time
	Loc    *time.Location
	Own    Own
	Wind   Breeze
	Aim    rig.Aim
	Tackle Tackle
	Hold   *int
	// Lacks says what has to be given yet, a sentence; empty where there is enough.
	Lacks  string
	Water  rig.Water
	Pace   hydro.Figure
	Cares  []Care
	Doubts []string
	Answer Answer
	Hang   *Hang    // of the first rig; nil where there is none
	Fuller *rig.Rig // what a full box would have, where the reader's own kit has none
}

// NewOwnSheet answers for the water in ask.Own. It fails with club.Invalid for a
// water, a wind, tackle or a hold-back that makes no sense.
func NewOwnSheet(c Club, m Member, ask Ask, rigs Rigs) (*OwnSheet, error) {
	loc, err := c.Zone()
	if err != nil {
		return nil, err
	}
	s := &OwnSheet{Club: c, Member: m, Now: ask.Now, Loc: loc, Own: ask.Own, Wind: ask.Wind, Aim: ask.Aim, Tackle: ask.Tackle.keptBy(m), Hold: ask.Hold}
	if err := ask.check(); err != nil {
		return nil, err
	}
	if _, point := PointByName(ask.Wind.From); point {
		return nil, Faultf(Invalid, "Without a peg nobody knows which way the river runs: say where the wind blows as you stand, such as in your face.")
	}
	kit, err := s.Tackle.kit()
	if err != nil {
		return nil, err
	}
	s.Cares = s.cares()
	pace, paced := ask.Own.paceRange()
	if s.Lacks = lacking(ask.Own, paced); s.Lacks != "" {
		return s, nil
	}
	s.Pace, s.Water = pace, ask.Own.water(pace.Mid, ask.Wind)
	return s, s.answer(rigs, kit)
}

func lacking(o Own, paced bool) string {
	switch {
	case o.DepthM == nil && !paced:
		return "Give the depth and how fast it runs, and the rig for it stands here."
	case o.DepthM == nil:
		return "Give the depth as well."
	case !paced && o.Feel != "":
		return "Slower or faster than what is known only at a peg: give the pace, or time it."
	case !paced:
		return "Give the pace as well, or time a float: ten seconds or more."
	}
	return ""
}

// water is what was found, a rod length out in smooth water where nothing else was said.
func (o Own) water(paceMPS float64, wind Breeze) rig.Water {
	w := rig.Water{DepthM: *o.DepthM, PaceMPS: paceMPS, DistanceM: usualOutM}
	if o.Boil != nil {
		w.Boil = *o.Boil
	}
	if o.OutM != nil {
		w.DistanceM = *o.OutM
	}
	if wind.Force > 0 {
		w.Wind, w.WindForce = rig.Wind(wind.From), wind.Force
	}
	return w
}

func (s *OwnSheet) answer(rigs Rigs, kit Kit) error {
	var up *rig.Water
	if unfishable(s.Water) == "" {
		w, _ := rig.RiverUp.Of(s.Water, s.Aim)
		up = &w
	}
	var err error
	if s.Answer, err = rigs.Answer(&s.Water, up, s.Aim, kit); err != nil {
		return err
	}
	if len(s.Answer.Rigs) == 0 {
		s.Fuller, err = fuller(s.Tackle, rigs, &s.Water, s.Aim)
		return err
	}
	if s.Own.TimedS > 0 && s.Own.TimedS < roughTimedS {
		s.Doubts = append(s.Doubts, roughlyTimed)
	}
	s.Hang, err = hang(&s.Answer.Rigs[0], s.Answer.For, s.Hold)
	return err
}

// cares are the usual cautions where nothing is known of the place.
func (s *OwnSheet) cares() []Care {
	out := []Care{{"No water is named", "So nothing is known of closures, rules or dangers there. Look up for power lines and keep 30 m away, stay out of floods, and go by the club's rules and the byelaws."}}
	if InCloseSeason(s.Now, s.Loc) {
		out = slices.Insert(out, 0, Care{"Close season", "No coarse fishing on rivers from 15 March to 15 June. Check the byelaws of the water before you go."})
	}
	return out
}
