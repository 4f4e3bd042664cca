package rig

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"testing"
)

// finite says which number in a value is none.
func finite(v reflect.Value, at string) error {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return fmt.Errorf("%s is %g", at, f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if err := finite(v.Field(i), at+"."+v.Type().Field(i).Name); err != nil {
				return err
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if err := finite(v.Index(i), fmt.Sprintf("%s[%d]", at, i)); err != nil {
				return err
			}
		}
	}
	return nil
}

// fromKit holds a rig to the kit it is tied from: what it takes is held, or is said
// to be wanted.
func fromKit(r Rig, k Kit) error {
	t := r.Tackle()
	held := func(spools []Spool, s Spool) bool {
		return slices.ContainsFunc(spools, func(h Spool) bool {
			return h.Kind == s.Kind && h.DiameterMM == s.DiameterMM && (h.LabelKg == s.LabelKg || h.LabelKg == 0)
		})
	}
	in := func(low, high float64) bool { return slices.Contains(k.RodsFt, low) && slices.Contains(k.RodsFt, high) }
	switch {
	case k.HookLengths != nil && !held(k.HookLengths, t.HookLength) && (len(k.HookLengths) > 0 || !r.wantsFor(WantHookLength)):
		return fmt.Errorf("hook length %+v is not held", t.HookLength)
	case k.MainLines != nil && !held(k.MainLines, t.Main) && (len(k.MainLines) > 0 || !r.wantsFor(WantMainLine)):
		return fmt.Errorf("main line %+v is not held", t.Main)
	case k.Hooks != nil && !slices.Contains(k.Hooks, r.HookSize) && (len(k.Hooks) > 0 || !r.wantsFor(WantHook)):
		return fmt.Errorf("hook %d is not held", r.HookSize)
	case k.RodsFt != nil && !in(r.RodFtLow, r.RodFtHigh) && (len(k.RodsFt) > 0 || !r.wantsFor(WantRod)):
		return fmt.Errorf("rods of %g to %g ft are not held", r.RodFtLow, r.RodFtHigh)
	case short(r) != (r.wantsFor(WantShot) || r.wantsFor(WantOlivette)):
		return fmt.Errorf("%g g short, and wants %+v", r.ShortG, r.Wants)
	case r.HookLengthKg == 0 != (t.HookLength.Kind == Braid && r.HookLengthBy == "") || r.MainLineKg == 0 != (t.Main.Kind == Braid && r.MainLineBy == ""):
		return fmt.Errorf("strengths %g and %g: %s", r.HookLengthKg, r.MainLineKg, r.HookLengthFrom)
	}
	return nil
}

func TestAnyKitGivesARigOrASentence(t *testing.T) {
	n := 250
	if os.Getenv("LEVELPEG_LONG") != "" {
		n = 20000
	}
	r := rand.New(rand.NewPCG(9, 10))
	tied := 0
	for range n {
		k, w := someKit(r), someWater(r)
		if r.IntN(3) == 0 && len(k.Sizes) > 0 {
			k.WeighedG = map[string]float64{k.Sizes[0]: math.Round(5+r.Float64()*400) / 1000}
		}
		if r.IntN(3) == 0 {
			k.Floats = nil
		}
		rs, err := Suggest(w, Aim{Fish: append(Fish(), "")[r.IntN(9)]}, k)
		var no *NoRigError
		if err != nil && (!errors.As(err, &no) || len(no.Why) < 40) {
			t.Fatalf("%v: %+v %+v", err, w, k)
		}
		for _, got := range rs {
			if err := firstError(finite(reflect.ValueOf(got), "rig"), checkPlaces(got.Weights, got.HookLengthM, got.SetM), fromKit(got, k)); err != nil {
				t.Fatalf("%s: %v\n%+v\n%+v", got.Name, err, w, k)
			}
			tied++
			if _, err := HangAt(got, w, 0.3); err != nil && !errors.Is(err, ErrSlack) {
				t.Fatal(err)
			}
		}
	}
	if t.Logf("%d rigs of %d kits", tied, n); tied < n/3 {
		t.Errorf("too few rigs to tell: %d", tied)
	}
}
