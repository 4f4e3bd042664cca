package rig

import (
	"slices"
	"strings"
	"testing"
)

func TestNothingChanges(t *testing.T) {
	for _, r := range suggest(t, Water{DepthM: 1.83, PaceMPS: 0.8, Boil: 1}, Aim{}) {
		if c := Change(r, r); len(c) != 0 {
			t.Errorf("%s to itself: %q", r.Name, c)
		}
	}
}

func TestChangeWords(t *testing.T) {
	from := Rig{
		Pattern: "avon-short", Marking: "4 g", Name: "4 g short-bodied Avon", SetM: 1.80, HoldBack: 0.3, HookSize: 14,
		Weights: []Weight{
			{Kind: ShotKind, Size: "No.8", Count: 4, AtM: 0.2, ToM: 0.3, Role: Dropper},
			{Kind: Olivette, Size: "3 g", Count: 1, AtM: 0.6, ToM: 0.6, Role: Bulk},
			{Kind: ShotKind, Size: "No.8", Count: 2, AtM: 0.6, ToM: 0.6, Role: Bulk},
		},
	}
	to := from
	to.Marking, to.Name, to.SetM, to.HoldBack, to.HookSize = "5 g", "5 g short-bodied Avon", 2.10, 0.25, 12
	to.Weights = slices.Clone(from.Weights)
	to.Weights[0].ToM = 0.4
	to.Weights[1].Size = "4 g"
	to.Weights[2].Count = 4
	got := Change(from, to)
	want := []string{
		"5 g float for the 4 g", "12 hook for the 14", "take the 3 g olivette off the bulk",
		"move the droppers to 20 cm to 40 cm above the hook", "add the 4 g olivette to the bulk, 60 cm above the hook",
		"add two No.8 to the bulk", "set it 30 cm deeper", "hold back about a quarter, not about a third",
	}
	slices.Sort(want)
	sorted := slices.Sorted(slices.Values(got))
	if !slices.Equal(sorted, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(sorted, "\n"), strings.Join(want, "\n"))
	}
	back := Change(to, from)
	for _, s := range []string{"take two No.8 off the bulk", "set it 30 cm shallower"} {
		if !slices.Contains(back, s) {
			t.Errorf("back again lacks %q: %q", s, back)
		}
	}
}
