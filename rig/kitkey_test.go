package rig

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestKitTackleErrors(t *testing.T) {
	for want, change := range map[string]func(*Kit){
		"weighed No.8 11 g is outside 0.001 to 10": func(k *Kit) { k.WeighedG = map[string]float64{"8": 11} },
		"weighed BB NaN g":                         func(k *Kit) { k.WeighedG = map[string]float64{"BB": math.NaN()} },
		"weighed No.8 0 g":                         func(k *Kit) { k.WeighedG = map[string]float64{"8": 0} },
		"\"7\" was weighed":                        func(k *Kit) { k.WeighedG = map[string]float64{"7": 0.08} },
		"weigh the same size":                      func(k *Kit) { k.WeighedG = map[string]float64{"8": 0.06, "No.8": 0.06} },
		"main line's diameter 0.7 mm":              func(k *Kit) { k.MainLines = []Spool{{ReelNylon, 0.7, 0}} },
		"main line's diameter NaN mm":              func(k *Kit) { k.MainLines = []Spool{{ReelNylon, math.NaN(), 0}} },
		"hook length's label -1 kg":                func(k *Kit) { k.HookLengths = []Spool{{HookNylon, 0.1, -1}} },
		"hook length's label +Inf kg":              func(k *Kit) { k.HookLengths = []Spool{{HookNylon, 0.1, math.Inf(1)}} },
		"main line: line \"wire\" is not known":    func(k *Kit) { k.MainLines = []Spool{{"wire", 0.2, 0}} },
		"hook size 0":                              func(k *Kit) { k.Hooks = []int{0} },
		"hook size 31":                             func(k *Kit) { k.Hooks = []int{31} },
		"rod 2 ft is outside 4 to 65":              func(k *Kit) { k.RodsFt = []float64{2} },
		"rod NaN ft":                               func(k *Kit) { k.RodsFt = []float64{math.NaN()} },
	} {
		k := StandardKit()
		change(&k)
		if _, err := Suggest(Water{DepthM: 1.5, PaceMPS: 0.5}, Aim{}, k); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %s, got %v", want, err)
		}
	}
}

func TestKitKeySeesEveryField(t *testing.T) {
	changes := []func(*Kit){
		func(k *Kit) {},
		func(k *Kit) { k.WeighedG = map[string]float64{} },
		func(k *Kit) { k.WeighedG = map[string]float64{"8": 0.06} }, // as the chart has it: the law sees it
		func(k *Kit) { k.WeighedG = map[string]float64{"8": 0.061} },
		func(k *Kit) { k.MainLines = []Spool{} }, func(k *Kit) { k.MainLines = []Spool{{ReelNylon, 0.2, 0}} },
		func(k *Kit) { k.MainLines = []Spool{{ReelNylon, 0.2, 2}} }, func(k *Kit) { k.MainLines = []Spool{{HookNylon, 0.2, 0}} },
		func(k *Kit) { k.HookLengths = []Spool{} }, func(k *Kit) { k.HookLengths = []Spool{{ReelNylon, 0.2, 0}} },
		func(k *Kit) { k.Hooks = []int{} }, func(k *Kit) { k.Hooks = []int{16} },
		func(k *Kit) { k.RodsFt = []float64{} }, func(k *Kit) { k.RodsFt = []float64{16} },
		func(k *Kit) { k.Floats = []Float{} }, func(k *Kit) { k.Held = map[string]int{"8": 3} },
	}
	seen := map[string]int{}
	for i, change := range changes {
		k := StandardKit()
		change(&k)
		if j, ok := seen[k.Key()]; ok {
			t.Errorf("kits %d and %d have one key", j, i)
		}
		seen[k.Key()] = i
	}
	a, b := spelt(), spelt()
	a.WeighedG, b.WeighedG = map[string]float64{"8": 0.06, "BB": 0.4}, map[string]float64{"BB": 0.4, "No.8": 0.06}
	slices.Reverse(b.MainLines)
	slices.Reverse(b.HookLengths)
	slices.Reverse(b.Hooks)
	slices.Reverse(b.RodsFt)
	if a.Key() != b.Key() {
		t.Error("the order of what is held changes the key")
	}
}
