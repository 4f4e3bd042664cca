package hydro

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func borrow(t testing.TB, from []Neighbour, own Prior) Prior {
	t.Helper()
	p, err := Borrow(from, own)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// On an invented reach: a run that was never sounded, from neighbours many and few.
// The ranges must not promise too much. The reach is not drawn from the model, so
// this is a rough check; where the neighbours are few the ranges hold more than they
// say.
func TestBorrowedRangesAreHonest(t *testing.T) {
	runs, _ := count()
	runs /= 2
	for _, c := range []struct {
		what string
		keep func(rng *rand.Rand) func(p *place) bool
	}{
		{"all about it sounded", func(*rand.Rand) func(*place) bool { return func(*place) bool { return true } }},
		{"a third of them", func(rng *rand.Rand) func(*place) bool { return func(*place) bool { return rng.IntN(3) == 0 } }},
		{"the inside line only", func(*rand.Rand) func(*place) bool { return func(p *place) bool { return p.outM == 2 } }},
	} {
		rng := rand.New(rand.NewPCG(12, 9))
		var depth, pace, done, wide, paceWide float64
		var off, offPace, offGuess tally
		for range runs {
			reach := madeUpReach(rng, t)
			i := rng.IntN(len(reach))
			p := borrow(t, neighbours(reach, i, c.keep(rng)), OpenReach())
			r := mustFit(t, nil, nil, p)
			level := 0.6 + 0.8*rng.Float64()
			truth := reach[i].depth(level)
			if r.Basis().Borrowed == 0 || truth < 0.3 {
				continue // nobody to borrow from, or hardly water
			}
			met := reach[i].pace(rng, truth)
			d, v := depthAt(t, r, level), paceAt(t, r, level)
			done++
			off.add(d.Mid - truth)
			offPace.add(math.Log(v.Mid / met))
			offGuess.add(math.Log(r.paceGuess(d.Mid) / met))
			wide, paceWide = wide+d.width(), paceWide+math.Log(v.High/max(v.Low, 0.01))
			if d.Low <= truth && truth <= d.High {
				depth++
			}
			if v.Low <= met && met <= v.High {
				pace++
			}
		}
		t.Logf("%-22s %4.0f runs: depth off by %.2f m on average, 80 %% range %.2f m wide, held %.1f %%", c.what, done, off.mean(), wide/done, 100*depth/done)
		t.Logf("%-22s pace off by %.2f in logs (%.2f by the guess), range %.2f, held %.1f %%", "", offPace.mean(), offGuess.mean(), paceWide/done, 100*pace/done)
		if depth/done < 0.75 || pace/done < 0.75 {
			t.Errorf("%s: the ranges hold too little", c.what)
		}
		if offPace.mean() > offGuess.mean() {
			t.Errorf("%s: a borrowed pace is worse than the guess", c.what)
		}
	}
}

// paceGuess is the guess from rivers in general.
func (r *Run) paceGuess(depthM float64) float64 {
	p := OpenReach()
	return p.PaceGuessMPS * math.Exp(p.PaceExponent*logDepth(depthM))
}

// One sounding of its own overrides what was borrowed, three leave next to nothing
// of it, unless they are so old that the bed may have moved by as much.
func TestOwnSoundingsOverride(t *testing.T) {
	for _, c := range []struct {
		own   int
		years float64
		moves float64 // m, at most, on average
	}{{1, 0.1, 0.03}, {3, 0.1, 0.01}, {6, 0.1, 0.01}, {1, 3, 0.06}, {3, 3, 0.03}} {
		rng := rand.New(rand.NewPCG(3, 1))
		var with, without, moved tally
		var narrower float64
		for range 500 {
			reach := madeUpReach(rng, t)
			i := rng.IntN(len(reach))
			own := reach[i].soundings(rng, c.own, c.years)
			alone := depthAt(t, mustFit(t, own, nil, OpenReach()), 1)
			p := borrow(t, neighbours(reach, i, func(*place) bool { return true }), OpenReach())
			both := depthAt(t, mustFit(t, own, nil, p), 1)
			with.add(both.Mid - reach[i].depth(1))
			without.add(alone.Mid - reach[i].depth(1))
			moved.add(both.Mid - alone.Mid)
			narrower += (1 - both.width()/alone.width()) / 500
		}
		t.Logf("%d of its own within %g years: off by %.3f m with borrowing, %.3f without; moved by %.3f on average, %.3f at most; range narrower by %.1f %%",
			c.own, c.years, with.mean(), without.mean(), moved.mean(), moved.worst, 100*narrower)
		if moved.mean() > c.moves {
			t.Errorf("%d of its own within %g years: borrowing moves the depth by %.3f m on average, want at most %g", c.own, c.years, moved.mean(), c.moves)
		}
	}
}

// A hole the neighbours do not tell of: one sounding finds it, two leave no doubt.
func TestAHoleIsBelieved(t *testing.T) {
	near1 := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 1.5}, {At: today, LevelM: 1, DepthM: 1.5}}, nil, OpenReach())
	p := borrow(t, []Neighbour{{near1, 2, 0}, {near1, 0, 1}, {near1, 0, -1}}, OpenReach())
	borrowed := depthAt(t, mustFit(t, nil, nil, p), 1)
	near(t, "borrowed depth", borrowed.Mid, 1.5, 0.01)
	if borrowed.width() < 0.5 {
		t.Errorf("borrowed range %.2f m wide: too sure", borrowed.width())
	}
	hole := Sounding{At: today, LevelM: 1, DepthM: 2.5}
	one := depthAt(t, mustFit(t, []Sounding{hole}, nil, p), 1)
	near(t, "one sounding in a hole", one.Mid, 2.5, 0.05)
	hole.LevelM, hole.DepthM = 1.1, 2.6
	two := depthAt(t, mustFit(t, []Sounding{hole, {At: today, LevelM: 1, DepthM: 2.5}}, nil, p), 1)
	near(t, "two soundings in a hole", two.Mid, 2.5, 0.02)
	t.Logf("borrowed %.2f; a hole of 2.50 m sounded once %.2f, twice %.2f", borrowed, one, two)
}

