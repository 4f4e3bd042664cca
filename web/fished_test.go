package web

import (
	"strings"
	"testing"
	"time"

	"levelpeg/club"
)

func TestFishedLines(t *testing.T) {
	now := time.Date(2025, time.October, 18, 10, 0, 0, 0, time.UTC)
	at := func(days int, levelM float64, c club.Colour, warm ...float64) club.Outing {
		o := club.Outing{At: now.AddDate(0, 0, -days), Colour: c, LevelM: &levelM}
		if len(warm) > 0 {
			o.TemperatureC = &warm[0]
		}
		return o
	}
	many := make([]club.Outing, club.OutingsMost)
	for i := range many {
		many[i] = at(3, 5, "")
	}
	for _, c := range []struct {
		want    string
		outings []club.Outing
	}{
		{"", nil},
		{"", []club.Outing{at(400, 1, club.Clear)}},
		{"Fished once in the last 12 months, last 3 days ago, never near this level.", []club.Outing{at(3, 2, club.Clear, 9)}},
		{"Fished once in the last 12 months, last 3 days ago, once near this level.", []club.Outing{at(3, 1, "")}},
		{"Near this level, within 15 cm, the water was clear once. | Fished once in the last 12 months, last 3 days ago, once near this level.", []club.Outing{at(3, 1, club.Clear)}},
		{"Near this level, within 15 cm, the water was 9 °C. | Fished once in the last 12 months, last 3 days ago, once near this level.", []club.Outing{at(3, 1, "", 9.4)}},
		{"Near this level, within 15 cm, the water was a tinge twice, clear once; −1 to 10 °C. | Fished four times in the last 12 months, last 2 days ago, three times near this level.",
			[]club.Outing{at(3, 1, club.Tinged, 9.5), at(2, 1, club.Clear, -1), at(4, 1.1, club.Tinged), at(9, 1.2, club.Thick)}},
		{"Fished 60 times or more in the last 12 months, last 3 days ago, never near this level.", many},
	} {
		s := &club.Sheet{PegView: club.PegView{Outings: c.outings}, Now: now, Level: club.LevelShown{Known: true, LevelM: 1}}
		if got := strings.Join(fishedLines(s), " | "); got != c.want {
			t.Errorf("%q\nwant %q", got, c.want)
		}
	}
	s := &club.Sheet{PegView: club.PegView{Outings: []club.Outing{at(3, 1, club.Clear)}}, Now: now}
	if got := strings.Join(fishedLines(s), " | "); got != "Fished once in the last 12 months, last 3 days ago." {
		t.Errorf("without a level: %q", got)
	}
}
