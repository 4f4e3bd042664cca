package hydro

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func judged(t testing.TB, r *Run, s Sounding) Judgement {
	t.Helper()
	j, err := r.JudgeDepth(s)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// On runs made up from the prior, wild readings and unseen moves among them: a good
// new reading is asked about once in a hundred, and the usual slips nearly always.
func TestJudgeDepth(t *testing.T) {
	p := OpenReach()
	slips := []struct {
		what  string
		least float64 // share to be found with four earlier soundings or more
		slip  func(s *Sounding)
	}{
		{"2.10 m read as 1.10", 0.85, func(s *Sounding) { s.DepthM -= 1 }},
		{"depth in feet", 0.95, func(s *Sounding) { s.DepthM /= 0.3048 }},
		{"level off by 1 m", 0.85, func(s *Sounding) { s.LevelM += 1 }},
	}
	for _, few := range []bool{true, false} {
		rng := rand.New(rand.NewPCG(99, 1))
		runs, _ := count()
		var asked, n float64
		found := make([]float64, len(slips))
		for range runs * 2 {
			k := 1 + rng.IntN(3)
			if !few {
				k = 4 + rng.IntN(9)
			}
			w := worldOf(rng, p, 2, 4, k)
			for i := range w.soundings {
				w.soundings[i].PaceMPS = 0
			}
			r, err := Fit(w.soundings, w.floodTimes, today, p)
			if err != nil {
				continue // a bed drawn out of the water
			}
			s := Sounding{At: today, LevelM: w.levelNow, DepthM: w.depth(w.levelNow) + w.sigma*rng.NormFloat64()}
			if s.DepthM < 1.1 {
				continue
			}
			n++
			if judged(t, r, s).Odd {
				asked++
			}
			for i := range slips {
				x := s
				if slips[i].slip(&x); judged(t, r, x).Odd {
					found[i]++
				}
			}
		}
		what := map[bool]string{true: "1 to 3 earlier soundings", false: "4 to 12"}[few]
		t.Logf("%s: %.2f %% of good readings asked about, of %.0f", what, 100*asked/n, n)
		if most := 0.02; asked/n > most && !few {
			t.Errorf("%s: %.2f %% of good readings asked about, want about 1", what, 100*asked/n)
		}
		for i, c := range slips {
			t.Logf("%s: %s: found %.1f %%", what, c.what, 100*found[i]/n)
			if !few && found[i]/n < c.least {
				t.Errorf("%s: only %.1f %% of slips found", c.what, 100*found[i]/n)
			}
		}
	}
}

// Derived: nine readings alike but for reading error; half a metre shallower is odd,
// a few centimetres are not, and the difference is against the median.
func TestHalfAMetreShallower(t *testing.T) {
	var s []Sounding
	for i := range 9 {
		s = append(s, Sounding{At: today.AddDate(0, 0, -i), LevelM: 1, DepthM: 2 + 0.04*float64(i%3-1)})
	}
	r := mustFit(t, s, nil, OpenReach())
	odd := judged(t, r, Sounding{LevelM: 1, DepthM: 1.5})
	if !odd.Odd || odd.Against != 9 || odd.Expected != depthAt(t, r, 1) {
		t.Errorf("half a metre shallower: %+v", odd)
	}
	near(t, "by", odd.By, -0.5, 0.02)
	if j := judged(t, r, Sounding{LevelM: 1, DepthM: 2.08}); j.Odd {
		t.Errorf("8 cm deeper is odd: %+v", j)
	}
	// Two that disagree: either is likely, so a third like either is not odd, and one
	// between or beyond is.
	two := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 2}, {At: today, LevelM: 1, DepthM: 3}}, nil, OpenReach())
	for depth, want := range map[float64]bool{2: false, 3: false, 2.5: true, 4: true, 1: true} {
		if j := judged(t, two, Sounding{LevelM: 1, DepthM: depth}); j.Odd != want {
			t.Errorf("a third of %g m: %+v, want odd %v", depth, j, want)
		}
	}
}

func TestNothingToJudgeBy(t *testing.T) {
	bare := mustFit(t, nil, nil, OpenReach())
	if j := judged(t, bare, Sounding{LevelM: 1, DepthM: 20}); j != (Judgement{}) {
		t.Errorf("judged by nothing: %+v", j)
	}
	near1 := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 1.5}}, nil, OpenReach())
	lent := mustFit(t, nil, nil, borrow(t, []Neighbour{{near1, 2, 0}}, OpenReach()))
	for depth, want := range map[float64]bool{1.8: false, 6: true} {
		if j := judged(t, lent, Sounding{LevelM: 1, DepthM: depth}); j.Odd != want || j.Against != 0 {
			t.Errorf("%g m against borrowed 1.5: %+v", depth, j)
		}
	}
	for names, s := range map[string]Sounding{
		"level is not a number":             {LevelM: math.NaN(), DepthM: 1},
		"depth 31 m is outside 0.01 to 30":  {LevelM: 1, DepthM: 31},
		"depth -Inf m is outside 0.01 to 3": {LevelM: 1, DepthM: math.Inf(-1)},
	} {
		if _, err := near1.JudgeDepth(s); err == nil || !strings.Contains(err.Error(), names) {
			t.Errorf("error %v does not say %q", err, names)
		}
	}
}

