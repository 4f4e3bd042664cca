package hydro

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Derived: one sounding under the plain prior is Student's t with 6 degrees of
// freedom, whose 75 %, 95 % and 97.5 % points are .7176, 1.9432 and 2.4469
// (handbook table, from memory), on the reading error of 5 cm.
func TestDepthWithin(t *testing.T) {
	s := []Sounding{{At: today, LevelM: 1, DepthM: 2}}
	r := mustFit(t, s, nil, plain(OpenReach()))
	for share, point := range map[float64]float64{0.5: 0.7176, 0.9: 1.9432, 0.95: 2.4469} {
		f, err := r.DepthWithin(1, share)
		near(t, fmt.Sprintf("half the %g range", share), figure(t, f, err).width()/2, 0.05*point, 1e-5)
	}
	f, err := r.DepthWithin(1, 0.8)
	if f = figure(t, f, err); f != depthAt(t, r, 1) {
		t.Errorf("the 80 %% range %v is not Depth's %v", f, depthAt(t, r, 1))
	}
	for _, share := range []float64{0, -1, 1, 0.9999, math.NaN(), math.Inf(1)} {
		if _, err := r.DepthWithin(1, share); err == nil || !strings.Contains(err.Error(), "share") {
			t.Errorf("share %v: error %v", share, err)
		}
	}
	if _, err := r.DepthWithin(math.NaN(), 0.9); err == nil || !strings.Contains(err.Error(), "level") {
		t.Errorf("level NaN: error %v", err)
	}
}

func TestLargerShareIsWider(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := wildNow(t, sane(t, 1))
		r := rapidFit(t, s, someFloods(t), somePrior(t))
		level := rapid.Float64Range(-1, 4).Draw(t, "level")
		before := Figure{Low: math.Inf(1), High: math.Inf(-1)}
		for i, share := range []float64{0.01, 0.3, 0.5, 0.8, 0.95, 0.99, 0.999} {
			f, err := r.DepthWithin(level, share)
			if err != nil {
				t.Fatal(err)
			}
			inOrder(t, f)
			if i > 0 && (f.Low > before.Low+2e-6 || f.High < before.High-2e-6 || math.Abs(f.Mid-before.Mid) > 2e-6) {
				t.Fatalf("share %g: %v inside %v", share, f, before)
			}
			before = f
		}
	})
}

// wildNow makes one of the soundings wild, or none.
func wildNow(t *rapid.T, s []Sounding) []Sounding {
	i := rapid.IntRange(0, len(s)).Draw(t, "wild")
	if i < len(s) {
		s[i].DepthM = max(minDepthM, s[i].DepthM+rapid.Float64Range(-2, 5).Draw(t, "off by"))
	}
	return s
}

// Wild readings or not, the water gets no shallower as it rises.
func TestDepthRisesWithLevelThoughWild(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapidFit(t, wildNow(t, sane(t, 1)), someFloods(t), OpenReach())
		before := -1.0
		for level := -1.0; level <= 4; level += 0.125 {
			f, err := r.Depth(level)
			if err != nil {
				t.Fatal(err)
			}
			if inOrder(t, f); f.Mid < before-1e-5 {
				t.Fatalf("depth falls from %.4f to %.4f m as the level rises to %.3f", before, f.Mid, level)
			}
			before = f.Mid
		}
	})
}

// Derived: under the plain prior one sounding's slope is 1, so that a level's own
// half range is added in quadrature, each side by itself.
func TestDepthAtLevel(t *testing.T) {
	r := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 2}}, nil, plain(OpenReach()))
	at := depthAt(t, r, 1.2)
	f, err := r.DepthAtLevel(Figure{Mid: 1.2, Low: 1.1, High: 1.5})
	f = figure(t, f, err)
	near(t, "middle", f.Mid, at.Mid, 0)
	near(t, "low", f.Low, at.Mid-math.Hypot(at.Mid-at.Low, 0.1), 1e-9)
	near(t, "high", f.High, at.Mid+math.Hypot(at.High-at.Mid, 0.3), 1e-9)
	same, err := r.DepthAtLevel(Figure{Mid: 1.2, Low: 1.2, High: 1.2})
	if figure(t, same, err) != at {
		t.Errorf("a level known exactly gives %v, want %v", same, at)
	}
	// Where the bed is all but dry the low side stops at 0.
	dry, err := r.DepthAtLevel(Figure{Mid: -0.9, Low: -2, High: -0.8})
	inOrder(t, figure(t, dry, err))
	near(t, "low, dry", dry.Low, 0, 0)
	for names, l := range map[string]Figure{
		"level is not a number":       {Mid: math.NaN(), Low: 1, High: 2},
		"level +Inf m":                {Mid: 1, Low: 1, High: math.Inf(1)},
		"level 3 m, 1 to 2, is not i": {Mid: 3, Low: 1, High: 2},
		"level 1 m, 1 to 0, is not i": {Mid: 1, Low: 1, High: 0},
	} {
		if _, err := r.DepthAtLevel(l); err == nil || !strings.Contains(err.Error(), names) {
			t.Errorf("level %v: error %v does not say %q", l, err, names)
		}
	}
	if _, err := mustFit(t, nil, nil, OpenReach()).DepthAtLevel(Figure{}); err != ErrNotPlumbed {
		t.Errorf("error %v, want ErrNotPlumbed", err)
	}
}

