package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Bounds of what a kit may hold: hooks by number, rods in feet.
const (
	kitHookLow, kitHookHigh = 1, 30
	kitRodLowFt             = 4
	kitRodHighFt            = 65
)

// validTackle says what is wrong with a kit's lines, hooks and rods.
func (k Kit) validTackle() error {
	for _, s := range k.MainLines {
		if err := s.check("main line"); err != nil {
			return err
		}
	}
	for _, s := range k.HookLengths {
		if err := s.check("hook length"); err != nil {
			return err
		}
	}
	for _, size := range k.Hooks {
		if err := inRange("hook size", float64(size), kitHookLow, kitHookHigh, ""); err != nil {
			return err
		}
	}
	for _, ft := range k.RodsFt {
		if err := inRange("rod", ft, kitRodLowFt, kitRodHighFt, "ft"); err != nil {
			return err
		}
	}
	return nil
}

// check says what is wrong with a spool held for a use.
func (s Spool) check(of string) error {
	if _, ok := lineFacts[s.Kind]; !ok {
		return fmt.Errorf("%s: %w", of, s.unknown())
	}
	if err := inRange(of+"'s diameter", s.DiameterMM, lineLowMM, lineHighMM, "mm"); err != nil || s.LabelKg == 0 {
		return err
	}
	return inRange(of+"'s label", s.LabelKg, lineLowKg, lineHighKg, "kg")
}

// tackleKey is equal for equal tackle and weighings; what is left open is not what
// is empty.
func (k Kit) tackleKey() string {
	return fmt.Sprint(k.weighedKey(), "|", listKey(k.MainLines, Spool.order), "|", listKey(k.HookLengths, Spool.order), "|",
		listKey(k.Hooks, cmp.Compare[int]), "|", listKey(k.RodsFt, cmp.Compare[float64]))
}

// listKey is equal for equal lists, whatever their order; nil is not none.
func listKey[T any](all []T, order func(a, b T) int) string {
	if all == nil {
		return "any"
	}
	return fmt.Sprintf("%q", fmt.Sprint(slices.SortedFunc(slices.Values(all), order)))
}

// lineOrder is what a line is rather taken of, all else being equal: nylon first.
var lineOrder = map[LineKind]int{HookNylon: 0, ReelNylon: 0, Fluorocarbon: 1, Braid: 2}

// order puts finer lines first, then nylon, then what has its label read, then the
// weaker.
func (s Spool) order(t Spool) int {
	unread := func(s Spool) int {
		if s.LabelKg == 0 {
			return 1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(s.DiameterMM, t.DiameterMM), cmp.Compare(lineOrder[s.Kind], lineOrder[t.Kind]),
		cmp.Compare(s.Kind, t.Kind), cmp.Compare(unread(s), unread(t)), cmp.Compare(s.LabelKg, t.LabelKg))
}

// nearest is the spool nearest in diameter to what is wanted; of two as near, the
// finer. There has to be one.
func nearest(spools []Spool, mm float64) Spool {
	off := func(s Spool) float64 { return math.Round(math.Abs(s.DiameterMM-mm) * 1e6) }
	return slices.MinFunc(spools, func(a, b Spool) int { return cmp.Or(cmp.Compare(off(a), off(b)), a.order(b)) })
}

// share is the strength of a hook length over a main line's: label over label, or
// chart over chart where either label was not read. It is not known where a line
// has neither.
func (s Spool) share(main Spool) (share float64, known bool) {
	if s.LabelKg == 0 || main.LabelKg == 0 {
		s.LabelKg, main.LabelKg = 0, 0
	}
	hook, e1 := s.Strength()
	over, e2 := main.Strength()
	if e1 != nil || e2 != nil {
		return 0, false
	}
	return hook.Ratio(over)
}

// lies is whether a line floats or sinks by what it is made of; empty for nylon,
// which is so near to water that grease decides.
func (k LineKind) lies() string {
	switch d := k.Density(); {
	case d.Low > 1.2:
		return "sinking"
	case d.High > 0 && d.High < 1:
		return "floating"
	}
	return ""
}

// sinkNPM is the weight in water of a metre of line of a diameter in mm, N; that
// of nylon for a kind that is not known, and negative for one that floats.
func (k LineKind) sinkNPM(mm float64) float64 {
	d := k.Density()
	if k == "" || d.High == 0 || k.lies() == "" {
		return nylonSinkNPM(mm)
	}
	return ((d.Low+d.High)/2 - 1) * 1000 * gravityMPS2 * math.Pi / 4 * mm * mm * 1e-6
}
