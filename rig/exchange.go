package rig

import (
	"fmt"
	"math"
	"strings"
)

func floatMove(a, b Rig) Moves {
	if a.Name == b.Name {
		return nil
	}
	m := Move{Kind: ChangeFloat, Hands: 1, Was: a.Name, Now: b.Name}
	if a.Pattern == b.Pattern && a.Marking != "" && b.Marking != "" && a.Marking != b.Marking {
		m.Was, m.Now = a.Marking, b.Marking+" float"
	}
	return Moves{m}
}

func mainMove(a, b Rig) Moves {
	if sameMain(a, b) {
		return nil
	}
	return Moves{{Kind: ChangeMainLine, Hands: 1, Was: mainWords(a), Now: mainWords(b)}}
}

func mainWords(r Rig) string {
	s := "main line of " + mmWords(r.MainLineMM)
	if of := r.MainLineOf.or(ReelNylon); of != ReelNylon {
		s += " " + string(of)
	}
	if r.MainLine == "" {
		return s
	}
	return s + ", " + r.MainLine
}

// hookMoves change the hook length with its hook, or the hook alone.
func hookMoves(a, b Rig) Moves {
	was, now := hookName(a, b), hookName(b, a)
	if sameHookLength(a, b) {
		if was == now {
			return nil
		}
		return Moves{{Kind: ChangeHook, Hands: 1, Was: strings.TrimSuffix(was, " hook"), Now: now}}
	}
	if was == now {
		was, now = "", ""
	}
	return Moves{{Kind: ChangeHookLength, Hands: 1, Was: hookLengthWords(a, was), Now: "hook length of " + hookLengthWords(b, now)}}
}

// hookName is a rig's hook, with its barb where another's is otherwise.
func hookName(r, other Rig) string {
	if r.Barb == other.Barb || r.Barb == "" {
		return fmt.Sprintf("%d hook", r.HookSize)
	}
	return fmt.Sprintf("%d %s hook", r.HookSize, r.Barb)
}

func hookLengthWords(r Rig, hook string) string {
	s := fmt.Sprintf("%s of %s", lengthWords(r.HookLengthM), mmWords(r.HookLengthMM))
	if of := r.HookLengthOf.or(HookNylon); of != HookNylon {
		s += " " + string(of)
	}
	if hook != "" {
		s += " with " + article(hook)
	}
	return s
}

// depthMove is how far the float goes along the line: where the hook length
// changes it has to go even to be set as deep as before.
func depthMove(a, b Rig) Moves {
	along := (b.SetM - b.HookLengthM) - (a.SetM - a.HookLengthM)
	if math.IsNaN(along) || math.IsInf(along, 0) || math.Round(math.Abs(along)*100) < leastMoveM*100 {
		return nil
	}
	return Moves{{Kind: SetDepth, Hands: 1, ByM: b.SetM - a.SetM, ToM: b.SetM}}
}

func baitMove(a, b Rig) Moves {
	if a.Bait == b.Bait {
		return nil
	}
	return Moves{{Kind: ChangeBait, Was: a.Bait, Now: b.Bait}}
}

func holdMove(a, b Rig) Moves {
	was, now := shareWords(a.HoldBack), shareWords(b.HoldBack)
	if was == now {
		return nil
	}
	return Moves{{Kind: ChangeHoldBack, Was: was, Now: now}}
}
