package db_test

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"levelpeg/db/dbtest"
)

// span is one row of a rollup.
type span struct {
	least, most int32
	sum         float64
	readings    int64
	flood       bool
}

func (s span) mean() float64 { return s.sum / float64(s.readings) }

type spanKey struct {
	gauge int32
	from  int64 // unix
}

// bruteForce reckons the rollup of a length from the levels themselves: of each
// reading its highest revision, above the datum, and nothing that was withdrawn.
func bruteForce(s sql, length time.Duration) map[spanKey]span {
	s.Helper()
	rows, err := s.conn.Query(background(s.T), `
		select distinct on (l.gauge_id, l.at) l.gauge_id, l.at, l.level_mm, z.offset_mm, g.flood_mm
		from levels l join gauge_zeros z on z.id = l.zero_id join gauges g on g.id = l.gauge_id
		order by l.gauge_id, l.at, l.revision desc`)
	if err != nil {
		s.Fatal(err)
	}
	out := map[spanKey]span{}
	var gauge, offset int32
	var at time.Time
	var level, flood *int32
	_, err = pgx.ForEachRow(rows, []any{&gauge, &at, &level, &offset, &flood}, func() error {
		if level == nil {
			return nil
		}
		k, mm := spanKey{gauge, at.UTC().Truncate(length).Unix()}, *level+offset
		x, ok := out[k]
		if !ok {
			x = span{least: mm, most: mm}
		}
		x.least, x.most = min(x.least, mm), max(x.most, mm)
		x.sum, x.readings = x.sum+float64(mm), x.readings+1
		x.flood = flood != nil && x.most > *flood
		out[k] = x
		return nil
	})
	if err != nil {
		s.Fatal(err)
	}
	return out
}

// sameRollups wants both rollups to be what the levels give.
func sameRollups(s sql, when string) {
	s.Helper()
	s.sameRollup(when, time.Hour, `select gauge_id, hour, least_mm, most_mm, mean_mm, readings, false from levels_hour`)
	s.sameRollup(when, 24*time.Hour, `select gauge_id, day, least_mm, most_mm, mean_mm, readings, flood from levels_day`)
}

// meanTolMM is the rounding of a mean kept as a four-byte real: 24 bits of at most
// 50,000 mm, twice over for a mean of means. Derived.
const meanTolMM = 2 * 50_000.0 / (1 << 24)

func (s sql) sameRollup(when string, length time.Duration, query string) {
	s.Helper()
	want := bruteForce(s, length)
	rows, err := s.conn.Query(background(s.T), query)
	if err != nil {
		s.Fatal(err)
	}
	var k spanKey
	var from time.Time
	var got span
	var mean float32
	seen := 0
	_, err = pgx.ForEachRow(rows, []any{&k.gauge, &from, &got.least, &got.most, &mean, &got.readings, &got.flood}, func() error {
		seen++
		k.from = from.Unix()
		w, ok := want[k]
		if length == time.Hour {
			w.flood = false
		}
		if !ok || got.least != w.least || got.most != w.most || got.readings != w.readings || got.flood != w.flood ||
			math.Abs(float64(mean)-w.mean()) > meanTolMM {
			return fmt.Errorf("%s, %v from %v: kept %+v with mean %v, the levels give %+v (there: %v)", when, length, from.UTC(), got, mean, w, ok)
		}
		return nil
	})
	if err != nil {
		s.Error(err)
	} else if seen != len(want) {
		s.Errorf("%s: %d spans of %v are kept, the levels give %d", when, seen, length, len(want))
	}
}

func TestRollupsOfTheDemo(t *testing.T) {
	t.Parallel()
	s := connect(t, dbtest.NewDemo(t))
	if n := one[int](s, `select count(*) from levels`); n < 200_000 {
		t.Fatalf("the demo has %d levels only", n)
	}
	sameRollups(s, "the demo")
	if n := one[int](s, `select count(*) from levels_day where flood`); n == 0 {
		t.Error("no day of the demo is marked as a flood, and it has one")
	}
}

// TestRollupsUnderConcurrentWriters has writers of one hour, and of its day, at once.
func TestRollupsUnderConcurrentWriters(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	const writers, each = 4, 12
	ended := make(chan error, writers)
	for w := range writers {
		go func() {
			conn, err := pgx.ConnectConfig(context.Background(), s.conn.Config().Copy())
			if err != nil {
				ended <- err
				return
			}
			defer conn.Close(context.Background())
			for i := range each {
				at := hour(71).Add(time.Duration(w*each+i+1) * time.Minute)
				if i%4 == 3 {
					at = at.Add(-2 * time.Hour)
				}
				_, err = conn.Exec(context.Background(), `insert into levels (gauge_id, at, zero_id, level_mm, source)
					select gauge_id, $1, max(zero_id), $2, 'board' from levels group by gauge_id`, at, 1000+w*100+i)
				if err != nil {
					break
				}
			}
			ended <- err
		}()
	}
	for range writers {
		if err := <-ended; err != nil {
			t.Fatal(err)
		}
	}
	if n := one[int](s, `select count(*) from levels`); n != 72+writers*each {
		t.Fatalf("%d levels", n)
	}
	sameRollups(s, "after concurrent writers")
}

