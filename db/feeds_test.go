package db_test

import (
	"context"
	"crypto/sha256"
	"slices"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
)

func eaDraft(address string) club.FeedDraft {
	return club.FeedDraft{Format: club.EnvironmentAgency, Address: address, Unit: club.Metres, Every: 15 * time.Minute}
}

const feedAddress = "https://levels.example/a"

// feedOf adds a feed to the small book's first gauge and reads it.
func feedOf(t *testing.T, book *db.DB, d club.FeedDraft) club.Feed {
	t.Helper()
	id, err := book.AddFeed(background(t), onMachine, "board", d, now)
	must(t, err)
	f, err := book.Feed(background(t), id)
	must(t, err)
	return f
}

func stationLevels(from time.Time, step time.Duration, metres ...float64) []club.Level {
	out := make([]club.Level, len(metres))
	for i, m := range metres {
		out[i] = club.Level{At: from.Add(time.Duration(i) * step), LevelM: m, Source: club.Station}
	}
	return out
}

// TestFeedsLateAndCorrected: what comes late is put in by its time, what was corrected
// stands beside what it was, and the same again changes nothing.
func TestFeedsLateAndCorrected(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	f := feedOf(t, book, eaDraft(feedAddress))
	begin := hour(71).Add(time.Minute)
	keep := func(levels []club.Level) club.Merged {
		t.Helper()
		out, err := book.KeepFetched(background(t), f, club.Fetched{Levels: levels}, now.Add(time.Hour), now)
		must(t, err)
		return out
	}
	if got := keep(stationLevels(begin, 2*time.Minute, 1.1, 1.2, 1.3)); got.New != 3 || got.Corrected+got.Same+got.Kept != 0 {
		t.Errorf("first: %+v", got)
	}
	if got := keep(stationLevels(begin, 2*time.Minute, 1.1, 1.25, 1.3)); got.Same != 2 || got.Corrected != 1 || got.New != 0 {
		t.Errorf("corrected: %+v", got)
	}
	late := stationLevels(begin.Add(-30*time.Second), 2*time.Minute, 1.0, 1.0)
	slices.Reverse(late)
	if got := keep(append(late, late[0])); got.New != 2 {
		t.Errorf("late, the newest first and one twice: %+v", got)
	}
	for range 2 {
		if got := keep(stationLevels(begin, 2*time.Minute, 1.1, 1.25, 1.3)); got.Same != 3 || got.New+got.Corrected != 0 {
			t.Errorf("again: %+v", got)
		}
	}
	if n := one[int](s, `select count(*) from levels where at = $1`, begin.Add(2*time.Minute)); n != 2 {
		t.Errorf("%d revisions of the corrected level, want 2", n)
	}
	v, err := book.Gauge(background(t), "board", usual, nil, now)
	must(t, err)
	if got := v.Standing.Latest; got == nil || got.LevelM != 1.3 || got.Source != club.Station {
		t.Errorf("the gauge stands at %+v", got)
	}
	if f, err = book.Feed(background(t), f.ID); err != nil || !f.Newest.Equal(begin.Add(4*time.Minute)) || f.Failures != 0 || !f.Due.Equal(now.Add(time.Hour)) {
		t.Errorf("%+v, %v", f, err)
	}
}

// TestFeedsLeaveTheBoardAlone: what a person read or withdrew at the board stays.
func TestFeedsLeaveTheBoardAlone(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	f := feedOf(t, book, eaDraft(feedAddress))
	at := hour(71).Add(7 * time.Minute)
	for i, mm := range []any{1500, nil} {
		s.do(`insert into levels (gauge_id, at, zero_id, level_mm, source) select g.id, $1, max(z.id), $2::int, 'board' from gauges g join gauge_zeros z on z.gauge_id = g.id where slug = 'board' group by g.id`,
			at.Add(time.Duration(i)*time.Minute), mm)
	}
	got, err := book.KeepFetched(background(t), f, club.Fetched{Levels: stationLevels(at, time.Minute, 1.4, 1.4, 1.4)}, now.Add(time.Hour), now)
	if err != nil || got.Kept != 2 || got.New != 1 || got.Corrected != 0 {
		t.Errorf("%+v, %v", got, err)
	}
	if n := one[int](s, `select level_mm from levels where at = $1 order by revision desc limit 1`, at); n != 1500 {
		t.Errorf("the board's reading is %d now", n)
	}
}

