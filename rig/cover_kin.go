package rig

import (
	"cmp"
	"slices"
)

// kin are a pattern's rigs in one size, for each of the waters that takes it.
type kin struct {
	members []*member
	reach   []waterSet // by member: the waters its rig is thought to serve
}

// member is the rig for one of the waters, built when it is asked for.
type member struct {
	water     int
	offer     offer
	load      string // its weights, whatever their places
	olivettes string
	rig       *Rig
	err       error
}

func (m *member) built(k Kit) (*Rig, error) {
	if m.rig == nil && m.err == nil {
		r, err := m.offer.rig(k)
		m.rig, m.err = &r, err
	}
	return m.rig, m.err
}

// trust has each member reach those on the same main line with the same weights: to set
// every weight again, the depth and the hook length is one movement less than to tie it
// anew. Where the olivettes are the same and the shot is not the rigs are compared.
func (kn *kin) trust(waters int, k Kit) {
	for _, m := range kn.members {
		reach := newWaterSet(waters)
		for _, x := range kn.members {
			switch {
			case m.offer.tackle.mainMM != x.offer.tackle.mainMM || m.olivettes != x.olivettes:
			case m.load == x.load:
				reach.add(x.water)
			default:
				if _, ok := m.turns(x, k); ok {
					reach.add(x.water)
				}
			}
		}
		kn.reach = append(kn.reach, reach)
	}
}

// turns is a member's rig turned to another's, by hand.
func (m *member) turns(x *member, k Kit) (Turn, bool) {
	from, e1 := m.built(k)
	to, e2 := x.built(k)
	if firstError(e1, e2) != nil {
		return Turn{}, false
	}
	t := turn(*from, *to)
	return t, !t.Tie
}

// tying is a rig to tie and what it becomes.
type tying struct {
	from  *member
	into  []*member
	turns []Turn
}

// tie has a rig of a kin for the waters given: of those that reach all of them, and are
// for one of them where one is, the one from which they are the fewest hand movements.
// What it finds not to be reached is trusted no more; false where nothing is left.
func (kn *kin) tie(waters waterSet, k Kit) (tying, bool) {
	var best tying
	least := [2]int{}
	for i, m := range kn.members {
		if !waters.within(kn.reach[i]) {
			continue
		}
		t, ok := kn.tieFrom(i, waters, k)
		if !ok {
			continue
		}
		cost := [2]int{1, t.hands()}
		if waters.has(m.water) {
			cost[0] = 0
		}
		if best.from == nil || slices.Compare(cost[:], least[:]) < 0 {
			best, least = t, cost
		}
	}
	return best, best.from != nil
}

// tieFrom is a member's rig for the waters given, false where it does not reach one.
func (kn *kin) tieFrom(i int, waters waterSet, k Kit) (tying, bool) {
	t, all := tying{from: kn.members[i]}, true
	for _, x := range kn.members {
		if !waters.has(x.water) {
			continue
		}
		turn, ok := t.from.turns(x, k)
		if !ok {
			kn.reach[i].remove(x.water)
			all = false
			continue
		}
		t.into, t.turns = append(t.into, x), append(t.turns, turn)
	}
	return t, all
}

func (t tying) hands() int {
	n := 0
	for _, turn := range t.turns {
		n += turn.Moves.Hands()
	}
	return n
}

// tie has the rigs of the chosen candidates, each for the waters it fits best of all the
// chosen; false where one of them cannot be had.
func (v *venue) tie(cs []candidate, p *coverProblem, chosen []int) ([]tying, bool) {
	var out []tying
	all := true
	for i, waters := range p.shared(chosen) {
		if waters.empty() {
			continue
		}
		t, ok := cs[chosen[i]].kin.tie(waters, v.kit)
		out, all = append(out, t), all && ok
	}
	return out, all
}

// tied is a rig to tie, its waters in the order they were given.
func (v *venue) tied(t tying) Tied {
	out := Tied{Rig: *t.from.rig, For: v.waters[t.from.water].given[0]}
	for i, m := range t.into {
		w := v.waters[m.water]
		s := Served{To: t.turns[i].To, Moves: t.turns[i].Moves}
		s.How, s.Better = howWell(s.Moves, v.behind(m), w.best)
		for _, s.Water = range w.given {
			out.Serves = append(out.Serves, s)
		}
	}
	slices.SortFunc(out.Serves, func(a, b Served) int { return cmp.Compare(a.Water, b.Water) })
	return out
}
