package rig

import (
	"cmp"
	"slices"
)

// change is how the weights of one rig become those of another.
type change struct {
	was, now laid
	slid     [][]piece // groups that slide, each piece with its ToM and new role
	roles    [][]Role
	off, on  []piece
	reset    []twice
	threads  bool // an olivette goes on or off
}

// twice is a weight opened and set again: as it was and as it will be.
type twice struct{ was, now piece }

// pairUp decides for every weight whether it stays, slides, is opened and set
// again, comes off or is new. On a new main line none stays.
func pairUp(was, now laid, newLine bool) change {
	c := change{was: was, now: now}
	var lines, locks []pair
	if !newLine {
		lines, locks = stays(was.line, now.line), lockStays(was.locks, now.locks)
		c.slide(lines)
	}
	off := append(left(was.line, lines, pair.old), left(was.locks, locks, pair.old)...)
	on := append(left(now.line, lines, pair.new), left(now.locks, locks, pair.new)...)
	c.lift(off, on)
	return c
}

func (p pair) old() int { return p.was }
func (p pair) new() int { return p.now }

// left are the weights in no pair.
func left(ps []piece, in []pair, side func(pair) int) []piece {
	var out []piece
	for i, p := range ps {
		if !slices.ContainsFunc(in, func(q pair) bool { return side(q) == i }) {
			out = append(out, p)
		}
	}
	return out
}

// lockStays pairs locking shot, which goes with the float.
func lockStays(was, now []piece) []pair {
	var out []pair
	used := make([]bool, len(now))
	for i, p := range was {
		for j, q := range now {
			if !used[j] && p.alike(q) {
				used[j] = true
				out = append(out, pair{i, j})
				break
			}
		}
	}
	return out
}

// slide keeps the groups of a line that move.
func (c *change) slide(ps []pair) {
	al := aligner{was: c.was.line, now: c.now.line}
	for _, run := range al.runs(ps) {
		if al.by(run[0]) == 0 {
			continue
		}
		var group []piece
		var roles []Role
		for _, p := range run {
			x := c.was.line[p.was]
			x.ToM = c.now.line[p.now].FromM
			x.step = al.by(p)
			group, roles = append(group, x), append(roles, c.now.line[p.now].Role)
		}
		c.slid, c.roles = append(c.slid, group), append(c.roles, roles)
	}
}

// lift pairs what is lifted with what is set, the same role first; an olivette is
// never opened.
func (c *change) lift(off, on []piece) {
	same := func(p, q piece) bool { return p.alike(q) && p.Role == q.Role }
	for _, like := range []func(p, q piece) bool{same, piece.alike} {
		off = slices.DeleteFunc(off, func(p piece) bool {
			j := slices.IndexFunc(on, func(q piece) bool { return p.Kind != Olivette && like(p, q) })
			if j < 0 {
				return false
			}
			c.reset = append(c.reset, twice{p, on[j]})
			on = slices.Delete(on, j, j+1)
			return true
		})
	}
	c.off, c.on = off, on
	isOlivette := func(p piece) bool { return p.Kind == Olivette }
	c.threads = slices.ContainsFunc(off, isOlivette) || slices.ContainsFunc(on, isOlivette)
}

// moves are the movements of the weights by their turn on the bank.
func (c change) moves() (off, slide, thread, reset, add Moves) {
	thread, add = c.added()
	return c.takenOff(), c.slides(), thread, c.resets(), add
}

// takenOff is shot first, then olivettes from the lowest.
func (c change) takenOff() Moves {
	out := gather(paired(c.off, c.off))
	for i := range out {
		m := &out[i]
		m.Kind, m.Hands = TakeOff, m.Count
		m.Whole = m.Count == c.was.count(m.Role)
		m.Below = m.of(Olivette) && len(c.reset) > 0
		for j := range m.Pieces {
			m.Pieces[j].ToM = 0
		}
	}
	slices.SortStableFunc(out, func(a, b Move) int { return cmp.Compare(a.turn(), b.turn()) })
	return out
}

