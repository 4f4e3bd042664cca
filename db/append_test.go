package db_test

import (
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/db"
)

func TestLevelsAreAppendOnly(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	s.refused(restrictViolation, `update levels set level_mm = level_mm + 1`)
	s.refused(restrictViolation, `update levels set at = at - interval '1 minute'`)
	s.refused(restrictViolation, `update levels set level_mm = null`)
	s.refused(restrictViolation, `delete from levels`)
	s.refused(uniqueViolation, `insert into levels select * from levels limit 1`)
	s.refused(restrictViolation, `update levels set by_member = (select min(id) from members)`)
}

func TestSoundingsAreAppendOnly(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	s.refused(restrictViolation, `update soundings set depth_mm = depth_mm + 1`)
	s.refused(restrictViolation, `update soundings set withdrawn = true, supersedes = id - 1`)
	s.refused(restrictViolation, `update soundings set by_member = (select max(id) from members) where by_member = (select min(id) from members)`)
	s.refused(restrictViolation, `delete from soundings`)
	s.refused(restrictViolation, `delete from pegs where label = '1'`)
}

// TestForgettingAMember takes the name off what they read, and nothing else.
func TestForgettingAMember(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	s.do(`insert into levels (gauge_id, at, zero_id, level_mm, source, by_member)
		select gauge_id, $1, zero_id, 1500, 'board', m.id from levels l, members m where m.name = 'Bob' limit 1`, now)
	before := one[string](s, `select string_agg((to_jsonb(s) - 'by_member')::text, ',' order by id) from soundings s`)
	s.do(`insert into sessions (token_hash, member_id, expires_at) select $1, id, now() + interval '10 years' from members where name = 'Bob'`, token('b'))
	s.do(`insert into notes (peg_id, author_id, at, text) select p.id, m.id, $1, 'Bob for the club' from pegs p, members m where p.label = '1' and m.name = 'Bob'`, now)
	s.do(`delete from members where name = 'Bob'`)

	if after := one[string](s, `select string_agg((to_jsonb(s) - 'by_member')::text, ',' order by id) from soundings s`); after != before {
		t.Error("soundings changed by more than the name")
	}
	if n := one[int](s, `select count(*) from soundings where by_member is not null`); n != 5 {
		t.Errorf("%d soundings still have a name, want Ann's 5", n)
	}
	if n := one[int](s, `select count(*) from levels where by_member is not null`); n != 0 {
		t.Errorf("%d levels still have a name", n)
	}
	if n := one[int](s, `select count(*) from sessions`); n != 0 {
		t.Errorf("%d sessions are left", n)
	}
	s.do(`insert into sessions (token_hash, member_id, expires_at) select $1, id, now() + interval '10 years' from members where name = 'Ann'`, token('a'))
	var texts []string
	for _, n := range readPeg(t, book, "1", token('a')).Notes {
		texts = append(texts, n.Text+" by "+n.Author)
	}
	if len(texts) != 2 || texts[0] != "Bob for the club by " || texts[1] != "for the club by Ann" {
		t.Errorf("the notes are %q: want the club's, Bob's unnamed, and his own gone", texts)
	}
	if n := one[int](s, `select count(*) from notes where private`); n != 0 {
		t.Errorf("%d private notes outlive their writer", n)
	}
}

// correct writes a reading again with a higher revision.
func correct(s sql, at time.Time, revision int, levelMM any) {
	s.Helper()
	s.do(`insert into levels (gauge_id, at, revision, zero_id, level_mm, source)
		select gauge_id, at, $2, zero_id, $3, source from levels where at = $1 and revision = 0`, at, revision, levelMM)
}

func latest(t *testing.T, book *db.DB) (pegM, homeM float64, at time.Time) {
	t.Helper()
	p := readPeg(t, book, "1", nil).Standing.Latest
	h, err := book.Home(background(t), nil, now)
	if err != nil {
		t.Fatal(err)
	}
	return p.LevelM, h.Venues[0].Standing.Latest.LevelM, p.At
}

// TestCorrectedLevel follows a correction through the sheet, the list of venues
// and the rollups. The last hour's reading is 1.23 m: index 71, 23 h into its day.
func TestCorrectedLevel(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	want := func(what string, levelM float64, at time.Time) {
		t.Helper()
		p, h, got := latest(t, book)
		if !near(p, levelM) || !near(h, levelM) || !got.Equal(at) {
			t.Errorf("%s: sheet %v, list %v of %v; want %v of %v", what, p, h, got, levelM, at)
		}
		sameRollups(s, what)
	}
	want("as loaded", 1.23, hour(71))
	correct(s, hour(71), 1, 1310)
	want("corrected", 1.31, hour(71))
	correct(s, hour(71), 3, 1330)
	want("corrected twice", 1.33, hour(71))
	correct(s, hour(71), 2, 1320)
	want("a lower revision that comes late", 1.33, hour(71))
	correct(s, hour(71), 4, nil)
	want("withdrawn", 1.22, hour(70))
	correct(s, hour(71), 5, 1340)
	want("written again", 1.34, hour(71))
	// The trend's reading, three hours before.
	correct(s, hour(68), 1, 1500)
	if e := readPeg(t, book, "1", nil).Standing.Earlier; e == nil || !near(e.LevelM, 1.50) {
		t.Errorf("the earlier reading is %+v, want 1.50", e)
	}
	correct(s, hour(68), 2, nil)
	if e := readPeg(t, book, "1", nil).Standing.Earlier; e == nil || !e.At.Equal(hour(67)) {
		t.Errorf("the earlier reading is %+v, want the hour before", e)
	}
}

