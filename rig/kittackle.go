package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// How far a line may be from the diameter wanted and still do for it, mm (ours, from
// memory: a size or two as lines are sold).
const (
	hookLengthNearMM = 0.02
	mainNearMM       = 0.04
)

// from is a plan with the lines of a kit, where it says which it holds, in place of
// those its pattern asks for.
func (pl plan) from(k Kit) plan {
	if k.HookLengths == nil && k.MainLines == nil {
		return pl
	}
	hook := Spool{Kind: HookNylon, DiameterMM: pl.tackle.hookLengthMM}
	if k.HookLengths != nil {
		hook = pl.tackle.hookLengthFrom(k.HookLengths, hook)
	}
	asked := reelLineFor(pl.Pattern, chartKg(hook))
	pl.tackle.takeMain(Spool{Kind: ReelNylon, DiameterMM: asked})
	if k.MainLines != nil {
		pl.mainFrom(k.MainLines, hook, asked)
	}
	return pl
}

// chartKg is a hook length's strength by a chart, by its label where no chart can
// say, and nylon's as thick where neither can.
func chartKg(s Spool) float64 {
	if got, err := (Spool{Kind: s.Kind, DiameterMM: s.DiameterMM}).Strength(); err == nil {
		return got.Kg
	}
	if s.LabelKg > 0 {
		return s.LabelKg
	}
	return nylonKg(s.DiameterMM)
}

// taken is a spool as a rig carries it; what is usual is left empty.
func (s Spool) taken(usual LineKind) (of LineKind, kg float64, by Basis) {
	got, _ := s.Strength() // braid whose label was not read: 0
	if s.Kind != usual {
		of = s.Kind
	}
	if got.By == ByLabel {
		by = ByLabel
	}
	return of, got.Kg, by
}

func (t *tackle) takeMain(s Spool) {
	t.mainMM, t.mainLies = s.DiameterMM, s.Kind.lies()
	t.mainOf, t.mainKg, t.mainBy = s.taken(ReelNylon)
}

// hookLengthFrom takes the hook length nearest the one asked for of those held, and
// says where it is a poor stand-in.
func (t *tackle) hookLengthFrom(held []Spool, asked Spool) Spool {
	if len(held) == 0 {
		t.want(WantHookLength, "You have no hook lengths: this rig asks for one of %s.", mmWords(asked.DiameterMM))
		return asked
	}
	s := nearest(held, asked.DiameterMM)
	t.hookLengthMM = s.DiameterMM
	t.hookLengthOf, t.hookLengthKg, t.hookLengthBy = s.taken(HookNylon)
	switch off := s.DiameterMM - asked.DiameterMM; {
	case off > hookLengthNearMM+1e-9:
		t.want(WantHookLength, "You have no hook length near %s: %s is the %s you carry; it will show more and the fish may see it.", mmWords(asked.DiameterMM), mmWords(s.DiameterMM),
			end("finest", held, func(q Spool) bool { return q.DiameterMM < s.DiameterMM }))
	case off < -hookLengthNearMM-1e-9:
		t.want(WantHookLength, "You have no hook length near %s: %s is the %s you carry; it is weaker, and a good fish may break it.", mmWords(asked.DiameterMM), mmWords(s.DiameterMM),
			end("stoutest", held, func(q Spool) bool { return q.DiameterMM > s.DiameterMM }))
	}
	return s
}

// end is the word for a spool beyond which there is none, and "nearest" otherwise.
func end(word string, spools []Spool, beyond func(Spool) bool) string {
	if slices.ContainsFunc(spools, beyond) {
		return "nearest"
	}
	return word
}

func (t *tackle) want(what, format string, a ...any) {
	t.wants = append(t.wants, Want{what, fmt.Sprintf(format, a...)})
}

// mainFrom takes a main line of those held, and says where it is a poor stand-in.
func (pl *plan) mainFrom(held []Spool, hook Spool, asked float64) {
	if len(held) == 0 {
		pl.tackle.want(WantMainLine, "You have no main line: this rig asks for a %s one of %s.", pl.mainLine, mmWords(asked))
		return
	}
	s := pl.pickMain(held, hook, asked)
	pl.tackle.takeMain(s)
	share, known := hook.share(s)
	switch lies := s.Kind.lies(); {
	case lies == "sinking" && pl.mainLine == "floating":
		pl.tackle.want(WantMainLine, "You have no main line that floats and is strong enough: %s of %s sinks, and is hard to lift off the water and mend.", s.Kind, mmWords(s.DiameterMM))
	case lies == "floating" && pl.mainLine == "sinking":
		pl.tackle.want(WantMainLine, "You have no main line that sinks and is strong enough: %s of %s floats, and the wind will drag it.", s.Kind, mmWords(s.DiameterMM))
	case known && !tenthStronger(share):
		pl.tackle.want(WantMainLine, "You have no main line a tenth stronger than the hook length: this rig asks for a reel line of %s.", mmWords(asked))
	case s.DiameterMM > asked+mainNearMM+1e-9:
		pl.tackle.want(WantMainLine, "You have no main line near %s: %s is the nearest you carry; it catches more water and asks for a heavier float.",
			mmWords(asked), mmWords(s.DiameterMM))
	}
}

func tenthStronger(share float64) bool { return share*stronger <= 1+1e-9 }

// pickMain is the main line nearest in diameter to the one asked for of those that
// lie as the pattern wants and are a tenth stronger than the hook length; else of
// those strong enough, since a main line that breaks leaves float and shot on a
// fish; else the strongest, one that lies right if there is one.
func (pl *plan) pickMain(held []Spool, hook Spool, asked float64) Spool {
	right := only(held, func(s Spool) bool { l := s.Kind.lies(); return l == "" || l == pl.mainLine })
	strong := func(s Spool) bool { share, known := hook.share(s); return known && tenthStronger(share) }
	for _, of := range [][]Spool{only(right, strong), only(held, strong)} {
		if len(of) > 0 {
			return nearest(of, asked)
		}
	}
	if len(right) > 0 {
		return strongest(right, hook)
	}
	return strongest(held, hook)
}

func only(spools []Spool, ok func(Spool) bool) []Spool {
	return slices.DeleteFunc(slices.Clone(spools), func(s Spool) bool { return !ok(s) })
}

// strongest is the main line a hook length is weakest beside; one whose strength is
// not known comes last.
func strongest(spools []Spool, hook Spool) Spool {
	weight := func(s Spool) float64 {
		if share, known := hook.share(s); known {
			return share
		}
		return math.Inf(1)
	}
	return slices.MinFunc(spools, func(a, b Spool) int { return cmp.Or(cmp.Compare(weight(a), weight(b)), a.order(b)) })
}