// TestMovedZero: a new zero says how later readings are read, and moves none of
// those before it; a corrected offset moves those read on it.
func TestMovedZero(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	datum := `select string_agg((l.level_mm + z.offset_mm)::text, ',' order by l.at) from levels l join gauge_zeros z on z.id = l.zero_id`
	before := one[string](s, datum)
	// Moved yesterday: twenty-four readings already stand after that, on the old zero.
	s.do(`insert into gauge_zeros (gauge_id, valid_from, offset_mm, reason) select id, $1, 500, 'moved' from gauges where slug = 'board'`, now.AddDate(0, 0, -1))
	if after := one[string](s, datum); after != before {
		t.Error("a moved zero changed datum levels of older readings")
	}
	sameRollups(s, "after a moved zero")
	v := readPeg(t, book, "1", nil)
	// 1.23 m on the zero 0.12 m above the datum is 0.85 m on one 0.50 m above it.
	if got := v.Standing.Latest.LevelM; !near(got, 1.23+0.12-0.50) || v.Standing.Zero.OffsetM != 0.5 {
		t.Errorf("the latest reads %v on the zero %+v", got, v.Standing.Zero)
	}
	// Its soundings stand on the datum: 1.20 on the first zero, 1.08 on the second.
	if x := v.Runs[0].Soundings; len(x) != 2 || !near(x[0].LevelM, 1.20) || !near(x[1].LevelM, 1.20) {
		t.Errorf("the soundings stand at %+v, want 1.20 and 1.20 on the datum", x)
	}
	s.do(`update gauge_zeros set offset_mm = 130 where offset_mm = 120`)
	sameRollups(s, "after a corrected offset")
	if x := readPeg(t, book, "1", nil).Runs[0].Soundings; !near(x[0].LevelM, 1.20) || !near(x[1].LevelM, 1.21) {
		t.Errorf("after a corrected offset the soundings stand at %+v", x)
	}
}

func TestFloodDays(t *testing.T) {
	t.Parallel()
	book, s := smallDB(t, nil)
	days := func() int { return one[int](s, `select count(*) from levels_day where flood`) }
	if days() != 0 {
		t.Fatalf("%d flood days under 2 m", days())
	}
	// Each of the small book's days goes to 1.23 + 0.12 m on the datum.
	for _, c := range []struct {
		floodMM any
		some    bool
	}{{1340, true}, {1350, false}, {1349, true}, {nil, false}} {
		s.do(`update gauges set flood_mm = $1 where slug = 'board'`, c.floodMM)
		if (days() > 0) != c.some {
			t.Errorf("flood_mm %v marks %d days", c.floodMM, days())
		}
		sameRollups(s, fmt.Sprintf("flood_mm %v", c.floodMM))
		if got := len(readPeg(t, book, "1", nil).Standing.Floods) > 0; got != c.some {
			t.Errorf("flood_mm %v: the sheet knows of a flood: %v", c.floodMM, got)
		}
	}
	s.do(`update gauges set flood_mm = 1900 where slug = 'board'`)
	correct(s, hour(40), 1, 1800) // 1.92 on the datum
	if days() != 1 {
		t.Errorf("a correction over the mark gives %d flood days", days())
	}
	correct(s, hour(40), 2, nil)
	if days() != 0 {
		t.Errorf("withdrawn, it leaves %d flood days", days())
	}
}

// TestEmptiedRollup: an hour and a day whose only reading is withdrawn are gone.
func TestEmptiedRollup(t *testing.T) {
	t.Parallel()
	_, s := smallDB(t, nil)
	at := now.AddDate(0, 0, -20)
	s.do(`insert into levels (gauge_id, at, zero_id, level_mm, source) select gauge_id, $1, max(zero_id), -300, 'board' from levels group by gauge_id`, at)
	sameRollups(s, "a reading below zero")
	correct(s, at, 1, nil)
	sameRollups(s, "withdrawn")
	if n := one[int](s, `select count(*) from levels_day where day = date_trunc('day', $1::timestamptz, 'UTC')`, at); n != 0 {
		t.Errorf("%d days are left of a withdrawn reading", n)
	}
}
