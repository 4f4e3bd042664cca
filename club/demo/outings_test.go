package demo_test

import (
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/club/demo"
)

// checkOutings: none in the close season, on a closed peg, or to come; the water is
// coloured when it has risen, warm in summer and cold in winter, and no outing is
// anybody's.
func checkOutings(t *testing.T, now time.Time, b club.Book, _ demo.Truth) {
	colours, warm, cold, pegs := map[club.Colour]int{}, []float64{}, []float64{}, 0
	for _, v := range b.Venues {
		for _, p := range v.Pegs {
			if len(p.Outings) > 0 {
				pegs++
			}
			for i, o := range p.Outings {
				if i > 0 && !o.At.After(p.Outings[i-1].At) || o.At.After(now) || o.At.Before(now.AddDate(-1, 0, 0)) || inCloseSeason(o.At) || closedAt(v, p.Label, o.At) {
					t.Errorf("%s peg %s: an outing at %v", v.Slug, p.Label, o.At)
				}
				colours[o.Colour]++
				if o.TemperatureC == nil {
					continue
				}
				if *o.TemperatureC < 0 || *o.TemperatureC > 25 {
					t.Errorf("%s peg %s: water of %.1f °C", v.Slug, p.Label, *o.TemperatureC)
				}
				switch o.At.Month() {
				case time.July, time.August:
					warm = append(warm, *o.TemperatureC)
				case time.January, time.February:
					cold = append(cold, *o.TemperatureC)
				}
			}
		}
	}
	if pegs < 60 || colours[club.Clear] < colours[club.Tinged] || colours[club.Tinged] == 0 || colours[club.Coloured] == 0 || colours[club.Thick] == 0 || colours[""] == 0 {
		t.Errorf("%d pegs were fished, the water %v", pegs, colours)
	}
	if mean(warm)-mean(cold) < 8 {
		t.Errorf("summer water of %.1f °C and winter water of %.1f °C", mean(warm), mean(cold))
	}
}

func mean(all []float64) float64 {
	sum := 0.0
	for _, v := range all {
		sum += v
	}
	return sum / float64(len(all))
}
