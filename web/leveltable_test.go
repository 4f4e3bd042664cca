package web

import (
	"testing"
	"time"

	"levelpeg/club"
)

// tableOf is the table of a history up to noon of 26 October 2025, when London's
// clocks had gone back that night, on a zero 0.10 m above the datum.
func tableOf(t *testing.T, back time.Duration, spans ...club.LevelSpan) LevelTable {
	t.Helper()
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Skip("SKIPPED: no time zones on this machine: ", err)
	}
	to := time.Date(2025, 10, 26, 12, 0, 0, 0, time.UTC)
	h := history{v: club.GaugeView{From: to.Add(-back), To: to, Spans: spans}, now: to, loc: london}
	h.v.Standing.Zero.OffsetM = 0.1
	return h.table()
}

func spanAt(at string, least, most, mean float64, readings int) club.LevelSpan {
	from, err := time.Parse("2006-01-02T15:04", at)
	if err != nil {
		panic(err)
	}
	return club.LevelSpan{From: from, LeastM: least, MostM: most, Mid: mean, Readings: readings}
}

// Each row has the least, the most and the mean of its readings, the newest first;
// the figures are derived from the pieces.
func TestLevelTable(t *testing.T) {
	const day = 24 * time.Hour
	for _, c := range []struct {
		by    string
		back  time.Duration
		spans []club.LevelSpan
		want  []LevelRow
	}{
		{"by hour", 6 * time.Hour, []club.LevelSpan{spanAt("2025-10-26T00:30", 1, 1, 1, 1), spanAt("2025-10-26T01:30", 1.2, 1.2, 1.2, 1), spanAt("2025-10-26T01:45", 1.4, 1.4, 1.4, 1)},
			[]LevelRow{{"Sun 26 Oct, 01:00", "1.10 m", "1.30 m", "1.20 m"}, {"Sun 26 Oct, 01:00", "0.90 m", "0.90 m", "0.90 m"}}}, // the hour that came twice
		{"by day", 10 * day, []club.LevelSpan{spanAt("2025-10-24T22:00", 1, 1.2, 1.1, 4), spanAt("2025-10-24T23:00", 0.9, 1, 0.95, 4), spanAt("2025-10-25T12:00", 1.1, 2, 1.25, 2)},
			[]LevelRow{{"Sat 25 Oct", "0.80 m", "1.90 m", "0.95 m"}, {"Fri 24 Oct", "0.90 m", "1.10 m", "1.00 m"}}},
		{"by week", 42 * day, []club.LevelSpan{spanAt("2025-10-19T22:00", 1, 1, 1, 1), spanAt("2025-10-20T00:00", 1.1, 1.1, 1.1, 1), spanAt("2025-10-26T10:00", 1.3, 1.3, 1.3, 1)},
			[]LevelRow{{"week of 20 Oct", "1.00 m", "1.20 m", "1.10 m"}, {"week of 13 Oct", "0.90 m", "0.90 m", "0.90 m"}}},
		{"by month", 365 * day, []club.LevelSpan{spanAt("2025-09-30T00:00", 1, 1, 1, 96), spanAt("2025-10-01T00:00", 2, 2, 2, 96)},
			[]LevelRow{{"October 2025", "1.90 m", "1.90 m", "1.90 m"}, {"September 2025", "0.90 m", "0.90 m", "0.90 m"}}},
		{"by year", 7305 * day, []club.LevelSpan{spanAt("2024-12-21T00:00", 1, 3, 1.5, 96), spanAt("2025-01-01T00:00", 0.1, 2, 1, 96)},
			[]LevelRow{{"2025", "0.00 m", "1.90 m", "0.90 m"}, {"2024", "0.90 m", "2.90 m", "1.40 m"}}},
		{"by day", 2 * day, nil, nil},
	} {
		got := tableOf(t, c.back, c.spans...)
		if got.By != c.by || len(got.Rows) != len(c.want) {
			t.Errorf("%s: %+v, want %+v", c.by, got, c.want)
			continue
		}
		for i := range c.want {
			if got.Rows[i] != c.want[i] {
				t.Errorf("%s, row %d: %+v, want %+v", c.by, i, got.Rows[i], c.want[i])
			}
		}
	}
}
