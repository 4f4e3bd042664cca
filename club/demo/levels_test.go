package demo_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
)

// offsetM is the offset of the zero in force at t.
func offsetM(g club.GaugeBook, at time.Time) float64 {
	offset := math.NaN()
	for _, z := range g.Zeros {
		if !at.Before(z.From) {
			offset = z.OffsetM
		}
	}
	return offset
}

func checkLevels(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	for _, g := range b.Gauges {
		checkOrder(t, g, now)
		var boards, gaps int
		for i, l := range g.Levels {
			onQuarter := l.At.Equal(l.At.Truncate(15 * time.Minute))
			if onQuarter != (l.Source == club.Station) {
				t.Errorf("%s: a %s reading at %v", g.Slug, l.Source, l.At)
			}
			if level := l.LevelM + offsetM(g, l.At); !(level > g.LowM-0.05 && level < g.FloodM+1) {
				t.Fatalf("%s: %.2f m on the datum at %v", g.Slug, level, l.At)
			}
			if l.Source == club.Board {
				boards++
			} else if i > 0 && l.At.Sub(g.Levels[i-1].At) > time.Hour {
				gaps++
			}
		}
		if n := len(g.Levels); n < 103000 || boards < 50 || gaps < 4 {
			t.Errorf("%s: %d levels, %d off the board, %d gaps", g.Slug, n, boards, gaps)
		}
	}
}

func checkOrder(t *testing.T, g club.GaugeBook, now time.Time) {
	t.Helper()
	for i := 1; i < len(g.Levels); i++ {
		if !g.Levels[i].At.After(g.Levels[i-1].At) {
			t.Fatalf("%s: level at %v after the one at %v", g.Slug, g.Levels[i].At, g.Levels[i-1].At)
		}
	}
	first, last := g.Levels[0], g.Levels[len(g.Levels)-1]
	if age := now.Sub(last.At); age < 5*time.Minute || age >= 20*time.Minute || last.Source != club.Station {
		t.Errorf("%s: last level %v before now, by %s; want 5 to 20 minutes, by the station", g.Slug, age, last.Source)
	}
	if span := last.At.Sub(first.At); span < 1094*24*time.Hour || span > 1097*24*time.Hour {
		t.Errorf("%s: levels over %v, want 3 years", g.Slug, span)
	}
	if !g.Zeros[0].From.Before(first.At) || g.Zeros[0].OffsetM != 0 {
		t.Errorf("%s: first zero %+v is not before the first level, at 0", g.Slug, g.Zeros[0])
	}
}

func checkTodayIsFishable(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	for _, v := range b.Venues {
		g := gaugeOf(t, b, v.GaugeSlug)
		last := g.Levels[len(g.Levels)-1]
		level := last.LevelM + offsetM(g, last.At)
		if level < g.LowM-0.02 || level > g.HighM {
			t.Errorf("%s: %.2f m today is not ordinary (%.2f to %.2f)", g.Slug, level, g.LowM, g.HighM)
		}
		for _, r := range v.Rules {
			if r.AboveM == nil || level > *r.AboveM || *r.AboveM > g.FloodM {
				t.Errorf("%s: today's %.2f m, flood at %.2f m, against the rule %q", v.Slug, level, g.FloodM, r.Text)
			}
		}
	}
	first := b.Gauges[0]
	if fall := meanM(first, now, 8) - meanM(first, now, 0); fall < 0.01 || fall > 0.2 {
		t.Errorf("%s fell by %.3f m in eight hours, want it falling slowly", first.Slug, fall)
	}
}

// meanM is the mean of the levels in the hour that ended some hours before now.
func meanM(g club.GaugeBook, now time.Time, hoursAgo int) float64 {
	end := g.Levels[len(g.Levels)-1].At.Add(-time.Duration(hoursAgo) * time.Hour)
	sum, n := 0.0, 0.0
	for _, l := range g.Levels {
		if !l.At.After(end) && end.Sub(l.At) < time.Hour {
			sum, n = sum+l.LevelM, n+1
		}
	}
	return sum / n
}

func checkOneLargeFlood(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	for _, g := range b.Gauges {
		var first, last time.Time
		top := 0.0
		for _, l := range g.Levels {
			level := l.LevelM + offsetM(g, l.At)
			top = math.Max(top, level)
			if level > g.FloodM {
				if first.IsZero() {
					first = l.At
				}
				last = l.At
			}
		}
		if top < g.FloodM+0.2 || last.Sub(first) > 3*24*time.Hour {
			t.Errorf("%s: tops at %.2f m, over %.2f m from %v to %v", g.Slug, top, g.FloodM, first, last)
		}
		if peak := truth.FloodPeak(); peak.Before(first) || peak.After(last) {
			t.Errorf("%s: beds moved at %v, not in the flood from %v to %v", g.Slug, peak, first, last)
		}
		if months := now.Sub(first).Hours() / 24 / 30.4; months < 13 || months > 15 {
			t.Errorf("%s: the flood was %.1f months ago, want about 14", g.Slug, months)
		}
	}
}

func checkZeroChange(t *testing.T, now time.Time, b club.Book, truth demo.Truth) {
	changed := 0
	for _, g := range b.Gauges {
		for i := 1; i < len(g.Zeros); i++ {
			changed++
			checkZero(t, g, i)
		}
	}
	if changed != 1 {
		t.Errorf("%d boards replaced, want 1", changed)
	}
}

// checkZero sees that what is written drops by the offset and the water does not.
func checkZero(t *testing.T, g club.GaugeBook, i int) {
	t.Helper()
	z, at := g.Zeros[i], g.Zeros[i].From
	j := slices.IndexFunc(g.Levels, func(l club.Level) bool { return !l.At.Before(at) })
	before, after := g.Levels[j-1], g.Levels[j]
	rise := z.OffsetM - g.Zeros[i-1].OffsetM
	water := after.LevelM + z.OffsetM - before.LevelM - g.Zeros[i-1].OffsetM
	if z.Reason == "" || math.Abs(rise) < 0.05 || math.Abs(water) > 0.06 && after.At.Sub(before.At) < time.Hour {
		t.Errorf("%s: zero %+v, levels %+v and %+v about it", g.Slug, z, before, after)
	}
}
