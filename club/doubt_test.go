package club

import (
	"strings"
	"testing"
	"time"

	"levelpeg/hydro"
	"levelpeg/rig"
)

// knownRun is a run of a depth and a half range, timed or not.
func knownRun(name string, depthM, halfM, outM float64, timed bool) RunSheet {
	return RunSheet{RunBook: RunBook{Run: Run{Name: name, DistanceM: outM}}, Slug: Slug(name), Plumbed: true, Timed: timed,
		Depth: hydro.Figure{Mid: depthM, Low: depthM - halfM, High: depthM + halfM}, Pace: hydro.Figure{Mid: 0.5, Low: 0.4, High: 0.9}}
}

// The run chosen is one that is known, before one that is a little deeper; and in
// high water one near the bank. Common practice, no source.
func TestTheRunChosenIsAKnownOne(t *testing.T) {
	for _, c := range []struct {
		name string
		runs []RunSheet
		high bool
		want string
	}{
		{"known beats deeper", []RunSheet{knownRun("rod length", 1.6, 0.06, 4, true), knownRun("two rods", 2.1, 0.26, 9, true)}, false, "rod-length"},
		{"equally known, the deeper", []RunSheet{knownRun("rod length", 1.6, 0.06, 4, true), knownRun("two rods", 2.1, 0.06, 9, true)}, false, "two-rods"},
		{"timed beats not timed", []RunSheet{knownRun("rod length", 1.8, 0.06, 4, true), knownRun("two rods", 2.0, 0.06, 9, false)}, false, "rod-length"},
		{"high water, the near one", []RunSheet{knownRun("rod length", 2.4, 0.10, 4, true), knownRun("two rods", 3.0, 0.06, 9, true)}, true, "rod-length"},
	} {
		s := Sheet{Runs: c.runs, Level: LevelShown{Known: true, LevelM: 1}}
		s.Standing.Gauge.HighM = 2
		if c.high {
			s.Standing.Gauge.HighM = 0.5
		}
		i, err := s.choose("")
		if err != nil || i < 0 || s.Runs[i].Slug != c.want {
			t.Errorf("%s: run %d, %v, want %s", c.name, i, err, c.want)
		}
	}
}

func TestDoubtsAreSaid(t *testing.T) {
	float := rig.Rig{PaceHighMPS: 0.7}
	for _, c := range []struct {
		name string
		run  RunSheet
		want []string
	}{
		{"a sure run in easy water", func() RunSheet { r := knownRun("a", 2, 0.05, 4, true); r.Pace.High = 0.6; return r }(), nil},
		{"pace may be too much", knownRun("a", 2, 0.05, 4, true), []string{"up to 0.90 m/s, and the first float is right to 0.70"}},
		{"pace no more than that, as shown", func() RunSheet { r := knownRun("a", 2, 0.05, 4, true); r.Pace.High = 0.704; return r }(), nil},
		{"rough depth", func() RunSheet { r := knownRun("a", 2, 0.25, 4, true); r.Pace.High = 0.6; return r }(), []string{"from 1.75 to 2.25 m"}},
		{"never timed", knownRun("a", 2, 0.05, 4, false), []string{"Nobody has timed this run"}},
		{"flooded since", func() RunSheet { r := knownRun("a", 2, 0.05, 4, true); r.Flooded, r.Pace.High = true, 0.6; return r }(), []string{"plumb it"}},
	} {
		s := Sheet{Runs: []RunSheet{c.run}, Answer: Answer{Rigs: []rig.Rig{float}}}
		got := s.Doubts()
		if len(got) != len(c.want) {
			t.Errorf("%s: %q, want %d", c.name, got, len(c.want))
			continue
		}
		for i := range got {
			if !strings.Contains(got[i], c.want[i]) {
				t.Errorf("%s: %q lacks %q", c.name, got[i], c.want[i])
			}
		}
	}
	if d := (&Sheet{Runs: []RunSheet{knownRun("a", 2, 0.3, 4, false)}}).Doubts(); d != nil {
		t.Errorf("with no rig there is nothing to doubt, got %q", d)
	}
}

func TestFarFromAnythingSounded(t *testing.T) {
	at := func(levelM float64) bool {
		s := Sheet{Level: LevelShown{Known: true, LevelM: levelM}, Now: time.Now(), Runs: []RunSheet{
			{Basis: hydro.Basis{Soundings: 2, LowestM: 0.5, HighestM: 1.2}}, {}}}
		return s.unheardOf()
	}
	for level, want := range map[float64]bool{-0.6: true, -0.4: false, 0.8: false, 2.1: false, 2.3: true} {
		if got := at(level); got != want {
			t.Errorf("at %.1f: %v, want %v", level, got, want)
		}
	}
	if (&Sheet{Runs: []RunSheet{{}}}).unheardOf() {
		t.Error("with nothing sounded at all there is nothing to be far from")
	}
}
