package rig

import (
	"cmp"
	"fmt"
	"slices"
)

// kin are a pattern's rigs in one size, for each of the waters that takes it.
type kin struct {
	members []*member
	reach   []waterSet // by member: the waters its rig is thought to serve
	lines   map[[2]string]int
}

// member is the rig for one of the waters, built when it is asked for.
type member struct {
	water     int
	offer     offer
	load      string // its weights, whatever their places
	olivettes string
	rig       *Rig
	err       error
	line      string // what is on its line and where
}

func (m *member) built(k Kit) (*Rig, error) {
	if m.rig == nil && m.err == nil {
		r, err := m.offer.rig(k)
		m.rig, m.err, m.line = &r, err, r.lineWords()
	}
	return m.rig, m.err
}

// lineWords are equal for rigs that [Diff] tells apart by nothing but float, main line,
// bait and depth. Where locking shot is goes with the depth.
func (r Rig) lineWords() string {
	out := fmt.Sprint(r.HookLengthM, r.HookLengthMM, r.HookLengthOf, r.HookSize, r.Barb)
	for _, w := range r.Weights {
		if w.Role == Lock {
			w.AtM, w.ToM = 0, 0
		}
		out += fmt.Sprint("|", w.Kind, w.Size, w.Material, w.Count, w.AtM, w.ToM, w.Role)
	}
	return out
}

// trust has each member reach those on the same main line with the same weights: to set
// every weight again, the depth and the hook length is one movement less than to tie it
// anew. Where the olivettes are the same and the shot is not the rigs are compared.
func (kn *kin) trust(waters int, k Kit) {
	kn.lines = map[[2]string]int{}
	for _, m := range kn.members {
		reach := newWaterSet(waters)
		for _, x := range kn.members {
			switch {
			case m.offer.tackle.mainMM != x.offer.tackle.mainMM || m.olivettes != x.olivettes:
			case m.load == x.load:
				reach.add(x.water)
			default:
				if _, ok := kn.hands(m, x, k); ok {
					reach.add(x.water)
				}
			}
		}
		kn.reach = append(kn.reach, reach)
	}
}

// hands is how many hand movements turn a member's rig into another's, false where that
// is to tie it anew. It is [turn], with what is on two lines compared once.
func (kn *kin) hands(m, x *member, k Kit) (int, bool) {
	from, e1 := m.built(k)
	to, e2 := x.built(k)
	if firstError(e1, e2) != nil || !sameMain(*from, *to) || m.olivettes != x.olivettes {
		return 0, false
	}
	key := [2]string{m.line, x.line}
	n, known := kn.lines[key]
	if !known {
		a, b := *from, *to
		a.SetM, b.SetM = a.HookLengthM, b.HookLengthM // no depth to set
		n = Diff(a, b).Hands()
		kn.lines[key] = n
	}
	n += depthMove(*from, *to).Hands()
	return n, n < to.hands()
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
	var best *member
	least := [2]int{}
	for i, m := range kn.members {
		if !waters.within(kn.reach[i]) {
			continue
		}
		n, ok := kn.handsToAll(i, waters, k)
		if !ok {
			continue
		}
		cost := [2]int{1, n}
		if waters.has(m.water) {
			cost[0] = 0
		}
		if best == nil || slices.Compare(cost[:], least[:]) < 0 {
			best, least = m, cost
		}
	}
	if best == nil {
		return tying{}, false
	}
	return kn.tieFrom(best, waters), true
}

// handsToAll is how many hand movements turn a member's rig into those for the waters
// given, one after another; false where it does not reach one.
func (kn *kin) handsToAll(i int, waters waterSet, k Kit) (sum int, all bool) {
	all = true
	for _, x := range kn.members {
		if !waters.has(x.water) {
			continue
		}
		n, ok := kn.hands(kn.members[i], x, k)
		if !ok {
			kn.reach[i].remove(x.water)
			all = false
		}
		sum += n
	}
	return sum, all
}

// tieFrom is a member's rig for the waters given, all of them built.
func (kn *kin) tieFrom(m *member, waters waterSet) tying {
	t := tying{from: m}
	for _, x := range kn.members {
		if waters.has(x.water) {
			t.into, t.turns = append(t.into, x), append(t.turns, turn(*m.rig, *x.rig))
		}
	}
	return t
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
