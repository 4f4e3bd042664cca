package hydro

import (
	"math"
	"os"
	"testing"
	"time"
)

// TestJudgeLevelThroughARealFlood holds every hour's level against the readings up to
// six hours before, as a board read now and then. A flood's own rise may be asked about
// now and then; a metre's slip, or a digit's, must be seen.
func TestJudgeLevelThroughARealFlood(t *testing.T) {
	all := flood(t)
	var n, alarms, metre, digits, seenMetre, seenDigits int
	for i := 2*96 + 24; i < len(all); i += 4 {
		h, err := NewHistory(hourly(all[:i-24]))
		if err != nil {
			t.Fatal(err)
		}
		odd := func(levelM float64) bool {
			j, err := h.JudgeLevel(all[i-24-96:i-24], Reading{all[i].At, levelM})
			if err != nil {
				t.Fatal(err)
			}
			return j.Odd
		}
		level := all[i].LevelM
		n++
		if odd(level) {
			alarms++
		}
		for _, slip := range []float64{level + 1, level - 1} {
			metre++
			if odd(slip) {
				seenMetre++
			}
		}
		digits++
		if odd(level * 10) {
			seenDigits++
		}
	}
	t.Logf("USGS 08068500, six hours after the last reading: %d of %d true levels asked about, %d of %d a metre off, %d of %d ten times", alarms, n, seenMetre, metre, seenDigits, digits)
	if alarms*20 > n || seenMetre*10 < metre*9 || seenDigits < digits {
		t.Error("more than one true level in twenty is asked about, or more than one metre in ten goes by, or a digit")
	}
}

func TestJudgeLevel(t *testing.T) {
	rs := []Reading{readAt(-48, 1.10), readAt(-24, 1.12), readAt(0, 1.12)}
	var none *History
	for level, odd := range map[float64]bool{1.12: false, 1.20: false, 11.2: true, 0.12: true, 2.12: true} {
		j, err := none.JudgeLevel(rs, readAt(20, level))
		if err != nil || j.Odd != odd || math.Abs(j.By-(level-1.12)) > 0.02 || j.Against != 3 {
			t.Errorf("%v m after 1.12: %+v, %v", level, j, err)
		}
	}
	if j, err := none.JudgeLevel(rs, readAt(-12, 2.12)); err != nil || !j.Odd {
		t.Errorf("between two readings: %+v, %v", j, err)
	}
	for name, r := range map[string]Reading{"a month after": readAt(24*30, 9), "before the first": readAt(-60, 9)} {
		if j, err := none.JudgeLevel(rs, r); err != nil || j.Odd || j.Against != 0 {
			t.Errorf("%s: %+v, %v", name, j, err)
		}
	}
	if _, err := none.JudgeLevel(rs, Reading{noon.Add(time.Hour), math.NaN()}); err == nil {
		t.Error("NaN is judged")
	}
}

// TestJudgeLevelOnInventedRivers: true levels a few hours after the last reading, from three
// years of history, from none and from a board read on the day before, and slips. Invented
// rivers; how many slips are found is told and not asked for.
func TestJudgeLevelOnInventedRivers(t *testing.T) {
	every := 97*4 + 1
	if os.Getenv("LEVELPEG_LONG") == "1" {
		every = 31*4 + 1
	}
	for _, v := range inventedRivers() {
		all := v.readings(81)
		from := 3 * 365 * 96
		long, err := NewHistory(hourly(all[:from]))
		if err != nil {
			t.Fatal(err)
		}
		var n, asked, metre, digit [3]int
		for i := from; i+96 < len(all); i += every {
			board := []Reading{all[i-192], all[i-96], all[i]}
			for k, c := range []struct {
				h      *History
				recent []Reading
				after  int
			}{{long, all[i-288 : i+1], 24}, {nil, all[i-288 : i+1], 24}, {nil, board, 96}} {
				r := all[i+c.after]
				odd := func(levelM float64) int {
					j, err := c.h.JudgeLevel(c.recent, Reading{r.At, levelM})
					if err != nil {
						t.Fatal(err)
					}
					if j.Odd {
						return 1
					}
					return 0
				}
				n[k]++
				asked[k] += odd(r.LevelM)
				metre[k] += odd(r.LevelM+1) + odd(r.LevelM-1)
				digit[k] += odd(10 * r.LevelM)
			}
		}
		for k, what := range []string{"6 h, 3 years", "6 h, none", "a day, board"} {
			t.Logf("%-10s %-13s %3d of %d true levels asked about; a metre off found %5.1f %%, ten times %5.1f %%", v.name, what, asked[k], n[k],
				50*float64(metre[k])/float64(n[k]), 100*float64(digit[k])/float64(n[k]))
			if asked[k]*20 > n[k] {
				t.Errorf("%s, %s: more than one true level in twenty is asked about", v.name, what)
			}
		}
	}
}
