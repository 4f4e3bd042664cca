package rig

import (
	"fmt"
	"math"
	"slices"
)

// leastMoveCM is the least change of depth worth making: nobody sets a float to
// the centimetre (common practice, no source).
const leastMoveCM = 5

// Change says in plain words the hand movements that turn one rig into another,
// in the order they are made: float, lines, hook, weights, depth, hold-back.
// Empty where nothing changes.
func Change(from, to Rig) []string {
	var out []string
	if from.Name != to.Name {
		out = append(out, floatChange(from, to))
	}
	out = append(out, lineChange(from, to)...)
	out = append(out, weightChange(from, to)...)
	if cm := math.Round((to.SetM - from.SetM) * perCent); cm >= leastMoveCM {
		out = append(out, fmt.Sprintf("set it %s deeper", lengthWords(cm/perCent)))
	} else if cm <= -leastMoveCM {
		out = append(out, fmt.Sprintf("set it %s shallower", lengthWords(-cm/perCent)))
	}
	if from.HoldBack != to.HoldBack {
		out = append(out, fmt.Sprintf("hold back %s, not %s", shareWords(to.HoldBack), shareWords(from.HoldBack)))
	}
	return out
}

func floatChange(from, to Rig) string {
	if from.Pattern == to.Pattern {
		return fmt.Sprintf("%s float for the %s", to.Marking, from.Marking)
	}
	return fmt.Sprintf("%s for the %s", to.Name, from.Name)
}

func lineChange(from, to Rig) []string {
	var out []string
	if from.MainLineMM != to.MainLineMM || from.MainLine != to.MainLine {
		out = append(out, fmt.Sprintf("main line of %s, %s, for the %s", mmWords(to.MainLineMM), to.MainLine, mmWords(from.MainLineMM)))
	}
	if from.HookLengthMM != to.HookLengthMM || from.HookLengthM != to.HookLengthM {
		out = append(out, fmt.Sprintf("hook length of %s of %s for the %s of %s", lengthWords(to.HookLengthM),
			mmWords(to.HookLengthMM), lengthWords(from.HookLengthM), mmWords(from.HookLengthMM)))
	}
	if from.HookSize != to.HookSize {
		out = append(out, fmt.Sprintf("%d hook for the %d", to.HookSize, from.HookSize))
	}
	if from.Bait != to.Bait {
		out = append(out, fmt.Sprintf("%s for the %s", to.Bait, from.Bait))
	}
	return out
}

// part is the weights of one size in one role.
type part struct {
	size string
	kind Kind
	mat  Material
	role Role
}

// lies is how many of a part there are and where.
type lies struct {
	n        int
	from, to float64
}

// parts are a rig's weights by size and role, in order from the hook up.
func parts(r Rig) ([]part, map[part]lies) {
	var order []part
	at := map[part]lies{}
	for _, w := range r.Weights {
		p := part{w.Size, w.Kind, w.Material, w.Role}
		l, ok := at[p]
		if !ok {
			order = append(order, p)
			l.from = w.AtM
		}
		l.n += w.Count
		l.to = w.ToM
		at[p] = l
	}
	return order, at
}

// weightChange takes off, then adds, then moves.
func weightChange(from, to Rig) []string {
	old, was := parts(from)
	now, is := parts(to)
	var off, on, moved []string
	for _, p := range old {
		if n := was[p].n - is[p].n; n > 0 {
			off = append(off, "take "+p.some(n)+" off "+p.place())
		}
	}
	for _, p := range now {
		a, b := was[p], is[p]
		if n := b.n - a.n; n > 0 {
			on = append(on, "add "+p.some(n)+" to "+p.place()+p.at(a, b))
		} else if (a.from != b.from || a.to != b.to) && p.role != Lock {
			moved = append(moved, "move "+p.all()+" to "+b.words())
		}
	}
	return slices.Concat(off, on, moved)
}

func (p part) some(n int) string {
	if p.kind == Olivette {
		return "the " + p.size + " olivette"
	}
	return countOf(n, p.size)
}

func (p part) place() string {
	switch p.role {
	case Dropper:
		return "the droppers"
	case Stop:
		return "the olivette's stops"
	case Spare:
		return "the spare shot"
	case Strung:
		return "the string"
	case Lock:
		return "the float"
	}
	return "the bulk"
}

// at says where a part that was added to now lies, where that is news.
func (p part) at(was, is lies) string {
	if p.role == Lock || was.n > 0 && was.from == is.from && was.to == is.to {
		return ""
	}
	return ", " + is.words()
}

func (p part) all() string {
	if p.role == Bulk || p.role == Strung {
		return p.place() + "'s " + p.size
	}
	return p.place()
}

func (l lies) words() string {
	if l.to > l.from {
		return fmt.Sprintf("%s to %s above the hook", lengthWords(l.from), lengthWords(l.to))
	}
	return fmt.Sprintf("%s above the hook", lengthWords(l.from))
}
