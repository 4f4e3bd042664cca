package club_test

import (
	"encoding/json"
	"reflect"
	"sync"
	"testing"

	"levelpeg/club"
	"levelpeg/rig"
)

// waters are many that fall into few after rounding.
func waters() []rig.Water {
	var out []rig.Water
	for i := range 40 {
		d, p := 1.2+0.02*float64(i), 0.3+0.01*float64(i%20)
		out = append(out, rig.Water{DepthM: d, DepthLowM: d - 0.1, DepthHighM: d + 0.1, PaceMPS: p, PaceLowMPS: p * 0.8, PaceHighMPS: p * 1.2, DistanceM: 5})
	}
	return out
}

// TestMemoryChangesNothing: an answer is the same with and without memory, also
// where the memory is too small and is used by many at once.
func TestMemoryChangesNothing(t *testing.T) {
	t.Parallel()
	kit := club.NewKit(rig.StandardKit())
	var want []club.Answer
	for _, w := range waters() {
		risen := w
		risen.DepthM, risen.DepthHighM = w.DepthM+0.3, w.DepthHighM+0.3
		a, err := noMemory.Answer(&w, &risen, rig.Aim{}, kit)
		if err != nil {
			t.Fatal(err)
		}
		want = append(want, a)
	}
	for _, size := range []int{1, 3, 1000} {
		m := club.NewRigMemory(size)
		var all sync.WaitGroup
		for g := range 3 {
			all.Go(func() {
				for i, w := range waters() {
					if i%3 == g { // not all in step
						continue
					}
					risen := w
					risen.DepthM, risen.DepthHighM = w.DepthM+0.3, w.DepthHighM+0.3
					if got, err := m.Answer(&w, &risen, rig.Aim{}, kit); err != nil || !reflect.DeepEqual(got, want[i]) {
						t.Errorf("size %d, water %d: another answer, %v", size, i, err)
					}
				}
			})
		}
		all.Wait()
	}
}

// TestMemoryTellsApart what is asked: the risen water, the aim and the kit.
func TestMemoryTellsApart(t *testing.T) {
	t.Parallel()
	m := club.NewRigMemory(100)
	w := waters()[10]
	risen := w
	risen.DepthM, risen.DepthHighM = w.DepthM+0.5, w.DepthHighM+0.5
	heavy := rig.Water{DepthM: 3, PaceMPS: 0.7, DistanceM: 8} // asks for an olivette
	noOlivettes := rig.StandardKit()
	noOlivettes.OlivettesG = nil
	plain, bare := club.NewKit(rig.StandardKit()), club.NewKit(noOlivettes)
	seen := map[string]string{}
	for name, ask := range map[string]func() (club.Answer, error){
		"plain":        func() (club.Answer, error) { return m.Answer(&w, nil, rig.Aim{}, plain) },
		"risen":        func() (club.Answer, error) { return m.Answer(&w, &risen, rig.Aim{}, plain) },
		"no olivettes": func() (club.Answer, error) { return m.Answer(&heavy, nil, rig.Aim{}, bare) },
		"heavy":        func() (club.Answer, error) { return m.Answer(&heavy, nil, rig.Aim{}, plain) },
		"deeper":       func() (club.Answer, error) { return m.Answer(&risen, nil, rig.Aim{}, plain) },
	} {
		for range 2 {
			a, err := ask()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			body, err := json.Marshal(a)
			if err != nil {
				t.Fatal(err)
			}
			text := string(body)
			if was, ok := seen[name]; ok && was != text {
				t.Errorf("%s: another answer the second time", name)
			}
			seen[name] = text
		}
	}
	for a, x := range seen {
		for b, y := range seen {
			if a < b && x == y {
				t.Errorf("%s and %s get one answer", a, b)
			}
		}
	}
}

func TestUnfishableWater(t *testing.T) {
	kit := club.NewKit(rig.StandardKit())
	for name, w := range map[string]rig.Water{
		"shallow": {DepthM: 0.3, PaceMPS: 0.3}, "deep": {DepthM: 6.5, PaceMPS: 0.3},
		"heavy": {DepthM: 2, PaceMPS: 1.8}, "far": {DepthM: 2, PaceMPS: 0.3, DistanceM: 70},
	} {
		a, err := noMemory.Answer(&w, nil, rig.Aim{}, kit)
		if err != nil || a.No == "" || len(a.Rigs) != 0 {
			t.Errorf("%s: %+v, %v", name, a, err)
		}
	}
}