// TestFeedsFailing: a failure keeps what there was, waits longer, and says why.
func TestFeedsFailing(t *testing.T) {
	t.Parallel()
	book, _ := smallDB(t, nil)
	f := feedOf(t, book, eaDraft(feedAddress))
	for i := range 3 {
		_, err := book.KeepFetched(background(t), f, club.Fetched{Problem: "It is broken."}, now.Add(time.Duration(i+1)*time.Hour), now)
		must(t, err)
		if f, err = book.Feed(background(t), f.ID); err != nil || f.Failures != i+1 || f.Why != "It is broken." || !f.Good.IsZero() {
			t.Errorf("%+v, %v", f, err)
		}
	}
	if due, err := book.DueFeeds(background(t), now.Add(time.Hour)); err != nil || len(due) != 0 {
		t.Errorf("due %v, %v", due, err)
	}
	_, err := book.KeepFetched(background(t), f, club.Fetched{NotChanged: true}, now.Add(time.Minute), now)
	must(t, err)
	if f, err = book.Feed(background(t), f.ID); err != nil || f.Failures != 0 || !f.Good.Equal(now) {
		t.Errorf("%+v, %v", f, err)
	}
}

// TestFeedsChanged: a feed is edited once by what its writer saw, paused, removed, taken
// up again; what was fetched for what it was before is thrown away.
func TestFeedsChanged(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	f := feedOf(t, book, eaDraft(feedAddress))
	_, err := book.AddFeed(ctx, onMachine, "board", eaDraft(feedAddress), now)
	wantKind(t, "the same address twice", err, club.Conflict)
	d := f.Draft()
	d.Unit, d.OffsetM = club.Feet, 0.5
	wantKind(t, "a stale form", book.ChangeFeed(ctx, onMachine, "board", f.ID, "x", d, now), club.Conflict)
	wantKind(t, "another gauge's", book.ChangeFeed(ctx, onMachine, "other", f.ID, f.Draft().Stamp(), d, now), club.Conflict)
	must(t, book.ChangeFeed(ctx, onMachine, "board", f.ID, f.Draft().Stamp(), d, now))
	if got, err := book.KeepFetched(ctx, f, club.Fetched{Levels: stationLevels(now, time.Minute, 9)}, now, now); err != nil || got.New != 0 {
		t.Errorf("what was fetched as metres: %+v, %v", got, err)
	}
	f, err = book.Feed(ctx, f.ID)
	if err != nil || f.Unit != club.Feet || f.OffsetM != 0.5 || !f.Due.Equal(now) {
		t.Errorf("%+v, %v", f, err)
	}
	id, err := book.AddFeed(ctx, onMachine, "board", eaDraft(feedAddress+"2"), now)
	must(t, err)
	d = f.Draft()
	d.Address += "2"
	wantKind(t, "another's address", book.ChangeFeed(ctx, onMachine, "board", f.ID, f.Draft().Stamp(), d, now), club.Conflict)
	must(t, book.PauseFeed(ctx, onMachine, "board", id, now))
	_, err = book.Feed(ctx, id)
	wantKind(t, "a paused feed to fetch", err, club.NotFound)
	wantKind(t, "hurrying a paused one", book.HurryFeed(ctx, onMachine, "board", id, now), club.Conflict)
	must(t, book.ResumeFeed(ctx, onMachine, "board", id, now))
	must(t, book.RemoveFeed(ctx, onMachine, "board", id, now))
	wantKind(t, "removing twice", book.RemoveFeed(ctx, onMachine, "board", id, now), club.Conflict)
	again, err := book.AddFeed(ctx, onMachine, "board", eaDraft(feedAddress+"2"), now)
	if err != nil || again != id {
		t.Errorf("taken up again: %d, want %d, %v", again, id, err)
	}
	if n := one[int](s, `select count(*) from log where what like '%feed%'`); n != 7 {
		t.Errorf("%d lines in the log, want 7", n)
	}
}

