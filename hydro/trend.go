package hydro

import (
	"fmt"
	"math"
	"time"
)

// Trend is how a level is moving.
type Trend struct {
	CMPerHour float64 // below 0 when it falls
	Word      string  // rising, falling or steady
}

// steadyCMPerHour is the rate under which a level is called steady: less than a
// board read to the centimetre can show in an hour.
const steadyCMPerHour = 1

// TrendOf compares two levels of one gauge, in metres above one datum and within
// ±10,000 m, the earlier read apart before the latest; apart must be above 0. Levels
// are read to 0.01 m, so take them an hour or more apart: a single step of a
// centimetre in a quarter of an hour reads as 4 cm an hour.
func TrendOf(latestM, earlierM float64, apart time.Duration) (Trend, error) {
	if apart <= 0 {
		return Trend{}, fmt.Errorf("hydro: the levels are %v apart; it must be above 0", apart)
	}
	for _, l := range [...]float64{latestM, earlierM} {
		if err := checkLevel(l); err != nil {
			return Trend{}, fmt.Errorf("hydro: %w", err)
		}
	}
	// 3.00 − 2.99 is a hair under 0.01 in binary; a centimetre must count as one.
	rate := math.Round((latestM-earlierM)*100/apart.Hours()*1e6) / 1e6
	return Trend{CMPerHour: rate, Word: trendWord(rate)}, nil
}

func trendWord(cmPerHour float64) string {
	switch {
	case cmPerHour >= steadyCMPerHour:
		return "rising"
	case cmPerHour <= -steadyCMPerHour:
		return "falling"
	}
	return "steady"
}
