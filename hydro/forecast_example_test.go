package hydro_test

import (
	"fmt"
	"time"

	"levelpeg/hydro"
)

// On Friday at eleven the board says 1.00 m and falls: the level for Saturday at nine.
func ExampleHistory_Forecast() {
	friday := time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)
	var hours []hydro.Reading // four months: a spate each ten days, the last five days ago
	level := 0.80
	for i := 2880; i > 0; i-- {
		if (2880-i)%240 == 120 {
			level += 0.60
		}
		level = 0.80 + (level-0.80)*0.99
		hours = append(hours, hydro.Reading{At: friday.Add(-time.Duration(i) * time.Hour), LevelM: level})
	}
	history, err := hydro.NewHistory(hours)
	if err != nil {
		fmt.Println(err)
		return
	}
	recent := hours[len(hours)-48:]
	f, err := history.Forecast(recent, friday.Add(21*time.Hour))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f m, %.2f to %.2f m four times in five\n", f.Mid, f.Low, f.High)
	_, err = history.Forecast(recent, friday.AddDate(0, 0, 20))
	fmt.Println(err)
	// Output:
	// 0.96 m, 0.95 to 0.97 m four times in five
	// hydro: too far ahead to foresee a level: 2026-12-17T12:00:00Z is more than 14 days after the last reading, 2026-11-27T11:00:00Z
}

// A board read on two days: the level between, and why there is none after.
func ExampleLevelAt() {
	monday := time.Date(2026, 11, 23, 9, 0, 0, 0, time.UTC)
	readings := []hydro.Reading{{At: monday, LevelM: 0.80}, {At: monday.AddDate(0, 0, 1), LevelM: 0.92}}
	f, err := hydro.LevelAt(readings, monday.Add(12*time.Hour))
	fmt.Printf("%.2f m, %.2f to %.2f m, %v\n", f.Mid, f.Low, f.High, err)
	_, err = hydro.LevelAt(readings, monday.AddDate(0, 0, 2))
	fmt.Println(err)
	// Output:
	// 0.86 m, 0.79 to 0.93 m, <nil>
	// hydro: no level was read at 2026-11-25T09:00:00Z; what was read is from 2026-11-23T09:00:00Z to 2026-11-24T09:00:00Z
}
