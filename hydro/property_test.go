package hydro

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// sane draws a run's soundings as a river gives them: one bed, readings within
// 5 cm, some timed, some at one time or one level, over eight years.
func sane(t *rapid.T, least int) []Sounding {
	bed := rapid.Float64Range(-3, -0.5).Draw(t, "bed")
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Sounding {
		level := float64(rapid.IntRange(0, 40).Draw(t, "level5cm")) * 0.05
		s := Sounding{
			At:     today.AddDate(0, 0, -rapid.IntRange(0, 3000).Draw(t, "days")),
			LevelM: level,
			DepthM: level - bed + rapid.Float64Range(-0.05, 0.05).Draw(t, "error"),
		}
		if rapid.Bool().Draw(t, "timed") {
			s.PaceMPS = rapid.Float64Range(0.02, 2).Draw(t, "pace")
			s.TimedS = rapid.Float64Range(0, 30).Draw(t, "seconds")
		}
		return s
	}), least, 15).Draw(t, "soundings")
}

func someFloods(t *rapid.T) []time.Time {
	return rapid.SliceOfN(rapid.Map(rapid.IntRange(-100, 3500), func(days int) time.Time {
		return today.AddDate(0, 0, -days)
	}), 0, 6).Draw(t, "floods")
}

func somePrior(t *rapid.T) Prior {
	return rapid.SampledFrom([]Prior{OpenReach(), PastWeir(), OpenReach().Steep()}).Draw(t, "prior")
}

func rapidFit(t *rapid.T, s []Sounding, floods []time.Time, p Prior) *Run {
	r, err := Fit(s, floods, today, p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// answers is everything a run says at a level.
func answers(t *rapid.T, r *Run, levelM float64) [3]Figure {
	d, err1 := r.Depth(levelM)
	p, err2 := r.Pace(levelM)
	b, err3 := r.Bed()
	if err1 != nil || err2 != nil || err3 != nil {
		t.Fatal(err1, err2, err3)
	}
	return [3]Figure{d, p, b}
}

// same fails unless two figures agree to a micrometre or a millionth.
func same(t *rapid.T, what string, a, b Figure) {
	for _, v := range [][2]float64{{a.Mid, b.Mid}, {a.Low, b.Low}, {a.High, b.High}} {
		if !(math.Abs(v[0]-v[1]) <= 1e-6*(1+math.Abs(v[0]))) {
			t.Fatalf("%s: %+v against %+v", what, a, b)
		}
	}
}

func TestDepthRisesWithLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapidFit(t, sane(t, 1), someFloods(t), OpenReach())
		before := -1.0
		for level := -1.0; level <= 4; level += 0.125 {
			a := answers(t, r, level)
			inOrder(t, a[0])
			inOrder(t, a[1])
			if a[0].Mid < before {
				t.Fatalf("depth falls to %.3f m as the level rises to %.3f", a[0].Mid, level)
			}
			before = a[0].Mid
		}
	})
}

func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, floods, p := sane(t, 1), someFloods(t), somePrior(t)
		level := rapid.Float64Range(-1, 4).Draw(t, "level")
		a := rapidFit(t, s, floods, p)
		s = rapid.Permutation(s).Draw(t, "shuffled")
		floods = slices.Clone(floods)
		slices.Reverse(floods)
		b := rapidFit(t, s, floods, p)
		if a.Basis() != b.Basis() {
			t.Fatalf("basis %+v against %+v", a.Basis(), b.Basis())
		}
		x, y := answers(t, a, level), answers(t, b, level)
		for i, what := range []string{"depth", "pace", "bed"} {
			same(t, what, x[i], y[i])
		}
	})
}

func TestDatumMovesOnlyTheBed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, floods, p := sane(t, 1), someFloods(t), somePrior(t)
		level := rapid.Float64Range(-1, 4).Draw(t, "level")
		shift := rapid.Float64Range(-500, 500).Draw(t, "shift")
		x := answers(t, rapidFit(t, s, floods, p), level)
		for i := range s {
			s[i].LevelM += shift
		}
		y := answers(t, rapidFit(t, s, floods, p), level+shift)
		same(t, "depth", x[0], y[0])
		same(t, "pace", x[1], y[1])
		bed := x[2]
		same(t, "bed", Figure{bed.Mid + shift, bed.Low + shift, bed.High + shift}, y[2])
	})
}

