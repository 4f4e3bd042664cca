package hydro

import (
	"testing"
	"time"
)

// fifteenYears is an invented river: floods that fall away over days.
func fifteenYears() []Reading {
	rs := make([]Reading, 15*365*24)
	v := 0.5
	for i := range rs {
		if i%397 == 0 {
			v += 0.9
		}
		v = 0.5 + (v-0.5)*0.985
		rs[i] = readAt(float64(i-len(rs)), v)
	}
	return rs
}

func BenchmarkNewHistory(b *testing.B) {
	all := fifteenYears()
	for name, years := range map[string]int{"3 years": 3, "15 years": 15} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := NewHistory(all[len(all)-years*365*24:]); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkForecast(b *testing.B) {
	years := fifteenYears()
	fifteen := func() []Reading { return years }
	rough := func() []Reading { return hourly(inventedRivers()[6].readings(71)) }
	calm := func() []Reading { return hourly(inventedRivers()[3].readings(71)) }
	for name, river := range map[string]func() []Reading{"smooth, 15 years": fifteen, "rough, 3 years": rough, "calm, 3 years": calm} {
		all := river()
		h, err := NewHistory(all)
		if err != nil {
			b.Fatal(err)
		}
		recent := quarters(all[len(all)-72:])
		last := recent[len(recent)-1].At
		b.Run(name+", one", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if sink, err = h.Forecast(recent, last.Add(20*time.Hour)); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+", fan of 48", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err = h.Fan(recent, last.Add(48*time.Hour), time.Hour); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// quarters are readings every quarter of an hour from hourly ones.
func quarters(rs []Reading) []Reading {
	var out []Reading
	for i, r := range rs[:len(rs)-1] {
		for q := range 4 {
			s := float64(q) / 4
			out = append(out, Reading{r.At.Add(time.Duration(q) * 15 * time.Minute), r.LevelM*(1-s) + rs[i+1].LevelM*s})
		}
	}
	return append(out, rs[len(rs)-1])
}
