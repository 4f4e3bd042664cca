package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Words say them, in order, with shot of several sizes that goes on in one place,
// or comes off one, said together: "add three No.1 and two No.8 to the bulk".
func (ms Moves) Words() []string {
	var out []string
	for i := 0; i < len(ms); {
		some := []string{ms[i].some()}
		j := i + 1
		for ; j < len(ms) && ms[i].saidWith(ms[j]); j++ {
			some = append(some, ms[j].some())
		}
		out = append(out, ms[i].words(joined(some)))
		i = j
	}
	return out
}

// saidWith says whether another move needs no words but its weights.
func (m Move) saidWith(n Move) bool {
	return (m.Kind == Add || m.Kind == TakeOff) && m.Kind == n.Kind && m.Role == n.Role &&
		!m.of(Olivette) && !n.of(Olivette) && (m.Kind == TakeOff || m.at() == n.at())
}

// Words say a move: "add two No.8 to the bulk".
func (m Move) Words() string { return m.words(m.some()) }

// words say a move of some weights.
func (m Move) words(some string) string {
	switch m.Kind {
	case TakeOff:
		return "take " + some + " off " + m.Role.place() + m.belowFirst()
	case Thread:
		return "thread " + some + " on for the bulk, " + m.where()
	case Add:
		return "add " + some + " to " + m.Role.place() + m.at()
	case Slide:
		return m.slideWords()
	case Reset:
		return m.resetWords()
	case SetDepth:
		return m.depthWords()
	case ChangeHoldBack:
		return fmt.Sprintf("hold back %s, not %s", m.Now, m.Was)
	}
	return fmt.Sprintf("%s for the %s", m.Now, m.Was)
}

// some is the weights with their number: "two No.8", "the 4 g olivette".
func (m Move) some() string {
	if m.of(Olivette) && m.Count == 1 {
		return "the " + m.Size + " olivette"
	}
	return countOf(m.Count, m.Size)
}

func (m Move) belowFirst() string {
	if m.Below {
		return ", the shot below it opened first"
	}
	return ""
}

// places are where the weights come to lie, lowest first, each named once.
func (m Move) places() []string {
	var at []float64
	for _, p := range m.Pieces {
		at = append(at, p.ToM)
	}
	slices.Sort(at)
	var out []string
	for _, x := range at {
		if s := lengthWords(x); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// mostNamed is how many places are named one by one.
const mostNamed = 3

// where is where the weights come to lie: "at 30 cm and 75 cm above the hook".
func (m Move) where() string {
	ps := m.places()
	switch n := len(ps); {
	case n == 1:
		return fmt.Sprintf("%s above the hook", ps[0])
	case n > mostNamed || m.Whole:
		return fmt.Sprintf("between %s and %s above the hook", ps[0], ps[n-1])
	default:
		return joined(ps) + " above the hook"
	}
}

// at is where the weights then lie, where it has to be said.
func (m Move) at() string {
	if m.ToRole == Lock {
		return ""
	}
	return ", " + m.where()
}

func (m Move) slideWords() string {
	way := "up"
	if m.ByM < 0 {
		way = "down"
	}
	parts := m.byRole()
	what := parts[0].named()
	if len(parts) > 1 {
		var with []string
		for _, p := range parts[1:] {
			with = append(with, strings.TrimPrefix(p.named(), "olivette's "))
		}
		what += " with " + joined(with)
	}
	return fmt.Sprintf("%s %s %s, to %s", what, way, lengthWords(math.Abs(m.ByM)), parts[0].where())
}

// byRole is a slide's weights role by role, the one it is named by first, and
// of the others those that go whole. Each part is whole or not by itself.
func (m Move) byRole() []Move {
	roles := []Role{m.Role}
	for _, p := range m.Pieces {
		if !slices.Contains(roles, p.Role) {
			roles = append(roles, p.Role)
		}
	}
	var out []Move
	for _, r := range roles {
		part := Move{Kind: Slide, Role: r, ToRole: r, Whole: !slices.Contains(m.partly, r)}
		for _, p := range m.Pieces {
			if p.Role == r {
				part.Pieces = append(part.Pieces, p)
			}
		}
		part.Count, part.Size = len(part.Pieces), oneSize(part.Pieces)
		out = append(out, part)
	}
	slices.SortStableFunc(out[1:], func(a, b Move) int { return cmp.Compare(b.whole(), a.whole()) })
	return out
}

// whole is 1 for all the weights of a role and 0 for some.
func (m Move) whole() int {
	if m.Whole {
		return 1
	}
	return 0
}

// oneSize is the size of weights that are all of one, else empty.
func oneSize(ps []Piece) string {
	for _, p := range ps {
		if p.Size != ps[0].Size {
			return ""
		}
	}
	return ps[0].Size
}

// named is "droppers" for all of them, "two No.8 of the droppers" for some.
func (m Move) named() string {
	switch {
	case m.Whole:
		return m.Role.bare()
	case m.Size != "":
		return m.some() + " of " + m.Role.place()
	}
	return countOf(m.Count, "weights") + " of " + m.Role.place()
}

// joined is "a", "a and b", "a, b and c".
func joined(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

func (m Move) resetWords() string {
	switch {
	case m.put():
		return "set " + m.some() + " back where " + m.they() + " had been, " + m.where()
	case m.ToRole == Lock:
		return "open " + m.some() + m.from() + " and set " + m.them() + " at the float"
	case m.Role != m.ToRole:
		return "move " + m.some() + m.from() + " to " + m.ToRole.place() + m.at()
	case m.Whole && len(m.places()) == 1:
		return "move " + m.Role.place() + " to " + m.where()
	case m.Whole:
		return "space " + m.Role.place() + " afresh, " + m.where()
	case m.Count == 1:
		return fmt.Sprintf("move one %s of %s from %s to %s", m.Size, m.Role.place(), lengthWords(m.Pieces[0].FromM), m.where())
	}
	return "move " + m.some() + " of " + m.Role.place() + " to " + m.where()
}

// put says whether the weights only came off to let an olivette by.
func (m Move) put() bool {
	return m.Below && !slices.ContainsFunc(m.Pieces, func(p Piece) bool { return p.FromM != p.ToM })
}

func (m Move) from() string { return " from " + m.Role.place() }

func (m Move) them() string {
	if m.Count == 1 {
		return "it"
	}
	return "them"
}

func (m Move) they() string {
	if m.Count == 1 {
		return "it"
	}
	return "they"
}

func (m Move) depthWords() string {
	cm := math.Round(m.ByM * 100)
	switch {
	case cm >= leastMoveM*100:
		return fmt.Sprintf("set it %s deeper, at %s", lengthWords(cm/100), metreWords(m.ToM))
	case cm <= -leastMoveM*100:
		return fmt.Sprintf("set it %s shallower, at %s", lengthWords(-cm/100), metreWords(m.ToM))
	}
	return fmt.Sprintf("set it at %s again", metreWords(m.ToM))
}

// bare is what a role's weights are called.
func (r Role) bare() string {
	switch r {
	case Dropper:
		return "droppers"
	case Stop:
		return "olivette's stops"
	case Spare:
		return "spare shot"
	case Strung:
		return "string"
	case Lock:
		return "float"
	}
	return "bulk"
}

func (r Role) place() string { return "the " + r.bare() }