// TestCorrectedSounding: what was superseded or withdrawn is not read, nor counted
// on the venue's page.
func TestCorrectedSounding(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	depths := func() (out []float64) {
		for _, x := range readPeg(t, book, "2", nil).Runs[0].Soundings {
			out = append(out, x.DepthM)
		}
		return out
	}
	counted := func() int {
		v, err := book.Venue(background(t), "near", nil, now)
		if err != nil {
			t.Fatal(err)
		}
		return v.Pegs[1].Soundings
	}
	last := `(select max(s.id) from soundings s join runs r on r.id = s.run_id join pegs p on p.id = r.peg_id where p.label = '2')`
	again := `insert into soundings (run_id, zero_id, at, level_mm, depth_mm, supersedes, withdrawn)
		select run_id, zero_id, at, level_mm, $1, id, $2 from soundings where id = ` + last
	if got := depths(); len(got) != 2 || got[1] != 1.81 || counted() != 2 {
		t.Fatalf("as loaded %v, counted %d", got, counted())
	}
	s.do(again, 1700, false)
	if got := depths(); len(got) != 2 || got[1] != 1.70 || counted() != 2 {
		t.Errorf("superseded: %v, counted %d", got, counted())
	}
	s.do(again, 1700, true)
	if got := depths(); len(got) != 1 || got[0] != 1.80 || counted() != 1 {
		t.Errorf("withdrawn: %v, counted %d", got, counted())
	}
	s.refused(uniqueViolation, `insert into soundings (run_id, zero_id, at, level_mm, depth_mm, supersedes)
		select run_id, zero_id, at, level_mm, depth_mm, supersedes from soundings where supersedes is not null`)
	s.refused(checkViolation, `insert into soundings (run_id, zero_id, at, level_mm, depth_mm, withdrawn)
		select run_id, zero_id, at, level_mm, depth_mm, true from soundings limit 1`)
}

func TestSoundingStandsOnItsOwnGauge(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	insert := `insert into soundings (run_id, zero_id, at, level_mm, depth_mm, pace_mmps, timed_ms)
		select (select min(id) from runs), z.id, $1, 1000, 1500, $2, $3
		from gauge_zeros z join gauges g on g.id = z.gauge_id where g.slug = $4 order by z.id limit 1`
	s.refused(foreignKey, insert, now, nil, nil, "other")
	s.refused(checkViolation, insert, now, nil, 9000, "board") // timed, and no pace
	s.refused(checkViolation, insert, time.Now().AddDate(0, 0, 2), nil, nil, "board")
	s.do(insert, now, 400, 9000, "board")
	s.refused(foreignKey, `insert into levels (gauge_id, at, zero_id, level_mm, source)
		select a.id, now(), z.id, 1, 'board' from gauges a join gauge_zeros z on z.gauge_id <> a.id limit 1`)
}

func TestPegCodeIsPermanent(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	s.refused(restrictViolation, `update pegs set code = '7777' where label = '1'`)
	s.do(`update pegs set code = code, label = '99' where label = '1'`)
	s.refused(uniqueViolation, `update pegs set label = '14a' where label = '2'`)
	s.refused(uniqueViolation, `update pegs set label = '2' where label = '3'`)
	s.refused(checkViolation, `update pegs set label = 'a/b' where label = '2'`)
	// A renumbering in one statement passes through no double position.
	s.do(`update pegs set position = 6 - position where venue_id = (select id from venues where slug = 'near')`)
	if got := one[string](s, `select label from pegs where position = 1`); got != "15" {
		t.Errorf("peg %s is first after turning the order round", got)
	}
}

func TestClubHoldsOneRow(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	s.refused(uniqueViolation, `insert into club (name, time_zone, place) values ('Second', 'UTC', 'X')`)
	s.refused(checkViolation, `insert into club (only_row, name, time_zone, place) values (false, 'Second', 'UTC', 'X')`)
	s.refused(checkViolation, `insert into notes (peg_id, at, text, private) select min(id), now(), 'nobody''s', true from pegs`)
	s.refused(checkViolation, `insert into level_rules (venue_id, above_mm, below_mm, effect, text) select min(id), 1, 2, 'caution', 'x' from venues`)
	s.refused(checkViolation, `insert into closures (venue_id, from_at, to_at, reason) select min(id), now(), now() - interval '1 day', 'x' from venues`)
	s.refused(foreignKey, `insert into hazards (venue_id, peg_id, kind, text)
		select v.id, p.id, 'other', 'another venue''s peg' from venues v, pegs p where v.slug = 'far' limit 1`)
	s.refused(notNullViolation, `insert into levels (gauge_id, at, level_mm, source) select min(id), now(), 1, 'board' from gauges`)
}

// token is a session's hash: 32 bytes of one letter.
func token(letter byte) []byte {
	out := make([]byte, 32)
	for i := range out {
		out[i] = letter
	}
	return out
}

func TestTheSmallBookIsAsMeant(t *testing.T) {
	b := small()
	if got := b.Gauges[0].Levels[71]; !got.At.Equal(now.Truncate(time.Hour)) || !near(got.LevelM, 1.23) {
		t.Fatalf("the last level is %+v", got)
	}
	if club.InCloseSeason(now, time.UTC) {
		t.Fatal("now is in the close season")
	}
}