func TestJudgePace(t *testing.T) {
	s := timed([]float64{0.8, 1, 1.2, 1.5, 1.8, 2, 2.2}, 20, func(d float64) float64 { return 0.5 * math.Pow(d, 0.7) })
	r := mustFit(t, s, nil, OpenReach())
	for _, c := range []struct {
		mps, seconds float64
		odd          bool
	}{{0.66, 20, false}, {0.8, 20, false}, {6.6, 20, true}, {0.066, 20, true}, {0.066, 5, true}} {
		j, err := r.JudgePace(Sounding{DepthM: 1.5, PaceMPS: c.mps, TimedS: c.seconds})
		if err != nil || j.Odd != c.odd || j.Against != 7 {
			t.Errorf("%g m/s over %g s: %+v, %v", c.mps, c.seconds, j, err)
		}
		near(t, "by", j.By, c.mps-j.Expected.Mid, 1e-12)
	}
	for names, s := range map[string]Sounding{
		"pace 0 m/s":            {DepthM: 1},
		"pace is not a number":  {DepthM: 1, PaceMPS: math.NaN()},
		"depth 0 m":             {PaceMPS: 1},
		"timing -1 s":           {DepthM: 1, PaceMPS: 1, TimedS: -1},
		"pace +Inf m/s is outs": {DepthM: 1, PaceMPS: math.Inf(1)},
	} {
		if _, err := r.JudgePace(s); err == nil || !strings.Contains(err.Error(), names) {
			t.Errorf("error %v does not say %q", err, names)
		}
	}
}

// Runs made up from the prior: a pace as met is asked about once in a hundred.
func TestJudgePaceFalseAlarms(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 70))
	runs, _ := count()
	var asked, n float64
	for range runs * 2 {
		w := newWorld(rng, OpenReach(), 1.5, 4)
		r, err := Fit(w.soundings, w.floodTimes, today, OpenReach())
		s := Sounding{DepthM: w.depth(w.levelNow), TimedS: 20}
		if err != nil || s.DepthM < 0.1 {
			continue
		}
		if s.PaceMPS = w.pace(s.DepthM); !within(s.PaceMPS, minPace, maxPace) {
			continue
		}
		j, err := r.JudgePace(s)
		if err != nil {
			t.Fatal(err)
		}
		if n++; j.Odd {
			asked++
		}
	}
	t.Logf("%.2f %% of %.0f paces asked about", 100*asked/n, n)
	if asked/n > 0.02 {
		t.Errorf("%.2f %% of paces asked about, want about 1", 100*asked/n)
	}
}

func FuzzJudge(f *testing.F) {
	f.Add(1.0, 2.0, 0.5, 20.0)
	f.Add(math.NaN(), math.Inf(1), -1.0, math.NaN())
	f.Add(10000.0, 30.0, 10.0, 3600.0)
	r, err := Fit([]Sounding{
		{At: today, LevelM: 1, DepthM: 2, PaceMPS: 0.4}, {At: today.AddDate(0, -3, 0), LevelM: 1.1, DepthM: 1.1},
	}, nil, today, OpenReach())
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, level, depth, pace, seconds float64) {
		s := Sounding{LevelM: level, DepthM: depth, PaceMPS: pace, TimedS: seconds}
		for _, judge := range []func(Sounding) (Judgement, error){r.JudgeDepth, r.JudgePace} {
			j, err := judge(s)
			if err != nil {
				continue
			}
			inOrder(t, j.Expected)
			if math.IsNaN(j.By) || math.IsInf(j.By, 0) {
				t.Errorf("%+v", j)
			}
		}
	})
}

func ExampleRun_JudgeDepth() {
	earlier := []Sounding{
		{At: today.AddDate(0, -2, 0), LevelM: 0.6, DepthM: 2.08},
		{At: today.AddDate(0, -1, 0), LevelM: 0.7, DepthM: 2.20},
		{At: today.AddDate(0, 0, -9), LevelM: 0.5, DepthM: 2.01},
	}
	r, err := Fit(earlier, nil, today, OpenReach())
	if err != nil {
		fmt.Println(err)
		return
	}
	j, err := r.JudgeDepth(Sounding{LevelM: 0.6, DepthM: 1.10})
	fmt.Printf("odd: %v, %.1f m against %d, %v\n", j.Odd, j.By, j.Against, err)
	// Output: odd: true, -1.0 m against 3, <nil>
}