// Derived: one neighbour, known exactly, is its bed give or take √apart; two like
// ones on either side leave less, and two side by side hardly less than one.
func TestKrige(t *testing.T) {
	l := likeness{spot: 0.1, perM: 0.25, perPeg: 0.35}
	krige2 := func(a, b Neighbour) (float64, float64) {
		return krige([]Neighbour{a, b}, &l, []float64{1, 3}, []float64{0, 0})
	}
	mean, v := krige([]Neighbour{{OutM: 4}}, &l, []float64{2}, []float64{0.05})
	near(t, "mean of one", mean, 2, 1e-12)
	near(t, "variance of one", v, 0.02+0.0625*4+0.05, 1e-12)
	// With C = [[a, c], [c, a]], 1ᵀC⁻¹1 = 2 ÷ (a + c): either side c is spot² alone,
	// side by side it is a less spot².
	mean, v = krige2(Neighbour{Pegs: 1}, Neighbour{Pegs: -1})
	near(t, "mean of two", mean, 2, 1e-12)
	near(t, "variance either side", v, 0.5*(0.1425+0.01), 1e-12)
	_, v = krige2(Neighbour{Pegs: 1}, Neighbour{Pegs: 1})
	near(t, "variance side by side", v, 0.5*(0.1425+0.1325), 1e-12)
}

