package hydro

import (
	"math"
	"testing"
	"time"
)

// The words and the 1 cm an hour are the project's own.
func TestTrendOf(t *testing.T) {
	for _, c := range []struct {
		latestM, earlierM float64
		apart             time.Duration
		rate              float64
		word              string
	}{
		{3.00, 2.99, time.Hour, 1, "rising"},
		{2.99, 3.00, time.Hour, -1, "falling"},
		{3.00, 2.99, 61 * time.Minute, 60. / 61, "steady"},
		{-0.10, 0.20, 2 * time.Hour, -15, "falling"},
		{0.5, 0.5, 15 * time.Minute, 0, "steady"},
	} {
		got, err := TrendOf(c.latestM, c.earlierM, c.apart)
		if err != nil || got.Word != c.word {
			t.Errorf("%+v: got %v, %v", c, got, err)
		}
		near(t, "rate", got.CMPerHour, c.rate, 1e-6)
	}
}

func TestTrendRefuses(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e6} {
		if got, err := TrendOf(v, 1, time.Hour); err == nil {
			t.Errorf("latest %v: %v", v, got)
		}
		if got, err := TrendOf(1, v, time.Hour); err == nil {
			t.Errorf("earlier %v: %v", v, got)
		}
	}
	for _, d := range []time.Duration{0, -time.Hour} {
		if got, err := TrendOf(1, 1, d); err == nil {
			t.Errorf("apart %v: %v", d, got)
		}
	}
}
