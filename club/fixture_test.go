package club

import (
	"testing"
	"time"
)

// What the words say is derived from the club's clock: London is an hour ahead of
// UTC in October, and not in November.
func TestFixtureWords(t *testing.T) {
	london, err := Club{TimeZone: "Europe/London"}.Zone()
	if err != nil {
		t.Fatal(err)
	}
	at := func(month time.Month, day, hour int) time.Time {
		return time.Date(2026, month, day, hour, 0, 0, 0, time.UTC)
	}
	for _, c := range []struct {
		f    Fixture
		now  time.Time
		want string
	}{
		{Fixture{Starts: at(10, 24, 9), Ends: at(10, 24, 14)}, at(10, 20, 9), "Sat 24 October, 10:00 to 15:00"},
		{Fixture{Starts: at(11, 28, 10), Ends: at(11, 28, 15)}, at(10, 20, 9), "Sat 28 November, 10:00 to 15:00"},
		{Fixture{Starts: at(10, 24, 9), Ends: at(10, 25, 15)}, at(10, 20, 9), "Sat 24 October, 10:00 to Sun 25 October 15:00"},
		{Fixture{Starts: at(10, 24, 9), Ends: at(10, 24, 14)}, at(10, 24, 9), "on now, until 15:00"},
		{Fixture{Starts: at(10, 24, 9), Ends: at(10, 25, 15)}, at(10, 24, 12), "on now, until Sun 25 October 15:00"},
	} {
		if got := c.f.Words(c.now, london); got != c.want {
			t.Errorf("%v to %v says %q, want %q", c.f.Starts, c.f.Ends, got, c.want)
		}
	}
}
