package demo_test

import (
	"math"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
	"levelpeg/hydro"
)

// TestForecastOfInventedLevels: the demo's levels are invented, so this says only that
// the ranges hold where rivers are as the demo makes them. The history is all but the
// last half year, from which a forecast is made every seven hours.
func TestForecastOfInventedLevels(t *testing.T) {
	b := demo.Make(time.Date(2026, 10, 1, 12, 0, 0, 0, time.UTC))
	held, n := map[int]int{}, map[int]int{}
	ours, same := map[int]float64{}, map[int]float64{}
	for _, g := range b.Gauges {
		all := onDatum(g)
		from := len(all) - 180*96
		h, err := hydro.NewHistory(hourly(all[:from]))
		if err != nil {
			t.Fatal(err)
		}
		for i := from; i+96 < len(all); i += 28 {
			for _, ahead := range []int{6, 12, 24} {
				then := all[i+4*ahead]
				f, err := h.Forecast(all[i-3*96:i+1], then.At)
				if err != nil {
					t.Fatal(err)
				}
				n[ahead]++
				if f.Low <= then.LevelM && then.LevelM <= f.High {
					held[ahead]++
				}
				ours[ahead] += math.Abs(f.Mid - then.LevelM)
				same[ahead] += math.Abs(all[i].LevelM - then.LevelM)
			}
		}
	}
	for _, ahead := range []int{6, 12, 24} {
		k := float64(n[ahead])
		share := float64(held[ahead]) / k
		t.Logf("invented levels, %d h: %d forecasts, mean error %.4f m, as it is now %.4f m, the 80 %% range held %.1f %%", ahead, n[ahead], ours[ahead]/k, same[ahead]/k, 100*share)
		if share < 0.75 || share > 0.85 {
			t.Errorf("%d h: the 80 %% range held %.1f %%", ahead, 100*share)
		}
		if ours[ahead] > same[ahead] {
			t.Errorf("%d h: worse than as it is now", ahead)
		}
	}
}

// onDatum leaves out what was read off the board between the station's own.
func onDatum(g club.GaugeBook) []hydro.Reading {
	var rs []hydro.Reading
	for _, l := range g.Levels {
		if l.Source == club.Station {
			rs = append(rs, hydro.Reading{At: l.At, LevelM: l.LevelM + offsetM(g, l.At)})
		}
	}
	return rs
}

func hourly(rs []hydro.Reading) []hydro.Reading {
	var out []hydro.Reading
	n := 0.0
	for _, r := range rs {
		hour := r.At.Truncate(time.Hour)
		if len(out) == 0 || !out[len(out)-1].At.Equal(hour) {
			out, n = append(out, hydro.Reading{At: hour}), 0
		}
		n++
		out[len(out)-1].LevelM += (r.LevelM - out[len(out)-1].LevelM) / n
	}
	return out
}