// Where nothing is wild or unseen, the exact posterior variance, in units of σ², can
// only fall with a reading more. Levels are taken from one height here: their mean
// moves with a reading more, and the prior, flat to one part in a million, with it.
func TestAReadingMoreNeverTellsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := sane(t, 2), plain(somePrior(t))
		floods := pastFloods(someFloods(t), today)
		x := rapid.Float64Range(-1, 4).Draw(t, "level")
		variance := func(s []Sounding) float64 {
			r := &Run{meanM: 1}
			r.fitDepth(readingsOf(s, floods, today), &p)
			_, scale := r.depth.line[0].at(x-r.meanM, 0)
			return scale * scale * r.depth.line[0].a / r.depth.line[0].b
		}
		if all, less := variance(s), variance(s[1:]); all > less*(1+1e-9) {
			t.Fatalf("variance %g with a reading more, %g without", all, less)
		}
	})
}

// Anything at all is either an error or figures that are finite and in order.
func checkWild(t interface {
	Errorf(string, ...any)
}, s []Sounding, floods []time.Time, levelM float64) {
	r, err := Fit(s, floods, today, OpenReach())
	if err != nil {
		return
	}
	d, err := r.Depth(levelM)
	if err != nil {
		return
	}
	inOrder(t, d)
	p, err := r.Pace(levelM)
	if err != nil {
		t.Errorf("a depth but no pace: %v", err)
	}
	inOrder(t, p)
	b, err := r.Bed()
	if err != nil || !(b.Low <= b.Mid && b.Mid <= b.High && b.High-b.Low < math.Inf(1)) {
		t.Errorf("bed %+v, %v", b, err)
	}
}

func TestWildInputs(t *testing.T) {
	wild := rapid.Custom(func(t *rapid.T) Sounding {
		return Sounding{
			At:      today.Add(-time.Duration(rapid.Int64Range(-1e14, math.MaxInt64).Draw(t, "age"))),
			LevelM:  rapid.Float64Range(-maxLevelM, maxLevelM).Draw(t, "level"),
			DepthM:  rapid.Float64Range(minDepthM, maxDepthM).Draw(t, "depth"),
			PaceMPS: rapid.Float64Range(minPace, maxPace).Draw(t, "pace"),
			TimedS:  rapid.Float64Range(0, maxTimedS).Draw(t, "seconds"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SliceOfN(wild, 0, 30).Draw(t, "soundings")
		checkWild(t, s, someFloods(t), rapid.Float64Range(-maxLevelM, maxLevelM).Draw(t, "at"))
	})
}

func TestSoundingsAlike(t *testing.T) {
	s := Sounding{At: today, LevelM: 1, DepthM: 2, PaceMPS: 0.5, TimedS: 12}
	alike := slices.Repeat([]Sounding{s}, 200)
	one, many := mustFit(t, alike[:1], nil, OpenReach()), mustFit(t, alike, nil, OpenReach())
	near(t, "depth", depthAt(t, many, 1).Mid, 2, 1e-6)
	if f := depthAt(t, many, 1); !(f.width() > 0 && f.width() < depthAt(t, one, 1).width()/5) {
		t.Errorf("200 readings alike: %+v", f)
	}
}

func FuzzFit(f *testing.F) {
	f.Add(1.0, 2.0, 0.5, 12.0, int64(400), 0.7, 1.6, 0.0, int64(20), int64(100), 0.9)
	f.Add(0.0, 0.01, 10.0, 0.0, int64(0), 0.0, 30.0, 0.001, int64(0), int64(0), -10000.0)
	f.Add(math.NaN(), -1.0, math.Inf(1), -5.0, int64(-30), 1e9, 0.0, -0.1, int64(1)<<40, int64(-1), math.Inf(-1))
	f.Fuzz(func(t *testing.T, l1, d1, p1, sec float64, h1 int64, l2, d2, p2 float64, h2, flood int64, at float64) {
		ago := func(h int64) time.Time { return today.Add(-time.Duration(h%(1<<21)) * time.Hour) }
		s := []Sounding{
			{At: ago(h1), LevelM: l1, DepthM: d1, PaceMPS: p1, TimedS: sec},
			{At: ago(h2), LevelM: l2, DepthM: d2, PaceMPS: p2},
		}
		checkWild(t, s, []time.Time{ago(flood), ago(flood / 2)}, at)
		checkWild(t, s[:1], nil, at)
	})
}

func FuzzTrendOf(f *testing.F) {
	f.Add(1.0, 0.98, int64(time.Hour))
	f.Add(math.NaN(), math.Inf(1), int64(-1))
	f.Fuzz(func(t *testing.T, latest, earlier float64, apart int64) {
		got, err := TrendOf(latest, earlier, time.Duration(apart))
		if err != nil {
			return
		}
		if math.IsNaN(got.CMPerHour) || math.IsInf(got.CMPerHour, 0) || got.Word != trendWord(got.CMPerHour) {
			t.Errorf("%+v", got)
		}
		if back, err := TrendOf(earlier, latest, time.Duration(apart)); err != nil || back.CMPerHour != -got.CMPerHour {
			t.Errorf("turned round: %+v, %v against %+v", back, err, got)
		}
	})
}