// TestAStationIsNotMovedWithTheBoard: the board gets a new zero; the feed's levels stay
// where its station measures them, those of the board's readers are restated.
func TestAStationIsNotMovedWithTheBoard(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	f := feedOf(t, book, eaDraft(feedAddress))
	at := hour(71).Add(5 * time.Minute)
	_, err := book.KeepFetched(ctx, f, club.Fetched{Levels: stationLevels(at, time.Minute, 1)}, now, now)
	must(t, err)
	_, err = book.MoveZero(ctx, onMachine, "board", club.ZeroDraft{From: now.Add(-24 * time.Hour), OldM: 1, NewM: 0.7, Reason: "moved"}, now)
	must(t, err)
	if n := one[int](s, `select count(*) from levels where at = $1`, at); n != 1 {
		t.Errorf("the station's level has %d revisions, want 1", n)
	}
	if got, err := book.KeepFetched(ctx, f, club.Fetched{Levels: stationLevels(at, time.Minute, 1, 1.1)}, now, now); err != nil || got.Same != 1 || got.New != 1 || got.Corrected != 0 {
		t.Errorf("the next fetch: %+v, %v", got, err)
	}
	// The board shows 0.3 m less for the same water than before it was moved.
	v, err := book.Gauge(ctx, "board", usual, nil, now)
	if err != nil || v.Standing.Latest == nil || v.Standing.Latest.LevelM != 0.8 {
		t.Errorf("%+v, %v", v.Standing.Latest, err)
	}
}

// TestWhoMayFeed tries every role and every kind of session on every write.
func TestWhoMayFeed(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	writes := map[string]func(w club.Writer) error{
		"AddFeed": func(w club.Writer) error {
			_, err := book.AddFeed(ctx, w, "board", eaDraft(feedAddress), now)
			return err
		},
		"ChangeFeed": func(w club.Writer) error { return book.ChangeFeed(ctx, w, "board", 1, "", eaDraft(feedAddress), now) },
		"PauseFeed":  func(w club.Writer) error { return book.PauseFeed(ctx, w, "board", 1, now) },
		"ResumeFeed": func(w club.Writer) error { return book.ResumeFeed(ctx, w, "board", 1, now) },
		"RemoveFeed": func(w club.Writer) error { return book.RemoveFeed(ctx, w, "board", 1, now) },
		"HurryFeed":  func(w club.Writer) error { return book.HurryFeed(ctx, w, "board", 1, now) },
		"MakeLogger": func(w club.Writer) error { return book.MakeLogger(ctx, w, "board", "x", w.Session, now) },
		"EndLogger":  func(w club.Writer) error { return book.EndLogger(ctx, w, "board", token('q'), now) },
		"Feeds":      func(w club.Writer) error { _, err := book.Feeds(ctx, "board", w.Session, now); return err },
		"ImportLevels": func(w club.Writer) error {
			_, err := book.ImportLevels(ctx, w, "board", club.Board, now, func(func(time.Time, float64) error) error { return nil })
			return err
		},
	}
	for i, role := range []club.Role{club.Secretary, club.Bailiff, club.Coach, club.Angler, club.Junior, ""} {
		who := club.Writer{Session: token('y')}
		if role != "" {
			who = s.signIn(byte('a'+i), role, now.Add(time.Hour))
		}
		for name, do := range writes {
			err := do(who)
			if refused := club.KindOf(err) == club.Forbidden; refused == role.MayFeed() {
				t.Errorf("%s as %q: %v", name, role, err)
			} else if err != nil && club.KindOf(err) == club.Internal {
				t.Errorf("%s as %q: %v", name, role, err)
			}
		}
	}
}

