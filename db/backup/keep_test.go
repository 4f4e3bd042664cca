package backup_test

import (
	"slices"
	"testing"
	"time"

	"levelpeg/db/backup"
)

func london(t *testing.T) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// TestKeepOver400Days: a backup every night, taken away every night as the server does it;
// there are always the last seven days, and a week's and a month's newest of each of the
// last four and twelve, and never more than those.
func TestKeepOver400Days(t *testing.T) {
	loc := london(t)
	var there []time.Time
	for day := range 400 {
		at := time.Date(2025, time.January, 1+day, 2, 30, 0, 0, loc)
		there = backup.Keep(append(there, at), loc)
		if most := 7 + 4 + 12; len(there) > most {
			t.Fatalf("day %d: %d are kept", day, len(there))
		}
		for back := range min(7, day+1) {
			if !slices.ContainsFunc(there, at.AddDate(0, 0, -back).Equal) {
				t.Fatalf("day %d: that of %d days ago is gone", day, back)
			}
		}
		if day < 28 {
			continue
		}
		for back := 1; back <= 3; back++ { // the Sunday of each of the weeks before this one
			sunday := at.AddDate(0, 0, -(int(at.Weekday())+6)%7-1-7*(back-1))
			if !slices.ContainsFunc(there, sunday.Equal) {
				t.Fatalf("%s: that of Sunday %s is gone: %v", at.Format(time.DateOnly), sunday.Format(time.DateOnly), there)
			}
		}
		for back := 1; back <= 11; back++ { // the last day of each of the months before
			last := time.Date(at.Year(), at.Month()+1-time.Month(back), 0, 2, 30, 0, 0, loc)
			if last.Year() >= 2025 && !slices.ContainsFunc(there, last.Equal) {
				t.Fatalf("%s: that of %s is gone: %v", at.Format(time.DateOnly), last.Format(time.DateOnly), there)
			}
		}
	}
	t.Logf("after 400 nights %d are kept", len(there))
}

func TestKeepWithGaps(t *testing.T) {
	loc := london(t)
	if kept := backup.Keep(nil, loc); len(kept) != 0 {
		t.Errorf("of none %v", kept)
	}
	// A machine that was off for a year: what there was is kept, however old.
	old := time.Date(2024, time.March, 1, 2, 30, 0, 0, loc)
	made := []time.Time{old, old.AddDate(0, 0, 1), old.AddDate(0, 0, 2), old.AddDate(1, 3, 0)}
	if kept := backup.Keep(made, loc); len(kept) != 4 || !kept[0].Equal(made[3]) {
		t.Errorf("kept %v", kept)
	}
	// Several on one day count as one: the newest.
	var many []time.Time
	for i := range 30 {
		many = append(many, old.Add(time.Duration(i)*time.Minute))
	}
	if kept := backup.Keep(many, loc); len(kept) != 1 || !kept[0].Equal(many[29]) {
		t.Errorf("kept %v", kept)
	}
}

func TestDue(t *testing.T) {
	loc := london(t)
	at := func(text string) time.Time {
		v, err := time.ParseInLocation("2006-01-02 15:04", text, loc)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	when := func(text string) *time.Time {
		if text == "" {
			return nil
		}
		v := at(text)
		return &v
	}
	for _, c := range []struct {
		name, good, tried, began, now string
		want                          bool
	}{
		{"the night has come", "2025-10-17 02:31", "2025-10-17 02:31", "2025-10-01 09:00", "2025-10-18 02:31", true},
		{"not yet", "2025-10-17 02:31", "2025-10-17 02:31", "2025-10-01 09:00", "2025-10-18 02:29", false},
		{"made already", "2025-10-18 02:31", "2025-10-18 02:31", "2025-10-01 09:00", "2025-10-18 23:00", false},
		{"the machine was off at night", "2025-10-17 02:31", "2025-10-17 02:31", "2025-10-18 08:00", "2025-10-18 08:11", true},
		{"it failed just now", "2025-10-17 02:31", "2025-10-18 02:31", "2025-10-01 09:00", "2025-10-18 03:00", false},
		{"it failed an hour ago", "2025-10-17 02:31", "2025-10-18 02:31", "2025-10-01 09:00", "2025-10-18 03:31", true},
		{"a new club", "", "", "2025-10-18 09:00", "2025-10-18 09:30", false},
		{"a new club an hour on", "", "", "2025-10-18 09:00", "2025-10-18 10:00", true},
		{"the night the clocks go back", "2025-10-25 02:31", "2025-10-25 02:31", "2025-10-01 09:00", "2025-10-26 02:31", true},
	} {
		if got := backup.Due(when(c.good), when(c.tried), at(c.began), at(c.now), loc); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
