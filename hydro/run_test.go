package hydro

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"
)

func day(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 9, 0, 0, 0, time.UTC) }

var today = day(2026, 10, 1)

func mustFit(t testing.TB, s []Sounding, floods []time.Time, p Prior) *Run {
	t.Helper()
	r, err := Fit(s, floods, today, p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func figure(t testing.TB, f Figure, err error) Figure {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func depthAt(t testing.TB, r *Run, levelM float64) Figure {
	t.Helper()
	f, err := r.Depth(levelM)
	return figure(t, f, err)
}

func paceAt(t testing.TB, r *Run, levelM float64) Figure {
	t.Helper()
	f, err := r.Pace(levelM)
	return figure(t, f, err)
}

func (f Figure) width() float64 { return f.High - f.Low }

// plain is a prior under which no reading is wild and no move unseen, so that the
// posterior is one line and can be derived by hand.
func plain(p Prior) Prior {
	p.WildShare, p.UnseenPerYear = 0, 0
	return p
}

// Derived: with slope 1 and nothing assumed of the bed, one sounding is carried one
// to one, and the slope's looseness widens it with the distance.
func TestOneSoundingIsCarried(t *testing.T) {
	r := mustFit(t, []Sounding{{At: today, LevelM: 0.6, DepthM: 1.5}}, nil, plain(OpenReach()))
	here, there := depthAt(t, r, 0.6), depthAt(t, r, 1.1)
	near(t, "depth where sounded", here.Mid, 1.5, 1e-5)
	near(t, "depth half a metre up", there.Mid, 2.0, 1e-5)
	// Student t with 6 degrees of freedom, 90 % point 1.4398 (handbook table, from
	// memory), on the reading error, and with 0.1 × 0.5 m of slope in quadrature.
	near(t, "half range where sounded", here.width()/2, 1.4398*0.05, 1e-5)
	near(t, "half range half a metre up", there.width()/2, 1.4398*math.Hypot(0.05, 0.05), 1e-5)
	bed, err := r.Bed()
	near(t, "bed", figure(t, bed, err).Mid, -0.9, 1e-5)
}

func TestWiderWhereLessIsKnown(t *testing.T) {
	s := []Sounding{{At: day(2025, 10, 1), LevelM: 0.6, DepthM: 1.5}}
	fresh := []Sounding{{At: today, LevelM: 0.6, DepthM: 1.5}}
	flood := []time.Time{day(2026, 2, 1)}
	old := depthAt(t, mustFit(t, s, nil, OpenReach()), 0.6)
	for _, c := range []struct {
		what          string
		narrow, wider Figure
	}{
		{"a year", depthAt(t, mustFit(t, fresh, nil, OpenReach()), 0.6), old},
		{"a flood since", old, depthAt(t, mustFit(t, s, flood, OpenReach()), 0.6)},
		{"two floods", depthAt(t, mustFit(t, s, flood, OpenReach()), 0.6),
			depthAt(t, mustFit(t, s, append(flood, day(2026, 3, 1)), OpenReach()), 0.6)},
		{"a steep side", old, depthAt(t, mustFit(t, s, nil, OpenReach().Steep()), 0.6)},
		{"a weir, away from the level", depthAt(t, mustFit(t, s, nil, OpenReach()), 1.6),
			depthAt(t, mustFit(t, s, nil, PastWeir()), 1.6)},
	} {
		if c.wider.width() < 1.1*c.narrow.width() {
			t.Errorf("%s: range %.3f m, no wider than %.3f", c.what, c.wider.width(), c.narrow.width())
		}
	}
}

func TestFloodsThatDoNotCount(t *testing.T) {
	s := []Sounding{{At: day(2025, 10, 1), LevelM: 0.6, DepthM: 1.5}}
	once := day(2026, 2, 1)
	plain, one := mustFit(t, s, nil, OpenReach()), mustFit(t, s, []time.Time{once}, OpenReach())
	for _, c := range []struct {
		what   string
		floods []time.Time
		like   *Run
	}{
		{"before the sounding", []time.Time{day(2025, 1, 1)}, plain},
		{"at the sounding", []time.Time{s[0].At}, plain},
		{"to come", []time.Time{today.Add(time.Hour)}, plain},
		{"given twice", []time.Time{once, once}, one},
		{"out of order", []time.Time{once, day(2024, 1, 1)}, one},
	} {
		if got := mustFit(t, s, c.floods, OpenReach()); *got != *c.like {
			t.Errorf("a flood %s changed the fit", c.what)
		}
	}
}

// Ten readings tighten the range, a fresh sounding after a flood is believed above
// ten before it, and the bed it found is the bed.
func TestTenReadingsAndAFlood(t *testing.T) {
	var s []Sounding
	for i := range 10 {
		level := 0.4 + 0.05*float64(i)
		err := 0.04 * float64(i%3-1)
		s = append(s, Sounding{At: day(2026, 5, 1+i), LevelM: level, DepthM: level + 1 + err})
	}
	ten := depthAt(t, mustFit(t, s, nil, OpenReach()), 0.6)
	one := depthAt(t, mustFit(t, s[4:5], nil, OpenReach()), 0.6)
	if ten.width() > 0.6*one.width() {
		t.Errorf("ten readings: range %.3f m, one: %.3f", ten.width(), one.width())
	}
	near(t, "depth by ten", ten.Mid, 1.6, 0.03)
	s = append(s, Sounding{At: day(2026, 9, 30), LevelM: 0.6, DepthM: 1.9})
	r := mustFit(t, s, []time.Time{day(2026, 9, 1)}, OpenReach())
	near(t, "depth after the flood", depthAt(t, r, 0.6).Mid, 1.9, 0.05)
	if b := r.Basis(); b.Soundings != 11 || b.SinceFlood != 1 {
		t.Errorf("basis %+v, want 11 soundings, 1 since the flood", b)
	}
}

func TestBasis(t *testing.T) {
	s := []Sounding{
		{At: day(2026, 5, 3), LevelM: 0.7, DepthM: 1.7, PaceMPS: 0.5, TimedS: 12},
		{At: day(2025, 5, 3), LevelM: 0.4, DepthM: 1.4, PaceMPS: 0.4},
		{At: day(2026, 8, 3), LevelM: 0.5, DepthM: 1.5},
	}
	r := mustFit(t, s, []time.Time{day(2025, 12, 1)}, OpenReach())
	want := Basis{Soundings: 3, Timed: 2, First: day(2025, 5, 3), Last: day(2026, 8, 3),
		LowestM: 0.4, HighestM: 0.7, SinceFlood: 2, LastTimed: day(2026, 5, 3)}
	if r.Basis() != want {
		t.Errorf("basis %+v, want %+v", r.Basis(), want)
	}
	if r := mustFit(t, s, nil, OpenReach()); r.Basis().SinceFlood != 3 {
		t.Errorf("no flood: %d since, want all 3", r.Basis().SinceFlood)
	}
	for level, want := range map[float64][2]bool{
		0.34: {true, false}, 0.36: {}, 0.74: {}, 0.76: {false, true},
	} {
		if below, above := r.Beyond(level); below != want[0] || above != want[1] {
			t.Errorf("beyond %.2f: %v %v, want %v", level, below, above, want)
		}
	}
}

func TestNotPlumbed(t *testing.T) {
	r := mustFit(t, nil, []time.Time{today}, OpenReach())
	if r.Basis() != (Basis{}) {
		t.Errorf("basis of nothing is %+v", r.Basis())
	}
	_, depth := r.Depth(1)
	_, pace := r.Pace(1)
	_, bed := r.Bed()
	for what, err := range map[string]error{"depth": depth, "pace": pace, "bed": bed} {
		if !errors.Is(err, ErrNotPlumbed) {
			t.Errorf("%s: error %v, want ErrNotPlumbed", what, err)
		}
	}
	if below, above := r.Beyond(1); below || above {
		t.Error("a level is beyond what was never sounded")
	}
}

// A bar that dries: no figure is negative, and the range stays in order.
func TestDry(t *testing.T) {
	r := mustFit(t, []Sounding{{At: today, LevelM: 1, DepthM: 0.3}}, nil, OpenReach())
	for level, dry := range map[float64]bool{0: true, 0.68: true, 0.72: false} {
		d, p := depthAt(t, r, level), paceAt(t, r, level)
		if (d.Mid == 0) != dry || (p.Mid == 0) != dry {
			t.Errorf("at %.2f m: depth %v, pace %v; dry should be %v", level, d, p, dry)
		}
		inOrder(t, d)
		inOrder(t, p)
	}
	if d := depthAt(t, r, 0); d != (Figure{}) {
		t.Errorf("well below the bed: depth %v, want dry for certain", d)
	}
}

func inOrder(t interface{ Errorf(string, ...any) }, f Figure) {
	if !(0 <= f.Low && f.Low <= f.Mid && f.Mid <= f.High && f.High < math.Inf(1)) {
		t.Errorf("figure %+v is out of order", f)
	}
}

func TestClockSkew(t *testing.T) {
	s := Sounding{At: today.Add(23 * time.Hour), LevelM: 1, DepthM: 1}
	ahead := depthAt(t, mustFit(t, []Sounding{s}, nil, OpenReach()), 1)
	s.At = today
	if now := depthAt(t, mustFit(t, []Sounding{s}, nil, OpenReach()), 1); now != ahead {
		t.Errorf("a phone's clock ahead changed the depth: %v, %v", ahead, now)
	}
}

func TestBadInputsAreNamed(t *testing.T) {
	good := Sounding{At: today, LevelM: 1, DepthM: 1, PaceMPS: 0.5, TimedS: 12}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		names string
		spoil func(s *Sounding, p *Prior)
	}{
		{"sounding 2 of 2: level is not a number", func(s *Sounding, _ *Prior) { s.LevelM = nan }},
		{"level -Inf m", func(s *Sounding, _ *Prior) { s.LevelM = -inf }},
		{"level 10001 m is outside -10000 to 10000 m", func(s *Sounding, _ *Prior) { s.LevelM = 10001 }},
		{"depth is not a number", func(s *Sounding, _ *Prior) { s.DepthM = nan }},
		{"depth +Inf m", func(s *Sounding, _ *Prior) { s.DepthM = inf }},
		{"depth -1 m is outside 0.01 to 30 m", func(s *Sounding, _ *Prior) { s.DepthM = -1 }},
		{"depth 0 m", func(s *Sounding, _ *Prior) { s.DepthM = 0 }},
		{"pace is not a number", func(s *Sounding, _ *Prior) { s.PaceMPS = nan }},
		{"pace -0.5 m/s", func(s *Sounding, _ *Prior) { s.PaceMPS = -0.5 }},
		{"pace 11 m/s is outside 0.001 to 10 m/s", func(s *Sounding, _ *Prior) { s.PaceMPS = 11 }},
		{"timing is not a number", func(s *Sounding, _ *Prior) { s.TimedS = nan }},
		{"timing -1 s", func(s *Sounding, _ *Prior) { s.TimedS = -1 }},
		{"no time", func(s *Sounding, _ *Prior) { s.At = time.Time{} }},
		{"later than now", func(s *Sounding, _ *Prior) { s.At = today.Add(25 * time.Hour) }},
		{"prior's reading SD 0 m", func(_ *Sounding, p *Prior) { p.ReadingSDM = 0 }},
		{"prior's slope SD is not a number", func(_ *Sounding, p *Prior) { p.SlopeSD = nan }},
		{"prior's drift SD -1 m/√year", func(_ *Sounding, p *Prior) { p.DriftSDM = -1 }},
		{"prior's pace guess +Inf m/s", func(_ *Sounding, p *Prior) { p.PaceGuessMPS = inf }},
	} {
		s, p := good, OpenReach()
		c.spoil(&s, &p)
		_, err := Fit([]Sounding{good, s}, nil, today, p)
		if err == nil || !strings.Contains(err.Error(), c.names) {
			t.Errorf("error %v does not say %q", err, c.names)
		}
	}
	r := mustFit(t, []Sounding{good}, nil, OpenReach())
	for _, level := range []float64{nan, inf, -inf, 20_000} {
		_, depth := r.Depth(level)
		_, pace := r.Pace(level)
		for _, err := range []error{depth, pace} {
			if err == nil || !strings.Contains(err.Error(), "level") {
				t.Errorf("level %v: error %v", level, err)
			}
		}
	}
}