// TestLoggers: a token writes for its gauge until it is withdrawn, and only its hash is
// kept.
func TestLoggers(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	ctx := background(t)
	hash := sha256.Sum256([]byte("secret"))
	must(t, book.MakeLogger(ctx, onMachine, "board", "under the bridge", hash[:], now))
	must(t, book.Logger(ctx, hash[:]))
	levels := stationLevels(hour(71).Add(5*time.Minute), time.Minute, 1, 1.1)
	for i, want := range []int{2, 0} {
		if got, err := book.LoggerLevels(ctx, hash[:], levels, now); err != nil || got.New != want {
			t.Errorf("post %d: %+v, %v", i, got, err)
		}
	}
	must(t, book.EndLogger(ctx, onMachine, "board", hash[:], now))
	wantKind(t, "withdrawn", book.Logger(ctx, hash[:]), club.Forbidden)
	_, err := book.LoggerLevels(ctx, hash[:], levels, now)
	wantKind(t, "withdrawn", err, club.Forbidden)
	_, err = book.LoggerLevels(ctx, token('x'), levels, now)
	wantKind(t, "unknown", err, club.Forbidden)
	wantKind(t, "twice", book.EndLogger(ctx, onMachine, "board", hash[:], now), club.Conflict)
	if text := one[string](s, `select string_agg(l::text, ' ') from loggers l`); strings.Contains(text, "secret") {
		t.Errorf("the token is kept: %s", text)
	}
}

// TestImportsOnTheZeroOfTheTime: a table's old rows are on the zero the board had then.
func TestImportsOnTheZeroOfTheTime(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	rows := func(put func(time.Time, float64) error) error {
		if err := put(rezeroed.Add(-time.Hour), 1); err != nil {
			return err
		}
		return put(rezeroed.Add(time.Hour), 1)
	}
	for i, want := range []int{2, 0} {
		if got, err := book.ImportLevels(background(t), onMachine, "board", club.Board, now, rows); err != nil || got.New != want || got.New+got.Same != 2 {
			t.Errorf("time %d: %+v, %v", i, got, err)
		}
	}
	if n := one[int](s, `select sum(z.offset_mm) from levels l join gauge_zeros z on z.id = l.zero_id where l.at in ($1, $2)`, rezeroed.Add(-time.Hour), rezeroed.Add(time.Hour)); n != 120 {
		t.Errorf("offsets sum to %d mm, want 0 and 120", n)
	}
}

// TestABadTableKeepsNothing: where the rows fail in the middle, nothing was written.
func TestABadTableKeepsNothing(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	before := one[int](s, `select count(*) from levels`)
	_, err := book.ImportLevels(background(t), onMachine, "board", club.Board, now, func(put func(time.Time, float64) error) error {
		for i := range 5000 {
			if err := put(now.Add(time.Duration(i-9000)*time.Minute), 1); err != nil {
				return err
			}
		}
		return club.Faultf(club.Conflict, "Row 5001 is bad.")
	})
	wantKind(t, "a bad row", err, club.Conflict)
	if n := one[int](s, `select count(*) from levels`); n != before {
		t.Errorf("%d levels were kept", n-before)
	}
	if _, err := book.Feeds(context.Background(), "nowhere", nil, now); club.KindOf(err) != club.Forbidden {
		t.Errorf("a stranger asks for a gauge that is not there: %v", err)
	}
}

func wantKind(t *testing.T, what string, err error, kind club.Kind) {
	t.Helper()
	if got := club.KindOf(err); err == nil || got != kind {
		t.Errorf("%s: %v, want kind %v", what, err, kind)
	}
}
