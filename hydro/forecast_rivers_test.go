package hydro

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"
)

// The rivers here are invented, and it was on these kinds of river (with another draw of
// their weather) that the forecast's sums were made up. So this says that it holds on
// another draw of what it was made up on, and nothing of any real river.

// kept is how forecasts over one span of hours have done.
type kept struct{ ours, same, held, n float64 }

func (c *kept) add(f Figure, now, then float64) {
	c.n++
	c.ours += math.Abs(f.Mid - then)
	c.same += math.Abs(now - then)
	if f.Low <= then && then <= f.High {
		c.held++
	}
}

func (c *kept) String() string {
	return fmt.Sprintf("%5.1f %5.1f mm %3.0f %%", 1000*c.ours/c.n, 1000*c.same/c.n, 100*c.held/c.n)
}

var spansAhead = []int{1, 6, 12, 24, 72, 168, 330}

// keptFrom makes a forecast every so many readings of the last half year, from a history of
// so many days before it (of three years made once, else at each), thinned to what keep keeps.
func keptFrom(t *testing.T, all []Reading, days, every int, keep func(i int) bool) []kept {
	t.Helper()
	some := func(from, to int) (out []Reading) {
		for k := from; k < to; k++ {
			if keep(k) {
				out = append(out, all[k])
			}
		}
		return out
	}
	const day = 24 * invStep
	from, last := len(all)-170*day, len(all)-spansAhead[len(spansAhead)-1]*invStep
	out := make([]kept, len(spansAhead))
	var h *History
	for i := from; i < last; i += every {
		if !keep(i) {
			continue
		}
		var err error
		if h == nil || days < 1000 {
			if h, err = NewHistory(hourly(some(i+1-days*day, i+1))); err != nil {
				t.Fatal(err)
			}
		}
		times := make([]time.Time, len(spansAhead))
		for s, ahead := range spansAhead {
			times[s] = all[i].At.Add(time.Duration(ahead) * time.Hour)
		}
		fan, err := h.fan(some(i-3*day, i+1), times)
		if err != nil {
			t.Fatal(err)
		}
		for s, f := range fan {
			out[s].add(f.Figure, all[i].LevelM, all[i+spansAhead[s]*invStep].LevelM)
		}
	}
	return out
}

func row(name string, all []kept) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-10s", name)
	for i := range all {
		fmt.Fprintf(&b, " | %v", &all[i])
	}
	return b.String()
}

// TestForecastOfInventedRivers: with three years of history worse than "as it is now"
// on no kind of river at any span, by more than a twentieth of it.
func TestForecastOfInventedRivers(t *testing.T) {
	every, seeds := 31*invStep, []uint64{21}
	if os.Getenv("LEVELPEG_LONG") == "1" {
		every, seeds = 13*invStep, []uint64{21, 22, 23}
	}
	t.Logf("invented rivers, three years of history; mean error, that of \"as it is now\", how often the 80 %% range held, at %v h", spansAhead)
	sum := make([]kept, len(spansAhead))
	for _, v := range inventedRivers() {
		for _, seed := range seeds {
			got := keptFrom(t, v.readings(seed), 3*365, every, func(int) bool { return true })
			t.Log(row(v.name, got))
			for s, c := range got {
				if c.ours > 1.05*c.same {
					t.Errorf("%s, %d h: worse than as it is now", v.name, spansAhead[s])
				}
				sum[s].held, sum[s].n = sum[s].held+c.held, sum[s].n+c.n
			}
		}
	}
	for s, c := range sum {
		share := c.held / c.n
		t.Logf("%3d h, all: the 80 %% range held %.1f %%", spansAhead[s], 100*share)
		if share < 0.75 || share > 0.92 { // above, since ranges never narrow
			t.Errorf("%d h: the 80 %% range held %.1f %%", spansAhead[s], 100*share)
		}
	}
}

// TestForecastFromLittleHistory tells how it does where the history is thin, and where it is
// a board that somebody reads about once a day. It must not lose to "as it is now" by more
// than a fifth over all rivers, at any span, nor its range hold less than seven in ten; on single
// rivers both happen, and the table says where.
func TestForecastFromLittleHistory(t *testing.T) {
	daily := func(i int) bool { // at about nine, but for each sixth day
		day := i / (24 * invStep)
		return i%(24*invStep) == 9*invStep+day*7%5 && day*31%6 != 0
	}
	each := func(int) bool { return true }
	for _, c := range []struct {
		what string
		days int
		keep func(int) bool
	}{{"none", 0, each}, {"a fortnight", 14, each}, {"90 days", 90, each}, {"once a day, none", 0, daily}, {"once a day, 3 years", 3 * 365, daily}} {
		if os.Getenv("LEVELPEG_LONG") != "1" && c.days == 90 {
			continue
		}
		every := 31 * invStep
		if c.keep(0) != each(0) {
			every = 1
		}
		t.Logf("invented rivers, history: %s; mean error, as it is now, range held, at %v h", c.what, spansAhead)
		all := make([]kept, len(spansAhead))
		for _, v := range inventedRivers() {
			got := keptFrom(t, v.readings(31), c.days, every, c.keep)
			t.Log(row(v.name, got))
			for s := range got {
				all[s].ours, all[s].same = all[s].ours+got[s].ours, all[s].same+got[s].same
				all[s].held, all[s].n = all[s].held+got[s].held, all[s].n+got[s].n
			}
		}
		t.Log(row("all", all))
		for s := range all {
			if all[s].ours > 1.2*all[s].same || all[s].held < 0.7*all[s].n {
				t.Errorf("%s, %d h: %v", c.what, spansAhead[s], &all[s])
			}
		}
	}
}

// TestOnceADayOnInventedRivers tells how the range between readings a day apart holds.
func TestOnceADayOnInventedRivers(t *testing.T) {
	for _, v := range inventedRivers() {
		all := v.readings(41)
		var thin []Reading
		for i := 0; i < len(all); i += 24 * invStep {
			thin = append(thin, all[i])
		}
		var c kept
		for i := 30; i+4 < len(thin); i += 5 { // six about the moment, as a server reads
			at := thin[i].At.Add(time.Duration(1+i%23) * time.Hour)
			f, err := LevelAt(thin[i-2:i+4], at)
			if err != nil {
				continue
			}
			c.add(f, thin[i].LevelM, all[i*24*invStep+(1+i%23)*invStep].LevelM)
		}
		t.Logf("%-10s one reading a day: mean error, that of the reading before, range held: %v of %.0f", v.name, &c, c.n)
		if c.n < 200 {
			t.Errorf("only %.0f answered", c.n)
		}
	}
}