// Runs made up from the prior, asked at a level that is forecast with an error up to
// several times the depth's own.
func TestDepthAtLevelHoldsFourInFive(t *testing.T) {
	runs, tol := count()
	rng := rand.New(rand.NewPCG(5, 9))
	var held int
	for range runs {
		w := newWorld(rng, OpenReach(), 12, 17)
		for i := range w.soundings {
			w.soundings[i].PaceMPS = 0
		}
		r := mustFit(t, w.soundings, w.floodTimes, OpenReach())
		sd := 0.4 * rng.Float64()
		mid := w.levelNow + sd*rng.NormFloat64()
		f, err := r.DepthAtLevel(Figure{Mid: mid, Low: mid - z90*sd, High: mid + z90*sd})
		f = figure(t, f, err)
		if truth := w.depth(w.levelNow); f.Low <= truth && truth <= f.High {
			held++
		}
	}
	share := float64(held) / float64(runs)
	t.Logf("the 80 %% depth range at a level not known exactly held the truth in %.1f %% of %d runs", 100*share, runs)
	near(t, "share", share, 0.8, tol)
}

// Wild readings first, last, alone, and two that disagree by a metre: the range says
// how little is known.
func TestHonestWhereReadingsDisagree(t *testing.T) {
	at := func(daysAgo int, depth float64) Sounding {
		return Sounding{At: today.AddDate(0, 0, -daysAgo), LevelM: 1, DepthM: depth}
	}
	alone := depthAt(t, mustFit(t, []Sounding{at(0, 2)}, nil, OpenReach()), 1)
	p := depthAt(t, mustFit(t, []Sounding{at(0, 2)}, nil, plain(OpenReach())), 1)
	if alone.width() < 1.02*p.width() {
		t.Errorf("one sounding, that may be wild: %v, hardly wider than %v", alone, p)
	}
	r := mustFit(t, []Sounding{at(0, 2)}, nil, OpenReach())
	f, err := r.DepthWithin(1, 0.98)
	if f = figure(t, f, err); f.width() < 1.5 {
		t.Errorf("one sounding, 98 %%: %v; a wild one lies a metre or two off", f)
	}
	two := depthAt(t, mustFit(t, []Sounding{at(0, 2), at(0, 3)}, nil, OpenReach()), 1)
	if two.Low > 2 || two.High < 3 {
		t.Errorf("two that disagree: %v leaves one of them out", two)
	}
	for what, s := range map[string][]Sounding{
		"the wild one first": {at(9, 3), at(5, 2), at(1, 2.03)},
		"between":            {at(9, 2), at(5, 3), at(1, 2.03)},
		"last":               {at(9, 2), at(5, 2.03), at(1, 3)},
	} {
		f := depthAt(t, mustFit(t, s, nil, OpenReach()), 1)
		t.Logf("%s: %.3f", what, f)
		near(t, what, f.Mid, 2.015, 0.05)
		if f.Low > 2 || f.High < 2.03 {
			t.Errorf("%s: %v is too narrow", what, f)
		}
	}
}

// After a flood two new soundings that agree are believed, whatever ten old ones say.
func TestTwoNewAfterAFloodWin(t *testing.T) {
	for _, jump := range []float64{-0.8, -0.4, 0.4, 0.8} {
		var s []Sounding
		for i := range 10 {
			s = append(s, Sounding{At: today.AddDate(0, -3-i, 0), LevelM: 1, DepthM: 2 + 0.04*float64(i%3-1)})
		}
		for i := range 2 {
			s = append(s, Sounding{At: today.AddDate(0, 0, -i), LevelM: 1, DepthM: 2 + jump + 0.03*float64(i)})
		}
		flood := []time.Time{today.AddDate(0, -1, 0)}
		near(t, fmt.Sprintf("depth after %+.1f m", jump), depthAt(t, mustFit(t, s, flood, OpenReach()), 1).Mid, 2.015+jump, 0.05)
	}
}

func FuzzDepth(f *testing.F) {
	f.Add(1.0, 2.0, 3.0, 0.5, 1.0, 0.9, 1.2, 0.95)
	f.Add(-10000.0, 0.01, 30.0, 0.0, 10000.0, -10000.0, 10000.0, 0.999)
	f.Add(math.NaN(), math.Inf(1), -1.0, 1e300, math.NaN(), 0.0, math.Inf(-1), 2.0)
	f.Fuzz(func(t *testing.T, level, d1, d2, years, mid, low, high, share float64) {
		years = math.Mod(math.Abs(years), 100)
		if math.IsNaN(years) {
			years = 0
		}
		s := []Sounding{{At: ago(years), LevelM: level, DepthM: d1}, {At: today, LevelM: level / 2, DepthM: d2}}
		r, err := Fit(s, []time.Time{ago(years / 2)}, today, OpenReach())
		if err != nil {
			return
		}
		if d, err := r.DepthWithin(mid, share); err == nil {
			inOrder(t, d)
		}
		if d, err := r.DepthAtLevel(Figure{Mid: mid, Low: low, High: high}); err == nil {
			inOrder(t, d)
		}
	})
}

func ExampleRun_DepthWithin() {
	s := []Sounding{
		{At: today.AddDate(0, -1, 0), LevelM: 0.6, DepthM: 1.58},
		{At: today.AddDate(0, -1, 0), LevelM: 0.6, DepthM: 0.60}, // 1.60, mistyped
		{At: today.AddDate(0, 0, -7), LevelM: 0.8, DepthM: 1.81},
		{At: today.AddDate(0, 0, -2), LevelM: 0.7, DepthM: 1.70},
	}
	r, err := Fit(s, nil, today, OpenReach())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, share := range []float64{0.8, 0.95} {
		f, err := r.DepthWithin(0.9, share)
		fmt.Printf("%.0f %%: %.2f m, %.2f to %.2f, %v\n", 100*share, f.Mid, f.Low, f.High, err)
	}
	// Output:
	// 80 %: 1.90 m, 1.86 to 1.94, <nil>
	// 95 %: 1.90 m, 1.83 to 1.97, <nil>
}
