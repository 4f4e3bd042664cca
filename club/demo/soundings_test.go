package demo_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
)

// runAt is a run with all it belongs to.
type runAt struct {
	gauge club.GaugeBook
	venue club.VenueBook
	peg   club.PegBook
	run   club.RunBook
}

func runs(t *testing.T, b club.Book) []runAt {
	t.Helper()
	var out []runAt
	for _, v := range b.Venues {
		g := gaugeOf(t, b, v.GaugeSlug)
		for _, p := range v.Pegs {
			for _, r := range p.Runs {
				out = append(out, runAt{g, v, p, r})
			}
		}
	}
	return out
}

func (a runAt) String() string { return a.venue.Slug + " peg " + a.peg.Label + " " + a.run.Name }

// truthM is the true depth and pace at a level on the datum.
func (a runAt) truth(t *testing.T, truth demo.Truth, levelM float64, at time.Time) (depthM, paceMPS float64) {
	t.Helper()
	depthM, ok := truth.DepthM(a.venue.Slug, a.peg.Label, a.run.Name, levelM, at)
	paceMPS, ok2 := truth.PaceMPS(a.venue.Slug, a.peg.Label, a.run.Name, levelM, at)
	if !ok || !ok2 {
		t.Fatalf("%v: no truth", a)
	}
	return depthM, paceMPS
}

func TestTruthAtOrdinaryLevels(t *testing.T) {
	b, truth := demo.MakeWithTruth(nows()[0])
	// What each venue was asked to be like, in metres: its edge runs may be a third
	// less than its main ones, and the flood moved a few decimetres.
	rangeM := map[string][2]float64{"sallow-reach": {1.2, 2.6}, "tansy-meadow": {2.0, 3.5}, "cinder-bend": {0.6, 1.6}}
	before := truth.FloodPeak().Add(-time.Hour)
	for _, a := range runs(t, b) {
		middling := (a.gauge.LowM + a.gauge.HighM) / 2
		depth, _ := a.truth(t, truth, middling, before)
		want := rangeM[a.venue.Slug]
		if a.peg.Reach == club.OpenReach && (depth < 0.67*want[0] || depth > 1.1*want[1]+0.1) {
			t.Errorf("%v: %.2f m at %.2f m, want about %v", a, depth, middling, want)
		}
		_, slow := a.truth(t, truth, a.gauge.LowM, before)
		_, quick := a.truth(t, truth, a.gauge.HighM, before)
		if slow < 0.12 || quick > 1.15 || slow > quick {
			t.Errorf("%v: pace %.2f to %.2f m/s over the ordinary levels", a, slow, quick)
		}
	}
}

func TestTruthRefuses(t *testing.T) {
	_, truth := demo.MakeWithTruth(nows()[0])
	at := nows()[0]
	for _, level := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if _, ok := truth.DepthM("cinder-bend", "1", "inside", level, at); ok {
			t.Errorf("a depth at level %v", level)
		}
		if _, ok := truth.PaceMPS("cinder-bend", "1", "inside", level, at); ok {
			t.Errorf("a pace at level %v", level)
		}
	}
	if _, ok := truth.DepthM("cinder-bend", "99", "inside", 0.4, at); ok {
		t.Error("a depth at a peg that is not there")
	}
	if depth, ok := truth.DepthM("cinder-bend", "1", "inside", -5, at); !ok || depth != 0 {
		t.Errorf("far below the bed: %v, %v, want 0, true", depth, ok)
	}
}

func TestFloodMovesSomeBeds(t *testing.T) {
	b, truth := demo.MakeWithTruth(nows()[0])
	up, down, all := 0, 0, 0
	for _, a := range runs(t, b) {
		at := truth.FloodPeak()
		was, _ := a.truth(t, truth, a.gauge.HighM, at.Add(-time.Second))
		is, _ := a.truth(t, truth, a.gauge.HighM, at)
		moved, _ := truth.MovedM(a.venue.Slug, a.peg.Label, a.run.Name)
		if math.Abs(is-was-moved) > 1e-9 || math.Abs(moved) > 0.351 {
			t.Errorf("%v: moved by %.2f m, from %.2f to %.2f m", a, moved, was, is)
		}
		all++
		if moved > 0.05 {
			down++
		} else if moved < -0.05 {
			up++
		}
	}
	if moved := float64(up+down) / float64(all); up < 10 || down < 10 || moved < 0.2 || moved > 0.5 {
		t.Errorf("of %d runs %d silted and %d scoured", all, up, down)
	}
}

func checkSoundingsAreHonest(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	var sumZ2, n, wild float64
	for _, a := range runs(t, b) {
		for i, s := range a.run.Soundings {
			if i > 0 && !s.At.After(a.run.Soundings[i-1].At) {
				t.Errorf("%v: soundings out of order at %v", a, s.At)
			}
			checkWritten(t, b, a, s, now)
			z := depthZ(t, a, s, truth)
			if truth.Wild(a.venue.Slug, a.peg.Label, a.run.Name, s.At) {
				wild++
				continue
			}
			if math.Abs(z) > 5 {
				t.Errorf("%v at %v: depth %.2f is %.1f sd out", a, s.At, s.DepthM, z)
			}
			sumZ2, n = sumZ2+z*z, n+1
		}
	}
	// The spread of honest readings is the one promised: 1 ± 4 standard errors.
	if rms := math.Sqrt(sumZ2 / n); math.Abs(rms-1) > 4/math.Sqrt(2*n)+0.02 {
		t.Errorf("%.0f soundings stray by %.3f of what is promised", n, rms)
	}
	if wild < 3 || n < 800 {
		t.Errorf("%.0f honest and %.0f wild soundings", n, wild)
	}
}