func TestNothingToBorrow(t *testing.T) {
	bare := mustFit(t, nil, nil, OpenReach())
	p := borrow(t, []Neighbour{{Run: bare}}, PastWeir())
	if p != PastWeir() {
		t.Errorf("prior changed: %+v", p)
	}
	if _, err := mustFit(t, nil, nil, p).Depth(1); !errors.Is(err, ErrNotPlumbed) {
		t.Errorf("error %v, want ErrNotPlumbed", err)
	}
	sounded := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 2}}, nil, OpenReach())
	p = borrow(t, []Neighbour{{Run: sounded}}, OpenReach())
	lent := mustFit(t, nil, nil, p)
	if b := lent.Basis(); b.Borrowed != 1 || b.PaceBorrowed != 0 || b.Soundings != 0 {
		t.Errorf("basis %+v", b)
	}
	if again := borrow(t, nil, p); again != OpenReach() {
		t.Errorf("borrowing from nobody keeps what was borrowed before: %+v", again)
	}
	for names, n := range map[string]Neighbour{
		"has no run":                                     {},
		"has itself borrowed":                            {Run: lent},
		"distance out is not a number (NaN)":             {Run: sounded, OutM: math.NaN()},
		"distance out 1001 m is outside -1000 to 1000 m": {Run: sounded, OutM: 1001},
		"pegs -1001 is outside -1000 to 1000":            {Run: sounded, Pegs: -1001},
	} {
		_, err := Borrow([]Neighbour{{Run: sounded}, n}, OpenReach())
		if err == nil || !strings.Contains(err.Error(), "neighbour 2 of 2: ") || !strings.Contains(err.Error(), names) {
			t.Errorf("error %v does not say %q", err, names)
		}
	}
	bad := OpenReach()
	bad.SlopeSD = math.NaN()
	if _, err := Borrow(nil, bad); err == nil || !strings.Contains(err.Error(), "slope SD") {
		t.Errorf("error %v does not name the slope SD", err)
	}
}

// Whatever the neighbours, and in whatever order, a run that borrows has figures.
func TestBorrowFromAnyNeighbours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ns := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Neighbour {
			return Neighbour{
				Run:  rapidFit(t, sane(t, 1), nil, somePrior(t)),
				OutM: float64(rapid.IntRange(-8, 8).Draw(t, "out")), Pegs: rapid.IntRange(-4, 4).Draw(t, "pegs"),
			}
		}), 1, 20).Draw(t, "neighbours")
		p, err := Borrow(ns, somePrior(t))
		if err != nil {
			t.Fatal(err)
		}
		a := answers(t, rapidFit(t, nil, nil, p), rapid.Float64Range(-1, 4).Draw(t, "level"))
		inOrder(t, a[0])
		inOrder(t, a[1])
	})
}

func FuzzBorrow(f *testing.F) {
	f.Add(1.0, 2.0, 0.5, 2.0, 1, -3.0, -1, 1.3)
	f.Add(-10000.0, 0.01, 10.0, 1000.0, -1000, 0.5, 0, 10000.0)
	f.Add(math.NaN(), 30.0, 0.0, math.Inf(1), 1<<40, -0.5, 5, math.NaN())
	f.Fuzz(func(t *testing.T, level, depth, pace, out1 float64, pegs1 int, out2 float64, pegs2 int, at float64) {
		s := []Sounding{{At: today, LevelM: level, DepthM: depth, PaceMPS: pace}}
		n, err := Fit(s, nil, today, OpenReach())
		if err != nil {
			return
		}
		p, err := Borrow([]Neighbour{{n, out1, pegs1}, {n, out2, pegs2}}, OpenReach())
		if err != nil {
			return
		}
		for _, own := range [][]Sounding{nil, {{At: today, LevelM: 1, DepthM: 1}}} {
			r, err := Fit(own, nil, today, p)
			if err != nil {
				t.Fatal(err)
			}
			if d, err := r.Depth(at); err == nil {
				inOrder(t, d)
			}
			if v, err := r.Pace(at); err == nil {
				inOrder(t, v)
			}
		}
	})
}

func ExampleBorrow() {
	// The run at 5 m on this peg was sounded; the one at 9 m never was.
	five, err := Fit([]Sounding{{At: today, LevelM: 0.6, DepthM: 1.5}}, nil, today, OpenReach())
	if err != nil {
		fmt.Println(err)
		return
	}
	prior, err := Borrow([]Neighbour{{Run: five, OutM: -4}}, OpenReach())
	if err != nil {
		fmt.Println(err)
		return
	}
	nine, err := Fit(nil, nil, today, prior)
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := nine.Depth(0.6)
	fmt.Printf("%.1f m, %.1f to %.1f, borrowed from %d run, %v\n", f.Mid, f.Low, f.High, nine.Basis().Borrowed, err)
	// Output: 1.5 m, 0.6 to 2.4, borrowed from 1 run, <nil>
}
