package rig

import (
	"math"
	"strings"
	"testing"
)

func has(fs []Finding, l Level, part string) bool {
	for _, f := range fs {
		if f.Level == l && strings.Contains(f.Text, part) {
			return true
		}
	}
	return false
}

func leaded(w Weight) Rig {
	w.Kind, w.Material, w.Count = ShotKind, Lead, 1
	return Rig{Weights: []Weight{w}}
}

func TestLeadByPlace(t *testing.T) {
	// SI 1986/1992; freshwater rod fishing rules, gov.uk.
	for name, c := range map[string]struct {
		w    Weight
		stop bool
	}{
		"No.8 by its label, whatever the chart":   {Weight{Size: "No.8", EachG: 0.07}, false},
		"No.8 that the member weighed over":       {Weight{Size: "No.8", EachG: 0.06, WeighedG: 0.065}, true},
		"No.8 that the member weighed at it":      {Weight{Size: "No.8", EachG: 0.07, WeighedG: 0.06}, false},
		"No.7":                                    {Weight{Size: "No.7", EachG: 0.083}, true},
		"No.7 that the member weighed under it":   {Weight{Size: "No.7", EachG: 0.083, WeighedG: 0.058}, false},
		"BB":                                      {Weight{Size: "BB", EachG: 0.4}, true},
		"an ounce":                                {Weight{Size: "1 oz", EachG: 28.35}, true},
		"over an ounce":                           {Weight{Size: "over", EachG: 28.4}, false},
		"a weighing that is not one is no news":   {Weight{Size: "No.8", EachG: 0.06, WeighedG: -1}, false},
		"a weighing that is no number is no news": {Weight{Size: "No.8", EachG: 0.06, WeighedG: math.NaN()}, false},
	} {
		got := Law(leaded(c.w), EnglandAndWales, VenueRules{})
		if has(got, StopLevel, "not lawful in England and Wales") != c.stop || c.stop != (len(got) == 1) {
			t.Errorf("%s: %+v", name, got)
		}
		if c.stop && (!strings.Contains(got[0].Text, "SI 1986/1992") || !strings.Contains(got[0].Text, "November 2026")) {
			t.Errorf("%s has no source or date: %q", name, got[0].Text)
		}
	}
	bb := leaded(Weight{Size: "BB", EachG: 0.4})
	for place, part := range map[Place]string{"": "no place was named", "Elsewhere": "not known for Elsewhere"} {
		if got := Law(bb, place, VenueRules{}); !has(got, CareLevel, part) || has(got, StopLevel, "") {
			t.Errorf("lead in %q: %+v", place, got)
		}
		if got := Law(Rig{}, place, VenueRules{}); !has(got, NoteLevel, part) || len(got) != 1 {
			t.Errorf("no lead in %q: %+v", place, got)
		}
	}
}

func TestVenueRules(t *testing.T) {
	r := leaded(Weight{Size: "No.8", EachG: 0.06})
	r.HookSize, r.Bait, r.HookLengthOf = 14, "hemp", Braid
	barbed := r
	barbed.Barb = Barbed
	for name, c := range map[string]struct {
		r     Rig
		v     VenueRules
		level Level
		part  string
	}{
		"no lead":         {r, VenueRules{NoLead: true}, StopLevel, "no lead is used"},
		"barbs not said":  {r, VenueRules{BarblessOnly: true}, NoteLevel, "barbless hooks only"},
		"barbed":          {barbed, VenueRules{BarblessOnly: true}, StopLevel, "is barbed"},
		"hook too large":  {r, VenueRules{LargestHook: 16}, StopLevel, "larger than this water allows, 16"},
		"hook too small":  {r, VenueRules{SmallestHook: 12}, StopLevel, "smaller than this water allows, 12"},
		"braid":           {r, VenueRules{NoBraid: true}, StopLevel, "braid"},
		"a bait not used": {r, VenueRules{BannedBaits: []string{"hemp"}}, StopLevel, "does not allow hemp"},
	} {
		got := Law(c.r, EnglandAndWales, c.v)
		if len(got) != 1 || !has(got, c.level, c.part) {
			t.Errorf("%s: %+v", name, got)
			continue
		}
		if !strings.HasSuffix(got[0].Remedy, "Local byelaws and the club's own rules go first.") {
			t.Errorf("%s does not defer: %q", name, got[0].Remedy)
		}
	}
	fine := r
	fine.Barb, fine.HookLengthOf = Barbless, ""
	all := VenueRules{BarblessOnly: true, LargestHook: 10, SmallestHook: 18, NoBraid: true, BannedBaits: []string{"caster"}}
	if got := Law(fine, EnglandAndWales, all); len(got) != 0 {
		t.Errorf("within every rule: %+v", got)
	}
}

func TestWading(t *testing.T) {
	for _, c := range []struct {
		depthM, paceMPS float64
		want            Level
	}{
		{0.15, 1.0, StopLevel},  // 15 cm of fast water: council flood guidance, bassetlaw.gov.uk
		{0.95, 0.98, StopLevel}, // 0.931 m²/s, and 10 ft²/s is 0.929 (USGS, from memory)
		{0.9, 0, StopLevel},     // hip deep: ours
		{0.6, 0.8, CareLevel},   // 0.48, over half of it: ours
		{0.5, 0.1, CareLevel},
		{0.3, 0.3, NoteLevel},
		{math.NaN(), 0.3, StopLevel}, {0.3, math.NaN(), StopLevel}, {math.Inf(1), 0, StopLevel}, {-1, 0, StopLevel}, {0.3, -0.1, StopLevel},
	} {
		got := Wading(c.depthM, c.paceMPS)
		if len(got) != 1 || got[0].Level != c.want || got[0].Remedy == "" || strings.Contains(got[0].Text, "NaN") {
			t.Errorf("%g m at %g m/s: %+v", c.depthM, c.paceMPS, got)
		}
	}
	if got := Wading(0, 2); got != nil {
		t.Errorf("dry ground: %+v", got)
	}
	rank := map[Level]int{StopLevel: 2, CareLevel: 1}
	for depth := 0.05; depth < 1.5; depth += 0.05 {
		for pace := 0.0; pace < 2; pace += 0.05 {
			here := rank[Wading(depth, pace)[0].Level]
			if here > rank[Wading(depth+0.05, pace)[0].Level] || here > rank[Wading(depth, pace+0.05)[0].Level] {
				t.Fatalf("deeper or faster than %g m at %g m/s is judged safer", depth, pace)
			}
		}
	}
}