// added are the olivettes threaded, the highest first for they go on over the end,
// and the shot pinched on.
func (c change) added() (thread, add Moves) {
	for _, m := range gather(paired(c.on, c.on)) {
		m.Kind, m.Hands = Add, m.Count
		m.Whole = m.Count == c.now.count(m.Role)
		for j := range m.Pieces {
			m.Pieces[j].FromM = 0
		}
		if m.of(Olivette) {
			m.Kind, m.Below = Thread, len(c.reset) > 0
			thread = append(thread, m)
			continue
		}
		add = append(add, m)
	}
	slices.Reverse(thread)
	return thread, add
}

// of says whether the weights are of a kind.
func (m Move) of(k Kind) bool { return len(m.Pieces) > 0 && m.Pieces[0].Kind == k }

// turn is shot first, then olivettes.
func (m Move) turn() int {
	if m.of(Olivette) {
		return 1
	}
	return 0
}

// slides are the groups that slide, in an order in which none runs into another:
// those that go up from the top, and then those that go down from the bottom.
func (c change) slides() Moves {
	var up, down Moves
	for i, group := range c.slid {
		if m := c.slideOf(group, c.roles[i]); m.ByM > 0 {
			up = append(up, m)
		} else {
			down = append(down, m)
		}
	}
	slices.Reverse(up)
	return append(up, down...)
}

func (c change) slideOf(group []piece, roles []Role) Move {
	m := Move{Kind: Slide, Hands: 1, Count: len(group), ByM: float64(group[0].step) / 20}
	m.Role, m.ToRole = mainRole(group), headRole(roles)
	in := map[Role]int{}
	for _, p := range group {
		m.Pieces = append(m.Pieces, p.Piece)
		in[p.Role]++
	}
	for r, n := range in {
		if n < c.was.count(r) {
			m.partly = append(m.partly, r)
		}
	}
	slices.Sort(m.partly)
	m.Size, m.Whole = oneSize(m.Pieces), len(m.partly) == 0
	return m
}

func (c change) resets() Moves {
	out := gather(c.reset)
	for i := range out {
		m := &out[i]
		m.Kind, m.Hands, m.Below = Reset, m.Count, c.threads
		m.Whole = m.Role == m.ToRole && m.Count == c.now.count(m.Role)
	}
	return out
}

func paired(was, now []piece) []twice {
	out := make([]twice, len(was))
	for i := range was {
		out[i] = twice{was[i], now[i]}
	}
	return out
}

// gather puts shot alike that goes from one role to one role together; olivettes
// go on and off one by one.
func gather(ts []twice) Moves {
	var out Moves
	for _, t := range ts {
		j := slices.IndexFunc(out, func(m Move) bool { return m.takes(t) })
		if j < 0 {
			j = len(out)
			out = append(out, Move{Size: t.was.Size, Role: t.was.Role, ToRole: t.now.Role})
		}
		p := t.was.Piece
		p.ToM = t.now.FromM
		out[j].Count++
		out[j].Pieces = append(out[j].Pieces, p)
	}
	return out
}

// takes says whether a weight is of the same move.
func (m Move) takes(t twice) bool {
	q := m.Pieces[0]
	return q.Kind != Olivette && m.Role == t.was.Role && m.ToRole == t.now.Role &&
		q.Kind == t.was.Kind && q.Size == t.was.Size && q.Material == t.was.Material
}

func (l laid) all() []piece { return slices.Concat(l.line, l.locks) }

func (l laid) count(r Role) int {
	n := 0
	for _, p := range l.all() {
		if p.Role == r {
			n++
		}
	}
	return n
}

// mainRole is what a group is called by: the bulk where it holds any of it.
func mainRole(group []piece) Role {
	var roles []Role
	for _, p := range group {
		roles = append(roles, p.Role)
	}
	return headRole(roles)
}

func headRole(roles []Role) Role {
	if slices.Contains(roles, Bulk) {
		return Bulk
	}
	return roles[0]
}