// depthZ is how many standard deviations a sounding strays from the truth: 4.5 cm,
// and 8 cm on a steep side.
func depthZ(t *testing.T, a runAt, s club.Sounding, truth demo.Truth) float64 {
	t.Helper()
	sd := 0.045
	if a.run.SteepSide {
		sd = 0.08
	}
	depth, pace := a.truth(t, truth, s.LevelM+offsetM(a.gauge, s.At), s.At)
	if s.TimedS > 0 {
		// The worst watch strays by 0.3 in logs, and is rounded to 0.01 m/s.
		if lo, hi := pace*math.Exp(-1.5)-0.005, pace*math.Exp(1.5)+0.005; s.PaceMPS < lo || s.PaceMPS > hi {
			t.Errorf("%v at %v: pace %.2f, truly %.2f m/s", a, s.At, s.PaceMPS, pace)
		}
	}
	return (s.DepthM - depth) / sd
}

// checkWritten sees that a sounding could have been written: a level that stood
// then, on the zero of the time, by a member, in season, on a peg that was open.
func checkWritten(t *testing.T, b club.Book, a runAt, s club.Sounding, now time.Time) {
	t.Helper()
	i, _ := slices.BinarySearchFunc(a.gauge.Levels, s.At, func(l club.Level, at time.Time) int {
		return l.At.Compare(at.Add(time.Nanosecond))
	})
	stood := slices.ContainsFunc(a.gauge.Levels[max(0, i-3):i], func(l club.Level) bool {
		return l.LevelM == s.LevelM && s.At.Sub(l.At) < 15*time.Minute && offsetM(a.gauge, l.At) == offsetM(a.gauge, s.At)
	})
	if !stood || s.At.After(now) {
		t.Errorf("%v: no level of %.2f m at %v", a, s.LevelM, s.At)
	}
	if (s.TimedS == 0) != (s.PaceMPS == 0) || s.TimedS < 0 || s.TimedS > 30 || s.DepthM <= 0 {
		t.Errorf("%v at %v: %+v", a, s.At, s)
	}
	m := slices.IndexFunc(b.Members, func(m club.Member) bool { return m.Name == s.By })
	// No page shows where a junior was and when (facts §2, sport safeguarding).
	if m < 0 || b.Members[m].Role == club.Junior {
		t.Errorf("%v at %v: by %q", a, s.At, s.By)
	}
	if inCloseSeason(s.At) {
		t.Errorf("%v: sounded in the close season, %v", a, s.At)
	}
	if closedAt(a.venue, a.peg.Label, s.At) {
		t.Errorf("%v: sounded while closed, %v", a, s.At)
	}
}

// inCloseSeason: 15 March to 15 June inclusive, "freshwater rod fishing rules", gov.uk.
func inCloseSeason(at time.Time) bool {
	y, _, _ := at.In(london).Date()
	return !at.Before(time.Date(y, 3, 15, 0, 0, 0, 0, london)) && at.Before(time.Date(y, 6, 16, 0, 0, 0, 0, london))
}

func closedAt(v club.VenueBook, label string, at time.Time) bool {
	place := func(l string) int {
		return slices.IndexFunc(v.Pegs, func(p club.PegBook) bool { return p.Label == l })
	}
	return slices.ContainsFunc(v.Closures, func(c club.Closure) bool {
		i := place(label)
		return !at.Before(c.From) && (c.To.IsZero() || at.Before(c.To)) && place(c.FromLabel) <= i && i <= place(c.ToLabel)
	})
}

func checkRunsAreSoundedUnevenly(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	var none, one, old, many, timed, rough, untimed int
	for _, a := range runs(t, b) {
		ss := a.run.Soundings
		switch n := len(ss); {
		case n == 0:
			none++
		case n == 1:
			one++
		case n > 14:
			t.Errorf("%v: %d soundings, want 14 at most", a, n)
		case n > 7:
			many++
		}
		if n := len(ss); n > 1 && ss[n-1].At.Before(truth.FloodPeak()) {
			old++
		}
		for _, s := range ss {
			switch {
			case s.TimedS == 0:
				untimed++
			case s.TimedS < 10:
				rough++
			default:
				timed++
			}
		}
	}
	if none < 8 || one < 15 || old < 8 || many < 20 {
		t.Errorf("runs: %d never, %d once, %d before the flood alone, %d more than 7 times", none, one, old, many)
	}
	if timed < rough+untimed || rough < 40 || untimed < 40 {
		t.Errorf("paces: %d timed well, %d roughly, %d not", timed, rough, untimed)
	}
}
